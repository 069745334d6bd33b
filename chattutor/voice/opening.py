"""What a lesson by voice needs before it begins: ears, voice, languages, and the notices about sound."""

import argparse
import os
import wave
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from chattutor.exits import CannotGoOn
from dialogue.meaning import Expecting

if TYPE_CHECKING:
    from chattutor.lesson.by_voice import ByVoice
    from chattutor.lesson.ports import Ears, Face
    from speech.audio.sound import Sound

NEEDED = ("numpy", "miniaudio")
LISTENING = (
    "Listening with {choice}. Speaking with {voice}. You can type at any time; Enter alone stops the tutor's voice."
)
PRIVACY = """\
The microphone is listened to only when it is your turn. Your words become text on this machine; the sound is dropped
at once, and the text is kept in the log. Children's voices: follow your school's policy and the law where you are."""
KEPT = (
    "The sound of what you say IS kept, in {folder}, because --keep-audio was given. Delete it when it is not needed."
)
LEARNING = "Learning what can be said, once only: {done} of {count}."
BY_KEYBOARD = "This lesson goes on by keyboard: {reason}"
LAST: tuple[Expecting, ...] = ("move", "any", "operations")  # the largest are built last


def by_voice(args: argparse.Namespace, face: "Face", lines: "Ears") -> "ByVoice | None":
    """Ears and face for a lesson by voice; None, after one line that says why, where it can only be typed."""
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        face.notice(
            BY_KEYBOARD.format(reason=f"sound needs more packages: pip install 'chattutor[voice]' ({missing[0]})")
        )
        return None
    try:
        return _opened(args, face, lines)
    except CannotGoOn as trouble:
        face.notice(BY_KEYBOARD.format(reason=str(trouble)))
        return None


def _opened(args: argparse.Namespace, face: "Face", lines: "Ears") -> "ByVoice":
    from chattutor.lesson.by_voice import ByVoice
    from chattutor.voice.hearing import Attention, ears_here
    from speech.audio.endpoint import Pauses
    from speech.engines import speakers
    from speech.errors import SpeechError
    from speech.hands_free import HandsFree
    from speech.registry import choose

    attention = Attention()
    ears, choice = ears_here(attention, args.model)
    try:
        voice = choose(speakers())
    except SpeechError as error:
        raise CannotGoOn(f"{error}.") from error
    keep = keeper(args.keep_audio) if args.keep_audio else None
    face.notice(LISTENING.format(choice=choice, voice=voice))
    learn(face.notice)
    pauses = Pauses(after=args.silence)
    lesson = ByVoice(face, attention, lines, lambda: HandsFree(ears, voice.engine, pauses, keep=keep))
    lesson.notice(PRIVACY if keep is None else KEPT.format(folder=args.keep_audio))
    return lesson


def learn(tell: Callable[[str], None]) -> None:
    """Build the languages that are not kept yet; told only where one has to be built."""
    from chattutor.voice.languages import is_kept, language_of

    wanted = [one for one in get_args(Expecting) if one not in LAST] + list(LAST)
    missing = [one for one in wanted if not is_kept(one)]
    for done, one in enumerate(missing):
        tell(LEARNING.format(done=done + 1, count=len(missing)))
        language_of(one)


def keeper(folder: Path) -> "Callable[[Sound], None]":
    """Writes each utterance as a WAV file that only the user can read. Raises CannotGoOn where it cannot."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise CannotGoOn(f"No sound can be kept in {folder} ({error.strerror}).") from error
    taken = len(list(folder.glob("said-*.wav")))

    def keep(sound: "Sound") -> None:
        nonlocal taken
        taken += 1
        path = folder / f"said-{taken:04}.wav"
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file, wave.open(file, "wb") as out:
            out.setparams((1, 2, 16_000, 0, "NONE", "not compressed"))
            out.writeframes(sound.pcm())

    return keep

"""What a lesson by voice needs before it begins: recognisers, voice, languages, and the notices about sound."""

import argparse
import atexit
import os
import shutil
import wave
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from itertools import count
from os.path import lexists
from pathlib import Path
from typing import TYPE_CHECKING

from chattutor.common.exits import CannotGoOn, reason
from chattutor.session_logs.reader import read_head

if TYPE_CHECKING:
    from chattutor.lesson.ports import Face, UtteranceSource
    from chattutor.lesson.voice.by_voice import ByVoice
    from chattutor.lesson.voice.hearing import Attention
    from chattutor.lesson.voice.language_builder import Builder
    from speech.audio.devices import Capture, Player
    from speech.audio.sound import Sound
    from speech.recognition.hands_free import HandsFree

NEEDED = ("numpy", "miniaudio")  # by every part of listening and speaking
LISTENING = (
    "Listening with {choice}. Speaking with {voice}. You can type at any time; Enter alone stops the tutor's voice."
)
PRIVACY = """\
The microphone is open during the lesson. While the tutor speaks, only "stop" is listened for.
When it asks whether you are there, your answer is listened for too.
What you say when it is your turn becomes text on this machine, and the log keeps the text.
No sound is kept: it stays in memory and is dropped once it is understood.
The policy of your school and the law where you are come first."""
PRIVACY_ALOUD = "I listen when it is your turn. I keep your words, not your voice."
KEPT = (
    "The sound of what you say IS kept, in {folder}, because --keep-audio was given. Delete it when it is not needed."
)
KEPT_ALOUD = "Your voice is recorded and kept this time. Tell an adult if you do not want that."
NOT_KEPT = "From here on no sound is kept in {folder}: {reason}. The lesson goes on."
LEARNING = "Preparing to recognise answers, one time only; this runs in the background."
NO_CACHE = "This cannot be saved in {folder} ({reason}), so it will be done again next time."
BY_KEYBOARD = "This lesson continues by keyboard: {reason}"


def by_voice(args: argparse.Namespace, face: "Face", lines: "UtteranceSource") -> "ByVoice | None":
    """Input and output for a lesson by voice; None, after one line that says why, where it can only be typed."""
    missing = missing_packages()
    if missing:
        face.notice(
            BY_KEYBOARD.format(reason=f'sound needs more packages: pip install "chattutor[voice]" ({missing[0]})')
        )
        return None
    try:
        return _opened(args, face, lines)
    except CannotGoOn as trouble:
        face.notice(BY_KEYBOARD.format(reason=str(trouble)))
        return None


def _opened(args: argparse.Namespace, face: "Face", lines: "UtteranceSource") -> "ByVoice":
    from chattutor.lesson.voice.by_voice import ByVoice
    from chattutor.session_logs.folder import default_folder

    keep = keeper(args.keep_audio, face.notice) if args.keep_audio else None
    attention, hands_free, builder = equipment(args.model, args.silence, face.notice, keep)
    lesson = ByVoice(face, attention, lines, hands_free, builder, args.pace)
    if keep is not None:
        lesson.notice(KEPT.format(folder=args.keep_audio), KEPT_ALOUD)
    elif not spoke_before(args.logs or default_folder(), args.learner):
        lesson.notice(PRIVACY, PRIVACY_ALOUD)
    else:
        face.notice(PRIVACY_ALOUD)
    return lesson


def equipment(
    model: Path | None,
    silence: float,
    tell: Callable[[str], None],
    keep: "Callable[[Sound], None] | None" = None,
    capture: "Callable[[], Capture] | None" = None,
    player: "Player | None" = None,
    level: Callable[[float], None] | None = None,
) -> "tuple[Attention, HandsFree, Builder]":
    """Recognisers, voice and languages; this computer's microphone and loudspeaker unless others are given.

    Raises CannotGoOn.
    """
    from chattutor.lesson.voice.hearing import Attention, ensemble_here
    from chattutor.lesson.voice.language_builder import Builder, usable
    from chattutor.lesson.voice.languages import cache_folder, stopping
    from speech.audio.devices import Microphone, play
    from speech.audio.endpoint import Pauses
    from speech.errors import SpeechError
    from speech.recognition.hands_free import HandsFree
    from speech.registry import choose_engine
    from speech.synthesis.speakers import speakers

    attention = Attention()
    ensemble, choice = ensemble_here(attention, model, one_speaker=True)
    try:
        voice = choose_engine(speakers())
    except SpeechError as error:
        raise CannotGoOn(f"{error}.") from error
    tell(LISTENING.format(choice=choice, voice=voice.engine.name))
    folder, trouble = usable(cache_folder())
    if trouble:
        atexit.register(shutil.rmtree, folder, ignore_errors=True)
        tell(NO_CACHE.format(folder=cache_folder(), reason=trouble))
    builder = Builder(folder, ensemble.held_to_sentences)
    if builder.begin():
        tell(LEARNING)
    hands_free = HandsFree(
        ensemble,
        voice.engine,
        Pauses(after=silence),
        level,
        keep,
        stopping(),
        capture or Microphone,
        player or play,
    )
    return attention, hands_free, builder


def spoke_before(folder: Path, learner: str) -> bool:
    """Whether the learner has had a lesson by voice: their logs' first lines say so."""
    heads = (read_head(path) for path in (folder / learner).glob("*.jsonl"))
    return any(head is not None and head.settings.voice for head in heads)


def keeper(folder: Path, tell: Callable[[str], None]) -> "Callable[[Sound], None]":
    """Writes each utterance as a WAV file that only the user can read, and never over another file. Where one cannot be
    written that is told once, and nothing more is kept. Raises CannotGoOn where there can be no such folder."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise CannotGoOn(f"No sound can be kept in {folder} ({error.strerror}).") from error
    numbers: Iterator[int] | None = count(1)

    def keep(sound: "Sound") -> None:
        nonlocal numbers
        if numbers is None:
            return
        path = next(path for path in (folder / f"said-{number:04}.wav" for number in numbers) if not lexists(path))
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
            try:
                with os.fdopen(handle, "wb") as file, wave.open(file, "wb") as out:
                    out.setparams((1, 2, 16_000, 0, "NONE", "not compressed"))
                    out.writeframes(sound.pcm())
            except OSError:
                path.unlink(missing_ok=True)  # half a sound
                raise
        except OSError as error:
            numbers = None
            tell(NOT_KEPT.format(folder=folder, reason=reason(error)))

    return keep


def missing_packages() -> list[str]:
    """The packages that are not installed; nothing is loaded."""
    return [name for name in NEEDED if find_spec(name) is None]

"""``chattutor voice``: what of listening and speaking works here, a check of the microphone, and hearing files."""

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import Parser
from chattutor.common.exits import FINE, TROUBLE, CannotGoOn
from chattutor.common.output import in_utf8, json_line

DESCRIPTION = """\
Without a subcommand: lists what works here, and how to fix what does not.
"""
CHECK = """\
Records three seconds, shows the level as a moving bar, and says what was heard. Nothing is kept.
"""
HEAR = """\
Recognises speech in audio files (WAV, FLAC, MP3, Ogg Vorbis) as a lesson does. Writes one line per file, in order:
{"file", "engine", "text", "doubtful", "acts", "meaning", "easily_misheard"}; for a file that cannot be heard
{"file", "error"}, and exit code 1. Doubtful is what a lesson would read back or ask for again; numbers that sound like
others (thirteen, thirty) it reads back however well they were heard.
"""
FETCH = """\
Downloads the small English model for vosk (40 MB); says from where and to where. Nothing else here uses the network.
"""
EXPECTING = ("any", "move", "value", "equation", "yesno", "why", "operations", "term", "balance")
LETTERS = "abcdefghijklmnopqrstuvwxyz"
CHECKED_SECONDS = 3.0
WIDTH = 40  # characters of the level bar
LOWEST = -60.0  # decibels below full scale at its left end
FAINT, TOO_LOUD = -45.0, -1.0  # the loudest frame of speech: below, hardly heard; above, cut off
HARDLY = "That was very soft: come nearer to the microphone, or turn it up."
CUT_OFF = "That was too loud for the microphone: turn it down, or move back a little."
SILENT = "No sound came from the microphone: it may be muted, or another one may be in use."


class Mixed(Parser):
    """Takes options between the files as well, which argparse has only for parsers without subcommands."""

    _mixing = False

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> tuple[Any, list[str]]:
        """As argparse's; its way of taking them in any order calls this one."""
        if self._mixing:
            return super().parse_known_args(args, namespace)
        self._mixing = True
        try:
            return self.parse_known_intermixed_args(args, namespace)
        finally:
            self._mixing = False


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    form = argparse.RawDescriptionHelpFormatter
    # for the command with and without a subcommand; SUPPRESS, so that the later default does not win
    model = argparse.ArgumentParser(add_help=False)
    model.add_argument(
        "--model", metavar="DIR", type=Path, default=argparse.SUPPRESS, help="a folder with an English vosk model"
    )
    parser = subparsers.add_parser(
        "voice", help=SUMMARIES["voice"], description=DESCRIPTION, formatter_class=form, parents=[model]
    )
    parser.set_defaults(what=status, model=None)
    words = parser.add_subparsers(metavar="check | hear | fetch", title="subcommands", parser_class=Mixed)
    checked = words.add_parser("check", help="try the microphone", description=CHECK, parents=[model])
    checked.add_argument("--play", action="store_true", help="play back what was recorded")
    checked.set_defaults(what=check)
    heard = words.add_parser("hear", help="hear files", description=HEAR, formatter_class=form, parents=[model])
    heard.add_argument("files", metavar="FILE", nargs="*", type=Path, help="audio files")
    heard.add_argument("--one-speaker", action="store_true", help="all files are of one person, as in a lesson")
    heard.set_defaults(what=hear)
    fetched = words.add_parser("fetch", help="download a larger speech model", description=FETCH)
    fetched.add_argument(
        "--from", dest="source", metavar="WHERE", help="another address, or a zip file on this computer"
    )
    fetched.add_argument("--to", metavar="DIR", type=Path, help="the folder to put it in")
    fetched.set_defaults(what=fetch)
    for each in (checked, heard):
        each.add_argument("--expecting", choices=EXPECTING, default="any", help="what was just asked (default: any)")
        each.add_argument(
            "--letter", default="x", choices=LETTERS, metavar="L", help="letter of the unknown (default: x)"
        )


def run(args: argparse.Namespace) -> int:
    """Do what was asked. Raises CannotGoOn where the packages for sound are not installed."""
    from chattutor.lesson.voice.voice_setup import missing_packages

    missing = missing_packages() if args.what is not fetch else []
    if missing:
        raise CannotGoOn(f'Sound needs more packages ({", ".join(missing)}): pip install "chattutor[voice]"')
    return int(args.what(args))


def fetch(args: argparse.Namespace) -> int:
    """Load the model."""
    from chattutor.lesson.voice.fetching import fetch as load

    load(args.source, args.to, print)
    return FINE


def status(args: argparse.Namespace) -> int:
    """A line for each engine, voice and device."""
    from chattutor.lesson.voice.fetching import SOURCE
    from speech.audio.devices import loudspeaker_availability, microphone_availability
    from speech.recognition.engines import recognisers
    from speech.recognition.vosk_models import standard_folders
    from speech.synthesis.speakers import speakers

    named = [(f"listening with {one.name}", one.availability()) for one in recognisers(args.model, os.environ)]
    named += [(f"speaking with {one.name}", one.availability()) for one in speakers()]
    named += [("microphone", microphone_availability()), ("loudspeaker", loudspeaker_availability())]
    for name, state in named:
        print(f"{name}: {'works' if state.ok else 'does not work'} ({state.reason})")
    if not any(state.ok for name, state in named if name.endswith("vosk")):
        print(
            f"a larger speech model: 'chattutor voice fetch' downloads one from {SOURCE} into {standard_folders()[0]}"
        )
    return FINE


def hear(args: argparse.Namespace) -> int:
    """Files through the recognisers of a lesson. Raises CannotGoOn where none is named."""
    if not args.files:
        raise CannotGoOn("Name the audio files to hear: chattutor voice hear FILE...")
    from chattutor.lesson.voice.hearing import Attention, ensemble_here
    from chattutor.lesson.voice.lesson_acceptance import doubt_of, is_easily_misheard
    from dialogue.acts import to_json
    from dialogue.understanding.interpret import first_that_counts
    from speech.audio.sound import read_audio
    from speech.errors import SpeechError
    from speech.hearings import Failed, Heard

    in_utf8()
    attention = Attention()
    attention.expecting, attention.letter = args.expecting, args.letter
    ensemble, _ = ensemble_here(attention, args.model, args.one_speaker)
    try:
        ensemble.listen_for(attention.language(_tell))
    except SpeechError as error:
        raise CannotGoOn(f"{error}.") from error
    code = FINE
    for path in args.files:
        try:
            hearing = ensemble.hear(read_audio(path))
        except SpeechError as error:
            code = TROUBLE
            print(json_line({"file": str(path), "error": str(error)}), flush=True)
            continue
        if isinstance(hearing.event, Failed):
            code = TROUBLE
            out: dict[str, Any] = {"file": str(path), "error": hearing.event.reason}
        else:
            event = hearing.event if isinstance(hearing.event, Heard) else None
            text = event.text if event else ""
            found = attention.found(text)
            doubtful = event is None or doubt_of(hearing, event, attention.expecting, found) != "none"
            doubtful = doubtful or not found.sure
            acts = [to_json(act) for act in found.acts]
            meaning = to_json(first_that_counts(found))
            out = {"file": str(path), "engine": hearing.engine, "text": text, "doubtful": doubtful}
            out |= {"acts": acts, "meaning": meaning, "easily_misheard": is_easily_misheard(text)}
        print(json_line(out), flush=True)
    return code


def check(args: argparse.Namespace) -> int:
    """Record, show the level, decode; the sound is dropped afterwards."""
    import numpy as np

    from chattutor.lesson.voice.hearing import Attention, ensemble_here
    from speech.audio.devices import Microphone, microphone_availability, play
    from speech.audio.sound import Sound, levels
    from speech.errors import SpeechError
    from speech.hearings import Heard

    here = microphone_availability()  # before a language is built, which is for nothing without one
    if not here.ok:
        raise CannotGoOn(f"{here.reason}.")
    attention = Attention()
    attention.expecting, attention.letter = args.expecting, args.letter
    ensemble, choice = ensemble_here(attention, args.model)
    print(f"Listening with {choice}.")
    try:
        ensemble.listen_for(attention.language(_tell))
        blocks, peak, moving = [], 0.0, sys.stdout.isatty()
        with Microphone() as microphone:
            microphone.read()  # it delivers
            print('Say a move, such as "subtract four from both sides", now.', flush=True)
            for block in microphone.blocks(CHECKED_SECONDS):
                blocks.append(block)
                peak = max(peak, float(np.abs(block).max(initial=0.0)))
                if moving:
                    print(f"\r{_bar(float(np.max(levels(block), initial=LOWEST)))}", end="", flush=True)
        sound = Sound(np.concatenate(blocks))
        if moving:
            print()
        loudest = float(np.max(levels(sound.samples), initial=LOWEST))
        print(f"Loudest: {_bar(loudest)} {loudest:.0f} dB below full scale.".replace(" -", " "))
        hearing = ensemble.hear(sound)
        if args.play:
            play(sound)
    except SpeechError as error:
        raise CannotGoOn(f"{error}.") from error
    if not peak:
        print(SILENT)
    elif peak >= 10 ** (TOO_LOUD / 20):
        print(CUT_OFF)
    elif loudest < FAINT:
        print(HARDLY)
    print(f"Heard: {hearing.event.text}" if isinstance(hearing.event, Heard) else "No words were heard.")
    print(f"The tutor would {hearing.decision.value} ({hearing.evidence}).")
    return FINE


def _bar(level: float) -> str:
    share = min(1.0, max(0.0, (level - LOWEST) / -LOWEST))
    return "[" + ("#" * round(WIDTH * share)).ljust(WIDTH) + "]"


def _tell(line: str) -> None:
    print(line, file=sys.stderr, flush=True)

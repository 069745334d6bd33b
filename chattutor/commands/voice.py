"""``chattutor voice``: what of listening and speaking works here, a check of the microphone, and hearing files."""

import argparse
import json
import os
import sys
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.exits import FINE, TROUBLE, CannotGoOn

DESCRIPTION = """\
Without a further word: what works here, and what would mend what does not.
check records three seconds, shows the level and says what was heard; nothing is kept.
hear FILE... writes {"file", "engine", "text", "doubtful", "meaning"} a line, in order; {"error"} for a bad file.
fetch loads the small English model for vosk (40 MB), says from where and to where, and is the one use of the network.
"""
EXPECTING = ("any", "move", "value", "equation", "yesno", "operations", "term")
CHECKED_SECONDS = 3.0
WIDTH = 40  # characters of the level bar
LOWEST = -60.0  # decibels below full scale at its left end


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser(
        "voice",
        help=SUMMARIES["voice"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("what", nargs="?", choices=("check", "hear", "fetch"), help="check, hear or fetch")
    parser.add_argument("files", metavar="FILE", nargs="*", type=Path, help="audio files to hear")
    parser.add_argument("--model", metavar="DIR", type=Path, help="a folder with an English vosk model")
    parser.add_argument("--expecting", choices=EXPECTING, default="any", help="what was just asked (default: any)")
    source_help = "with fetch: another address, or a zip file that is here already"
    parser.add_argument("--from", dest="source", metavar="WHERE", help=source_help)
    parser.add_argument("--to", metavar="DIR", type=Path, help="with fetch: the folder it is put into")
    parser.add_argument("--play", action="store_true", help="with check: play back what was recorded")


def run(args: argparse.Namespace) -> int:
    """Do what was asked. Raises CannotGoOn where the packages for sound are not installed."""
    if args.what == "fetch":
        from chattutor.voice.fetching import fetch

        fetch(args.source, args.to, print)
        return FINE
    from chattutor.voice.needed import missing_packages

    missing = missing_packages()
    if missing:
        raise CannotGoOn(f"Sound needs more packages ({', '.join(missing)}): pip install 'chattutor[voice]'")
    if args.what == "hear":
        if not args.files:
            raise CannotGoOn("Name the audio files to hear: chattutor voice hear FILE...")
        return hear(args)
    return check(args) if args.what == "check" else status(args)


def status(args: argparse.Namespace) -> int:
    """A line for each engine, voice and device."""
    from chattutor.voice.fetching import SOURCE
    from speech.audio.devices import loudspeaker_availability, microphone_availability
    from speech.engines import recognisers, speakers
    from speech.recognisers.vosk_models import standard_folders

    named = [(f"listening with {one.name}", one.availability()) for one in recognisers(args.model, os.environ)]
    named += [(f"speaking with {one.name}", one.availability()) for one in speakers()]
    named += [("microphone", microphone_availability()), ("loudspeaker", loudspeaker_availability())]
    for name, state in named:
        print(f"{name}: {'works' if state.ok else 'no'} ({state.reason})")
    if not any(state.ok for name, state in named if name.endswith("vosk")):
        print(f"a larger recogniser: 'chattutor voice fetch' loads one from {SOURCE} into {standard_folders()[0]}")
    return FINE


def hear(args: argparse.Namespace) -> int:
    """Files through the ears of a lesson."""
    from chattutor.voice.hearing import Attention, ears_here
    from dialogue.language.understand import understand
    from dialogue.meaning import to_json
    from speech.audio.loading import read_audio
    from speech.errors import SpeechError
    from speech.events import Decision, Failed, Heard

    attention = Attention()
    attention.expecting = args.expecting
    ears, _ = ears_here(attention, args.model)
    try:
        ears.listen_for(attention.language(_tell))
    except SpeechError as error:
        raise CannotGoOn(f"{error}.") from error
    code = FINE
    for path in args.files:
        try:
            hearing = ears.hear(read_audio(path))
        except SpeechError as error:
            code = TROUBLE
            print(json.dumps({"file": str(path), "error": str(error)}, ensure_ascii=False), flush=True)
            continue
        if isinstance(hearing.event, Failed):
            code = TROUBLE
            out: dict[str, Any] = {"file": str(path), "error": hearing.event.reason}
        else:
            text = hearing.event.text if isinstance(hearing.event, Heard) else ""
            doubtful = hearing.decision is not Decision.ACCEPT
            meaning = to_json(understand(text, attention.expecting, attention.letter))
            out = {"file": str(path), "engine": hearing.engine, "text": text, "doubtful": doubtful, "meaning": meaning}
        print(json.dumps(out, ensure_ascii=False), flush=True)
    return code


def check(args: argparse.Namespace) -> int:
    """Record, show the level, decode; the sound is dropped afterwards."""
    import numpy as np

    from chattutor.voice.hearing import Attention, ears_here
    from speech.audio.devices import Microphone, play
    from speech.audio.sound import Sound, levels
    from speech.errors import SpeechError
    from speech.events import Heard

    attention = Attention()
    ears, choice = ears_here(attention, args.model)
    print(f"Listening with {choice}.")
    try:
        ears.listen_for(attention.language(_tell))
        print('Say a move, such as "subtract four from both sides", now.')
        blocks = []
        with Microphone() as microphone:
            for block in microphone.blocks(CHECKED_SECONDS):
                blocks.append(block)
                share = (float(np.max(levels(block), initial=LOWEST)) - LOWEST) / -LOWEST
                print("\r[" + ("#" * int(WIDTH * min(1.0, share))).ljust(WIDTH) + "]", end="", flush=True)
        print()
        sound = Sound(np.concatenate(blocks))
        hearing = ears.hear(sound)
        if args.play:
            play(sound)
    except SpeechError as error:
        raise CannotGoOn(f"{error}.") from error
    print(f"Heard: {hearing.event.text}" if isinstance(hearing.event, Heard) else "Nothing was heard.")
    print(f"The tutor would {hearing.decision.value} ({hearing.evidence}).")
    return FINE


def _tell(line: str) -> None:
    print(line, file=sys.stderr, flush=True)

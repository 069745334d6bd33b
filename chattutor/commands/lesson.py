"""``chattutor lesson``: a lesson, typed or by voice, on a terminal or through a pipe."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import between, whole_number
from chattutor.common.output import in_utf8

if TYPE_CHECKING:
    from chattutor.lesson.ports import Face, UtteranceSource

DESCRIPTION = """\
Teaches one learner, a turn at a time, and keeps a log for the teacher. On a terminal it draws the working so far;
through a pipe or from a file it is plain text, one line for each turn.
Say or type moves ("subtract 3 from both sides"), whole lines ("3x = 12") or the answer; "hint", "undo", "skip",
"repeat" and "stop" always work.
"""
MOST_MINUTES = 120
SILENCE, LEAST_SILENCE, MOST_SILENCE = 0.5, 0.3, 5.0  # seconds
SLOWEST, FASTEST = 0.6, 2.5  # times the usual pace of the tutor's voice
PACE_HELP = f"how fast the tutor speaks, {SLOWEST} to {FASTEST} times the usual speed (default: 1)"
SILENCE_HELP = f"seconds of silence that end a turn, {LEAST_SILENCE} to {MOST_SILENCE} (default: {SILENCE})"


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser(
        "lesson",
        help=SUMMARIES["lesson"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--learner", metavar="CODE", help="the learner's code, not a name")
    what = parser.add_mutually_exclusive_group()
    what.add_argument(
        "--equations", metavar="FILE", type=Path, help="a file with one equation per line, or a table (CSV)"
    )
    what.add_argument(
        "--stage",
        metavar="N",
        type=int,
        help="start from this stage, 1 to 15 (default: each equation is chosen from what you can do)",
    )
    parser.add_argument(
        "--minutes", metavar="M", type=whole_number(1, MOST_MINUTES), help="length of the lesson (default: 15)"
    )
    parser.add_argument("--logs", metavar="DIR", type=Path, help="where logs are kept (default: your data folder)")
    parser.add_argument("--seed", metavar="S", type=int, help="random seed for the wordings and equations")
    parser.add_argument(
        "--classroom",
        choices=("british", "american"),
        default="british",
        help="say 'brackets' and 'times', or 'parentheses' and 'multiplied by' (default: british)",
    )
    voice = parser.add_argument_group("by voice")
    voice.add_argument("--voice", action="store_true", help="speak and listen; typing still works")
    voice_arguments(voice)
    voice.add_argument(
        "--keep-audio", metavar="DIR", type=Path, help="record the learner into this folder (default: never)"
    )
    parser.add_argument("--plain", action="store_true", help="text only, for screen readers")
    parser.add_argument("--large", action="store_true", help="more space between lines")
    again = parser.add_mutually_exclusive_group()
    again.add_argument("--go-on", action="store_true", help="resume an interrupted lesson without asking")
    again.add_argument("--new", action="store_true", help="start a new lesson without asking")


def voice_arguments(voice: Any) -> None:
    """What a lesson by voice can be told, on a terminal or in the page."""
    voice.add_argument(
        "--silence",
        metavar="S",
        type=between(LEAST_SILENCE, MOST_SILENCE, "seconds"),
        default=SILENCE,
        help=SILENCE_HELP,
    )
    voice.add_argument("--pace", metavar="P", type=between(SLOWEST, FASTEST), default=1.0, help=PACE_HELP)
    voice.add_argument("--model", metavar="DIR", type=Path, help="a folder with an English vosk model")


def run(args: argparse.Namespace) -> int:
    """Hold the lesson."""
    from chattutor.lesson.session_setup import code_asked_for, start

    interactive = sys.stdin.isatty() and sys.stdout.isatty()
    if not interactive:
        in_utf8("replace")
    face = face_for(args, interactive)
    if not args.voice:
        return start(args, source_for(interactive), face, interactive)
    # a reader of its own: beside the microphone a thread waits in it, which must hold nothing that is closed at exit
    lines = open(sys.stdin.fileno(), "rb", closefd=False)  # noqa: SIM115 - open for as long as the process lives
    source = source_for(False, lines)
    args.learner = code_asked_for(args, source, face, interactive)  # a code is typed, not spoken
    from chattutor.lesson.voice.voice_setup import by_voice

    spoken = by_voice(args, face, source)
    if spoken is None:
        return start(args, source_for(interactive, lines), face, interactive)
    with spoken:
        return start(args, spoken, spoken, interactive)


def source_for(interactive: bool, lines: BinaryIO | None = None) -> "UtteranceSource":
    """Where words come from: these lines, or the standard input."""
    from chattutor.lesson.terminal_lines import Typed

    return Typed(lines, prompt=interactive)


def face_for(args: argparse.Namespace, interactive: bool) -> "Face":
    """Where replies go: drawn for a person at a terminal, else plain text."""
    if interactive and not args.plain:
        from chattutor.lesson.screen.face import Screen

        return Screen(large=args.large)
    from chattutor.lesson.terminal_lines import Plain

    return Plain(spaced=args.large, pictures=not args.plain)

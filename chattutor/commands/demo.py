"""``chattutor demo``: an invented learner's session on the same screen as a lesson, with nothing asked."""

import argparse
import sys
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import between
from chattutor.common.output import in_utf8

DESCRIPTION = "Shows a lesson with an invented learner, on the screen of a real one. It asks you nothing."
LONGEST = 60  # seconds


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser("demo", help=SUMMARIES["demo"], description=DESCRIPTION)
    parser.add_argument("name", nargs="?", metavar="NAME", help="which lesson (default: the first in the list)")
    parser.add_argument("--list", action="store_true", help="list the lessons")
    pause = between(0, LONGEST, "seconds")
    parser.add_argument(
        "--pause", metavar="SECONDS", type=pause, help="pause after each turn (default: 1.5 on a terminal)"
    )
    parser.add_argument("--plain", action="store_true", help="text only, for screen readers")
    parser.add_argument("--large", action="store_true", help="more space between lines")


def run(args: argparse.Namespace) -> int:
    """Play the session, or list them."""
    from chattutor.lesson.demonstration import names, play_session

    interactive = sys.stdout.isatty()
    if not interactive:
        in_utf8("replace")
    if args.list:
        print("\n".join(names()))
        return 0
    from chattutor.commands.lesson import face_for

    pause = args.pause if args.pause is not None else (1.5 if interactive else 0.0)
    return play_session(args.name, face_for(args, interactive), pause)

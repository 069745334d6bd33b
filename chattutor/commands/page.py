"""``chattutor page``: the lesson in a browser, served from this computer to this computer."""

import argparse
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.commands.lesson import voice_arguments
from chattutor.common.arguments import whole_number
from chattutor.common.exits import CannotGoOn

DESCRIPTION = """\
Serves the lesson as a page at http://127.0.0.1 and opens the browser. The tutor and the logs are those of
"chattutor lesson"; nothing is loaded from elsewhere, and nothing leaves this computer.
"""
PORT = 8321  # the same each time, so that a page comes back after a restart
MOST_MINUTES, MOST_VOICES = 120, 60
MISSING = 'The page needs more packages: pip install "chattutor[page]"'


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser(
        "page", help=SUMMARIES["page"], description=DESCRIPTION, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--learner", metavar="CODE", help="the learner's code (default: the page asks)")
    what = parser.add_mutually_exclusive_group()
    what.add_argument(
        "--equations", metavar="FILE", type=Path, help="a file with one equation per line, or a table (CSV)"
    )
    what.add_argument("--stage", metavar="N", type=int, help="draw equations of this stage, 1 to 15")
    parser.add_argument(
        "--minutes", metavar="M", type=whole_number(1, MOST_MINUTES), help="length of a lesson (default: 15)"
    )
    parser.add_argument("--logs", metavar="DIR", type=Path, help="where logs are kept (default: your data folder)")
    parser.add_argument("--seed", metavar="S", type=int, help="random seed for the wordings and equations")
    parser.add_argument(
        "--classroom", choices=("british", "american"), default="british",
        help="which words, until somebody chooses others on the page (default: british)",
    )  # fmt: skip
    parser.add_argument(
        "--port", metavar="P", type=whole_number(0, 65535), default=PORT, help=f"default: {PORT}; 0: any free port"
    )
    parser.add_argument("--no-browser", dest="browser", action="store_false", help="only print the address")
    parser.add_argument(
        "--key", metavar="FILE", type=Path, action="append", default=[],
        help="names beside the codes on the teacher's pages; each file is a class (can be given several times)",
    )  # fmt: skip
    voice_arguments(parser.add_argument_group("by voice, where the microphone is used"))
    room = parser.add_argument_group("a class on the local network")
    room.add_argument("--class", dest="for_class", action="store_true", help="let learners join from other devices")
    room.add_argument("--at", metavar="ADDRESS", help="which of this computer's addresses (default: found by itself)")
    room.add_argument("--class-port", metavar="P", type=whole_number(0, 65535), help="default: one more than --port")
    room.add_argument(
        "--voices",
        metavar="N",
        type=whole_number(1, MOST_VOICES),
        help="how many may speak with it at once (default: 40)",
    )
    wire = room.add_mutually_exclusive_group()
    wire.add_argument(
        "--encrypt", action="store_true", help="encrypt, with a certificate made here that each device must trust"
    )
    wire.add_argument("--certificate", metavar="FILE", type=Path, help="encrypt, with this certificate (PEM)")
    room.add_argument("--certificate-key", metavar="FILE", type=Path, help="its private key (PEM)")
    parser.set_defaults(plain=False, large=False, voice=False)


def run(args: argparse.Namespace) -> int:
    """Serve the pages."""
    try:
        from chattutor.page.run_server import serve
    except ModuleNotFoundError as error:
        if error.name is None or error.name.partition(".")[0] in {"chattutor", "dialogue", "speech"}:
            raise
        raise CannotGoOn(f"{MISSING} ({error.name})") from error
    return serve(args)

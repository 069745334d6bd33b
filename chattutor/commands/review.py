"""``chattutor review``: the class page, from a folder of session logs."""

import argparse
import sys
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES

DESCRIPTION = """\
Who to see first and why; each learner's stages by independence; the commonest errors with a line of working; groups
to re-teach by error, each with an equation to start from; what was not attempted; what stayed unsure.
Nothing in it ranks anybody.
"""
PIPE_WIDTH = 200  # columns, where no terminal says how wide it is


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser("review", help=SUMMARIES["review"], description=DESCRIPTION)
    parser.add_argument("folder", nargs="?", type=Path, metavar="DIR", help="the folder of logs")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write a page to print")
    parser.add_argument("--learner", metavar="CODE", help="of this learner only")


def run(args: argparse.Namespace) -> int:
    """Read the logs and show the page."""
    import json

    from chattutor.logs.folder import default_folder, session_files
    from chattutor.logs.reader import read_session
    from chattutor.review.class_page import class_page
    from chattutor.review.evidence import Evidence

    sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace")  # type: ignore[union-attr]
    read = map(read_session, session_files(args.folder or default_folder()))
    wanted = (one for one in read if args.learner is None or (one.header and one.header.learner == args.learner))
    page = class_page(Evidence().read(wanted))
    if args.html is not None:
        from chattutor.review.html import write_class

        write_class(page, args.html)
        print(f"The class page is in {args.html}.", file=sys.stderr)
    if args.json:
        print(json.dumps(page, ensure_ascii=False))
    elif args.html is None:
        from rich.console import Console

        from chattutor.review.terminal import print_class

        print_class(page, Console(highlight=False, width=None if sys.stdout.isatty() else PIPE_WIDTH))
    return 0

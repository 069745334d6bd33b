"""``chattutor review``: the class page and the learner page, from a folder of session logs; a teacher's own word."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chattutor.commands import SUMMARIES
from chattutor.common.exits import FINE, USAGE, CannotGoOn
from chattutor.common.output import in_utf8

if TYPE_CHECKING:
    from chattutor.session_logs.reader import Session

DESCRIPTION = """\
Who to see first and why; each learner's stages by independence; the commonest errors with a line of working; groups
to re-teach by error, each with an equation to start from; what was not attempted; what stayed unsure.
Nothing in it ranks anybody.
"""
SOON_READ = 1000  # session logs that need no word of how far the reading is
PIPE_WIDTH = 200  # columns, where no terminal says how wide it is


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser("review", help=SUMMARIES["review"], description=DESCRIPTION)
    parser.add_argument("folder", nargs="?", type=Path, metavar="DIR", help="the folder of logs")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write a page to print")
    parser.add_argument("--csv", metavar="FILE", type=Path, help="write the stages of the class as a table")
    parser.add_argument(
        "--plan",
        metavar="OUT",
        type=Path,
        help="write tomorrow's lesson into a folder: a half page, a sheet and an explanation a group, and a file with "
        "equations for every learner",
    )
    parser.add_argument(
        "--set", action="store_true", help="with --plan: set those equations as the next lesson of each, by code"
    )
    parser.add_argument("--learner", metavar="CODE", help="the page of one learner: every turn, and what comes next")
    parser.add_argument("--key", metavar="FILE", type=Path, help="show names from a key file beside the codes")
    parser.add_argument("--note", nargs=2, metavar=("CODE", "TEXT"), help="add a note on a learner, beside the logs")
    parser.add_argument(
        "--override",
        nargs=3,
        metavar=("SESSION", "TURN", "JUDGEMENT"),
        help="judge a turn otherwise from now on: right, wrong, an error's id, or withdraw; the log stays as it is "
        "(SESSION is the beginning of its id, as the learner page shows it)",
    )


def run(args: argparse.Namespace) -> int:
    """Read the logs and show the page, or keep what the teacher says. Raises CannotGoOn."""
    from chattutor.session_logs.folder import default_folder

    in_utf8()
    folder = args.folder or default_folder()
    if args.note or args.override:
        return _keep(args, folder)
    done = _class(args, folder) if args.learner is None else _learner(args, folder)
    if not args.json:
        from chattutor.review.cautions import caution

        caution(folder)
    return done


def _keep(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.session_logs.notes import add_note, add_override

    if args.note:
        print(f"The note is kept in {add_note(folder, *args.note)}.")
    if args.override:
        name, turn, judgement = args.override
        if not (turn.isascii() and turn.isdecimal()):
            raise CannotGoOn(f"{turn!r} is no number of a turn.", USAGE)
        kept = add_override(folder, _session(folder, name), int(turn), judgement)
        print(f"The judgement is kept in {kept}; the log stays as it is.")
    return FINE


def _session(folder: Path, name: str) -> "Session":
    from chattutor.session_logs.folder import sessions

    found = list(sessions(folder, name=name))
    if len({one.header.id for one in found if one.header}) != 1:
        many = f"{len(found)} sessions have" if found else "No session has"
        raise CannotGoOn(f"{many} an id that begins with {name!r} in {folder}; chattutor logs list shows them.", USAGE)
    return found[0]


def _class(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.exchange.roster import names, with_names
    from chattutor.review.class_reading import as_json, class_json

    known = {} if args.key is None else names(args.key)  # before the reading, which may take a while
    found = class_json(folder, _tell if sys.stderr.isatty() else None)
    _tell(0, 0)
    if args.json and args.key is None and args.html is None and args.csv is None and args.plan is None:
        return _out(found)  # of a school's year that was looked at before, the bytes that were kept
    page = json.loads(found)
    if args.plan is not None:
        from chattutor.tomorrow.plan_files import write_plan

        print("\n".join(write_plan(page, folder, args.plan, known, args.set)), file=sys.stderr)
    if args.key is not None:
        page = with_names(page, known)
    if args.html is not None:
        from chattutor.review.document import write_page
        from chattutor.review.html import class_html

        write_page(class_html(page), args.html)
        print(f"The class page is in {args.html}.", file=sys.stderr)
    if args.csv is not None:
        from chattutor.review.document import write_page
        from chattutor.session_logs.spreadsheet import class_csv

        write_page(class_csv(page), args.csv)
        print(f"The table is in {args.csv}.", file=sys.stderr)
    if args.json:
        return _out(as_json(page))
    if args.html is None and args.csv is None and args.plan is None:
        from rich.console import Console

        from chattutor.review.terminal import print_class

        print_class(page, Console(highlight=False, width=None if sys.stdout.isatty() else PIPE_WIDTH))
    return FINE


def _out(page: bytes) -> int:
    sys.stdout.flush()
    sys.stdout.buffer.write(page + b"\n")
    return FINE


def _tell(done: int, total: int) -> None:
    """How far the reading is, on one line of a terminal; with nothing to say, that line is taken away."""
    if sys.stderr.isatty() and (total == 0 or total > SOON_READ):
        line = f"Reading session logs: {done:,} of {total:,}" if total else ""
        print(f"\r{line:<60}", end="" if total else "\r", file=sys.stderr, flush=True)


def _learner(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.exchange.roster import names, with_names
    from chattutor.review.learner_page import learner_page
    from chattutor.session_logs.folder import sessions
    from chattutor.session_logs.learner import learner_code
    from chattutor.session_logs.notes import marked, read_notes

    code = learner_code(args.learner)
    known = {} if args.key is None else names(args.key)
    found = list(marked(folder, sessions(folder, code)))
    if not found:
        raise CannotGoOn(f"There is no session of learner {code} in {folder}.")
    page = with_names(learner_page(code, found, read_notes(folder, code)), known)
    if args.html is not None:
        from chattutor.review.document import write_page
        from chattutor.review.learner_html import learner_html

        write_page(learner_html(page), args.html)
        print(f"The page of learner {code} is in {args.html}.", file=sys.stderr)
    if args.json:
        print(json.dumps(page))
    elif args.html is None:
        from chattutor.review.learner_text import learner_lines

        print("\n".join(learner_lines(page)))
    return FINE

"""``chattutor equations``: make, check and print sets of equations."""

import argparse
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import whole_number

DESCRIPTION = """\
stages lists the fifteen stages: what is new in each, a sample, and its place in two curricula.
make   draws equations of a stage (1 to 15), without repeats; the same seed gives the same equations.
       --stage 3,5,6 draws several stages in turn, for mixed practice.
       The first five change one feature at a time; the rest are mixed. No two answers in a row are equal.
check  reads a file of your own and says, line by line, what cannot be used and which answers hide an error.
       Numbers, bullets, "Solve", "(3 marks)" and answers beside the equations are ignored.
print  writes a page to print, with space for working; --key adds the answers, --key full every step as well.
"""
FILE_HELP = "one equation a line, # starts a comment; or a table with a column headed equation"
MOST = 100_000  # equations, or sheets
MOST_STAGES = 30  # in turn; one may come twice


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser(
        "equations",
        help=SUMMARIES["equations"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    listed = actions.add_parser("stages", help="list the stages")
    listed.add_argument("--json", action="store_true", help="one JSON line for each stage")
    make = actions.add_parser("make", help="draw equations of a stage")
    _drawn(make, required=True)
    make.add_argument(
        "--json", action="store_true", help='a JSON line for each equation: {"stage", "equation", "solution"}'
    )
    check = actions.add_parser("check", help="check a file of equations")
    check.add_argument("file", type=Path, help=FILE_HELP)
    check.add_argument(
        "--json", action="store_true", help='a JSON line for each finding: {"line", "kind", "message", "used"}'
    )
    page = actions.add_parser("print", help="write a sheet to print, or its answers")
    page.add_argument("file", type=Path, nargs="?", help=FILE_HELP)
    _drawn(page, required=False)
    page.add_argument(
        "--sheets", type=whole_number(1, MOST), default=1, metavar="N", help="how many different sheets (default 1)"
    )
    page.add_argument("--title", default="", help="a line at the top of every sheet")
    page.add_argument(
        "--class", dest="group", default="", metavar="NAME", help="name of the class (default: a blank to fill in)"
    )
    page.add_argument("--date", default="", help="the date (default: a blank to fill in)")
    page.add_argument("--instruction", default="", metavar="TEXT", help="instruction at the top, instead of the usual")
    page.add_argument(
        "--key", nargs="?", const="short", choices=["short", "full"], help="add the answers; full: steps and errors too"
    )
    page.add_argument("--large", action="store_true", help="large print")
    page.add_argument("--only", choices=["sheets", "key"], help="sheets, or only the key")
    page.add_argument("--to", type=Path, metavar="FILE", help="where to write the page (else standard output)")


def _stages(text: str) -> tuple[int, ...]:
    """``6``, ``3,5,6`` or ``3-6``; whether there are such stages is asked where they are drawn."""
    found: list[int] = []
    for part in text.split(","):
        first, dash, last = part.partition("-")
        try:
            found += range(int(first), int(last) + 1) if dash else [int(first)]
        except ValueError:
            raise argparse.ArgumentTypeError(
                f"{text!r} is not a stage number, nor several such as 3,5,6 or 3-6"
            ) from None
    if not 0 < len(found) <= MOST_STAGES:
        raise argparse.ArgumentTypeError(f"{text!r} names no stage, or too many")
    return tuple(found)


def _drawn(parser: argparse.ArgumentParser, required: bool) -> None:
    parser.add_argument(
        "--stage", type=_stages, required=required, metavar="N", help="1 to 15; several in turn: 3,5,6 or 3-6"
    )
    parser.add_argument(
        "--count", type=whole_number(1, MOST), default=10, metavar="K", help="how many equations (default 10)"
    )
    parser.add_argument("--words", action="store_true", help="word problems: write the equation first")
    parser.add_argument(
        "--seed", type=int, default=0, metavar="S", help="random seed; same seed, same equations (default 0)"
    )


def run(args: argparse.Namespace) -> int:
    """Do what was asked. Raises CannotGoOn."""
    from chattutor.paper import equations_command

    return {
        "stages": equations_command.listed,
        "make": equations_command.make,
        "check": equations_command.check,
        "print": equations_command.printed,
    }[args.action](args)

"""``chattutor mark``: typed-in paper work, judged as in a lesson."""

import argparse
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES

DESCRIPTION = """\
Marks working typed in from paper. Each line is judged from the line above it, and the answer on its own.
A plain file has a block for each piece of work, with an empty line after it:
  A17: 3x + 2 = 14
  3x = 12
  x = 4
A table has a row for each: code, equation, and a cell for each line of working.
Type the work as it stands on the paper: a code or a name on its own line, Q1., side notes such as -2  -2, sums in
the margin, check:, chains, "so", ticks. What cannot be read is shown with a question mark and its reason.
With --sheet the question numbers stand for the equations of that file, so that they need not be typed again:
  A17
  1. 3x = 12, x = 4
  or a table with a row for each learner and a column for each question, headed Q1, Q2 and so on.
With --page it writes a page to hand back: right lines are ticked and the first wrong line gets a question.
With --logs the work is also written as session logs, so that the review counts it.
"""


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser(
        "mark",
        help=SUMMARIES["mark"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", type=Path, help="the typed-in work")
    parser.add_argument("--json", action="store_true", help="a JSON line for each piece of work, then for each learner")
    parser.add_argument("--sheet", type=Path, metavar="FILE", help="the equations that were set, in order")
    parser.add_argument("--page", type=Path, metavar="FILE", help="write a page for each learner, to print")
    parser.add_argument("--title", default="", help="a line at the top of every page")
    parser.add_argument("--logs", type=Path, metavar="DIR", help="write the work into this folder of session logs")


def run(args: argparse.Namespace) -> int:
    """Mark a file. Raises CannotGoOn."""
    from chattutor.paper.mark_command import run as marked

    return marked(args)

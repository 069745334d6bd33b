"""``chattutor district``: the class page of every school, from packed logs, on Spark."""

import argparse
import csv
import io
import json
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.common.exits import FINE, TROUBLE

DESCRIPTION = """\
Makes the class page of every school in a folder of packed logs (chattutor logs pack), the same as
"chattutor review . --json" in that school's folder, and a table of the schools. It ranks no school and no learner.
It runs on Spark, on this computer's processors or on a cluster: pip install 'chattutor[district]', and Java.
"""
TABLE = "schools.csv"
OTHER = (
    "packed by another version of chattutor ({versions}; this is {own}), so this page may differ from the school's "
    "own. Pack those logs again with this version."
)


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser("district", help=SUMMARIES["district"], description=DESCRIPTION)
    parser.add_argument("packed", type=Path, metavar="PACKED", help="the folder of packed logs")
    parser.add_argument("--to", metavar="OUT", type=Path, required=True, help="where the pages go: SCHOOL.json each")
    parser.add_argument("--html", action="store_true", help="also a page to print for each: SCHOOL.html")
    parser.add_argument("--cores", metavar="N", type=int, default=0, help="how many processors to use (default: all)")
    parser.add_argument(
        "--memory",
        metavar="MB",
        type=int,
        default=2048,
        help="memory for Java (default: 2048); Python needs more",
    )
    parser.add_argument("--master", metavar="URL", default="", help="a Spark cluster, instead of this computer")


def run(args: argparse.Namespace) -> int:
    """Make the pages. Raises CannotGoOn."""
    from chattutor.common.exits import LogTrouble, reason
    from chattutor.common.files import write_whole
    from chattutor.district.on_spark import SparkSettings, pages
    from chattutor.exchange.packed_rows import packed_by
    from chattutor.session_logs.writer import FILE_MODE

    rows: list[list[object]] = []
    others: dict[str, tuple[str, ...]] = {}  # by which other versions a school was packed
    target = args.to / TABLE
    try:
        settings = SparkSettings(args.cores, args.memory, args.master)
        for school, page, packed_by_others in pages(args.packed, args.to, settings):
            target = args.to / f"{school}.json"
            write_whole(target, page + b"\n", FILE_MODE)
            found = json.loads(page)
            if args.html:
                from chattutor.review.document import write_page
                from chattutor.review.html import class_html

                write_page(class_html(found, f"School {school}"), args.to / f"{school}.html")
            rows.append(_row(school, found))
            if packed_by_others:
                others[school] = packed_by_others
        target = args.to / TABLE
        write_whole(target, _table(rows).encode(), FILE_MODE)
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error
    print(f"The pages of {len(rows):,} schools are in {args.to}, and {TABLE}, a line each.")
    for school, versions in others.items():
        print(f"{school}: {OTHER.format(versions=' and '.join(versions), own=packed_by())}", file=sys.stderr)
    return TROUBLE if others else FINE


KINDS = ("to tell", "idea", "stuck", "little", "guesses")
HEAD = ("school", "learners", "sessions", "turns", *KINDS, "commonest idea", "held by")


def _row(school: str, page: dict[str, Any]) -> list[object]:
    kinds = Counter(row["kind"] for row in page["see_first"])
    commonest = page["groups"][0] if page["groups"] else {"name": "", "learners": []}
    return [
        school, len(page["learners"]), page["sessions"], page["turns"], *(kinds[kind] for kind in KINDS),
        commonest["name"], len(commonest["learners"]),
    ]  # fmt: skip


def _table(rows: list[list[object]]) -> str:
    out = io.StringIO()
    csv.writer(out).writerows([HEAD, *rows])
    return out.getvalue()

"""``chattutor review``: the class page and the learner page, from a folder of session logs; a teacher's own word."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import day
from chattutor.common.exits import FINE, USAGE, CannotGoOn, plain
from chattutor.common.output import in_utf8

if TYPE_CHECKING:
    from chattutor.session_logs.reader import Session
    from chattutor.session_logs.times import Days

DESCRIPTION = """\
Who to see first and why; each learner's stages by independence. The commonest errors with a line of working; groups
to re-teach by error, each with an equation to start from; what was not attempted; what stayed unsure.
Nothing in it ranks anybody.
"""
SOON_READ = 1000  # session logs; with fewer, no progress is shown
PIPE_WIDTH = 200  # columns, where no terminal says how wide it is


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser("review", help=SUMMARIES["review"], description=DESCRIPTION)
    parser.add_argument("folders", nargs="*", type=Path, metavar="DIR", help="folders of logs, one for each class")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    parser.add_argument("--html", metavar="FILE", type=Path, help="write a page to print")
    parser.add_argument("--csv", metavar="FILE", type=Path, help="write the stages of the class as a table")
    parser.add_argument(
        "--plan",
        metavar="OUT",
        type=Path,
        help="write tomorrow's lesson into a folder: half a page, a sheet and an explanation for each group, and "
        "equations for every learner",
    )
    parser.add_argument("--class", metavar="NAME", dest="name", help="name of the class, for the heading")
    parser.add_argument("--since", metavar="DAY", type=day, help="only from this day on, such as 2026-11-02")
    parser.add_argument("--until", metavar="DAY", type=day, help="only up to this day")
    parser.add_argument(
        "--over-time", action="store_true", help="lessons, minutes, stages and ideas by week, half-term and learner"
    )
    parser.add_argument(
        "--half-terms",
        metavar="FILE",
        type=Path,
        help="set when half-terms begin, for --over-time: a line for each, its first day and its name, such as "
        "2026-11-02 Autumn 2; kept beside the logs (an empty file: about when schools in England begin them)",
    )
    parser.add_argument(
        "--parent", action="store_true", help="with --learner: half a page in plain words, for a parent or a report"
    )
    parser.add_argument(
        "--set", action="store_true", help="with --plan: make those equations each learner's next lesson"
    )
    parser.add_argument("--learner", metavar="CODE", help="the page of one learner: every turn, and what comes next")
    parser.add_argument(
        "--key", metavar="FILE", type=Path, help="show names beside the codes, from a key file or any table with both"
    )
    parser.add_argument("--note", nargs=2, metavar=("CODE", "TEXT"), help="add a note on a learner, beside the logs")
    parser.add_argument(
        "--belongs", nargs=2, metavar=("SESSION", "CODE"), help="count a session as another learner's from now on"
    )
    parser.add_argument(
        "--override",
        nargs=3,
        metavar=("SESSION", "TURN", "JUDGEMENT"),
        help="change how a turn is judged: right, wrong, an error's id (list shows them), or withdraw; the "
        "log itself is unchanged (SESSION is the start of its id, as the learner page shows it)",
    )


def run(args: argparse.Namespace) -> int:
    """Read the logs and show the page, or keep what the teacher says. Raises CannotGoOn."""
    from chattutor.session_logs.folder import default_folder

    in_utf8()
    folders: list[Path] = args.folders or [default_folder()]
    if args.parent and args.learner is None:
        raise CannotGoOn("--parent needs --learner CODE.", USAGE)
    if args.since and args.until and args.until < args.since:
        raise CannotGoOn(f"--since {args.since} is after --until {args.until}.", USAGE)
    if len(folders) > 1 and (args.note or args.override or args.belongs or args.learner or args.plan or args.csv):
        raise CannotGoOn("Several folders give a page for each class; for anything else name one folder.", USAGE)
    if args.note or args.override or args.belongs:
        return _keep(args, folders[0])
    if args.half_terms is not None:
        _keep_half_terms(args.half_terms, folders)
        if not (args.over_time or args.json):
            return FINE
    if args.learner is not None:
        done = _learner(args, folders[0])
    elif args.over_time:
        done = _over_time(args, folders)
    else:
        done = _classes(args, folders)
    if not args.json:
        from chattutor.review.cautions import caution

        caution(folders[0])
    return done


def _classes(args: argparse.Namespace, folders: list[Path]) -> int:
    """One class, or one after another."""
    if len(folders) == 1:
        return _class(args, folders[0], args.name or "", args.html)
    if args.json:
        from chattutor.review.class_reading import as_json

        pages = [{"name": folder.name, "page": _named_page(args, folder)} for folder in folders]
        return _out(as_json({"classes": pages}))
    for place, folder in enumerate(folders):
        if place and args.html is None and args.csv is None and args.plan is None:
            print()
        beside = None if args.html is None else args.html.with_stem(f"{args.html.stem}-{folder.name}")
        _class(args, folder, folder.name, beside)
    return FINE


def _days(args: argparse.Namespace) -> "Days":
    from chattutor.session_logs.times import Days

    return Days(args.since or "", args.until or "")


def _head(args: argparse.Namespace, name: str) -> str:
    """What stands over a page: the class, and the days it is of."""
    bounds = [f"from {args.since}" if args.since else "", f"to {args.until}" if args.until else ""]
    return ", ".join(
        each for each in (f"Class {name}" if name else "Class page", " ".join(filter(None, bounds))) if each
    )


def _names(args: argparse.Namespace) -> dict[str, str]:
    if args.key is None:
        return {}
    from chattutor.exchange.name_list import names_in

    found = names_in(args.key)
    if found.told:
        print(found.told, file=sys.stderr)
    return found.names


def _named_page(args: argparse.Namespace, folder: Path) -> dict[str, Any]:
    from chattutor.exchange.roster import with_names
    from chattutor.review.class_reading import class_json

    page: dict[str, Any] = with_names(json.loads(class_json(folder, days=_days(args))), _names(args))
    return page


def _over_time(args: argparse.Namespace, folders: list[Path]) -> int:
    from chattutor.exchange.roster import with_names
    from chattutor.review.class_reading import class_evidence
    from chattutor.review.half_terms import set_for
    from chattutor.review.over_time import over_time
    from chattutor.review.plain_report import OF_TIME, over_time_lines

    known = _names(args)
    pages = [
        (folder, with_names(over_time(class_evidence(folder, _days(args)), set_for(folder)), known))
        for folder in folders
    ]
    for folder, page in pages:
        name = args.name or (folder.name if len(folders) > 1 else "")
        head = f"{_head(args, name)}, over time"
        if args.html is not None:
            from chattutor.review.document import rendered, write_page

            target = args.html if len(folders) == 1 else args.html.with_stem(f"{args.html.stem}-{folder.name}")
            write_page(
                rendered("over_time.html", title=head, kind="time", under="", page=page, cautions=OF_TIME), target
            )
            print(f"The page is in {target}.", file=sys.stderr)
        elif not args.json:
            print("\n".join([head, "", *map(plain, over_time_lines(page))]))
    if args.json:
        found = [page for _, page in pages]
        print(json.dumps(found[0] if len(found) == 1 else {"classes": found}))
    return FINE


def _keep(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.session_logs.notes import add_belongs, add_note, add_override, judgements

    if args.note:
        print(f"The note was saved in {add_note(folder, *args.note)}.")
    if args.belongs:
        name, code = args.belongs
        print(f"It was saved in {add_belongs(folder, _session(folder, name), code)}; the log itself is unchanged.")
    if args.override:
        name, turn, judgement = args.override
        if judgement == "list":
            print("\n".join(judgements()))
            return FINE
        if not (turn.isascii() and turn.isdecimal()):
            raise CannotGoOn(f"{turn!r} is not the number of a turn.", USAGE)
        kept = add_override(folder, _session(folder, name), int(turn), judgement)
        print(f"The judgement was saved in {kept}; the log itself is unchanged.")
    return FINE


def _keep_half_terms(source: Path, folders: list[Path]) -> None:
    from chattutor.paper.textfile import read_text
    from chattutor.review.half_terms import keep
    from chattutor.session_logs.folder import check_folder

    text = read_text(source).text
    for folder in folders:
        check_folder(folder)
        print(keep(folder, text, str(source)), file=sys.stderr)


def _session(folder: Path, name: str) -> "Session":
    from chattutor.session_logs.folder import sessions

    found = list(sessions(folder, name=name))
    if len({one.header.id for one in found if one.header}) != 1:
        many = f"{len(found)} sessions have" if found else "No session has"
        raise CannotGoOn(f"{many} an id that begins with {name!r} in {folder}; chattutor logs list shows them.", USAGE)
    return found[0]


def _class(args: argparse.Namespace, folder: Path, name: str, html: Path | None) -> int:
    from chattutor.exchange.roster import with_names
    from chattutor.review.class_reading import as_json, class_json, without_lesson

    known = _names(args)  # before the reading, which may take a while
    found = class_json(folder, _tell if sys.stderr.isatty() else None, days=_days(args))
    _tell(0, 0)
    if args.json and args.key is None and args.html is None and args.csv is None and args.plan is None:
        return _out(found)  # of a school's year that was looked at before, the bytes that were kept
    page = json.loads(found)
    page["no_lesson"] = without_lesson(folder, {row["code"] for row in page["learners"]}, known, _days(args))
    if args.plan is not None:
        from chattutor.tomorrow.plan_files import write_plan

        print("\n".join(write_plan(page, folder, args.plan, known, args.set)), file=sys.stderr)
    if args.key is not None:
        page = with_names(page, known)
    if html is not None:
        from chattutor.review.document import write_page
        from chattutor.review.html import class_html

        write_page(class_html(page, _head(args, name)), html)
        print(f"The class page is in {html}.", file=sys.stderr)
    if args.csv is not None:
        from chattutor.review.document import write_page
        from chattutor.session_logs.spreadsheet import class_csv

        write_page(class_csv(page), args.csv)
        print(f"The table is in {args.csv}.", file=sys.stderr)
    if args.json:
        return _out(as_json(page))
    if args.html is None and args.csv is None and args.plan is None:
        from rich.console import Console

        from chattutor.review.terminal import NO_LOGS, NOT_THEN, print_class

        if name or args.since or args.until:
            print(plain(_head(args, name)))
        nothing = NOT_THEN if args.since or args.until else NO_LOGS
        print_class(page, Console(highlight=False, width=None if sys.stdout.isatty() else PIPE_WIDTH), nothing)
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
    from chattutor.exchange.roster import with_names
    from chattutor.review.learner_page import learner_page
    from chattutor.session_logs.folder import check_folder
    from chattutor.session_logs.learner_code import learner_code
    from chattutor.session_logs.notes import read_notes, sessions_of

    code = learner_code(args.learner)
    known = _names(args)
    days = _days(args)
    check_folder(folder)
    every = list(sessions_of(folder, code))
    found = [one for one in every if one.header is not None and days.hold(one.header.created)]
    if not found:
        when = " on these days" if every else ""
        raise CannotGoOn(f"There is no session of learner {code} in {folder}{when}.")
    if args.parent:
        return _parent(args, code, known.get(code, ""), found)
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


def _parent(args: argparse.Namespace, code: str, name: str, found: "list[Session]") -> int:
    from chattutor.review.evidence import Evidence
    from chattutor.review.plain_report import CAUTIONS, plain_report, report_lines
    from chattutor.session_logs.learner_history import in_hand

    choice = in_hand(found)
    parts = plain_report(Evidence().read(found).learners[code], choice.stage if choice else 0)
    title = f"Equations: {name or code}"
    if args.html is None:
        print("\n".join(map(plain, report_lines(title, parts))))
        return FINE
    from chattutor.review.document import rendered, write_page

    page = rendered("parent.html", title=title, kind="parent", under="", parts=parts, cautions=CAUTIONS)
    write_page(page, args.html)
    print(f"The half page on {code} is in {args.html}.", file=sys.stderr)
    return FINE

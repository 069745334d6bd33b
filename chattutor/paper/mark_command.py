"""What ``chattutor mark`` does: the marks to standard output, what cannot be marked to standard error."""

import argparse
import json
import sys
from pathlib import Path

import chattutor
from chattutor.common.exits import FINE, TROUBLE, CannotGoOn, plain
from chattutor.common.output import in_utf8, json_line
from chattutor.paper.handback import handback
from chattutor.paper.marking import MarkedWork, Unmarked, patterns, records
from chattutor.paper.paper_doubts import marked_with_certainty
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.sets import read_set
from chattutor.paper.sheets import write_sheets
from chattutor.paper.stated import stated_equation
from chattutor.paper.textfile import read_text
from chattutor.paper.whose import as_code
from chattutor.paper.work import works
from chattutor.paper.working import MarkedLine
from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.writing import BOARD
from dialogue.learner.records import stage_of
from dialogue.turn_record import Opened
from dialogue.tutor.core.state import Plan, Task

MOST_CODE = 32  # characters of a learner's code
WRONG = "\N{BALLOT X}"  # no letter that could be an unknown
ANSWERS = {
    "right": "answer right",
    "close": "answer close",
    "wrong": "answer wrong",
    "not yet": "no answer yet",
    "not attempted": "not attempted",
}


def run(args: argparse.Namespace) -> int:
    """Mark a file; exit code 1 where something in it could not be marked. Raises CannotGoOn."""
    in_utf8()
    code = FINE
    done: list[MarkedWork] = []
    for each in marked_with_certainty(_works(args.file, _sheet(args.sheet))):
        if isinstance(each, Unmarked):
            print(f"{args.file}, line {each.line}: {plain(each.sentence)}", file=sys.stderr)
            code = TROUBLE if each.trouble else code
            continue
        done.append(each)
        code = TROUBLE if any(line.problem for line in each.lines) else code
        print(json_line(each.as_json()) if args.json else "\n".join(map(plain, _shown(each))))
    if not done:
        raise CannotGoOn(f"There is no work in {args.file} that can be marked.")
    for learner, errors in patterns(done).items():
        if args.json:
            print(json.dumps({"learner": learner, "patterns": errors}))
        elif errors:
            print(
                f"{learner}: seen on two equations or more: {', '.join(error_table()[each].name for each in errors)}."
            )
    if args.page is not None:
        write_sheets(args.page, handback(done, args.title))
    if args.logs is not None:
        _write(args.logs, done)
    return code


def _works(path: Path, sheet: dict[int, Equation]) -> list[PaperWork | Stray]:
    """Every piece of work in a file; of one that names nobody, under the file's own name. Raises CannotGoOn."""
    text = read_text(path).text
    found = list(works(text, sheet))
    name = as_code(path.stem)[:MOST_CODE]
    if not name or any(isinstance(each, PaperWork) and stated_equation(each.equation) for each in found):
        return found
    unnamed = list(works(text, sheet, name))
    if any(isinstance(each, PaperWork) for each in unnamed):
        print(
            f"{path}, every line: nobody's code or name is given, so this is marked as the work of {plain(name)}. "
            "A code or a name on a line of its own above the work says whose it is.",
            file=sys.stderr,
        )
    return unnamed


def _sheet(path: Path | None) -> dict[int, Equation]:
    """The equations of a sheet by their numbers. Raises CannotGoOn."""
    if path is None:
        return {}
    items = read_set(path, remarks=False).items
    if not items:
        raise CannotGoOn(f"There is no equation in {path}.")
    return {number: item.equation for number, item in enumerate(items, 1)}


def _shown(work: MarkedWork) -> list[str]:
    steps = "every step that was read" if any(each.problem for each in work.lines) else "every step"
    method = {None: ", answer only", True: f", {steps} keeps the balance", False: ", look at the steps"}[work.method]
    head = f"{work.code}: {work.equation.text(BOARD)}: {ANSWERS[work.answer]}{method if work.lines else ''}"
    return [head, *map(_line, work.lines)]


def _line(each: MarkedLine) -> str:
    if each.problem:
        return f"  ? {each.text}   {each.problem}"
    if not each.wrong or each.judgement is None:
        return f"    {each.text}   {each.remark}".rstrip()
    named = [error_table()[error].name for error in each.judgement.errors[:2]]
    return f"  {WRONG} {each.text}   {' or: '.join(named) or 'not explained by a known error'}"


def _write(folder: Path, done: list[MarkedWork]) -> None:
    """A session log for each learner. Raises LogTrouble."""
    for learner in dict.fromkeys(work.code for work in done):
        some = [work for work in done if work.code == learner]
        plan = plan_record(Plan(tuple(Task(work.equation, stage_of(work.equation)) for work in some)))
        log = SessionLog(folder, new_header(learner, plan, Settings(paper=True), chattutor.__version__))
        log.write(Opened("line"))
        for said, record in records(some):
            log.write(record, said)
        log.end("finished")

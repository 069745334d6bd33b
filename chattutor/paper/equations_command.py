"""What ``chattutor equations`` does: results to standard output, everything else to standard error."""

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from itertools import chain, cycle, islice

from chattutor.common.exits import FINE, TROUBLE, USAGE, CannotGoOn
from chattutor.common.output import in_utf8
from chattutor.paper.sets import SetFinding, read_set
from chattutor.paper.sheets import Heading, Key, Sheet, sheets_page, write_sheets
from chattutor.review.phrasing import counted
from dialogue.algebra.equation import Equation, Solution, read_equation
from dialogue.algebra.writing import BOARD, TYPED, write
from dialogue.learner.contexts import Storyteller
from dialogue.learner.families import DrawnTask, drawing
from dialogue.learner.stages import stage, stages

MOST_LOOKED = 50  # equations drawn for one that was not given yet; a stage with few repeats itself
IN_WORDS = {"none": "no solution", "every": "all numbers"}


def solution_text(solution: Solution) -> str:
    """``5/2``, ``no solution`` or ``all numbers``."""
    return IN_WORDS.get(solution.kind) or str(solution.value)


def listed(args: argparse.Namespace) -> int:
    """The stages in teaching order."""
    in_utf8()
    for each in stages():
        if args.json:
            row = {"stage": each.number, "name": each.name, "new": each.new, "ideas": list(each.ideas)}
            print(json.dumps(row | {"sample": each.sample, "answer": each.answer, "curriculum": list(each.curriculum)}))
            continue
        sample = read_equation(each.sample)
        print(f"{each.number:>2}  {each.name:<28}{sample.text(BOARD):<22}{sample.letter} = {each.answer}")
        print(f"    {each.new}")
        print(f"    {', '.join(each.curriculum)}")
    return FINE


def make(args: argparse.Namespace) -> int:
    """Equations of a stage, or of several in turn, a line each, as soon as they are drawn."""
    tasks = _drawing(args)
    if not args.json:
        print(f"# {_named(args.stage)}. Seed {args.seed}.")
    teller = Storyteller()
    for task in islice(tasks, args.count):
        told = teller.tell(task.equation) if args.words else None
        if args.json:
            row = {"stage": task.stage, "equation": task.equation.text(), "solution": solution_text(task.solution)}
            print(json.dumps(row | ({"words": told.words, "let": told.let} if told else {})))
            continue
        if told is not None:
            print(f"# {told.words} Let {task.equation.letter} be {told.let}.")
        print(task.equation.text(TYPED))
    return FINE


def _named(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"Stage {numbers[0]}: {stage(numbers[0]).name}"
    return f"Stages {', '.join(map(str, numbers))}"


def _drawing(args: argparse.Namespace) -> Iterator[DrawnTask]:
    """The stages in turn, no answer twice running. Of a stage alone the set of five comes first, unless it is told in
    words: its numbers hardly change, and a story told again teaches nothing."""
    try:
        each = [drawing(number, args.seed) for number in args.stage]
    except ValueError as error:
        raise CannotGoOn(str(error), USAGE) from error
    if args.words or len(each) > 1:
        each = [islice(tasks, len(stage(number).set), None) for number, tasks in zip(args.stage, each, strict=True)]
    return _in_turn(each)


def _in_turn(drawings: Sequence[Iterator[DrawnTask]]) -> Iterator[DrawnTask]:
    """One of each in turn. Of several no equation comes again turned round or with another letter; of one it may, where
    its set of five changes just that."""
    last, given = None, set[frozenset[str]]()
    for tasks in cycle(drawings):
        some = islice((each for each in tasks if each.solution != last), MOST_LOOKED)
        first = next(some)
        task = (
            first
            if len(drawings) == 1
            else next((each for each in chain([first], some) if _sides(each) not in given), first)
        )
        last = task.solution
        given.add(_sides(task))
        yield task


def _sides(task: DrawnTask) -> frozenset[str]:
    """The two sides, whichever way round, with x for whatever letter stands there."""
    return frozenset(write(side, TYPED).replace(task.equation.letter, "x") for side in task.equation.sides())


def check(args: argparse.Namespace) -> int:
    """What is to be said of a file; exit code 1 where a line cannot be used, or none is there. Raises CannotGoOn."""
    in_utf8()
    found = read_set(args.file)
    for finding in found.findings:
        print(json.dumps(_as_json(finding)) if args.json else finding.text())
    unused = sum(not finding.used for finding in found.findings)
    if not found.items and not unused:
        raise CannotGoOn(f"There is no equation in {args.file}: write one a line, such as 3x + 2 = 14.")
    print(
        f"{counted(len(found.items), 'equation')} can be used, {counted(unused, 'line')} cannot.",
        file=sys.stderr if args.json else sys.stdout,
    )
    return TROUBLE if any(not finding.used and finding.kind != "duplicate" for finding in found.findings) else FINE


def _as_json(finding: SetFinding) -> dict[str, object]:
    said = {"line": finding.line, "kind": finding.kind, "message": finding.sentence}
    return {**said, "used": finding.used, "text": finding.typed}


def printed(args: argparse.Namespace) -> int:
    """One HTML page with every sheet, and the key where it is asked for."""
    sheets = _of_file(args) if args.file else _of_stage(args)
    key: Key = None if args.only == "sheets" else args.key or ("full" if args.only == "key" else None)
    heading = Heading(args.group, args.date, args.instruction)
    text = sheets_page(sheets, large=args.large, key=key, sheet=args.only != "key", heading=heading)
    if args.to is None:
        in_utf8()
        print(text)
        return FINE
    write_sheets(args.to, text)
    return FINE


def _of_stage(args: argparse.Namespace) -> list[Sheet]:
    if args.stage is None:
        raise CannotGoOn("Say which equations to print: a file, or --stage with a number from 1 to 15.", USAGE)
    tasks = _drawing(args)
    title = args.title or (stage(args.stage[0]).name if len(args.stage) == 1 else "Equations")
    out = []
    for number in range(args.sheets):
        drawn: list[Equation] = [task.equation for task in islice(tasks, args.count)]
        name = f"{_named(args.stage).partition(':')[0]}, seed {args.seed}" + (
            f", sheet {number + 1}" if args.sheets > 1 else ""
        )
        out.append(_sheet(args, title, name, drawn))
    return out


def _sheet(args: argparse.Namespace, title: str, name: str, equations: Sequence[Equation]) -> Sheet:
    told = tuple(map(Storyteller().tell, equations)) if args.words else ()
    return Sheet(title, name, tuple(equations), told)


def _of_file(args: argparse.Namespace) -> list[Sheet]:
    if args.stage is not None or args.sheets > 1:
        raise CannotGoOn("A file is printed as it is: leave --stage and --sheets out.", USAGE)
    found = read_set(args.file)
    for finding in found.findings:
        print(finding.text(), file=sys.stderr)
    if not found.items:
        raise CannotGoOn(f"There is no equation in {args.file} that can be printed.")
    under: dict[str, list[Equation]] = {}
    for item in found.items:
        under.setdefault(item.heading, []).append(item.equation)
    return [
        _sheet(args, ": ".join(filter(None, (args.title, heading))), args.file.stem, some)
        for heading, some in under.items()
    ]

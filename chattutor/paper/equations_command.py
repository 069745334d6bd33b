"""What ``chattutor equations`` does: results to standard output, everything else to standard error."""

import argparse
import json
import sys
from collections.abc import Iterator
from itertools import islice

from chattutor.common.exits import FINE, TROUBLE, USAGE, CannotGoOn
from chattutor.common.output import in_utf8
from chattutor.paper.sets import SetFinding, read_set
from chattutor.paper.sheets import Sheet, page, write_page
from chattutor.review.phrasing import counted
from dialogue.algebra.equation import Equation, Solution, read_equation
from dialogue.algebra.writing import BOARD, TYPED
from dialogue.learner.families import DrawnTask, drawing
from dialogue.learner.stages import stage, stages

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
    """Equations of a stage, a line each, as soon as they are drawn."""
    tasks = _drawing(args.stage, args.seed)
    if not args.json:
        print(f"# Stage {args.stage}: {stage(args.stage).name}. Seed {args.seed}.")
    for task in islice(tasks, args.count):
        if args.json:
            answer = solution_text(task.solution)
            print(json.dumps({"stage": task.stage, "equation": task.equation.text(), "solution": answer}))
        else:
            print(task.equation.text(TYPED))
    return FINE


def _drawing(number: int, seed: int) -> Iterator[DrawnTask]:
    try:
        return drawing(number, seed)
    except ValueError as error:
        raise CannotGoOn(str(error), USAGE) from error


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
    """One HTML page with every sheet and its key."""
    sheets = _of_file(args) if args.file else _of_stage(args)
    text = page(sheets, large=args.large, only=args.only)
    if args.to is None:
        in_utf8()
        print(text)
        return FINE
    write_page(args.to, text)
    return FINE


def _of_stage(args: argparse.Namespace) -> list[Sheet]:
    if args.stage is None:
        raise CannotGoOn("Say which equations to print: a file, or --stage with a number from 1 to 15.", USAGE)
    tasks = _drawing(args.stage, args.seed)
    title = args.title or stage(args.stage).name
    out = []
    for number in range(args.sheets):
        drawn: list[Equation] = [task.equation for task in islice(tasks, args.count)]
        name = f"Stage {args.stage}, seed {args.seed}" + (f", sheet {number + 1}" if args.sheets > 1 else "")
        out.append(Sheet(title, name, tuple(drawn)))
    return out


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
        Sheet(": ".join(filter(None, (args.title, heading))), args.file.stem, tuple(some))
        for heading, some in under.items()
    ]

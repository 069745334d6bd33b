"""How fast a step is judged, against plain sympy on the same steps in the same run; and how fast bad input is refused.

Plain sympy reads text of our own writing with ``parse_expr`` and compares solution sets by ``solveset``, as a program
without an algebra of its own would. Run: ``python tests/bench/bench_judge.py [rounds]``
"""

import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import sympy
from rows import row
from sympy.parsing.sympy_parser import parse_expr

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Line, Move, Step, as_written
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import write
from dialogue.judgement import judge, weigh

STEPS = Path(__file__).parent.parent / "algebra" / "data" / "steps_dev.jsonl"
BAD = ("", "x" * 1_000_000, "(" * 10_000 + "x", "x = 9**9**9**9", "x = 1/0", "x = __import__('os')", "x + y = 3",
       "x = 3 = 4", "x² = 4", "x*x = 4", "3/x = 4", "x = 3\x07", "x = 😀", "\u200fx = 3")  # fmt: skip


def steps() -> list[tuple[str, dict[str, str] | str]]:
    """Moves to both sides and stated lines: the steps that plain sympy can judge."""
    found: list[tuple[str, dict[str, str] | str]] = []
    for line in STEPS.read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        step = row["step"].get("move") or row["step"].get("state")
        one_sided = isinstance(step, dict) and (step["sides"] != "both" or row["balanced"] is not True)
        if step and "no solution" != step != "all numbers" and not one_sided:
            found.append((row["equation"], step))
    return found


def step_of(given: dict[str, str] | str, letter: str) -> Step:
    """A step of ours."""
    if isinstance(given, str):
        return Line(read_equation(given, letter))
    return Move(given["operation"], read_expression(given["operand"], letter), given["sides"])  # type: ignore[arg-type]


def ours(given: tuple[str, dict[str, str] | str], judged: Callable[[Equation, Step], object]) -> object:
    """Read the equation and the step, and judge it."""
    equation = read_equation(given[0])
    return judged(equation, step_of(given[1], equation.letter))


def line_after(given: tuple[str, dict[str, str] | str]) -> str:
    """The line the step gives, as text of our own writing, nothing worked out."""
    equation = read_equation(given[0])
    step = step_of(given[1], equation.letter)
    if isinstance(step, Line):
        return step.equation.text()
    assert isinstance(step, Move)
    return " = ".join(write(as_written(step, side)) for side in equation.sides())


def plain_sympy(before: str, after: str, letter: str) -> bool:
    """Whether two lines have the same solutions, by sympy alone."""
    symbol = sympy.Symbol(letter)
    names = {letter: symbol}
    sets = []
    for text in (before, after):
        left, right = (parse_expr(side, local_dict=names) for side in text.split("="))
        sets.append(sympy.solveset(left - right, symbol))
    return bool(sets[0] == sets[1])


def milliseconds(work: Callable[[], object]) -> float:
    """The processor time of one run, so that other work on the machine does not count."""
    started = time.process_time_ns()
    work()
    return (time.process_time_ns() - started) / 1e6


def refuse(text: str) -> None:
    """Read what cannot be read."""
    try:
        read_equation(text)
    except Refusal:
        return
    raise AssertionError(f"read: {text[:20]!r}")


def show(name: str, times: list[float]) -> float:
    """A row of the table; gives its median."""
    times = sorted(times)
    low, median, high = times[len(times) // 10], statistics.median(times), times[len(times) * 9 // 10]
    print(f"{name:34} {len(times):6} {median:9.3f} {low:9.3f} {high:9.3f} {times[-1]:9.3f}")
    return median


def main() -> None:
    """Print the table."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    work = steps()
    letters = [read_equation(equation).letter for equation, _ in work]
    lines = [(read_equation(equation).text(), line_after((equation, step))) for equation, step in work]
    plain: list[float] = []
    weighed: list[float] = []
    judged: list[float] = []
    refused: list[float] = []
    for warm in range(rounds + 1):
        sympy.core.cache.clear_cache()
        for given, (before, after), letter in zip(work, lines, letters, strict=True):
            weighed.append(milliseconds(lambda given=given: ours(given, weigh)))
            judged.append(milliseconds(lambda given=given: ours(given, judge)))
            plain.append(milliseconds(lambda b=before, a=after, x=letter: plain_sympy(b, a, x)))
        refused += [milliseconds(lambda text=text: refuse(text)) for text in BAD]
        if not warm:  # the first round only warms up
            plain, weighed, judged, refused = [], [], [], []
    print(f"{'ms a step':34} {'n':>6} {'median':>9} {'10th':>9} {'90th':>9} {'most':>9}")
    sympys = show("plain sympy (parse_expr, solveset)", plain)
    alone = show("weigh: read, balance, closer", weighed)
    whole = show("judge: the same and the errors", judged)
    show("bad input refused", refused)
    row("a step weighed: read, balance, closer", weighed, "ms", peer="plain sympy, balance only", theirs=plain)
    row("a step judged: the same and the errors", judged, "ms", peer="plain sympy, balance only", theirs=plain)
    row("bad input refused", refused, "ms")
    print(f"times faster than plain sympy, by medians: weigh {sympys / alone:.0f}, judge {sympys / whole:.0f}")


if __name__ == "__main__":
    main()

"""How long a turn, a start and a line of the script commands take, against plain sympy on the same work.

    python tests/bench/bench_turn.py [--lines 5000] [--sympy-lines 300] [--turns 1500] [--starts 15]

Prints one table. A turn is everything between a line typed and its reply: understand, judge, advance, and the log line
written and synced to the disk the temporary folder is on. Plain sympy reads the same lines with ``parse_expr``, and
judges with ``simplify`` or solves with ``solveset``; both are timed inside one process, after its imports.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from rows import row

from chattutor.common.steps import step_judged, step_of
from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.algebra.equation import read_equation
from dialogue.algebra.solver import in_words, next_step, solve_by_steps
from dialogue.algebra.writing import write
from dialogue.learner.families import draw
from dialogue.tutor import Plan, State, Task, Utterance, begin, is_over, step
from dialogue.tutor.core.questions import due_value

PROGRAM = (sys.executable, "-m", "chattutor")
STAGES = range(1, 16)


def equations(count: int) -> list[str]:
    """So many equations, all stages in turn."""
    each = -(-count // len(STAGES))
    drawn = zip(*(draw(stage, 7, each) for stage in STAGES), strict=True)
    return [task.equation.text() for tasks in drawn for task in tasks][:count]


def judge_lines(count: int) -> list[dict[str, object]]:
    """So many steps: of each equation the next line, right in half of them and off by one in the others."""
    lines: list[dict[str, object]] = []
    for number, text in enumerate(equations(count)):
        after = solve_by_steps(read_equation(text))[0].equation.text()
        lines.append({"equation": text, "step": {"state": after if number % 2 else f"{after} + 1"}})
    return lines


def learner_says(state: State) -> str:
    """What a learner who mostly knows the way would type; a hint where words are asked for."""
    due = due_value(state)
    if due is not None:
        return write(due)
    following = next_step(state.equation)
    if state.phase == "move" and following is not None:
        return in_words(following).rstrip(".")
    return "hint"


def turn_times(count: int, folder: Path) -> Iterator[float]:
    """Milliseconds of so many turns, logs included."""
    made = 0
    while made < count:
        tasks = tuple(Task(read_equation(text)) for text in equations(30))
        plan = Plan(tasks, seed=made)
        log = SessionLog(folder, new_header("bench", plan_record(plan), Settings(), "bench"))
        state = begin(plan).state
        while not is_over(state) and made < count:
            said = Utterance(learner_says(state))
            began = time.perf_counter()
            turn = step(state, said)
            log.turn(turn, said)
            yield 1000 * (time.perf_counter() - began)
            state = turn.state
            made += 1
        log.end("finished")


def sync_times(count: int, folder: Path) -> Iterator[float]:
    """Milliseconds of writing and syncing a line as long as a turn's: no turn can be logged sooner."""
    line = b"x" * 850 + b"\n"
    with (folder / "limit").open("ab", buffering=0) as file:
        for _ in range(count):
            began = time.perf_counter()
            file.write(line)
            os.fsync(file.fileno())
            yield 1000 * (time.perf_counter() - began)


def installed() -> dict[str, str]:
    """The environment of an installed program, which keeps its compiled files."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def help_time() -> float:
    """Seconds of ``chattutor --help``."""
    began = time.perf_counter()
    subprocess.run([*PROGRAM, "--help"], stdout=subprocess.DEVNULL, check=True, env=installed())
    return time.perf_counter() - began


def first_question_time(folder: Path) -> float:
    """Seconds from the start of a lesson to its first question."""
    began = time.perf_counter()
    words = [*PROGRAM, "lesson", "--stage", "6", "--seed", "1", "--logs", str(folder)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=installed()) as process:
        assert process.stdin and process.stdout
        while not process.stdout.readline().rstrip().endswith((b"?", b"order?")):
            pass
        took = time.perf_counter() - began
        process.stdin.close()
    return took


def lines_per_second(command: str, lines: list[dict[str, object]]) -> float:
    """Of a whole run of the command, start-up included."""
    given = "".join(json.dumps(line) + "\n" for line in lines).encode()
    began = time.perf_counter()
    subprocess.run([*PROGRAM, command], input=given, stdout=subprocess.DEVNULL, check=True)
    return len(lines) / (time.perf_counter() - began)


def rate(work: Callable[[dict[str, object]], object], lines: list[dict[str, object]]) -> float:
    """Lines a second inside this process."""
    began = time.perf_counter()
    for line in lines:
        work(line)
    return len(lines) / (time.perf_counter() - began)


def ours(line: dict[str, object]) -> object:
    """One judgement, reading included."""
    equation = read_equation(str(line["equation"]))
    return step_judged(equation, step_of(line["step"], equation.letter))


def sympy_judges(line: dict[str, object]) -> object:
    """The same, in plain sympy: is the new line's difference a multiple of the old one's?"""
    import sympy
    from sympy.parsing.sympy_parser import parse_expr

    def difference(text: str) -> sympy.Expr:
        left, right = text.split("=")
        return parse_expr(left) - parse_expr(right)

    before, after = difference(str(line["equation"])), difference(line["step"]["state"])  # type: ignore[index]
    return sympy.simplify(before / after).is_number if after != 0 else sympy.simplify(before) == 0


def sympy_solves(line: dict[str, object]) -> object:
    """The solution in plain sympy, without any steps."""
    import sympy
    from sympy.parsing.sympy_parser import parse_expr

    left, right = str(line["equation"]).split("=")
    difference = parse_expr(left) - parse_expr(right)
    letters = sorted(difference.free_symbols, key=str) or [sympy.Symbol("x")]
    return sympy.solveset(difference, letters[0])


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--lines", type=int, default=5000)
    parser.add_argument("--sympy-lines", type=int, default=300)
    parser.add_argument("--turns", type=int, default=1500)
    parser.add_argument("--starts", type=int, default=15)
    args = parser.parse_args()
    solving = [{"equation": text} for text in equations(args.lines)]
    judging = judge_lines(args.lines)
    saying: list[dict[str, object]] = [
        {"text": in_words(following).rstrip("."), "equation": text}
        for text in equations(args.lines)
        if (following := next_step(read_equation(text))) is not None
    ]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        times = sorted(turn_times(args.turns, folder))
        syncs = sorted(sync_times(args.turns, folder))
        helps = [help_time() for _ in range(args.starts)]
        firsts = [first_question_time(folder / str(number)) for number in range(args.starts)]
    few = args.sympy_lines
    sympy_judges(judging[0]), sympy_solves(solving[0])  # its imports
    wrong, right = judging[::2], judging[1::2]
    right_rate, judge_rate = rate(ours, right), rate(sympy_judges, right[:few])
    rows = [
        ("turn, logged and synced, median", f"{statistics.median(times):.2f} ms", f"n = {len(times)}"),
        ("turn, logged and synced, p99", f"{times[int(len(times) * 0.99)]:.2f} ms", f"slowest {times[-1]:.1f} ms"),
        (
            "  a line written and synced alone",
            f"{statistics.median(syncs):.2f} ms",
            f"p99 {syncs[len(syncs) * 99 // 100]:.2f} ms",
        ),
        (
            "chattutor --help, median",
            f"{1000 * statistics.median(helps):.0f} ms",
            f"n = {args.starts}, {_spread(helps)}",
        ),
        (
            "first question, median",
            f"{1000 * statistics.median(firsts):.0f} ms",
            f"n = {args.starts}, {_spread(firsts)}",
        ),
        ("judge, lines a second", f"{lines_per_second('judge', judging):,.0f}", f"n = {len(judging)}, with start-up"),
        ("  right lines, in one process", f"{right_rate:,.0f}", f"n = {len(right)}"),
        ("  plain sympy, right lines", f"{judge_rate:,.0f}", f"n = {few}; ours is {right_rate / judge_rate:.0f} times"),
        ("  wrong lines that no rule explains", f"{rate(ours, wrong):,.0f}", f"n = {len(wrong)}, all rules tried"),
        ("  plain sympy, wrong lines", f"{rate(sympy_judges, wrong[:few]):,.0f}", f"n = {few}, nothing explained"),
        ("solve, lines a second", f"{lines_per_second('solve', solving[:2000]):,.0f}", "n = 2000, every step by sympy"),
        ("  plain sympy, no steps", f"{rate(sympy_solves, solving[:few]):,.0f}", f"n = {few}"),
        ("understand, lines a second", f"{lines_per_second('understand', saying):,.0f}", f"n = {len(saying)}"),
    ]
    row("a turn: understood, judged, logged, synced", times, "ms", peer="a line written and synced alone", theirs=syncs,
        limit=5, limit_is="aim")  # fmt: skip
    row("`chattutor --help`", [1000 * each for each in helps], "ms", limit=150, limit_is="aim")
    row("start to first question", [1000 * each for each in firsts], "ms", limit=500, limit_is="aim")
    for what, figure, note in rows:
        print(f"{what:34} {figure:>12}   {note}")


def _spread(seconds: list[float]) -> str:
    return f"{1000 * min(seconds):.0f} to {1000 * max(seconds):.0f} ms"


if __name__ == "__main__":
    main()

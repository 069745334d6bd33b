"""How often the errors named agree with judged steps, and how long naming them takes.

    python tests/bench/bench_errors.py FILE... [--rows]

FILE holds judged steps as JSON lines (tests/algebra/data/README.md). ``--rows`` prints those that differ.
"""

import argparse
import json
import statistics
import time
from pathlib import Path
from typing import Any, NamedTuple

from dialogue.algebra.equation import read_equation
from dialogue.algebra.errors import explain
from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict
from dialogue.algebra.reading import read_expression

VERDICTS = {"no solution": "none", "all numbers": "every"}


class Outcome(NamedTuple):
    """One judged step: the ids expected and the ids named, most likely first, and the time taken in ms."""

    row: dict[str, Any]
    named: tuple[str, ...]
    ms: float

    @property
    def expected(self) -> tuple[str, ...]:
        return tuple(self.row["errors"])

    @property
    def doubtful(self) -> bool:
        return str(self.row.get("note", "")).startswith("doubt:")

    @property
    def ours_first(self) -> bool:
        """Our first-listed error is among theirs (or both name none)."""
        return self.named[0] in self.expected if self.named else not self.expected

    @property
    def theirs_first(self) -> bool:
        """Their first-listed error is among ours (or both name none)."""
        return self.expected[0] in self.named if self.expected else not self.named


def step_of(row: dict[str, Any], letter: str) -> Step:
    step = row["step"]
    if "rewrite" in step:
        return Rewrite(step["rewrite"])
    if "move" in step:
        move = step["move"]
        return Move(move["operation"], read_expression(move["operand"]), move.get("sides", "both"))
    if step["state"] in VERDICTS:
        return Verdict(VERDICTS[step["state"]])  # type: ignore[arg-type]
    return Line(read_equation(step["state"], letter))


def outcome(row: dict[str, Any]) -> Outcome:
    before = read_equation(row["equation"])
    step = step_of(row, before.letter)
    started = time.perf_counter()
    named = tuple(one.error for one in explain(before, step))
    return Outcome(row, named, (time.perf_counter() - started) * 1000)


def outcomes(path: Path) -> list[Outcome]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return [outcome(json.loads(line)) for line in lines if line.strip()]


def totals(found: list[Outcome]) -> dict[str, float]:
    """Shares over the rows without doubt: ours first among theirs, theirs first among ours, right steps blamed."""
    sure = [one for one in found if not one.doubtful]
    wrong = [one for one in sure if one.expected]
    none = [one for one in sure if not one.expected and one.row["balanced"] is False]
    right = [one for one in sure if one.row["balanced"] and not one.expected]
    times = [one.ms for one in found]
    return {
        "wrong": len(wrong),
        "ours_first": sum(one.ours_first for one in wrong) / max(len(wrong), 1),
        "theirs_first": sum(one.theirs_first for one in wrong) / max(len(wrong), 1),
        "same_first": sum(one.named[:1] == one.expected[:1] for one in wrong) / max(len(wrong), 1),
        "same_set": sum(set(one.named) == set(one.expected) for one in wrong) / max(len(wrong), 1),
        "unexplained": len(none),
        "unexplained_kept": sum(not one.named for one in none),
        "right": len(right),
        "right_blamed": sum(bool(one.named) for one in right),
        "median_ms": statistics.median(times),
        "max_ms": max(times),
    }


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("files", nargs="+", type=Path)
    reader.add_argument("--rows", action="store_true")
    given = reader.parse_args()
    for path in given.files:
        found = outcomes(path)
        if given.rows:
            for one in found:
                if not (one.ours_first and one.theirs_first):
                    print(one.row["id"], one.row["equation"], one.row["step"], one.expected, one.named)
        print(path.name, {name: round(value, 3) for name, value in totals(found).items()})


if __name__ == "__main__":
    main()

"""Judged steps (data/README.md), and how far the errors named agree with them."""

import json
import statistics
import time
from pathlib import Path
from typing import Any, NamedTuple

from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict
from dialogue.algebra.reading import read_expression

DATA = Path(__file__).parent / "data"


class Outcome(NamedTuple):
    """One judged step, the ids named for it, most likely first, and the processor time that took in ms."""

    row: dict[str, Any]
    named: tuple[str, ...]
    ms: float

    @property
    def expected(self) -> tuple[str, ...]:
        """The ids the judge of the data gave."""
        return tuple(self.row["errors"])

    @property
    def doubtful(self) -> bool:
        """Whether good teachers may differ on it."""
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
    """The step of a row."""
    step = row["step"]
    if "rewrite" in step:
        return Rewrite(step["rewrite"])
    if "move" in step:
        move = step["move"]
        return Move(move["operation"], read_expression(move["operand"]), move.get("sides", "both"))
    if step["state"] == "no solution":
        return Verdict("none")
    if step["state"] == "all numbers":
        return Verdict("every")
    return Line(read_equation(step["state"], letter))


def outcome(row: dict[str, Any]) -> Outcome:
    """A row judged."""
    before = read_equation(row["equation"])
    step = step_of(row, before.letter)
    started = time.process_time()
    named = tuple(one.error for one in explain(before, step))
    return Outcome(row, named, (time.process_time() - started) * 1000)


def outcomes(path: Path) -> list[Outcome]:
    """Every row of a file judged."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [outcome(json.loads(line)) for line in lines if line.strip()]


def totals(found: list[Outcome]) -> dict[str, float]:
    """Figures over the rows without doubt; times over all rows, and over wrong stated lines alone."""
    sure = [one for one in found if not one.doubtful]
    wrong = [one for one in sure if one.expected]
    none = [one for one in sure if not one.expected and one.row["balanced"] is False]
    right = [one for one in sure if one.row["balanced"] and not one.expected]
    searched = [one.ms for one in found if "state" in one.row["step"] and one.row["balanced"] is False]
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
        "median_ms": statistics.median(one.ms for one in found),
        "median_ms_wrong_lines": statistics.median(searched or [0]),
        "max_ms": max(one.ms for one in found),
    }

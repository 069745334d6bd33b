"""Learners of known truth, who meet the tutor as a learner does: they see the question and the line, and type.

What each says depends on their card alone and on the line in hand; a wrong rule is carried out here on the numbers of
the line (``a*x + b = c`` and ``a*(x + b) = c``), independently of the rules with which the tutor explains wrong lines.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random

from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Move
from dialogue.algebra.solver import next_step
from dialogue.algebra.tree import Product, Sum, has_unknown

IDLE = ("idk", "this is boring", "whatever", "can we go now", "lol", "skip", "no", "hmm", "dunno", "skip")
REASONS = {
    "subtract-coefficient": "because there is a {a} with the {x} so you take it away",
    "opposite-on-other-side": "because when it goes over it does the opposite",
    "one-side-only": "because that gets rid of the {b}",
    "combine-unlike-terms": "because {a} and {b} go together",
    "partial-distribution": "because you times the {x} by {a}",
}


@dataclass
class Known:
    """One learner. ``shown``: the equations on which the rule held was followed."""

    code: str
    idea: str
    holds: int
    slips: int
    style: str
    expects: str
    draw: Random
    shown: set[str] = field(default_factory=set)
    tries: dict[str, int] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=dict)

    def hears(self, record: dict[str, object], task: str) -> None:
        """They go by the question alone."""

    def says(self, phase: str, task: Equation, line: Equation, due: str) -> str:
        """What they type. ``due``: the value or line that a question asks for, as whoever knows would give it."""
        if self.style == "idle":
            return self.draw.choice(IDLE)
        if phase in {"account", "reason"}:
            return self.draw.choice(["i just did it", "i worked it out"])
        if phase in {"reconsider", "offer stop", "confirm"}:
            return "no" if phase != "confirm" else "yes"
        if self.style == "guesses" and phase not in {"check left", "check right", "left", "right", "line"}:
            return self._number(task)
        if self.style == "copies" and phase not in {"check left", "check right"}:
            return f"{task.letter} = {task.solution().value}"
        if due:
            return self._sum(due)
        wrong = self._wrong(line) if self.idea else None
        key = f"{task.text()} {line.text()}"
        if wrong and self.refused.get(key, 0) < 2 and self.draw.randrange(10) < self.holds:
            self.refused[key] = self.refused.get(key, 0) + 1
            self.shown.add(task.text())
            return self._worded(wrong, line)
        return self._right(line)

    def _right(self, line: Equation) -> str:
        step = next_step(line)
        if isinstance(step, Move):
            return f"{step.operation} {'by ' if step.operation in {'multiply', 'divide'} else ''}{_text(step.operand)}"
        return "collect like terms" if step is not None and step.how == "collect" else "expand the bracket"

    def _sum(self, due: str) -> str:
        try:
            value = Fraction(due)
        except ValueError:
            return due
        return str(value + self.draw.choice([-1, 1, 10])) if self.draw.randrange(100) < self.slips else due

    def _number(self, task: Equation) -> str:
        """Numbers tried out, nearer each time."""
        right = task.solution().value or Fraction(0)
        tries = self.tries[task.text()] = self.tries.get(task.text(), 0) + 1
        off = 5 - tries
        return str(right + off) if off > 0 else str(right)

    def _worded(self, wrong: str, line: Equation) -> str:
        if self.style == "words":
            return self.draw.choice([f"i think {wrong}", f"so its {wrong}", f"that makes {wrong}"])
        if self.style == "reasons" and self.idea in REASONS:
            a, b, _ = _numbers(line)
            return f"{wrong} {REASONS[self.idea].format(a=a, b=b, x=line.letter)}"
        return wrong

    def _wrong(self, line: Equation) -> str | None:
        """The line that the rule makes of ``a*x + b = c``; None where it does not apply."""
        x = line.letter
        a, b, c = _numbers(line)
        bracket = _bracket(line)
        if not a or has_unknown(line.left) == has_unknown(line.right):
            return None
        match self.idea:
            case "subtract-coefficient" if not b and a > 1 and not bracket:
                return f"{x} = {c - a}"
            case "opposite-on-other-side" if b > 0 and not bracket:
                return f"{_times(a, x)} = {c + b}"
            case "one-side-only" if b > 0 and not bracket:
                return f"{_times(a, x)} = {c}"
            case "combine-unlike-terms" if b > 0 and not bracket and a > 1:
                return f"{_times(a + b, x)} = {c}"
            case "partial-distribution" if bracket:
                return f"{_times(a, x)} + {bracket} = {c}"
            case "divide-one-term-only" if b > 0 and a > 1 and not bracket:
                return f"{x} + {b} = {c / a}"
            case "reciprocal-division" if not b and a > 1 and not bracket:
                return f"{x} = {a / c}" if c else None
            case "multiply-instead-of-divide" if not b and a > 1 and not bracket:
                return f"{x} = {a * c}"
        return None


def _numbers(line: Equation) -> tuple[Fraction, Fraction, Fraction]:
    """a, b and c, whichever side the unknown is on; of a bracket a is what stands before it."""
    left, right = line.linear() if has_unknown(line.left) else line.swapped().linear()
    return Fraction(left.coefficient), Fraction(left.constant), Fraction(right.constant)


def _bracket(line: Equation) -> Fraction:
    """The number inside ``a*(x + b)``; 0 where there is no bracket."""
    side = line.left if has_unknown(line.left) else line.right
    if isinstance(side, Product) and any(isinstance(factor, Sum) for factor in side.factors):
        a, b, _ = _numbers(line)
        return b / a
    return Fraction(0)


def _times(a: Fraction, x: str) -> str:
    return x if a == 1 else f"{a}{x}" if a.denominator == 1 else f"{a}*{x}"


def _text(operand: object) -> str:
    from dialogue.algebra.writing import TYPED, write

    return write(operand, TYPED)  # type: ignore[arg-type]  # an expression

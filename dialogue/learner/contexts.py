"""Equations in words: what an equation could be about, so that a learner writes the equation before solving it.

The words are data (``contexts.toml``); the numbers are the equation's own, so what is proved of its wrong answers
holds.
"""

import tomllib
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from dialogue.algebra.equation import Equation
from dialogue.learner.forms import form


@dataclass(frozen=True, slots=True)
class Context:
    """One thing a form can be about; the fields are explained in ``contexts.toml``."""

    form: str
    words: str
    let: str
    any_answer: bool


@dataclass(frozen=True, slots=True)
class Story:
    """An equation in words: a few short sentences, the question last; ``let`` says what the unknown stands for."""

    words: str
    let: str


@cache
def contexts() -> tuple[Context, ...]:
    """All contexts, in the order of the file."""
    rows = tomllib.loads(files(__package__).joinpath("contexts.toml").read_text("utf-8"))["context"]
    return tuple(Context(row["form"], row["words"], row["let"], row.get("answers") == "any") for row in rows)


def stories(equation: Equation) -> tuple[Story, ...]:
    """Everything that the equation could be about; nothing for an equation that no number or every number solves."""
    value = equation.solution().value
    if value is None:
        return ()
    countable = value > 0 and value.denominator == 1
    found = []
    for context in contexts():
        numbers = form(context.form).numbers(equation) or form(context.form).numbers(equation.swapped())
        if numbers is not None and (countable or context.any_answer):
            words = context.words.format(**{name: _written(number) for name, number in numbers.items()})
            found.append(Story(words, context.let))
    return tuple(found)


def story(equation: Equation, choice: int) -> Story | None:
    """One of them, picked by ``choice``; None where there is none."""
    found = stories(equation)
    return found[choice % len(found)] if found else None


@dataclass(slots=True)
class Storyteller:
    """Tells one equation after another; what it has told least comes first, so that no sheet has one story twice while
    there is another."""

    told: Counter[str] = field(default_factory=Counter)

    def tell(self, equation: Equation) -> Story | None:
        """A story for the equation; None where there is none."""
        found = stories(equation)
        if not found:
            return None
        turn = self.told.total() % len(found)
        chosen = min((*found[turn:], *found[:turn]), key=lambda each: self.told[each.let])
        self.told[chosen.let] += 1
        return chosen


def _written(number: object) -> str:
    return str(number).replace("-", "\N{MINUS SIGN}")

"""Telling explanations apart: the question, or the next equation, whose answers differ most between them.

Expected information, in bits: how much the answer is expected to narrow down which error it was, given how likely
each is now (the weights of the explanations, from the priors of the table) and how far answers can be relied on.
"""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import log2
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.answers import wrong_answers
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.misconceptions.consistency import share
from dialogue.algebra.misconceptions.search import Explanation

Beliefs: TypeAlias = dict[str, float]  # error id to probability, adding up to one
QuestionKind: TypeAlias = Literal["own", "facing", "line"]

TOLD = 0.85  # our choice: how often a learner's own account fits what they did
REPEATED = 0.6  # our choice: how often an error comes back on the next equation (unstable: Payne & Squibb 1990)
SURE = 0.85  # our choice: an error this likely is taken as the explanation


@dataclass(frozen=True, slots=True)
class Question:
    """A question with the answer each error leads one to expect.

    "own" and "facing": what was done to the unknown's side and to the other, in the words of ``did`` in the table
    (``what_was_done`` puts a learner's account into them). "line": the line that came first, as text.
    """

    kind: QuestionKind
    expected: Mapping[str, str]
    bits: float

    def ask(self, unknown: str) -> str:
        """The question in words."""
        return asked(self.kind).format(unknown=unknown)


@cache
def _wordings() -> dict[str, dict[str, str]]:
    return tomllib.loads((files(__package__) / "questions.toml").read_text(encoding="utf-8"))


def asked(kind: str) -> str:
    """The wording of a kind of question ("equation" for the next equation), with its places still open."""
    return _wordings()[kind]["ask"]


@dataclass(frozen=True, slots=True)
class NextEquation:
    """An equation with the value each error would end in on it."""

    equation: Equation
    expected: Mapping[str, Fraction]
    bits: float


def beliefs_of(explanations: Iterable[Explanation]) -> Beliefs:
    """How likely each error is after one line."""
    return share(explanations)


def leading(beliefs: Beliefs) -> str | None:
    """The error that is likely enough to act on; None while none is."""
    best = max(beliefs, key=lambda error: beliefs[error], default=None)
    return best if best is not None and beliefs[best] >= SURE else None


def questions(explanations: Sequence[Explanation]) -> tuple[Question, ...]:
    """The questions that could tell the explanations apart, most telling first; none where nothing would."""
    beliefs = beliefs_of(explanations)
    table = error_table()
    accounts: dict[QuestionKind, dict[str, str]] = {
        "own": {one.error: table[one.error].did[0] for one in explanations},
        "facing": {one.error: table[one.error].did[1] for one in explanations},
    }
    if all(one.how for one in explanations):
        accounts["line"] = {one.error: one.how[0].text() for one in explanations}
    found = [Question(kind, expected, information(beliefs, expected, TOLD)) for kind, expected in accounts.items()]
    telling = (question for question in found if question.bits > 0)
    return tuple(sorted(telling, key=lambda question: -question.bits))


def next_equation(beliefs: Beliefs, candidates: Iterable[Equation]) -> NextEquation | None:
    """The candidate on which the errors' wrong answers differ most; None where no candidate tells any apart.

    Equal candidates: the first given.
    """
    best: NextEquation | None = None
    for equation in candidates:
        expected = expected_answers(beliefs, equation)
        bits = information(beliefs, expected, REPEATED)
        if bits > 0 and (best is None or bits > best.bits + 1e-9):
            best = NextEquation(equation, expected, bits)
    return best


def expected_answers(beliefs: Iterable[str], equation: Equation) -> dict[str, Fraction]:
    """The most direct wrong answer of each error here; an error that cannot be made gives the right answer."""
    answers = wrong_answers(equation)
    right = equation.solution().value
    expected = {error: answers[error][0] if error in answers else right for error in beliefs}
    return {error: value for error, value in expected.items() if value is not None}


def updated(beliefs: Beliefs, expected: Mapping[str, object], answer: object, reliable: float) -> Beliefs:
    """How likely each error is after an answer; an answer that no error expects changes nothing."""
    if answer not in expected.values():
        return dict(beliefs)
    kinds = max(len(set(expected.values())), 2)
    stray = (1 - reliable) / (kinds - 1)
    weights = {
        error: chance * (reliable if expected.get(error) == answer else stray) for error, chance in beliefs.items()
    }
    whole = sum(weights.values())
    return {error: weight / whole for error, weight in weights.items()}


def information(beliefs: Beliefs, expected: Mapping[str, object], reliable: float) -> float:
    """Expected bits: the uncertainty now, less what is expected to be left after the answer."""
    answers = list(dict.fromkeys(expected.values()))
    if len(answers) < 2:
        return 0.0
    stray = (1 - reliable) / (len(answers) - 1)
    left = 0.0
    for answer in answers:
        joint = [chance * (reliable if expected.get(error) == answer else stray) for error, chance in beliefs.items()]
        weight = sum(joint)
        left += weight * uncertainty([one / weight for one in joint]) if weight else 0.0
    return max(uncertainty(list(beliefs.values())) - left, 0.0)


def uncertainty(chances: Iterable[float]) -> float:
    """Shannon's entropy in bits (Shannon 1948)."""
    return -sum(chance * log2(chance) for chance in chances if chance > 0)

"""One meaning for callers that take one: paper, scripts of before, a plain yes or no."""

from typing import cast, get_args

from dialogue.acts import Disclosure, Expecting, Interpretation, Meaning, Unclear
from dialogue.understanding.interpret import interpret


def understand(text: str, expecting: Expecting = "any", letter: str = "x") -> Meaning:
    """The first act that counts, where the turn is sure; else ``Unclear``, whose ``question`` may name what to ask."""
    return first_that_counts(interpret(text, expecting, letter))


def first_that_counts(interpretation: Interpretation) -> Meaning:
    """The first act of a sure interpretation that is a meaning of its own, beside talk."""
    for act in interpretation.acts:
        if isinstance(act, Disclosure):
            return Unclear("distress")
        if isinstance(act, get_args(Meaning)) and (interpretation.sure or isinstance(act, Unclear)):
            return cast(Meaning, act)
    return Unclear()

"""Marked work to hand back: a page a learner, every line ticked or the first wrong one asked about, no answer given.

Marks tell by shape, not by colour; a ring, not a cross, stands where something is to be looked at.
"""

import tomllib
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from markupsafe import Markup

from chattutor.common.mathml import equation_math
from chattutor.paper.marking import MarkedWork
from chattutor.paper.sheets import style, templates
from chattutor.paper.working import MarkedLine
from dialogue.algebra.misconceptions import error_table
from dialogue.tutor.core.mistakes import term_in_question
from dialogue.verbalising.replies import word
from dialogue.verbalising.sayings import Filling, Saying

TRIALS = (Fraction(2), Fraction(3), Fraction(5))  # to try a line with: never the answer
TICK, LOOK = "\N{CHECK MARK}", "\N{WHITE CIRCLE}"


def handback(done: Sequence[MarkedWork], title: str = "") -> str:
    """The whole HTML page: a section for each learner, in the order of the file."""
    learners = dict.fromkeys(work.code for work in done)
    shown = [(code, [_shown(work) for work in done if work.code == code]) for code in learners]
    page = templates().get_template("handback.html")
    return page.render(title=title, style=style(), learners=shown, tick=TICK, look=LOOK)


def comment(work: MarkedWork) -> str:
    """What is said to the learner of one piece of work."""
    wordings = _phrases()
    if any(each.problem for each in work.lines):
        return wordings["unread"]
    if work.answer == "not attempted":
        return wordings["not_attempted"]
    if work.answer == "close":
        return wordings["close"]
    if work.answer == "right":
        return wordings["right_only" if work.method is None else "right" if work.method else "right_after"]
    if work.answer_only:
        return wordings["wrong_only"]
    return wordings["not_yet" if work.method else "look"]


def question(work: MarkedWork) -> str:
    """What the first wrong line asks for: the first question of its likeliest error; empty without one."""
    wrong = next((each for each in work.lines if each.wrong), None)
    if wrong is None or wrong.judgement is None or not wrong.judgement.errors or work.answer_only:
        return ""
    error = wrong.judgement.errors[0]
    left, right = wrong.before.sides()
    answer = wrong.before.solution().value
    trial, amount = [each for each in TRIALS if each != answer][:2]
    term = term_in_question(wrong.before, error_table()[error].idea)
    values: dict[str, Filling] = {
        "error": error,
        "met": 0,
        "unknown": work.equation.letter,
        "left": left,
        "right": right,
    }
    return word(Saying("error", values | {"trial": trial, "amount": amount, "term": term}), 0).text


def _shown(work: MarkedWork) -> dict[str, Any]:
    lines = []
    wrong_before = False
    for each in work.lines:
        lines.append((_mark(each, wrong_before), each.text))
        wrong_before |= each.wrong
    equation = Markup(equation_math(work.equation))  # noqa: S704 - made of an equation's tree: letters, digits and signs  # nosec B704 - made by our own writer, escaped there
    return {"equation": equation, "lines": lines, "comment": comment(work), "question": question(work)}


def _mark(each: MarkedLine, wrong_before: bool) -> str:
    """One error is marked once: what follows from it is neither ticked nor ringed."""
    if each.wrong:
        return "" if wrong_before else LOOK
    return TICK if each.judgement is not None and not wrong_before else ""


@cache
def _phrases() -> dict[str, str]:
    return dict(tomllib.loads(files(__package__).joinpath("phrases.toml").read_text("utf-8"))["handback"])

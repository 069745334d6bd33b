"""Marked work to hand back: a page a learner, every line ticked or the first wrong one asked about, no answer given.

Marks tell by shape, not by colour; a ring, not a cross, stands where something is to be looked at.
"""

import tomllib
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from html import escape
from importlib.resources import files

from chattutor.common.mathml import equation_math
from chattutor.paper.marking import Marked
from chattutor.paper.working import MarkedLine
from dialogue.algebra.misconceptions import error_table
from dialogue.tutor.core.mistakes import term_in_question
from dialogue.verbalising.replies import word
from dialogue.verbalising.sayings import Filling, Saying

TRIALS = (Fraction(2), Fraction(3), Fraction(5))  # to try a line with: never the answer
TICK, LOOK = "\N{CHECK MARK}", "\N{WHITE CIRCLE}"


def handback(done: Sequence[Marked], title: str = "") -> str:
    """The whole HTML page: a section for each learner, in the order of the file."""
    style = files(__package__).joinpath("page.css").read_text("utf-8")
    learners = dict.fromkeys(work.code for work in done)
    sections = "\n".join(_section(code, [work for work in done if work.code == code], title) for code in learners)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{escape(title) or 'Marked work'}</title>\n<style>\n{style}</style>\n</head>\n"
        f'<body class="normal">\n{sections}\n</body>\n</html>'
    )


def comment(work: Marked) -> str:
    """What is said to the learner of one piece of work."""
    said = _phrases()
    if any(each.problem for each in work.lines):
        return said["unread"]
    if work.answer == "not attempted":
        return said["not_attempted"]
    if work.answer == "close":
        return said["close"]
    if work.answer == "right":
        return said["right_only" if work.method is None else "right" if work.method else "right_after"]
    if work.answer_only:
        return said["wrong_only"]
    return said["not_yet" if work.method else "look"]


def question(work: Marked) -> str:
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


def _section(code: str, works: list[Marked], title: str) -> str:
    pieces = "\n".join(_piece(number, work) for number, work in enumerate(works, 1))
    return (
        f'<section class="page handback">\n<header><h1>{escape(title) or "Your work"}</h1>'
        f'<span class="code">{escape(code)}</span></header>\n{pieces}\n'
        f'<p class="legend">{TICK} keeps the balance &nbsp; {LOOK} look at this line again</p>\n</section>'
    )


def _piece(number: int, work: Marked) -> str:
    wrong_before = False
    rows = []
    for each in work.lines:
        rows.append(f"<li>{_mark(each, wrong_before)} {escape(each.text)}</li>")
        wrong_before |= each.wrong
    asked = question(work)
    answer = f'<p class="ask">{escape(asked)}</p><p class="room"></p>' if asked else ""
    return (
        f'<article><h2>{number}. {equation_math(work.equation)}</h2><ul class="lines">{"".join(rows)}</ul>'
        f'<p class="comment">{escape(comment(work))}</p>{answer}</article>'
    )


def _mark(each: MarkedLine, wrong_before: bool) -> str:
    """One error is marked once: what follows from it is neither ticked nor ringed."""
    if each.wrong:
        return f'<span class="mark">{"" if wrong_before else LOOK}</span>'
    judged = each.judgement is not None and not wrong_before
    return f'<span class="mark">{TICK if judged else ""}</span>'


@cache
def _phrases() -> dict[str, str]:
    return dict(tomllib.loads(files(__package__).joinpath("phrases.toml").read_text("utf-8"))["handback"])

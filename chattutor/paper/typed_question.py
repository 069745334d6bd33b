"""A question as it is typed on one line: its equation, the working behind it, and what is said before it."""

import re
from typing import NamedTuple

from chattutor.paper.line_shapes import IN_BRACKETS
from chattutor.paper.mended import among_words, mended_text
from chattutor.paper.notation import AT_END, CREDIT, TICKS, TRAILING
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.question_text import question_text, without_markup
from chattutor.paper.stated import leads_to, meant_without, stated_equation

ASKING = re.compile(  # words of any question
    r"solve|find|the|value|of|for|what|is|work|out|calculate|equations?|following|question|quest|qu|no|marks?|ans|answer|"
    r"solution|please|now|hence|if|when|where|times|so|then|and|or|therefore|[ivx]+",
    re.IGNORECASE,
)


class TypedQuestion(NamedTuple):
    """``working``: texts that stand behind the equation; ``remarks``: the line, where it says more; none or one."""

    equation: str
    working: list[str]
    remarks: list[str]


def typed_question(text: str, below: str) -> TypedQuestion:
    """The parts of a line that holds a question; ``below``: the next line, which may tell what a part of it is."""
    held = IN_BRACKETS.fullmatch(text)
    notes = AT_END.search(text)
    if notes is not None and "=" in (bare := text[: notes.start()]) and not leads_to(text, bare, below):
        equation, more = bare, [text[notes.start() :].strip()]
    else:
        equation, *more = [held[1], *filter(None, [held[2]])] if held else steps_on_line(text)
    equation = question_text(CREDIT.sub("", TICKS.sub(" ", equation))).equation
    beside = TRAILING.search(equation)
    if beside is not None and meant_without(equation[: beside.start()], equation, below):
        equation, more = equation[: beside.start()], [beside[0].strip(), *more]
    if stated_equation(equation) is None:
        equation = mended_text(equation) or among_words(equation) or equation
    kept = " ".join([equation, *more]).lower()
    said = (word for word in re.findall(r"[A-Za-z]{2,}", without_markup(text)) if word.lower() not in kept)
    return TypedQuestion(equation, more, [] if all(map(ASKING.fullmatch, said)) else [text])

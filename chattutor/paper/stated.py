"""What a text of paper work states: an equation, an answer, a sum, or a question told in words."""

import re

from chattutor.paper.line_shapes import COMMON
from chattutor.paper.mended import among_words, mended_text
from chattutor.paper.notation import TRAILING, WRITTEN_WORD, written
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.question_text import question_text
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Expression, Negative, Number, has_unknown

LEAST_WORDS = 4  # of a question that is told


def told_in_words(text: str) -> bool:
    """Whether a question is told in words, and no equation can be read in it."""
    first = question_text(steps_on_line(text)[0]).equation
    words = len(re.findall(WRITTEN_WORD, text))
    return words >= LEAST_WORDS and stated_equation(first) is None and not (mended_text(first) or among_words(first))


def stated_equation(text: str) -> Equation | None:
    """The equation that a text is; None where it cannot be read."""
    try:
        return read_equation(text)
    except Refusal:
        return None


def meant_without(rest: str, typed: str, following: str) -> bool:
    """Whether the line below follows from a question without the number before it or the note behind it, and not
    from it with them."""
    stated, whole, below = map(stated_equation, (rest, typed, TRAILING.sub("", written(following).text)))
    if stated is None or below is None:
        return False
    return stated.solution() == below.solution() and (whole is None or whole.solution() != below.solution())


def leads_to(whole: str, without: str, following: str) -> bool:
    """Whether the line below follows from a question with what stands behind a gap, and not from it without that."""
    texts = (question_text(whole).equation, question_text(without).equation, written(following).text)
    read = [stated_equation(each) or stated_equation(mended_text(each)) for each in texts]
    if read[0] is None or read[1] is None or read[2] is None:
        return False
    return read[0].solution() == read[2].solution() != read[1].solution()


def common_equation(typed: str) -> tuple[str, str]:
    """(its letter if it has one, the equation) of a line that gives an equation to all whose names come below it."""
    found = COMMON.fullmatch(typed)
    if found is None:
        return "", ""
    asked = question_text(found[2]).equation
    text = asked if stated_equation(asked) is not None else mended_text(asked)
    letter = re.search(r"\b[A-H]$", found[1])
    return (letter[0] if letter else "", "" if answers(text) else text)


def ends_of_chain(piece: str) -> str:
    """``n = 35/7 = 5`` as its ends, ``n = 5``; anything else as it is."""
    first, *rest = piece.split("=")
    return f"{first} = {rest[-1]}" if len(rest) > 1 and re.fullmatch(r"\s*[a-zA-Z]\s*", first) else piece


def is_sum(equation: Equation) -> bool:
    """Whether it has no unknown, and something to work out."""
    return not any(map(has_unknown, equation.sides())) and not all(map(is_signed_number, equation.sides()))


def is_signed_number(side: Expression) -> bool:
    """Whether a side is a number with or without its sign, and nothing to work out."""
    return isinstance(side.body if isinstance(side, Negative) else side, Number)


def answers(text: str) -> bool:
    """Whether a text is an unknown alone and its number."""
    try:
        return is_solved(read_equation(text))
    except Refusal:
        return False

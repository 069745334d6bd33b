"""The sheet that stands in the file itself: numbered equations above the first name, whose numbers come again below it.

Under such a number the question is certain, so that a first line that does not follow from it is crossed, a sum or an
answer alone is marked, and nothing is taken for a question that is a line of working.
"""

from collections.abc import Iterator, Sequence

from chattutor.paper.line_shapes import QUESTION, in_digits
from chattutor.paper.mended import mended_text
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.question_text import question_text
from chattutor.paper.stated import answers, stated_equation
from chattutor.paper.whose import NO_CODE, OPENING, name_alone, name_said, short_code
from dialogue.algebra.equation import Equation

LEAST = 2  # questions of a sheet


def sheet_above(lines: Sequence[tuple[int, str]]) -> tuple[dict[int, Equation], set[int]]:
    """(the equation of each number, the lines that they stand on); nothing where none, one, or any working stands above
    the first name, or where nothing under the names agrees with it."""
    found: dict[int, Equation] = {}
    taken: set[int] = set()
    for place, (number, line) in enumerate(lines):
        typed = line.strip()
        if _names(typed):
            agrees = any(_agrees(found, text) for _, text in lines[place:])
            return (found, taken) if len(found) >= LEAST and agrees else ({}, set())
        asked = _numbered(typed)
        if asked is None:
            if "=" in typed:
                break
            continue
        which, text = asked
        equation = stated_equation(text) or stated_equation(mended_text(text))
        if equation is None or answers(text) or which in found:
            break
        found[which] = equation
        taken.add(number)
    return {}, set()


def _names(typed: str) -> bool:
    opening = OPENING.fullmatch(typed)
    coded = opening is not None and not NO_CODE.fullmatch(opening[1])
    return coded or bool(name_said(typed) or short_code(typed) or name_alone(typed))


def _numbered(typed: str) -> tuple[int, str] | None:
    """(number, the equation) of a line that is a numbered question with nothing but its equation."""
    match = QUESTION.fullmatch(in_digits(typed))
    if match is None or not (match["word"] or match["end"].strip()) or "=" not in match["rest"]:
        return None
    return int(match["number"]), question_text(match["rest"]).equation


def _agrees(sheet: dict[int, Equation], typed: str) -> bool:
    """Whether what stands under a number below has the answer of the sheet's question."""
    for which, text in _below(typed):
        stated = stated_equation(text)
        if which in sheet and stated is not None and stated.solution() == sheet[which].solution():
            return True
    return False


def _below(typed: str) -> Iterator[tuple[int, str]]:
    asked = _numbered(typed.strip())
    if asked is not None:
        yield asked[0], steps_on_line(asked[1])[0]

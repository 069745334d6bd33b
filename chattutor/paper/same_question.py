"""What was asked where a learner does not say it: under the number that others have too, or above all the names."""

import re
from dataclasses import dataclass, field

from chattutor.paper.line_shapes import QUESTION, in_digits
from chattutor.paper.mended import mended_text
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.question_text import question_text, says_solve
from chattutor.paper.stated import answers, stated_equation
from chattutor.paper.whose import LONGEST, NO_CODE, OPENING, name_alone, name_said, short_code
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions.search import explain_line

OTHERS_HAVE = (
    "Others have another equation under this number, and this may be a wrong first line from it or an equation of "
    "its own, so it is not marked: write the equation above it."
)
AROUND_HEADING = "*=#~ "  # of a heading that is drawn: *** Q2  2x = 8 ***
WITH_NAME = re.compile(r"(\S.*?)(?:\s{2,}|\t\s*)(q(?:uestion)?\.?\s*\d{1,2}\b.*)", re.IGNORECASE)


@dataclass(slots=True)
class Numbered:
    """The equations under each number so far, and who has what others have."""

    given: dict[int, dict[str, set[str]]] = field(default_factory=dict)  # number -> equation as typed -> learners
    told: set[int] = field(default_factory=set)  # numbers of questions in words: each equation is the learner's own
    same: set[str] = field(default_factory=set)
    own: set[str] = field(default_factory=set)

    def keep(self, number: int, learner: str, equation: str, copied: bool = True) -> None:
        """Note the equation that a learner has under a number; ``copied``: they wrote it themselves."""
        stated = stated_equation(equation)
        if not number or stated is None:
            return
        others = self._others(number, learner)
        typed = next((each for each in self.given.get(number, {}) if _alike(each, stated)), equation)
        if others and copied:
            (self.same if typed in others else self.own).add(learner)
        self.given.setdefault(number, {}).setdefault(typed, set()).add(learner)

    def meant(self, number: int, learner: str, first: str) -> tuple[str, str]:
        """(the equation, why it is not sure) that all others have under the number, where a learner's first line is
        rather working from it than an equation of its own; both empty where it is none."""
        others, stated = self._others(number, learner), stated_equation(first)
        if len(others) != 1 or stated is None or learner in self.own or number in self.told:
            return "", ""
        (text,) = others
        asked = stated_equation(text)
        if asked is None or _alike(text, stated) or asked.letter != stated.letter:
            return "", ""
        if answers(first) or (asked.solution() == stated.solution() and stated.solution().kind == "one"):
            return text, ""
        if not explain_line(asked, stated):
            return "", ""
        return (text, "") if learner in self.same else ("", OTHERS_HAVE)

    def _others(self, number: int, learner: str) -> set[str]:
        """What others have under a number; nothing where the learner has it too."""
        found = self.given.get(number, {})
        return set() if any(learner in each for each in found.values()) else set(found)


def _alike(typed: str, stated: Equation) -> bool:
    """Whether a text is the same equation, however its sides are written: 2x/3 or (2/3)x."""
    read = stated_equation(typed)
    return read is not None and list(map(linear, read.sides())) == list(map(linear, stated.sides()))


def with_name(typed: str) -> list[str]:
    """``Ada   Q4   7x - 4 = 10`` as its name, said to be one, and its question; any other line as it is."""
    found = WITH_NAME.fullmatch(typed.strip()) if len(typed) <= LONGEST else None
    return [f"Name: {found[1]}", found[2]] if found is not None and name_alone(found[1]) else [typed]


def asked_of_all(typed: str, below: str, under: str) -> str:
    """The equation of a question that stands above the names: ``Q2  2(x - 3) = 10``, then a name, then working that is
    no numbered question; empty for any other line. ``below``, ``under``: the next two lines."""
    typed = typed.strip(AROUND_HEADING)
    match = QUESTION.fullmatch(in_digits(typed))
    numbered = match is not None and (match["word"] or match["end"].strip())
    if "=" not in typed or not (numbered or says_solve(typed)):
        return ""
    opening = OPENING.fullmatch(below)
    coded = opening is not None and not NO_CODE.fullmatch(opening[1])
    named = coded or name_said(below) or short_code(below) or name_alone(below)
    next_one = QUESTION.fullmatch(in_digits(under))
    if not named or (next_one is not None and (next_one["word"] or next_one["end"].strip())):
        return ""
    asked = steps_on_line(question_text(match["rest"] if match and numbered else typed).equation)[0]
    text = asked if stated_equation(asked) is not None else mended_text(asked)
    return "" if answers(text) else text

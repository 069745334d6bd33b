"""What a whole file says against the verdicts in it: a name may be missing, or much of it could not be followed.

Where the questions of one learner begin again, the name of the next was not seen; where many of the equations found no
place, the file is set out in a way that is not known here, and what did find one is in doubt with the rest.
"""

import re
from collections.abc import Sequence
from itertools import pairwise

from chattutor.paper.marking import MarkedWork, Unmarked
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.stated import stated_equation
from chattutor.paper.whose import name_alone
from dialogue.algebra.linear import linear

AGAIN = re.compile(r"\b(?:re-?do\w*|correct(?:ion|ed)s?|again|retry)\b", re.IGNORECASE)  # the learner says so
UNSURE_NAME = (
    "Not judged: a name may have been missed above: the questions begin again, or a line is no more than a name."
)
UNSURE_FILE = "Not judged: too much of this file could not be followed to be certain of the rest."
UNSURE_NOTHING = "Not judged: nothing stands under this question, but its working may be what follows."
UNSURE_BELOW = "Not judged: this stands under a question without working, and may be the first line of it."
MOST_LOST, LOST_AT_LEAST = 0.38, 7  # of the lines with an equation: as a share, and in number

Doubts = list[str]  # of each piece or line of a file, in order; empty where there is none


def with_doubts_of_file(
    found: Sequence[PaperWork | Stray], marked: Sequence[MarkedWork | Unmarked], doubts: Doubts
) -> Doubts:
    """The doubts of each piece, and those that the whole file gives."""
    missing = _names_missing(found)
    told = [mine or (UNSURE_NAME if at in missing else "") for at, mine in enumerate(doubts)]
    for at, (one, other) in enumerate(pairwise(found)):
        if _may_be_its_working(one, other) and not told[at + 1]:
            told[at + 1] = UNSURE_BELOW
    for at, (mine, after) in enumerate(pairwise(told)):
        below = found[at + 1]
        astray = isinstance(below, Stray) and "=" in below.text
        if not mine and (after or astray) and _is_empty(marked[at]):
            told[at] = UNSURE_NOTHING
    if _much_is_lost(found, marked, told):
        return [
            mine or (UNSURE_FILE if isinstance(each, PaperWork) else "") for mine, each in zip(told, found, strict=True)
        ]
    return told


def _may_be_its_working(one: PaperWork | Stray, other: PaperWork | Stray) -> bool:
    """Whether what was taken for a question without a number stands under one of the same learner without working."""
    if not isinstance(one, PaperWork) or not isinstance(other, PaperWork) or one.lines or other.number:
        return False
    return one.code == other.code and (not other.named or other.line == one.line + 1)


def _names_missing(found: Sequence[PaperWork | Stray]) -> set[int]:
    """The pieces from which on somebody else's name may be missing, until the next name."""
    missing: set[int] = set()
    asked: list[object] = []
    code, number, lost = "", 0, False
    for at, each in enumerate(found):
        if isinstance(each, Stray):
            continue
        stated = stated_equation(each.equation)
        if each.code != code or each.named:
            code, number, asked, lost = each.code, 0, [], False
        sides = list(map(linear, stated.sides())) if stated is not None else each.equation
        goes_on = each.number > number > 0 or any(AGAIN.search(text) for _, text in each.lines)
        lost = lost or (sides in asked and not goes_on)
        number = each.number
        asked.append(sides)
        if lost:
            missing.add(at)
        lost = lost or any(text[:1].isupper() and name_alone(text) for _, text in each.lines)
    return missing


def _is_empty(done: MarkedWork | Unmarked) -> bool:
    return isinstance(done, MarkedWork) and not done.lines


def _much_is_lost(found: Sequence[PaperWork | Stray], marked: Sequence[MarkedWork | Unmarked], doubts: Doubts) -> bool:
    """Whether too many of the lines with an equation are in no piece that is judged."""
    lost = judged = 0
    for each, done, doubt in zip(found, marked, doubts, strict=True):
        if isinstance(each, Stray):
            lost += "=" in each.text
        elif doubt or isinstance(done, Unmarked):
            lost += _size(each)
        else:
            judged += _size(each)
    return lost >= LOST_AT_LEAST and lost > MOST_LOST * (lost + judged)


def _size(work: PaperWork) -> int:
    return 1 + sum("=" in text for _, text in work.lines)

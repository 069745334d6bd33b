"""What is handed back without a verdict: work of which it is not certain whose it is, what was asked, or that its lines
belong together.

A verdict needs positive evidence. Of the question: it stands on a sheet, above the names, behind a number, a letter or
a code, somebody else has it too, or all the learner's questions stand as bare as this one. Of the work: a line judged
right stands before the first that is crossed; or the first is one that a known error makes of a certain question, and
nothing after it speaks against it. A right answer that comes after a first line that nothing led to speaks against it:
then it is likelier that the line was crossed out, or is somebody else's, than that it was put right in silence.
"""

from collections.abc import Iterator, Sequence
from itertools import takewhile

from chattutor.paper.file_doubts import AGAIN, with_doubts_of_file
from chattutor.paper.marking import MarkedWork, Unmarked, mark
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.stated import stated_equation
from chattutor.paper.working import DISTRESS, MENDED, MarkedLine
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Expression, Negative, Number, Quotient, Unknown, has_unknown

UNSURE_WHOSE = (
    "Not judged: a letter alone may name a question or a learner; a name on a line of its own says whose it is."
)
UNSURE_QUESTION = "Not judged: nothing but an empty line says that this is a question; its number before it would."
UNSURE_SUM = "Not judged: an answer or a sum stands where the question should."
UNSURE_OTHERS = (
    "Not judged: others have another equation under this number; the question above it would say which it is."
)
UNSURE_WORKED = "Not judged: this is rather a line of working than the question, which is not here."
UNSURE_FIRST = "Not judged: the first line does not follow from the question, and may belong to another."
UNSURE_PUT_RIGHT = "Not judged: a wrong first line and then the right one; it may be crossed out, or somebody else's."
UNSURE_END = "Not judged: more lines come after an answer, so this may be the work of two."


def marked_with_certainty(found: Sequence[PaperWork | Stray]) -> Iterator[MarkedWork | Unmarked]:
    """Every piece of a file marked, or handed back with the reason in a sentence."""
    pieces = [each for each in found if isinstance(each, PaperWork)]
    marked = list(map(mark, found))
    doubts = [
        _doubt(each, done, pieces) if isinstance(each, PaperWork) and isinstance(done, MarkedWork) else ""
        for each, done in zip(found, marked, strict=True)
    ]
    for each, done, doubt in zip(found, marked, with_doubts_of_file(found, marked, doubts), strict=True):
        if isinstance(each, PaperWork) and isinstance(done, MarkedWork) and doubt:
            told = f"{DISTRESS} {doubt}" if any(line.distress for line in done.lines) else doubt
            yield Unmarked(each.line, f"{told} ({each.typed if each.named else f'{each.code}: {each.typed}'})")
        else:
            yield done


def _doubt(work: PaperWork, done: MarkedWork, pieces: Sequence[PaperWork]) -> str:
    """Why a piece of work gets no verdict; empty where it gets one."""
    if work.lettered:
        return UNSURE_WHOSE
    if not done.lines:
        return ""
    if not any(map(has_unknown, done.equation.sides())) or _answers(done.equation):
        return UNSURE_SUM
    agreed = _others_have_it(work, done.equation, pieces)
    if not agreed and _is_contested(work, pieces):
        return UNSURE_OTHERS
    if not agreed and _is_worked(done.equation):
        return UNSURE_WORKED
    if not agreed and not work.asked and any(each.asked for each in pieces if each.code == work.code):
        return UNSURE_QUESTION
    return _crossed_in_doubt(work, done)


def _crossed_in_doubt(work: PaperWork, done: MarkedWork) -> str:
    """Why the first line that would be crossed may be none of this question."""
    wrong = next((each for each in done.lines if each.wrong), None)
    if _goes_on_after_answer(done):
        return UNSURE_END
    if wrong is None:
        return ""
    before = takewhile(lambda each: each is not wrong, done.lines)
    if any(each.judgement is not None and isinstance(each.step, Line) for each in before):
        return ""
    if any(each.remark == MENDED for each in done.lines):
        return "" if any(AGAIN.search(text) for _, text in work.lines) else UNSURE_PUT_RIGHT
    explained = wrong.judgement is not None and wrong.judgement.errors
    return "" if explained or done.answer_only or _keeps_a_side(wrong) else UNSURE_FIRST


def _goes_on_after_answer(done: MarkedWork) -> bool:
    """Whether a line that does not follow comes after an answer, or one that begins again and nobody says so."""
    ended = False
    for each in done.lines:
        if each.wrong and _answers(each.before):
            return True
        if AGAIN.search(each.text):
            return False
        if isinstance(each.step, Line) and each.judgement is not None:
            if ended and not _has_unknown_alone(each.step.equation):
                return True
            ended = ended or _answers(each.step.equation)
    return False


def _has_unknown_alone(stated: Equation) -> bool:
    """Whether a side is the unknown and nothing else, as in x = 10/5."""
    return any(isinstance(side, Unknown) for side in stated.sides())


def _answers(stated: Equation) -> bool:
    """Whether a line ends a piece of work with a number."""
    return is_solved(stated) and stated.solution().kind == "one"


def _others_have_it(work: PaperWork, equation: Equation, pieces: Sequence[PaperWork]) -> bool:
    """Whether somebody else has the same question, however its sides are written."""
    sides = list(map(linear, equation.sides()))
    theirs = (stated_equation(each.equation) for each in pieces if each.code != work.code)
    return any(list(map(linear, each.sides())) == sides for each in theirs if each is not None)


def _is_contested(work: PaperWork, pieces: Sequence[PaperWork]) -> bool:
    """Whether somebody else has something else under the same number."""
    return work.number > 0 and any(each.number == work.number and each.code != work.code for each in pieces)


def _is_worked(equation: Equation) -> bool:
    """Whether a side is numbers alone with something left to work out, as after a step: 8x = 27 - 5."""
    return any(not has_unknown(side) and not _is_number(side) for side in equation.sides())


def _is_number(side: Expression) -> bool:
    """Whether a side is a number, a fraction of two, or either with its sign."""
    body = side.body if isinstance(side, Negative) else side
    return isinstance(body, Number) or (isinstance(body, Quotient) and all(map(_is_number, (body.top, body.bottom))))


def _keeps_a_side(wrong: MarkedLine) -> bool:
    """Whether one side of a line is that of the line above it, however it is written."""
    if not isinstance(wrong.step, Line):
        return True
    before, after = (list(map(linear, each.sides())) for each in (wrong.before, wrong.step.equation))
    return any(one == other for one, other in zip(before, after, strict=True))

"""How far a piece of paper work has come: its last equation, whether a line goes on from it, whether it is answered."""

from chattutor.paper.notation import AT_END, readings, written
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.piece_of_work import PaperWork
from chattutor.paper.stated import answers, ends_of_chain, is_sum, stated_equation
from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import is_solved


def last_equation(work: PaperWork) -> str:
    """The last line of the work that is an equation."""
    for _, typed in reversed(work.lines):
        plain = written(typed).text
        beside = AT_END.search(plain)
        plain = plain[: beside.start()] if beside and "=" in plain[: beside.start()] else plain
        for cut in readings(plain, ""):  # "x = 4 !!!", "x = 6 then I halved it"
            for piece in map(ends_of_chain, reversed(cut)):
                if (stated := stated_equation(piece)) is not None and not is_sum(stated):
                    return piece
    return work.equation


def goes_on(work: PaperWork, rest: str) -> bool:
    """Whether a line with a number before it is rather a step of the work."""
    rest = steps_on_line(rest)[0]
    try:
        stated = read_equation(rest)
        return is_solved(stated) or stated.solution() == read_equation(last_equation(work)).solution()
    except Refusal:
        return True


def is_answered(work: PaperWork) -> bool:
    """Whether the work has come to an unknown alone."""
    return answers(last_equation(work))

"""How far a piece of paper work has come: its last equation, whether a line goes on from it, whether it is answered."""

from chattutor.paper.mended import among_words
from chattutor.paper.notation import AT_END, readings, written
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.piece_of_work import PaperWork
from chattutor.paper.question_text import question_text, says_solve
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
    steps = steps_on_line(rest)
    rest = next((each for each in steps if "=" in each), steps[0])
    try:
        stated = read_equation(rest)
        return is_solved(stated) or stated.solution() == read_equation(last_equation(work)).solution()
    except Refusal:
        return True


def is_answered(work: PaperWork) -> bool:
    """Whether the work has come to an unknown alone."""
    return answers(last_equation(work))


def is_next_question(work: PaperWork, typed: str) -> bool | None:
    """Whether a line under an answer is the next question: under a right answer any other equation, else one that
    can be read only without a sheet's number before it or marks behind it. None where it may be or not."""
    first = written(steps_on_line(typed)[0])
    text = question_text(first.text).equation
    equation, task = (
        stated_equation(text) or stated_equation(among_words(text)),
        stated_equation(work.equation),
    )
    if equation is None or task is None or equation == task or first.kind == "check" or is_solved(equation):
        return False
    if is_sum(equation):
        return False
    if read_equation(last_equation(work)).solution() == task.solution():
        return True
    if goes_on(work, text) or equation.solution() == task.solution():
        return False
    if answers(steps_on_line(typed)[-1]):  # a line with an equation and all its working
        return True
    return True if stated_equation(first.text) is None else None


def begins_anew(work: PaperWork, typed: str) -> bool:
    """Whether a line under work without an answer is a new question all the same: "Solve" stands before another
    equation, or it is about another unknown and does not follow."""
    stated, task = stated_equation(question_text(typed).equation), stated_equation(work.equation)
    if stated is None or task is None or stated == task or is_solved(stated) or is_sum(stated):
        return False
    return says_solve(typed) or (stated.letter != task.letter and stated.solution() != task.solution())

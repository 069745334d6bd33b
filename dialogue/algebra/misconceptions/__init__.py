"""Errors: the table, the wrong rules, and what explains a step."""

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.answers import wrong_answers
from dialogue.algebra.misconceptions.catalogue import ErrorEntry, error_table
from dialogue.algebra.misconceptions.explained_moves import explain_move, explain_verdict, signs_of
from dialogue.algebra.misconceptions.search import Explanation, explain_line
from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict

__all__ = ["ErrorEntry", "Explanation", "error_table", "explain", "signs_of", "wrong_answers"]


def explain(before: Equation, step: Step) -> tuple[Explanation, ...]:
    """The errors that explain a step, most likely first; empty for a right step and for an unexplained one.

    A balanced move carries an error only where it repeats the attached operation (same-operation).
    """
    match step:
        case Line(stated):
            return explain_line(before, stated)
        case Verdict(kind):
            return explain_verdict(before, kind)
        case Move():
            return explain_move(before, step)
        case Rewrite():
            return ()

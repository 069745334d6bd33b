"""Two legal routes compared after a bracket has been solved: dividing first, and multiplying out first.

Only after work that was the learner's own, and whichever they took: neither is the right one. What is answered is
taken as it comes.
"""

from dataclasses import replace
from fractions import Fraction

from dialogue.acts import Comment
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, Rewrite, carry_out, carry_out_rewrite
from dialogue.algebra.tree import Expression, Number, Product, Sum, has_unknown
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.questions import go_on_to
from dialogue.tutor.core.state import State
from dialogue.tutor.core.told import was_left_out
from dialogue.verbalising.sayings import Saying

COMPARED = "routes compared"  # what is counted of it


def other_route(state: State) -> Equation | None:
    """The first line of the route not taken, where the equation is a number times a bracket and a number, and the
    learner solved it alone; None elsewhere, and once it was asked in this lesson."""
    first = state.task.equation
    factor = _factor(first)
    own = len(state.board) > 1 and all(line.level == "independent" for line in state.board)
    more = state.plan.open or state.wish is not None or state.place + 1 < len(state.plan.tasks)
    if factor is None or not own or not more or state.task.alone or state.count(COMPARED):
        return None
    divided = carry_out(Move("divide", factor), first)
    expanded = carry_out_rewrite(Rewrite("expand"), first)
    lines = [line.equation.linear() for line in state.board]
    took = divided.linear() in lines, expanded.linear() in lines[1:] and _opened(state)
    return expanded if took[0] else divided if took[1] else None


def _factor(equation: Equation) -> Expression | None:
    """``4`` of ``4(n + 3) = 44``, either way round."""
    for side, other in (equation.sides(), equation.sides()[::-1]):
        match side:
            case Product((Number() as factor, Sum() as bracket)) if has_unknown(bracket) and not has_unknown(other):
                return factor
    return None


def _opened(state: State) -> bool:
    """Whether a later line no longer holds the bracket."""
    return any(_factor(line.equation) is None for line in state.board[1:])


def compare(state: State, other: Equation) -> tuple[State, tuple[Saying, ...]]:
    """The state in which the two are compared, before the next equation; ``state`` is as solved."""
    return replace(state.counted(COMPARED), phase="compare"), (Saying("other route", {"other": other}),)


# -- effect of the table ----------------------------------------------------------------------------------------------


def compared(state: State, event: Event) -> Outcome:
    """Whatever was found shorter: it is the learner's to say. What makes one short is told of these numbers."""
    objects = isinstance(event.act, Comment) and event.act.kind == "object"
    missed = (Saying("sorry, aside"),) if objects and was_left_out(state) else ()
    return go_on_to(state, state.place + 1), (*missed, _shorter(state.task.equation))


def _shorter(equation: Equation) -> Saying:
    factor = _factor(equation)
    other = equation.right if has_unknown(equation.left) else equation.left
    if factor is None:
        return Saying("compared")
    by, number = (Fraction(linear(one).constant) for one in (factor, other))
    whole = by and (number / by).denominator == 1
    return Saying("compared, even" if whole else "compared, uneven", {"sum": other, "by": factor})

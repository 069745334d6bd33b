"""Several claims of one turn, judged in order: each claimed move on each side, each claimed line on the one before.

A line that is said to come of a move must be that move's result, or lie on a teacher's way on from it: a true line
beside a false claim ("I added 2 and got 3x = 12", on 3x + 2 = 14) is not a right step.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from dialogue.acts import Act, Value
from dialogue.algebra.cost import comes_closer
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict, carry_out
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.tree import Unknown, has_unknown
from dialogue.judgement import Judgement, judge


@dataclass(frozen=True, slots=True)
class Claim:
    """A step, the line that it was judged on, and its judgement."""

    step: Step
    before: Equation
    judgement: Judgement


def steps_of(acts: Iterable[Act], letter: str) -> tuple[Step, ...]:
    """The steps among the acts; a number alone counts as the answer."""
    found: list[Step] = []
    for act in acts:
        match act:
            case Move() | Rewrite() | Line() | Verdict():
                found.append(act)
            case Value(value) if not has_unknown(value):
                found.append(Line(Equation(Unknown(letter), value, letter)))
    return tuple(found)


def judge_in_order(equation: Equation, steps: Sequence[Step]) -> tuple[Claim, ...]:
    """The claims up to the first that fails. Raises OutOfScope where a line leaves the mathematics taught here."""
    claims: list[Claim] = []
    line, due, helped = equation, equation, True
    moved: Move | Rewrite | None = None
    for step in moves_first(equation, steps):
        judgement = judge(due, step)
        if isinstance(step, Move | Rewrite):
            helped = helped and judgement.closer
            moved = step
        elif isinstance(step, Line) and moved is not None and not follows(due, step.equation, helped):
            judgement = not_that_move(line, moved, step)
        claims.append(Claim(step, due, judgement))
        if not judgement.balanced:
            break
        if isinstance(step, Line):
            line = due = step.equation
            moved, helped = None, True
        elif judgement.result is not None:
            due = judgement.result
    return tuple(claims)


def not_that_move(line: Equation, moved: Move | Rewrite, step: Line) -> Judgement:
    """The judgement of a line that the claimed move does not give, whether or not the line is true."""
    errors = judge(line, step).errors or judge(line, moved).errors
    return Judgement(False, False, None, errors, "not that move")


def follows(due: Equation, line: Equation, helped: bool) -> bool:
    """Whether a line can come of a move whose result is ``due``: as that result, its sides in either order; or, where
    the move helped, as a line that a teacher would reach from there."""
    wanted = {line.linear(), line.swapped().linear()}
    if due.linear() in wanted:
        return True
    return helped and any(worked.equation.linear() in wanted for worked in solve_by_steps(due))


def summed_up(equation: Equation, claims: Sequence[Claim]) -> Judgement:
    """One judgement for all: that of the claim that fails, else of the last, over the whole way from the first line."""
    last = claims[-1]
    if not last.judgement.balanced or len(claims) == 1:
        return last.judgement
    end = last.step.equation if isinstance(last.step, Line) else last.judgement.result
    closer = end is not None and comes_closer(equation, end)
    errors = tuple(dict.fromkeys(error for claim in claims for error in claim.judgement.errors))
    return replace(last.judgement, closer=closer, errors=errors)


def moves_first(equation: Equation, steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with a line put after the move that it is explained by ("3x = 12, I took 2 off"), as it was done.

    A move said after a line is a further step where it brings that line on, or where the line came of the move before
    it, and an account of it where neither is so.
    """
    found = list(steps)
    line, before = equation, tuple[Move, ...]()  # the moves said since that line
    for place in range(len(found) - 1):
        step, after = found[place], found[place + 1]  # as the places before have left them
        if not isinstance(step, Line):
            before = (*before, step) if isinstance(step, Move) else ()
        elif isinstance(after, Move) and not (before and _made(line, before, step.equation)) and (
            _made(line, (after,), step.equation) or not _helps(step.equation, after)
        ):  # fmt: skip
            found[place], found[place + 1] = after, step
        else:
            line, before = step.equation, ()
    return tuple(found)


def _made(line: Equation, moves: Sequence[Move], result: Equation) -> bool:
    """Whether a line comes of moves, one after the other."""
    try:
        helped = True
        for move in moves:
            helped = helped and judge(line, move).closer
            line = carry_out(move, line)
        return follows(line, result, helped)
    except (Refusal, ValueError):
        return False


def _helps(line: Equation, move: Move) -> bool:
    try:
        return judge(line, move).closer
    except Refusal:
        return False

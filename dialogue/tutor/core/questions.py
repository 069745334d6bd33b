"""Which question a line needs next, and the state in which it is asked."""

from dataclasses import replace
from fractions import Fraction

from dialogue.algebra.cost import untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, Rewrite, carry_out, carry_out_rewrite
from dialogue.algebra.operations import Done, operations_on
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Expression, Number, Quotient, Unknown, constant, has_unknown
from dialogue.tutor.core.state import BoardLine, Level, Phase, State, Task

SWIFT = 2  # equations of one kind answered at once, after which the next kind comes (a choice)
LAST_STAGE = 15
PRACTISED = frozenset({"", "practice"})  # purposes of equations after which the next kind may come
FADES_AFTER = 4  # kinds of equation told unaided, after which what happens to the unknown is asked no more (a choice)
SIDES_FADE_AFTER = 1  # results worked out unaided, side by side, after which the whole line is asked for (rule 7)


def go_on_to(state: State, place: int) -> State:
    """The task at a place of the plan, or after an extra one where the set was left; where there is none, or another is
    wished for first, the lesson waits for it, or is over."""
    plan, tasks = state.plan, state.plan.tasks
    if state.back_to is not None:
        place, state = state.back_to, replace(state, back_to=None)
    if plan.beyond == "extra":  # what was given beside the set is not given again
        place = next((each for each in range(place, len(tasks)) if not tasks[each].wished), len(tasks))
    if is_swift(state) and state.wish is None:
        state = replace(state, wish="next")
    ended = place >= len(tasks)
    cleared_state = replace(fresh_task(state), place=place)
    if state.wish is not None and (plan.beyond or (plan.open and ended)):
        return replace(cleared_state, phase="between")
    if ended:
        more = (plan.open or plan.beyond == "on") and not tasks[-1].exit
        return replace(cleared_state, phase="between" if more else "done")
    return begin_task(state, place)


def is_swift(state: State) -> bool:
    """Whether somebody who answered some of a kind at once is to go on to the next kind, unasked."""
    task = state.task
    practised = task.purpose in PRACTISED and not task.exit
    return practised and state.plan.beyond == "on" and state.swift >= SWIFT and 0 < task.stage < LAST_STAGE


def is_another_kind(state: State, task: Task) -> bool:
    """Whether a task to be practised is of another stage than the last such one before it."""
    before = next((one for one in reversed(state.plan.tasks[:-1]) if one.purpose in PRACTISED), None)
    return task.purpose in PRACTISED and (before is None or before.stage != task.stage)


def fresh_task(state: State) -> State:
    """Nothing pending, tried or counted of the task that is over."""
    missed = tuple((state.place, guess) for guess in (*state.tried[-1:], state.guess) if guess is not None)
    missed = tuple((place, guess) for place, guess in missed if guess != state.task.equation.solution().value)
    over = replace(state, missed=(*state.missed, *missed[-1:]), tried=(), failed=None, deepest=1, idle=0)
    return cleared(replace(over, topic=None, slips=0))


def begin_task(state: State, place: int) -> State:
    """The first line of a task on a clean board."""
    task = state.plan.tasks[place]
    fresh = replace(
        fresh_task(state), place=place, board=(BoardLine(task.equation),), aided="independent", level_moves=0
    )  # fmt: skip
    if task.scene:
        return replace(fresh, phase="scene tips")
    return with_question(fresh)


def cleared(state: State) -> State:
    """The same line with nothing pending and no hints or failures counted."""
    return replace(
        state, pending=None, further=(), kept=None, part=None, guess=None, guess_errors=(), described=(), held=(),
        rivals=(), rung=0, tries=0, doubts=0, silences=0, inquiry=None,
    )  # fmt: skip


def with_line(state: State, line: Equation, note: Move | Rewrite | None, level: Level | None = None) -> State:
    """A new line of working on the board, and the question it needs next."""
    board = (*state.board, BoardLine(line.after(state.equation), note, level or state.aided))
    deeper = len(board) > state.deepest
    alone = deeper and board[-1].level == "independent"
    state = replace(
        cleared(state), board=board, aided="independent", failed=None, topic=None, alone=state.alone + alone,
        deepest=max(len(board), state.deepest), idle=0 if deeper else state.idle,
    )  # fmt: skip
    return with_question(state)


def with_question(state: State) -> State:
    """The phase of the first question that this line still needs."""
    if state.task.alone or state.leads or len(state.board) > 1 or is_solved(state.equation):
        return back_to_work(state)
    known = operations_on(state.equation)
    if known and not knows(state, known):
        return replace(state, phase="operations")
    return back_to_work(state)


def operations_kind(done: tuple[Done, ...]) -> str:
    """A kind of equation, as far as the question about operations goes: how many things are done to the unknown, and
    whether it is taken from something ("operations 2")."""
    taken = any(one.action == "take from" for one in done)
    return f"operations {len(done)}{' from' if taken else ''}"


def knows(state: State, done: tuple[Done, ...]) -> bool:
    """Whether what happens to the unknown need not be asked: it was told of an equation of this kind, or only one thing
    is done to it and the learner has told that, or solved such a one, before."""
    told = state.count("operations") >= FADES_AFTER or state.count(operations_kind(done)) > 0
    plain = len(done) == 1 and done[0].action != "take from"
    return told or (plain and (state.count("one step") > 0 or bool(state.solved)))


def after_operations(state: State) -> State:
    """The question after "what happens to x?": which to undo first, where there is a choice on the first line."""
    several = len(operations_on(state.equation)) > 1 and len(state.board) == 1
    if several and not state.count("first"):
        return replace(state, phase="first", rung=0)
    return back_to_work(state)


def back_to_work(state: State) -> State:
    """Ready for the next move; an answer on the board is to be put in, a line without the unknown to be named."""
    state = replace(state, pending=None, further=(), kept=None, part=None, rung=0, inquiry=None)
    answer = answer_on(state.equation)
    if answer is not None:
        return to_check(state, answer)
    gone = not any(has_unknown(side) for side in state.equation.sides())
    return replace(state, phase="count" if gone else "move", guess=None, guess_errors=())


def to_check(state: State, guess: Fraction) -> State:
    """The answer is put into the first equation, on the left side first unless the unknown is only on the right."""
    left = has_unknown(state.task.equation.left)
    phase: Phase = "check left" if left else "check right"
    return replace(
        state, phase=phase, guess=guess, guessed_in=state.turn, guess_errors=(), kept=None, rung=0, inquiry=None
    )


def with_pending(state: State, step: Move | Rewrite, *further: Move | Rewrite) -> State:
    """A step accepted: its result is asked for side by side, or as a whole line once learners do that unaided, or where
    more steps were said with it."""
    faded = state.count("sides") >= SIDES_FADE_AFTER or isinstance(step, Rewrite) or bool(further) or state.leads
    phase: Phase = "line" if faded else "left"
    return replace(
        state, pending=step, further=further, kept=None, part=None, phase=phase, rung=0, tries=0, inquiry=None
    )  # fmt: skip


def solved_here(state: State) -> State:
    """The equation in hand solved, and whether all of it was the learner's own."""
    alone = state.aided == "independent" and all(line.level == "independent" for line in state.board)
    solo = (*state.solo, state.place) if alone else state.solo
    undone = (*state.undone, state.place) if alone and _came_by_steps(state) else state.undone
    at_once = alone and state.guessed_in == state.began and not (state.tried or state.slips)
    counts = at_once and state.task.equation.solution().value is not None
    swift = state.swift if state.task.purpose not in PRACTISED else state.swift + 1 if counts else 0
    return replace(state, solved=(*state.solved, state.place), solo=solo, undone=undone, swift=swift)


def _came_by_steps(state: State) -> bool:
    """Whether the answer stands on steps of working: the board ends with it, or one step before it and it was the first
    number tried. A number found by trying undoes nothing; that no number fits, or every one, is nothing to try."""
    if state.task.equation.solution().value is None:
        return True
    if len(state.board) == 1:
        return False
    left = operations_on(state.equation)
    return answer_on(state.equation) is not None or (len(left) == 1 and not state.tried)


def answer_on(line: Equation) -> Fraction | None:
    """The number claimed for the unknown, where the line is solved for it."""
    if not is_solved(line):
        return None
    for one, other in (line.sides(), line.sides()[::-1]):
        if isinstance(one, Unknown) and not has_unknown(other):
            return Fraction(linear(other).constant)
    return None


def prompted(state: State) -> State:
    """The present step can no longer count as independent."""
    return state if state.aided == "shown" else replace(state, aided="prompted")


def due_line(state: State) -> Equation | None:
    """The line that the pending move or rewrite makes; None where none is pending."""
    if state.pending is None:
        return None
    if isinstance(state.pending, Move):
        return carry_out(state.pending, state.equation)
    return carry_out_rewrite(state.pending, state.equation)


def last_line(state: State) -> Equation | None:
    """The line that all the steps that wait would make, one after the other; None where none waits."""
    line = due_line(state)
    if line is None:
        return None
    for step in state.further:
        line = carry_out(step, line) if isinstance(step, Move) else carry_out_rewrite(step, line)
    return line


def due_value(state: State) -> Expression | None:
    """What the question in hand asks to be worked out, where it asks for a value."""
    line = due_line(state)
    if line is not None and state.phase in {"left", "right", "line"}:
        return line.right if state.phase == "right" else line.left
    if state.phase in {"check left", "check right"}:
        assert state.guess is not None
        side = state.task.equation.left if state.phase == "check left" else state.task.equation.right
        return constant(linear(side).at(state.guess))
    return None


def is_of_due_line(state: State, value: Expression) -> bool:
    """Whether it is the side with the unknown that the move in hand makes."""
    due = due_line(state)
    return due is not None and has_unknown(value) and linear(value) in due.linear()


def is_unfinished(value: Expression, due: Expression) -> bool:
    """Whether a right value is still a sum to be worked out (``14 - 2``); a fraction such as 14/6 may stand."""
    if isinstance(value, Quotient) and isinstance(value.top, Number) and isinstance(value.bottom, Number):
        return bool(value.bottom.value) and (value.top.value / value.bottom.value).denominator == 1
    return untidy(value) > untidy(due)

"""From an act to an event: each act, and each line that is stated, judged in the state in which it was said."""

from dataclasses import replace
from fractions import Fraction

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Disclosure,
    PartMove,
    Refused,
    Say,
    Seen,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.cost import comes_closer, untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict, carry_out
from dialogue.algebra.operations import (
    Done,
    alike,
    begins,
    describes,
    done_by,
    in_part,
    is_done_to_unknown,
    operations_on,
)
from dialogue.algebra.refusals import NotLinear, OutOfScope, Refusal
from dialogue.algebra.solver import is_solved, next_step
from dialogue.algebra.tree import Expression, Unknown, constant, has_unknown
from dialogue.claims import follows, not_that_move
from dialogue.judgement import Judgement, judge
from dialogue.tutor.activities.balance_scene import scene_event
from dialogue.tutor.activities.diagnosis import answered
from dialogue.tutor.activities.games import chosen
from dialogue.tutor.core.events import (
    Claimed,
    Counted,
    Described,
    Event,
    EventKind,
    LineKind,
    Moved,
    MoveKind,
    NotClear,
    PartGiven,
    PlainKind,
    Rewritten,
    Stated,
    Valued,
    ValueKind,
)
from dialogue.tutor.core.line_in_hand import (
    check_before,
    claimed_answer,
    comes_to_on_other_side,
    is_left_wrongly,
    is_named_only,
    is_of_other_side,
    is_too_long,
    is_true,
    kept_sides,
    mentions,
    own_side,
    solves_line,
    stands_in,
)
from dialogue.tutor.core.questions import due_line, due_value, is_of_due_line, is_unfinished, last_line
from dialogue.tutor.core.state import CHECKING, SCENE, WORKING, State
from dialogue.tutor.moves.earlier_equations import is_of_the_one_before
from dialogue.tutor.resolve_in_lesson import picked_out

ASKED: dict[str, PlainKind] = {
    "hint": "hint", "repeat": "repeat", "why": "why", "check": "check", "example": "example", "progress": "progress",
    "wording": "wording", "slower": "slower", "game": "game", "meaning": "meaning", "answer": "tell me",
}  # fmt: skip
SAID: dict[str, PlainKind] = {"yes": "yes", "no": "no", "stuck": "stuck", "checked": "comment"}
COMMANDED: dict[str, PlainKind] = {
    "undo": "undo", "skip": "skip", "stop": "stop", "pause": "pause", "slower": "slower", "restart": "restart",
    "easier": "easier", "harder": "harder", "lead": "lead",
}  # fmt: skip

NOT_LEGAL: dict[str, MoveKind] = {
    "one side": "move one side", "multiply by zero": "move by zero", "multiply by unknown": "move by unknown",
    "divide by unknown": "move by unknown", "divide by zero": "move divides by zero",
    "no operation": "move names nothing",
}  # fmt: skip


def decide(state: State, act: Act) -> Event:
    """The event that an act is in this state. What is out of scope is unclear, never wrong."""
    try:
        event = _decided(state, act)
        before = isinstance(event, Claimed) and not event.trial and is_of_the_one_before(state, event.answer)
        return Event("check", Ask("check", "one before")) if before else event
    except NotLinear:
        return NotClear("unclear", act, "not linear")
    except Refusal:
        return NotClear("unclear", act)


def _decided(state: State, act: Act) -> Event:
    if isinstance(act, Disclosure):
        return Event("distress", act)
    if isinstance(act, Refused):
        return Event("refused", act)
    if state.phase in SCENE:
        return scene_event(state, act)
    if state.phase == "spot" and (pointed := chosen(state, act)) is not None:
        return pointed
    if state.phase == "account" and answered(state, act) is not None:
        return Event("account", act)
    match act:
        case Ask(what):
            return Event(ASKED[what], act)
        case Say(what):
            return Event(SAID[what], act)
        case Control(what):
            return Event(COMMANDED[what], act)
        case Comment() | Seen():
            return Event("comment", act)
        case Unclear(question):
            return NotClear("unclear", act, question)
        case Describe(operations):
            return _described(state, act, tuple(map(_as_in_scope, operations)))
        case Term(term):
            return _term(state, act, term)
        case Value(value):
            return _value(state, act, value)
        case Work(left, right):
            return Event("sum right" if is_true(left, right) else "sum wrong", act)
        case Try(value):
            return _tried(state, act, value, trial=True)
        case Verdict():
            return _verdict(state, act)
        case Rewrite():
            return _rewrite(state, act)
        case PartMove():
            if (picked := picked_out(state, act)) is not None:
                return _move(state, picked)
            return _names_what_is_done(state, act) or _part(state, act, act)
        case Move():
            return _told(state, act) or _move(state, act)
        case Line(equation):
            return stated(state, act, equation)


def _as_in_scope(done: Done) -> Done:
    """ "Shared into 7" is said of n/7 too, and no unknown of ours stands below a line."""
    return replace(done, action="divide") if done.action == "divide into" else done


def _described(state: State, act: Describe | Move, operations: tuple[Done, ...]) -> Event:
    if state.phase in {"move", "reconsider"} and describes(operations, state.equation):
        return Described("described", act, operations)
    if state.phase != "operations":
        named = bool(operations) and all(is_done_to_unknown(done.operand, state.equation) for done in operations)
        value = operations[-1].operand if operations else constant(Fraction(0))
        return Valued("term named" if named else "term unknown", act, value)
    told = (*state.described, *operations)
    for said in (told, operations):
        if describes(said, state.equation):
            return Described("described", act, said)
    if begins(told, state.equation):
        return Described("described part", act, told)
    unordered = alike(told) == alike(operations_on(state.equation)) or in_part(told, operations_on(state.equation))
    return Described("described unordered" if unordered else "described wrong", act, told)


def _told(state: State, move: Move) -> Event | None:
    """Asked what happens to the unknown, a move on no side that names it: an account, and nothing to be done."""
    done = done_by(move)
    if state.phase != "operations" or move.sides != "unsaid" or done is None:
        return None
    asked = operations_on(state.equation)
    named = any(one.action == done.action and linear(one.operand) == linear(done.operand) for one in asked)
    return _described(state, move, (done,)) if named else None


def _term(state: State, act: Term | Value, term: Expression) -> Event:
    kind: ValueKind = "term named" if is_done_to_unknown(term, state.equation) else "term unknown"
    return Valued(kind, act, term)


def _value(state: State, act: Value, value: Expression) -> Event:
    due, number = due_value(state), not has_unknown(value)
    if state.phase == "reconsider" and is_of_due_line(state, value):  # what the move that is thought over gives
        return Event("comment", Comment("notice"))
    if due is None and (check := check_before(state, value)) is not None:
        return Event("sum right", check)
    if due is None:
        if not number and is_left_wrongly(state, value):
            return Valued("value wrong", act, value)
        if state.phase == "account":
            return Valued("value unasked", act, value)
        if number and act.side is not None and not solves_line(state, value):  # of a side that nobody asked for
            return Event("comment", Comment("notice"))
        if state.phase == "first" and (is_done_to_unknown(value, state.equation) or stands_in(value, state.equation)):
            return _term(state, act, value)
        if state.phase == "operations" and (own := own_side(state, value)):
            return Described("described", act, own)
        if state.phase == "operations" and number and is_named_only(state, value):
            return Valued("value unasked", act, value)
        if state.phase == "part" and state.part is not None and state.part.operand is None:
            part = _part(state, act, PartMove(None, value))
            if not (number and part.kind == "move level" and solves_line(state, value)):
                return part
        return _tried(state, act, value) if number else Valued("value unasked", act, value)
    try:
        given, wanted = linear(value), linear(due)
    except Refusal:
        return NotClear("unclear", act)
    line, end = due_line(state), last_line(state)
    if line is not None and state.phase == "left" and is_of_other_side(value, line) and given != linear(line.right):
        step = Line(Equation(line.left, value, state.letter))
        return Stated("right wrong", act, step, judge(state.equation, step))
    unworked = is_unfinished(value, due)
    if end is not None and number and is_solved(end) and given in end.linear() and not (unworked and given == wanted):
        return stated(state, act, end)  # the answer itself, where the result is "n = 16"
    if given == wanted:
        return Valued("value unworked" if unworked else "value right", act, value)
    other = line is not None and is_of_other_side(value, line)
    early = state.phase == "line" or (state.phase == "left" and (number or other))
    if line is not None and early and given == linear(line.right):
        return Valued("value of other side", act, value)
    if state.phase == "line":
        if line is not None and has_unknown(value) and has_unknown(line.left):
            step = Line(Equation(value, line.right, state.letter))
            return Stated("left wrong", act, step, judge(state.equation, step))
        answers = number and given.constant == state.equation.solution().value
        return _tried(state, act, value) if answers else Valued("value unasked", act, value)
    if state.phase in CHECKING and state.kept is None and given == comes_to_on_other_side(state):
        return Valued("value of other side", act, value)
    solved = state.task.equation.solution().value
    if number and state.guess != solved == given.constant:  # an answer, to be put in
        return _tried(state, act, value)
    return Valued("value wrong", act, value)


def _tried(state: State, act: Value | Try, value: Expression, trial: bool = False) -> Event:
    """A number offered as the answer, at any moment: it is put in."""
    try:
        answer = Fraction(linear(value).constant)
    except Refusal:
        return NotClear("unclear", act)
    if has_unknown(value):
        return Valued("value unasked", act, value)
    line = Line(Equation(Unknown(state.letter), value, state.letter))
    return Claimed("answer", act, line, judge(state.equation, line), answer, trial)


def _verdict(state: State, said: Verdict) -> Event:
    """None or every number: early, right or wrong alike, until the line shows it (3n + 4 = 3n + 9, or 4 = 9)."""
    left, right = state.equation.linear()
    gone = not any(has_unknown(side) for side in state.equation.sides())
    plain = left.coefficient == right.coefficient and not any(untidy(side) for side in state.equation.sides())
    verdict = judge(state.equation, said)
    if not (gone or plain):
        return Counted("verdict early", said, said, verdict)
    return Counted("verdict right" if verdict.balanced else "verdict wrong", said, said, verdict)


def _rewrite(state: State, rewrite: Rewrite) -> Event:
    verdict = judge(state.equation, rewrite)
    moved = verdict.result is not None and all(verdict.result != line.equation for line in state.board)
    return Rewritten("rewrite closer" if moved else "rewrite idle", rewrite, rewrite, verdict)


def _names_what_is_done(state: State, part: PartMove) -> Event | None:
    """An operation alone that is done to the unknown, where another one would undo it ("oh, it means times!" of 2n):
    something seen, and no move begun."""
    done = tuple(one for one in operations_on(state.equation) if one.action == part.operation)
    if state.phase == "operations" and part.operand is None and done:  # "times it by something"
        return _described(state, Describe(done[-1:]), done[-1:])
    if state.phase not in {"move", "reconsider"} or part.operand is not None or part.sides != "unsaid":
        return None
    step = next_step(state.equation)
    helps = isinstance(step, Move) and step.operation == part.operation
    return Described("described", part, done[-1:]) if done and not helps else None


def _part(state: State, act: PartMove | Value, said: PartMove) -> Event:
    """A part completes the move under way: the one being asked about, the one-sided one, or the one just made."""
    under = state.part
    if under is None and isinstance(state.pending, Move):
        under = PartMove(state.pending.operation, state.pending.operand, state.pending.sides)
    operation = said.operation or (under.operation if under else None)
    told = said.operation is not None or said.operand is not None or under is not None
    operand = said.operand or (under.operand if under else None) or (state.topic if told else None)
    sides = said.sides if said.sides != "unsaid" or under is None else under.sides
    if operation is None or operand is None:
        return PartGiven("move part", act, PartMove(operation, operand, sides))
    event = _move(state, Move(operation, operand, sides))
    return Moved(event.kind, act, event.step, event.judgement) if isinstance(event, Moved) else event


def _move(state: State, move: Move) -> Event:
    done = state.pending if state.phase == "mend" else None
    if isinstance(done, Move) and _is_same(done, move) and (state.may_be_both or move.sides != done.sides):
        whole = Move(move.operation, move.operand, "both")
        if not state.asked_of_other:
            return Moved("move other side", move, whole, judge(state.equation, whole))
        move = whole  # nothing had tipped
    if state.phase in WORKING and state.pending is not None:
        if isinstance(state.pending, Move) and _is_same(state.pending, move) and not state.moved:
            return Moved("move again", move, move, judge(state.equation, move))
        due = last_line(state)
        if due is not None:  # said on, and not instead: what takes a move back says so
            further = judge(due, move)
            if further.closer and not is_too_long(further):
                return Moved("move further", move, move, further)
    verdict = judge(state.equation, move)
    if verdict.reason:
        return Moved(NOT_LEGAL[verdict.reason], move, move, verdict)
    if is_too_long(verdict):
        return NotClear("unclear", move, "too big")
    return Moved("move closer" if verdict.closer else "move level", move, move, verdict)


def _is_same(one: Move, other: Move) -> bool:
    return one.operation == other.operation and linear(one.operand) == linear(other.operand)


def stated(state: State, act: Line | Value, line: Equation) -> Event:
    """The event that a stated line is in this state."""
    step = Line(line)
    try:
        line.linear()
    except OutOfScope:
        return NotClear("unclear", act)
    verdict = judge(state.equation, step)
    answer = claimed_answer(line)
    if state.phase in CHECKING and answer is None and not mentions(line):
        return _both_values(state, act, line)
    if state.phase in WORKING and (due := due_line(state)) is not None:
        result = _as_result(state, due, act, step, verdict)
        if result is not None:
            return result
    if state.moved and state.phase == "reconsider" and isinstance(state.pending, Move):
        kept = follows(carry_out(state.pending, state.equation), line, helped=False)
        claim = verdict if kept else not_that_move(state.equation, state.pending, step)
        return Stated("line kept" if kept else "claim false", act, step, claim, answer)
    if answer is not None:
        return Claimed("answer", act, step, verdict, answer)
    known = any(line == each.equation for each in state.board)
    known = known or (line.linear() == state.equation.linear() and not verdict.closer)  # n × 7 for 7n
    return Stated("line same" if known else _as_next_line(line, state, verdict), act, step, verdict)


def _as_next_line(line: Equation, state: State, verdict: Judgement) -> LineKind:
    if not verdict.balanced:
        return "line broken"
    if is_solved(line) and not mentions(line):
        return "line ends"
    return "line closer" if verdict.closer or line == state.equation.swapped() else "line level"


def _as_result(state: State, due: Equation, act: Line | Value, step: Line, verdict: Judgement) -> Event | None:
    """A line offered as the result of the move in hand, each side checked against that move, in either order; where
    several moves wait, as the result of all or of the first ones.

    None where it is better heard as a step further on: an answer, or a line that is closer still.
    """
    line = step.equation
    end = last_line(state) or due
    left, right = max((kept_sides(due, one) for one in (line, line.swapped())), key=sum)
    answer = claimed_answer(line)
    if (left and right) or (end != due and follows(end, line, helped=False)):
        return Stated("line kept", act, step, verdict, answer)
    if verdict.balanced:
        if state.moved and state.pending is not None and not follows(end, line, helped=True):
            return Stated("claim false", act, step, not_that_move(state.equation, state.pending, step), answer)
        further = verdict.closer and (answer is not None or comes_closer(due, line))
        return None if further else Stated("line elsewhere", act, step, verdict)
    if left or right:
        return Stated("right wrong" if left else "left wrong", act, step, verdict)
    return None if answer is not None and not state.moved else Stated("both wrong", act, step, verdict)


def _both_values(state: State, act: Line | Value, line: Equation) -> Event:
    """``17 = 14`` while an answer is being put in: both values at once, in either order."""
    if state.guess is None:
        return NotClear("unclear", act)
    due = sorted(linear(side).at(state.guess) for side in state.task.equation.sides())
    given = sorted(linear(side).constant for side in line.sides())
    kind: PlainKind = "values right" if given == due else "values wrong"
    return Event(kind, act)


__all__ = ["COMMANDED", "EventKind", "decide", "stated"]

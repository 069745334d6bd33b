"""The acts of one turn, made ready to be heard one after the other: what goes together is put together, what is only
said beside an answer is kept apart, and what ends, leaves or takes back something is asked about unless said alone."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Disclosure,
    PartMove,
    Say,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move, Rewrite, Verdict, carry_out
from dialogue.algebra.operations import as_move, begins, describes
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Number, constant, has_unknown
from dialogue.claims import moves_first
from dialogue.judgement import judge
from dialogue.learner.history import Wish
from dialogue.tutor.core.course import wish_of
from dialogue.tutor.core.line_in_hand import claimed_answer, is_true
from dialogue.tutor.core.questions import due_value, is_unfinished
from dialogue.tutor.core.state import ASKING, CHECKING, SCENE, WORKING, Phase, State
from dialogue.tutor.sums_said import (
    answers_with_checks,
    fits,
    is_a_result,
    is_of_the_check,
    last_worked_out,
    supported,
    tries_another,
    with_results,
    without_echo,
)

COMMANDS = frozenset({"stop", "skip", "undo", "restart"})
STEPS = (Move, Rewrite, Line, Verdict)
YES_OR_NO: frozenset[Phase] = frozenset({"confirm", "offer stop", "reconsider", "mend", "count", "paused"})
CORRECTED: frozenset[Phase] = frozenset({*WORKING, "reason"})  # where a "no" and a move take back the one in hand
WEIGHT = {"object": 0, "feel": 1, "goal": 2, "rule": 3, "reason": 4, "notice": 5, "aside": 6}


@dataclass(frozen=True, slots=True)
class Ordered:
    """``acts`` to be heard in order; ``beside`` what was said along with them; ``leave`` a command to be asked about;
    ``corrected`` whether a "no" took back the move in hand."""

    acts: tuple[Act, ...]
    beside: tuple[Comment, ...] = ()
    leave: Control | None = None
    corrected: bool = False


def ordered(state: State, acts: Sequence[Act]) -> Ordered:
    """The acts of a turn, made ready. Nothing that counts is lost, and nothing is added but what a sum came to where a
    value was asked for."""
    for act in acts:
        if isinstance(act, Disclosure):
            return Ordered((act,))
    acts = _as_undone(state, without_echo(state, acts))
    acts = with_results(last_worked_out(state, acts))
    acts = answers_with_checks(state, supported(state, [_as_line(state, act) for act in acts]))
    acts = _with_check(state, acts)
    acts = _without_claims(state, acts) if state.phase == "operations" else _undone_after(state, acts)
    if len(acts) < 2:
        return Ordered(_with_value(state, tuple(acts)))
    leave = next((act for act in acts if isinstance(act, Control) and act.what in COMMANDS), None)
    left = [act for act in acts if not (isinstance(act, Control) and act.what in COMMANDS)]
    if state.phase in SCENE:
        return Ordered(tuple(left) or (acts[0],), (), leave if left else None)
    if leave is not None and state.phase == "confirm" and leave in state.held:
        leave = None  # the yes beside it says so
    talk = (Comment("feel"), Comment("aside"), Say("yes"), Say("no"))
    felt = any(isinstance(act, Comment) and act.kind == "feel" and act.about is not None for act in left)
    more = leave is not None or felt or any(not isinstance(act, Comment) and act not in talk for act in left)
    content = any(isinstance(act, CONTENT) for act in left)
    if more and not content and state.phase not in YES_OR_NO:  # nothing was asked that a yes or no answers
        left = [act for act in left if act not in {Say("yes"), Say("no")}]
    other = content or any(not isinstance(act, Comment) for act in left)
    beside = tuple(act for act in left if isinstance(act, Comment))
    if not other:
        if leave is not None:  # however politely it is put
            return Ordered((leave,), beside)
        chosen = min(beside, key=lambda act: _weight(state, act), default=None)
        return Ordered((chosen,) if chosen else (), (), leave)
    left = _yes_or_no_first(state, [act for act in left if not isinstance(act, Comment)])
    if state.phase == "compare" and all(isinstance(act, Ask) for act in left):  # what was found is heard first
        left = [*(act for act in beside if act.kind in {"reason", "notice", "rule"}), *left]
    if any(isinstance(act, STEPS) for act in left):  # "why" beside a step is of that step, and not of what was before
        left = sorted(left, key=lambda act: act == Ask("why"))
    said_no = any(act == Say("no") for act in left)
    if said_no:
        left = _number_corrected(state, left)
    if content:
        left = _without_answered(state, left)
    left = list(_with_value(state, tuple(left)))
    left = _values_together(state, left)
    left = _moves_first(state, left)
    if beside:  # who says what they see, or how it is, is not asked first which part they can tell
        left = [Ask("hint") if act == Say("stuck") else act for act in left]
    corrected = said_no and state.phase in CORRECTED and any(isinstance(act, Move | PartMove) for act in left)
    return Ordered(tuple(left), beside, leave, corrected)


def _weight(state: State, act: Comment) -> int:
    """The least is met first: an objection, or that somebody is no good, unless what they told was passed over."""
    return -1 if act == Comment("feel", "upset") and state.felt[0] is None else WEIGHT[act.kind]


def wished_beside(acts: Sequence[Act]) -> Wish | None:
    """The kind wished for beside something else: it is for the next equation, and the one in hand goes on."""
    wish = next((act for act in acts if is_wish(act)), None)
    other = any(act != wish and not isinstance(act, Comment | Unclear) for act in acts)
    return wish_of(wish) if wish is not None and other else None


def without_wish_in_hand(state: State, acts: Sequence[Act]) -> tuple[Act, ...]:
    """The acts without a wish for the very kind that is in hand, where more is said."""
    kept = tuple(act for act in acts if not (isinstance(act, Control) and act.about and act.about == state.task.wished))
    return kept or tuple(acts)


def wished_instead(state: State, acts: Sequence[Act]) -> Control | None:
    """A wish beside something else that is for now, or that was not followed yet, where the next can be another."""
    wish = next((act for act in acts if isinstance(act, Control) and is_wish(act)), None)
    if wish is None or not (state.plan.beyond or state.plan.open):
        return None
    return wish if wish.now or state.wish == wish_of(wish) else None


def is_wish(act: Act) -> bool:
    """Whether an act wishes for another kind of equation."""
    return isinstance(act, Control) and act.what in {"easier", "harder"}


def _as_undone(state: State, acts: Sequence[Act]) -> list[Act]:
    """Asked which to undo first: a number of the line, and what the other side comes to without it ("5, so 28"), is a
    move, and its result no answer."""
    found = list(acts)
    other = next((side for side in state.equation.sides() if not has_unknown(side)), None)
    if other is not None and state.phase == "move" and state.topic is not None and len(found) == 1:
        return _topic_undone(state, state.topic, found)
    if state.phase not in {"first", "move"} or other is None:
        return found
    for place, (act, after) in enumerate(pairwise(acts)):
        if not isinstance(act, Term) or not isinstance(after, Value) or has_unknown(after.value):
            continue
        for operation in INVERSE:
            move = Move(operation, act.term)
            made = carry_out(move, state.equation)
            if after.value in made.sides() and judge(state.equation, move).closer:
                found[place] = replace(move, sides="both")
    return found


def _topic_undone(state: State, topic: Expression, acts: list[Act]) -> list[Act]:
    """Once a number is named to begin with: what the other side comes to without it is that move and its result, unless
    it is the answer too."""
    answer = state.equation.solution().value
    value = acts[0].value if isinstance(acts[0], Value) else None
    if value is None or has_unknown(value) or linear(value).constant == answer or has_unknown(topic):
        return acts
    for operation in INVERSE:
        move = Move(operation, topic, "both")
        if topic != constant(Fraction(0)) and value in carry_out(move, state.equation).sides() and _closer(state, move):
            return [move, *acts]
    return acts


def _yes_or_no_first(state: State, acts: list[Act]) -> list[Act]:
    """A question that yes or no answers is answered before help is asked for ("idk. no? i cant")."""
    if state.phase not in YES_OR_NO or not any(act in {Say("yes"), Say("no")} for act in acts):
        return acts
    once = list(dict.fromkeys(acts))
    return sorted(once, key=lambda act: act in {Say("stuck"), Ask("hint")})


def _as_line(state: State, act: Act) -> Act:
    """``4 = 9`` where the unknown cancels is a line, if it follows, and no sum."""
    left, right = state.equation.linear()
    if not isinstance(act, Work) or left.coefficient != right.coefficient or is_true(act.left, act.right):
        return act
    line = Line(Equation(act.left, act.right, state.letter))
    return line if judge(state.equation, line).balanced else act


def _without_claims(state: State, acts: Sequence[Act]) -> list[Act]:
    """Asked what happens to the unknown: what is said on from a right account, or is no account and comes before a
    line, is what the learner did ("minus 51, so add 51"; "I added 2 and got 3x = 12")."""
    found: list[Act] = []
    for place, act in enumerate(acts):
        if not isinstance(act, Describe) or describes(act.operations, state.equation):
            found.append(act)
            continue
        right = [count for count in range(1, len(act.operations)) if describes(act.operations[:count], state.equation)]
        claimed = any(isinstance(one, Line) for one in acts[place + 1 :]) and not begins(act.operations, state.equation)
        kept = right[-1] if right else 0 if claimed else len(act.operations)
        moves = [as_move(done) for done in act.operations[kept:]]
        found += [Describe(act.operations[:kept])] if kept else []
        found += [replace(move, sides="both") for move in moves if move is not None]
    return found


def _undone_after(state: State, acts: Sequence[Act]) -> list[Act]:
    """After a move what is told as done, and is no account of the line, is the next move ("minus 9 then times 6")."""
    found: list[Act] = []
    for act in acts:
        account = isinstance(act, Describe) and describes(act.operations, state.equation)
        if isinstance(act, Describe) and not account and any(isinstance(one, Move) for one in found):
            moves = (as_move(done) for done in act.operations)
            found += [replace(move, sides="both") for move in moves if move is not None]
        else:
            found.append(act)
    return found


def _number_corrected(state: State, acts: list[Act]) -> list[Act]:
    """A "no" and a number, after a move: the same move with that number ("no i meant 6"); while an answer is put in,
    another answer ("no it's 9")."""
    values = [act for act in acts if isinstance(act, Value)]
    if state.phase in CHECKING and len(values) == 1 and not has_unknown(values[0].value):
        due = due_value(state)
        again = due is not None and _same(values[0], due)
        return acts if again else [Try(values[0].value) if act is values[0] else act for act in acts]
    if state.phase not in {"reconsider", *WORKING} or not isinstance(state.pending, Move) or len(values) != 1:
        return acts
    if any(isinstance(act, CONTENT) and act is not values[0] for act in acts) or has_unknown(values[0].value):
        return acts
    return [replace(state.pending, operand=values[0].value) if act is values[0] else act for act in acts]


def _without_answered(state: State, acts: list[Act]) -> list[Act]:
    """Without a yes, a no or a question that the step beside it answers, and without sums that are right: support."""
    kept: list[Act] = []
    for place, act in enumerate(acts):
        more = any(isinstance(one, CONTENT) for one in acts[place + 1 :])
        match act:
            case Say("yes" | "no") if state.phase not in YES_OR_NO or (
                act.what == "no" and (state.phase != "reconsider" or any(isinstance(one, Move) for one in acts))
            ):
                continue
            case PartMove(operation, None) if operation and any(isinstance(one, Move) for one in acts[place + 1 :]):
                continue  # "oh so times. so divide by 3?": what is seen, and then the move
            case Say("checked") | Ask("check", "") if act == Say("checked") or not fits(state, acts[:place]):
                continue
            case Say("stuck") | Ask("hint") if more:
                continue
            case Ask("meaning", "") | Ask("wording" | "repeat"):
                continue
            case Move("transfer") if any(isinstance(one, Line) for one in acts[place + 1 :]):
                continue  # the line says what it gives
            case Work(left, right) if _others(acts) and (is_true(left, right) or is_a_result(left)):
                continue  # "-17 is 13" is no sum, but the end of one that was not read
        kept.append(act)
    return kept or acts


def _others(acts: Sequence[Act]) -> bool:
    return any(isinstance(act, CONTENT) and not isinstance(act, Work) for act in acts)


def _with_value(state: State, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """Where a value was asked for, a sum done aloud gives it, if nothing else does."""
    if state.phase not in {*WORKING, *CHECKING} or _others(acts) or due_value(state) is None:
        return acts
    sums = [act for act in acts if isinstance(act, Work) and is_true(act.left, act.right)]
    return (*(act for act in acts if act not in sums), Value(sums[-1].right)) if sums else acts


def _with_check(state: State, acts: list[Act]) -> list[Act]:
    """A check done in the breath of the answer, or of both sides at once, as both sides' values: what was worked out
    already is not asked for again. "The same" of the second side is the value of the first."""
    if state.phase == "check right" and Say("checked") in acts and not any(map(_results, acts)):
        first = Value(constant(value_at(state.task.equation.left, state.guess or Fraction(0))))
        return [first if act == Say("checked") else act for act in acts]
    at, guess = _answer_said(state, acts)
    said = [number for act in acts[at + 1 :] for number in _results(act)]
    if guess is None or not said or state.phase == "check right":
        return acts
    sides = state.task.equation.sides()
    due = [value_at(side, guess) for side in sides]
    left = [*said, *said] if Say("checked") in acts else list(said)
    for side, number in zip(sides, due, strict=True):
        if has_unknown(side) and number not in left:
            return acts
        left = [*left[: left.index(number)], *left[left.index(number) + 1 :]] if number in left else left
    both = Line(Equation(constant(due[0]), constant(due[1]), state.letter))
    told = list(acts[at + 1 :])
    if guess == state.guess:
        told = [Try(act.value) if isinstance(act, Value) and tries_another(state, act) else act for act in told]
    rest = [act for act in told if isinstance(act, Try) or not (_results(act) or act == Say("checked"))]
    return [*acts[: at + 1], both, *rest]


def _answer_said(state: State, acts: Sequence[Act]) -> tuple[int, Fraction | None]:
    """Where the last answer stands among the acts, and which it is; the answer that is being put in stands before."""
    found: tuple[int, Fraction | None] = (-1, state.guess if state.phase in CHECKING else None)
    for place, act in enumerate(acts):
        match act:
            case Line(equation) if (answer := claimed_answer(equation)) is not None:
                found = place, answer
            case Value(value) | Try(value) if state.phase in ASKING and found[1] is None and not has_unknown(value):
                found = place, Fraction(linear(value).constant)
    return found


def _results(act: Act) -> list[Fraction]:
    """The numbers that an act may give for a side: a value, or what a right sum comes to ("68 = 68" gives two)."""
    match act:
        case Value(value) if not has_unknown(value):
            result = Fraction(linear(value).constant)
            return [] if is_unfinished(value, constant(result)) else [result]
        case Work(left, right) if is_true(left, right):
            result = Fraction(linear(right).constant)
            return [result, result] if isinstance(left, Number) else [result]
    return []


def _values_together(state: State, acts: list[Act]) -> list[Act]:
    """Both sides' values are a line ("31 both sides"); of several values in a check, the one that was asked for."""
    values = [act for act in acts if isinstance(act, Value)]
    if state.phase in CHECKING and len(values) == 1 and PartMove(None, None, "both") in acts:
        both = Line(Equation(values[0].value, values[0].value, state.letter))
        return [both if act is values[0] else act for act in acts if act != PartMove(None, None, "both")]
    if len(values) != 2:
        return acts
    if state.phase in CHECKING:
        due = due_value(state)
        fits = [one for one in values if due is not None and _same(one, due)]
        if fits and values[0] is fits[0] and tries_another(state, values[1]):
            return [Try(act.value) if act is values[1] else act for act in acts]  # "92. too big. 58?"
        return [act for act in acts if act not in values or act in fits[:1]] if fits else acts
    if state.phase in WORKING and all(_same(one, values[0].value) for one in values):
        again = max(place for place, act in enumerate(acts) if isinstance(act, Value))
        return [*acts[:again], *acts[again + 1 :]]  # one side's value said twice is no line
    if state.phase not in WORKING and sum(has_unknown(one.value) for one in values) == 0:
        return acts
    first, second = values if values[0].side != "right" and values[1].side != "left" else values[::-1]
    line = Line(Equation(first.value, second.value, state.letter))
    place = acts.index(values[0])
    return [*acts[:place], line, *(act for act in acts[place:] if act not in values)]


def _same(one: Value, due: object) -> bool:
    try:
        return linear(one.value) == linear(due)  # type: ignore[arg-type]  # an expression, as due_value gives it
    except Refusal:
        return False


def _moves_first(state: State, acts: list[Act]) -> list[Act]:
    """A line or an answer put after the move that it is explained by; a number named before the move that takes it up
    ("the five: add five") is no answer."""
    acts = [act for act, after in zip(acts, [*acts[1:], None], strict=True) if not _taken_up(act, after)]
    places = [place for place, act in enumerate(acts) if isinstance(act, STEPS) and not is_of_the_check(state, act)]
    steps = [act for place in places if isinstance(act := acts[place], STEPS)]
    for place, step in zip(places, moves_first(state.equation, steps), strict=True):
        acts[place] = step
    for place, act in enumerate(acts[:-1]):
        after = acts[place + 1]
        if is_of_the_check(state, act):
            continue
        if isinstance(act, Value) and not has_unknown(act.value) and isinstance(after, Move) and _closer(state, after):
            acts[place], acts[place + 1] = after, act
    return acts


def _taken_up(act: Act, after: Act | None) -> bool:
    return isinstance(act, Value) and isinstance(after, Move) and act.value == after.operand


def _closer(state: State, move: Move) -> bool:
    try:
        return judge(state.equation, move).closer
    except Refusal:
        return False


def without_move(state: State) -> State:
    """The state once a "no" has taken back the move in hand, or the one that waits for its reason."""
    topic = next((act.operand for act in (*state.held, state.pending) if isinstance(act, Move)), state.topic)
    phase = state.back if state.phase == "reason" else "move"
    return replace(state, pending=None, further=(), kept=None, phase=phase, rung=0, held=(), topic=topic)

"""What was not heard, or not for sure, is put right by voice: read back, corrected, offered anew, asked for in part.

After a "no" that meaning is struck and the next best is offered; after two read-backs only the part that is in doubt is
asked for ("which number?"). Whatever is said instead is listened to, and nothing here is ever judged before it is
confirmed. Clark and Brennan 1991, "Grounding in communication": the least effort for both settles what was said.
"""

from dataclasses import replace

from dialogue.acts import Act, Control, PartMove, Value
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.tree import Expression, Sum, Unknown, has_unknown
from dialogue.tutor.core.events import Event, NotClear, Outcome, Unsure
from dialogue.tutor.core.state import ASKING, CHECKING, HOLDING, WORKING, Phase, State
from dialogue.tutor.moves.checking import not_taken_up
from dialogue.tutor.moves.hints import one_rung_down, sum_in_hand
from dialogue.tutor.moves.learner_questions import in_other_words
from dialogue.verbalising.sayings import Saying

Acts = tuple[Act, ...]
MOST_READ_BACKS = 2  # of one turn; then only what is in doubt is asked for
GIVE_WAY = 2  # failures to hear a yes or no, after which that question is left
SAY_WHAT: dict[Phase, str] = {
    "operations": "say operations",
    "first": "say a term",
    "left": "say a value",
    "right": "say a value",
    "line": "say a line",
    "check left": "say a number",
    "check right": "say a number",
    "count": "which count",
    "move": "what to say",
    "mend": "what to say",
}
SAY_WHAT_AFTER = 2  # sayings not followed in a row, after which the tutor says what it understands
UNCLEAR_QUESTIONS = frozenset(
    {
        "operations",
        "grouping", "two moves", "which side", "another letter", "which operation", "for ever", "decimal comma",
        "spaces", "too big", "not linear", "unknown below", "division by zero", "one equation",
    }
)  # fmt: skip


def heard_right(state: State, event: Event) -> Outcome:
    """Yes to a read-back: the held acts are heard in the phase they were meant for, and judged only now."""
    return replace(_left(state), doubts=0, then=state.held), ()


def read_back(state: State, event: Unsure) -> Outcome:
    """Heard or understood with some doubt: it is read back, and held for a yes. Said instead of a yes or no, it may
    correct what was read back; a meaning that was refused is not offered again."""
    if state.phase != "confirm":
        back = state.back if state.phase == "paused" else state.phase
        return replace(
            state, held=event.acts, rivals=event.rivals, by_ear=event.by_ear, back=back, phase="confirm", struck=()
        ), ()
    if event.acts == state.held:
        return state, ()  # said again instead of a yes
    struck = (*state.struck, state.held)
    likely = [_put_right(state.held, acts) for acts in (event.acts, *event.rivals)]
    offered = [acts for acts in likely if acts not in struck]
    if not offered or len(struck) >= MOST_READ_BACKS:
        return _ask_for_part(state, struck)
    return replace(state, held=offered[0], rivals=tuple(offered[1:]), by_ear=event.by_ear, struck=struck), ()


def heard_wrong(state: State, event: Event) -> Outcome:
    """No to a read-back: that meaning is struck, and the next best offered; then what is in doubt is asked for."""
    state, struck = replace(state, doubts=state.doubts + 1), (*state.struck, state.held)
    offered = [acts for acts in state.rivals if acts not in struck]
    if state.by_ear and offered and len(struck) < MOST_READ_BACKS:
        return replace(state, held=offered[0], rivals=tuple(offered[1:]), struck=struck), (Saying("not that one"),)
    if not state.by_ear:
        return _taken_another_way(state, struck)
    return _ask_for_part(state, struck)


def _taken_another_way(state: State, struck: tuple[Acts, ...]) -> Outcome:
    """A reading denied is never offered again: only what may be in doubt of it is asked for, once; then the question
    in hand, in other words."""
    held, rivals = state.held, state.rivals
    back = replace(_left(state), denied=(*state.denied, held))
    if state.doubts > MOST_READ_BACKS:
        return back, (Saying("say in parts"),)
    back, asked = _narrowed(back, held, rivals)
    return back, (Saying("say that part"), *asked)


def narrower(state: State, event: Unsure) -> Outcome:
    """Not sure, and not to be read back: what is in doubt is asked for, or else the whole in other words."""
    state = replace(state, doubts=state.doubts + 1)
    state, asked = _narrowed(state, event.acts, event.rivals)
    nearer = sum_in_hand(state) if state.phase in {*CHECKING, *WORKING} else None
    again = tuple(filter(None, (Saying("unclear"), in_other_words(state))))
    return state, asked or ((nearer,) if nearer is not None else again)


def _narrowed(state: State, acts: Acts, rivals: tuple[Acts, ...]) -> Outcome:
    """The question about the part in which readings differ: the number of a move, or its operation; nothing where they
    differ in more."""
    move = next((act for act in acts if isinstance(act, Move)), None)
    if move is None or state.phase not in ASKING or len([act for act in acts if isinstance(act, Move)]) > 1:
        lines = state.phase in ASKING and any(isinstance(act, Line) for act in acts)
        return state, (Saying("whole line"),) if lines and state.doubts < SAY_WHAT_AFTER else ()
    others = [act for each in rivals for act in each if isinstance(act, Move) and act != move]
    if any(other.operation == move.operation and other.operand != move.operand for other in others):
        return replace(state, phase="part", part=PartMove(move.operation, None, move.sides)), ()
    if any(other.operand == move.operand and other.operation != move.operation for other in others):
        return replace(state, phase="part", part=PartMove(None, move.operand, move.sides)), ()
    return replace(state, topic=move.operand), (Saying("name the move", {"term": move.operand}),)


def listen_again(state: State, event: Event) -> Outcome:
    """Something else was said where yes or no was asked, or while the lesson waited: it is heard in the phase left,
    and a number alone corrects the number that was read back."""
    if isinstance(event, Unsure) and event.kind == "narrow":
        return narrower(_left(state), event)
    if isinstance(event, Unsure):
        return read_back(state, event)
    act = () if event.act is None else _put_right(state.held, (event.act,))
    return replace(_left(state), then=act), ()


def ask_leave(state: State, event: Unsure) -> Outcome:
    """A command in the middle of something else, or not said plainly: whether it is meant, in one short question."""
    if event.acts != (Control("stop"),):
        return read_back(state, event)
    back = state.back if state.phase in {*HOLDING, "paused"} else state.phase
    return replace(state, phase="offer stop", back=back, held=(), rivals=()), ()


def unheard(state: State, event: Event) -> Outcome:
    """Nothing could be made of the sound: again, then by what may be said here, then in other words."""
    state = replace(state, doubts=state.doubts + 1)
    if state.phase in {"confirm", "offer stop"} and state.doubts >= GIVE_WAY:
        return _left(state), (Saying("leave that"),)
    keys = {1: "say it again", 2: SAY_WHAT.get(state.phase, "say it again")}
    return state, (Saying(keys.get(state.doubts, "type it"), {"unknown": state.letter}),)


def say_again(state: State, event: NotClear | Unsure) -> Outcome:
    """What was not followed is never judged; the second time in a row the tutor says what can be said."""
    if (put_in := not_taken_up(state, event)) is not None:
        return put_in
    state = replace(state, doubts=state.doubts + 1)
    if isinstance(event, NotClear) and event.question == "operations" and state.doubts >= SAY_WHAT_AFTER:
        return one_rung_down(state)  # not asked a third time: a smaller question, and then it is told
    if isinstance(event, NotClear) and event.question in UNCLEAR_QUESTIONS:
        return state, (Saying(f"unclear {event.question}", {"unknown": state.letter}),)
    if state.phase == "confirm" and not state.by_ear:  # a reading is asked back once
        return _left(state), (Saying("leave that"),)
    if state.phase in {"confirm", "offer stop"} and state.doubts >= GIVE_WAY:
        return _left(state), (Saying("leave that"),)
    if state.doubts < SAY_WHAT_AFTER:  # never that alone: what is asked, said another way
        return state, tuple(filter(None, (Saying("unclear"), in_other_words(state))))
    if state.phase in {"operations", "first", "move"} and state.rung == 0:
        return one_rung_down(state)
    return state, (Saying(SAY_WHAT.get(state.phase, "unclear")),)


def _left(state: State) -> State:
    """Back in the phase that was left, with nothing held."""
    return replace(state, phase=state.back, held=(), rivals=(), struck=())


def _put_right(held: Acts, said: Acts) -> Acts:
    """What was held with what was said instead put in: "no, eighteen" corrects a move's number, and "x equals 80"."""
    match held, said:
        case (Move(operation, operand, sides),), (Value(value),) if _alike(operand, value):
            return (Move(operation, value, sides),)
        case (Line(Equation(Unknown(letter), right)),), (Value(value),) if _alike(right, value):
            return (Line(Equation(Unknown(letter), value, letter)),)
        case (Move(operation, operand, sides),), (PartMove(other, number, where),):
            return (Move(other or operation, number or operand, sides if where == "unsaid" else where),)
    return said


def _alike(held: Expression, said: Expression) -> bool:
    """Whether one may stand for the other: both numbers, or both numbers of unknowns."""
    return has_unknown(held) == has_unknown(said) and not isinstance(said, Sum)


def _ask_for_part(state: State, struck: tuple[Acts, ...]) -> Outcome:
    """Only what is in doubt: of moves that share the operation the number, of those that share the number the
    operation, of a number its digits."""
    back = _left(state)
    acts = [each[0] for each in struck if each]
    moves = [act for act in acts if isinstance(act, Move)]
    if moves and len(moves) == len(acts) and state.back in ASKING:
        sides = moves[0].sides if len({move.sides for move in moves}) == 1 else "unsaid"
        if len({move.operation for move in moves}) == 1:
            known = PartMove(moves[0].operation, None, sides)
            return replace(back, phase="part", part=known), (Saying("part heard", {"held": known}),)
        if len({move.operand for move in moves}) == 1:
            return replace(back, phase="part", part=PartMove(None, moves[0].operand, sides)), (Saying("not that one"),)
    if state.doubts > MOST_READ_BACKS:
        return back, (Saying("type it"),)
    numbers = all(isinstance(act, Value) for act in acts)
    lines = all(isinstance(act, Line) for act in acts)
    return back, (Saying("say each digit" if numbers else "say side by side" if lines else "say in other words"),)

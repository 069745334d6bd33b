"""What was understood without being sure of it: what need not be asked back, because it goes with where the lesson is.

A reading that follows from the line, or the part of it that does, is hardly a misreading of something else, and is
taken; the reply names it. Talk is answered, a command done, a move that keeps the balance met with a question about it.
Only what would be judged wrong is asked back, once and seldom, so that nobody is judged on what they may not have said;
what was denied is never asked again. While it is asked back, whoever says it again, or goes on with what makes sense
only after it, has answered, and whoever says something else is heard.
"""

from collections.abc import Sequence
from dataclasses import replace

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Control,
    Interpretation,
    PartMove,
    Refused,
    Say,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import next_step
from dialogue.algebra.tree import constant, has_unknown
from dialogue.judgement import judge
from dialogue.tutor.advance import fold
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Advanced, Event, EventKind, Unsure
from dialogue.tutor.core.state import ASKING, CHECKING, HOLDING, SCENE, SOLVING, WORKING, Phase, State
from dialogue.tutor.ordering import ordered
from dialogue.verbalising.replies import as_read_back

FOLLOWS: frozenset[EventKind] = frozenset(
    {
        "move closer", "move further", "move other side", "rewrite closer", "line kept", "line closer", "line ends",
        "value right", "value of other side", "answer", "verdict right", "described", "described part", "term named",
        "values right", "move part",
    }
)  # fmt: skip
BESIDE: frozenset[EventKind] = frozenset(
    {"sum right", "comment", "hint", "stuck", "why", "meaning", "check", "yes", "progress"}
)
REASONED = frozenset({"reason", "rule", "notice"})  # talk that makes sense only after a yes
ONLY_TALK: frozenset[EventKind] = frozenset({"comment", "why", "meaning", "check", "progress"})
YES = Event("yes", Say("yes"))
GENTLE: frozenset[EventKind] = frozenset(
    {
        "move level", "move again", "move names nothing", "move part", "line level", "line same", "value unworked",
        "term named", "value unasked", "rewrite idle", "described unordered", "verdict early",
    }
)  # fmt: skip
BOARD_FROM = 0.4  # the certainty from which what touches the line is looked at, where it does not follow (a choice)
GUESSED_BELOW = 0.3  # below which an answer picked out of more is not believed to be one (a choice)
COMMAND_FROM = 0.5  # from which a command is (a choice)
LEAVING = frozenset({Control("skip"), Control("restart")})  # what would lose the work is asked about
DRASTIC = frozenset({Control("undo")})  # done only where said plainly: "that undoes it" is none
ANSWERED: frozenset[Phase] = frozenset({"confirm", "offer stop", "reconsider"})
APART = 3  # turns between one reading asked back and the next, at least
MOST_ASKED_BACK = 3  # acts in one sentence that can still be answered with yes or no


def settled(state: State, found: Interpretation, barred: Sequence[Act] = ()) -> Interpretation:
    """An unsure reading, made sure where it answers or follows from where the lesson is; else without the parts that
    are too doubtful for what they would do. ``barred`` are acts that may be meant as refused, and are never done."""
    found = replace(found, acts=_with_its_step(state, tuple(_as_sum(state, act) for act in found.acts)))
    acts, guess = tuple(act for act in found.acts if act not in barred), replace(found, sure=True, guessed=True)
    if state.phase == "reconsider" and any(isinstance(act, Ask) for act in acts):
        acts = tuple(act for act in acts if act != Say("yes"))  # who asks has not said yes, so doubtful a reading
    sure_enough = state.phase == "confirm" or found.certainty >= COMMAND_FROM
    if answered_by(state, acts) is not None:
        return replace(guess, acts=acts) if sure_enough else replace(found, acts=_talk(acts) or (Unclear(),))
    instead = state.pending is not None and any(isinstance(act, Rewrite) for act in acts)
    guessed_at = found.certainty < GUESSED_BELOW and sum(isinstance(act, CONTENT) for act in acts) > 1
    whole = (
        not instead
        and not (guessed_at and _only_answers(left(state), acts))
        and (answers_read_back(state, acts) is not None or leads_on(left(state), acts))
    )
    if whole and acts == found.acts:
        return guess
    kept = _what_follows(left(state), acts)
    if kept and not (guessed_at and _only_answers(left(state), kept)):
        no = (Say("no"),) if state.phase == "confirm" and Say("no") in acts else ()
        return replace(guess, acts=(*no, *kept))
    clear = _clear_enough(state, acts, found.certainty)
    return replace(guess if answered_by(state, clear) is not None else found, acts=clear or (Unclear(),))


def _as_sum(state: State, act: Act) -> Act:
    """A line of numbers alone is a sum done aloud, as long as the unknown is there."""
    numbers = isinstance(act, Line) and not any(has_unknown(side) for side in act.equation.sides())
    if not numbers or not isinstance(act, Line) or not any(has_unknown(side) for side in state.equation.sides()):
        return act
    return Work(act.equation.left, act.equation.right)


def _with_its_step(state: State, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """ "The 17 has to go, leaves 42": a number that the next step makes of a side, behind what names that step, tells
    that the step was made; it is no answer to be put in."""
    number = acts[-1] if len(acts) > 1 else None
    if state.phase not in {"operations", "first", "move"} or state.pending is not None or not isinstance(number, Value):
        return acts
    step = next_step(state.equation)
    made = judge(state.equation, step).result if isinstance(step, Move) else None
    if not isinstance(step, Move) or made is None or made.solution().value is None or number.side is not None:
        return acts
    try:
        worth, sides = linear(number.value), made.linear()
    except Refusal:  # no number: the unknown is below a line
        return acts
    if worth not in sides or worth in state.equation.linear() or worth.constant == made.solution().value:
        return acts
    names = [act for act in acts[:-1] if _names(act, step)]
    others = tuple(act for act in acts[:-1] if isinstance(act, Comment | Ask | Say) and act not in names)
    plain = names and len(others) + len(names) + 1 == len(acts)
    return (*others, replace(step, sides="unsaid"), number) if plain else acts


def _names(act: Act, step: Move) -> bool:
    """Whether an act speaks of what a step undoes, or wants to be rid of something."""
    match act:
        case Move() | PartMove():
            return act.operand == step.operand and act.operation in {None, step.operation}
        case Term(term=said) | Value(value=said):
            return said == step.operand
    return act == Comment("goal")


def _only_answers(state: State, acts: Sequence[Act]) -> bool:
    """Whether all that comes of a reading is an answer to be put in, or part of a move: a poor sign that it is right
    where more was said."""
    plan = ordered(state, acts)
    turns = fold(state, decide(state, plan.acts[0]), plan.acts[1:]) if plan.acts else []
    return not {event.kind for turn in turns for event in turn.events} & (FOLLOWS - {"answer", "move part"})


def _talk(acts: Sequence[Act]) -> tuple[Act, ...]:
    return tuple(act for act in acts if isinstance(act, Comment | Ask) or act == Control("stop"))


def _clear_enough(state: State, acts: Sequence[Act], certainty: float) -> tuple[Act, ...]:
    """The acts that may be looked at, so doubtful a reading. Beside a call for help no step is; to stop is always
    heard, for it is only offered."""
    left_out: tuple[type, ...] = (Unclear,)
    if certainty < BOARD_FROM:
        left_out = (*CONTENT, Refused, Control, Unclear)
    elif any(act in {Ask("hint"), Ask("answer"), Say("stuck")} for act in acts):
        left_out = (*CONTENT, Control, Unclear)
    elif certainty < COMMAND_FROM:
        left_out = (Control, Unclear)
    kept = (act for act in acts if act == Control("stop") or not (isinstance(act, left_out) or act in DRASTIC))
    again = constant(state.guess) if state.guess is not None and left(state).phase in CHECKING else None
    return tuple(act for act in kept if not (isinstance(act, Value) and act.value == again))


def _what_follows(state: State, acts: Sequence[Act]) -> tuple[Act, ...]:
    """The steps of a turn that follow from the line, in order, with the talk beside them; none where none does. An
    answer that is said last is worth more than a step before it that it does not go with."""
    steps = [act for place, act in enumerate(acts) if isinstance(act, CONTENT) and not _named_only(act, acts[place:])]
    if any(isinstance(act, Refused) for act in acts) or not steps:
        return ()
    moves = [act for act in steps if isinstance(act, Move)]
    steps = [act for act in steps if not (isinstance(act, Value) and any(_gives(state, one, act) for one in moves))]
    if state.pending is not None:  # a rewrite would take the place of the move in hand
        steps = [act for act in steps if not isinstance(act, Rewrite)]
    if not all(isinstance(act, PartMove) for act in steps):  # half a move says less than what stands beside it
        steps = [act for act in steps if not isinstance(act, PartMove)]
    taken: tuple[Act, ...] = ()
    lost = False  # a move said after a step that is left out stands on that step
    for act in steps:
        if leads_on(state, (*taken, act)) and not (lost and isinstance(act, Move)):
            taken = (*taken, act)
        elif isinstance(act, Move | Line):
            lost = True
    answer = steps[-1] if steps and isinstance(steps[-1], Value | Line | Try) else None
    if state.phase == "mend":  # asked what makes it level again, a number beside the move is none
        answer = None
    if answer and len(taken) == 1 and isinstance(taken[0], Move) and leads_on(state, (answer,)):
        taken = (answer,)
    beside = (act for act in acts if act in taken or isinstance(act, Comment | Ask) or act == Control("stop"))
    return tuple(beside) if taken else ()


def _gives(state: State, move: Move, value: Value) -> bool:
    """Whether a number is what a move that does not lead on makes of a side: no answer of its own."""
    try:
        made = judge(state.equation, move)
        return made.result is not None and not made.closer and linear(value.value) in made.result.linear()
    except Refusal:
        return False


def _named_only(act: Act, after: Sequence[Act]) -> bool:
    """Whether a number is only named before the move that takes it up."""
    return isinstance(act, Value) and any(isinstance(one, Move) and one.operand == act.value for one in after)


def is_gentle(state: State, acts: Sequence[Act]) -> bool:
    """Whether acts are met with a question about the mathematics, so that nothing is lost by acting on a misreading:
    none of them is judged wrong, and nothing stands on the board that was not there."""
    plan = ordered(state, acts)
    if not plan.acts or (state.phase == "part" and any(isinstance(act, Value) for act in acts)):
        return False
    kinds = {event.kind for turn in fold(state, decide(state, plan.acts[0]), plan.acts[1:]) for event in turn.events}
    return kinds <= GENTLE | FOLLOWS | BESIDE


def may_ask_back(state: State, acts: tuple[Act, ...]) -> bool:
    """Whether a reading may be asked back: all of it can be put into words, it is short, it was not asked before, and
    nothing was in the turns just before."""
    words = [act for act in acts if isinstance(act, CONTENT)]
    long_ago = state.asked_back is None or state.turn + 1 - state.asked_back >= APART
    sayable = bool(words) and len(words) <= MOST_ASKED_BACK and all(can_be_said(act) for act in words)
    echo = len(words) == 1 and isinstance(words[0], Value)  # a number alone says nothing more when it is said again
    return long_ago and sayable and not echo and acts not in state.told_back and state.phase not in HOLDING


def can_be_said(act: Act) -> bool:
    """Whether an act can be put into words with nothing left open."""
    return bool(as_read_back(act)) and not isinstance(act, PartMove)


def doubted(state: State, acts: tuple[Act, ...], rivals: tuple[tuple[Act, ...], ...]) -> tuple[Event, Sequence[Act]]:
    """What is done with a reading that is not sure and would change something: a command alone is done, but for a stop,
    which is offered; what is met with a question about the mathematics is met so; else it is asked back, once, or only
    its doubtful part is asked for."""
    if all(isinstance(act, Control) for act in acts):
        stops = Control("stop") in acts and state.phase != "offer stop"
        if acts[0] in LEAVING and state.phase in {*ASKING, *WORKING} and not stops:
            return Unsure("leave", acts[0], (acts[0],), by_ear=False), ()
        return (
            (Unsure("leave", acts[0], (Control("stop"),), by_ear=False), ()) if stops else (decide(state, acts[0]), ())
        )
    content = tuple(act for act in acts if isinstance(act, (*CONTENT, Refused)))
    if not content:
        return decide(state, acts[0]), acts[1:]
    refused = content in state.denied
    if state.phase in SCENE:
        return decide(state, Unclear()), ()
    if state.phase in HOLDING and state.by_ear:
        return Unsure("unsure", acts[0], acts, rivals, by_ear=False), ()
    if not refused and (is_gentle(state, acts) or content in state.told_back):
        event = decide(state, acts[0])
        asked = tuple(act for act in acts[1:] if isinstance(act, Ask))  # is answered whatever becomes of the move
        return event, asked if event.kind == "move level" else acts[1:]
    if not refused and may_ask_back(state, content):
        return Unsure("unsure", content[0], content, rivals, by_ear=False), ()
    return Unsure("narrow", content[0], content, rivals, by_ear=False), ()


def leaving(before: State, after: State, first: Event, leave: Control, meant: Interpretation | None) -> Event | None:
    """What a command beside something else comes to: a stop is offered, or done where the equation is over and it was
    plain, or somebody says that they have to go; any other is asked about, if it is sure and the equation not over."""
    if first.kind in {"doubtful", "unsure", "narrow", "unheard", "distress", "leave"} or after.phase == "done":
        return None
    over, sure = after.place != before.place, meant is not None and meant.sure and not meant.guessed
    if leave.what == "stop":
        plain = leave.now or (sure and (over or (first.kind in ONLY_TALK and after.phase not in HOLDING)))
        return Event("stop", leave) if plain else Unsure("leave", leave, (leave,), by_ear=False)
    return Unsure("leave", leave, (leave,), by_ear=False) if sure and not over else None


def ends_with_answer(before: State, after: State, leave: Control) -> bool:
    """Whether somebody who leaves has just given the number that solves the equation: it is put in for them."""
    new = after.phase in CHECKING and after.place == before.place and after.guess != before.guess
    return leave.what == "stop" and new and after.guess == after.task.equation.solution().value


def let_go(state: State, acts: Sequence[Act]) -> tuple[State, Sequence[Act]]:
    """The lesson as the acts of a turn find it, where a reading is being asked back: it is let go by whoever says
    something else, and denied by a "no" beside it."""
    if state.phase != "confirm" or state.by_ear or not acts or isinstance(acts[0], Control | Unclear | Refused):
        return state, acts
    if Say("yes") in acts or answers_read_back(state, acts) is not None:
        return state, acts
    content = any(isinstance(act, CONTENT) for act in acts)
    if Say("no") not in acts:
        return left(state), acts
    if not content:
        return state, acts
    denied = replace(left(state), denied=(*state.denied, state.held))
    return denied, tuple(act for act in acts if act != Say("no"))


def leads_on(state: State, acts: Sequence[Act]) -> bool:
    """Whether all of the acts, heard in this state, lead on: at least one step, and none that would be judged wrong."""
    if state.phase not in SOLVING or any(isinstance(act, Control | Refused) for act in acts):
        return False
    plan = ordered(state, acts)
    if not plan.acts or plan.corrected:
        return False
    return _all_follow(fold(state, decide(state, plan.acts[0]), plan.acts[1:]), len(plan.acts))


def answers_read_back(state: State, acts: Sequence[Act]) -> Sequence[Act] | None:
    """Where something is being asked back: the acts to be heard after it, where they say it again or make sense only
    after it; None where they answer nothing."""
    if state.phase != "confirm" or state.by_ear or not all(isinstance(act, (*CONTENT, Comment)) for act in acts):
        return None
    said = [act for act in acts if isinstance(act, CONTENT)]
    if not said and not all(isinstance(act, Comment) and act.kind in REASONED for act in acts):
        return None
    if said and all(any(_same(act, held) for held in state.held) for act in said):
        return ()
    rest = ordered(left(state), acts).acts
    if any(isinstance(act, Rewrite) for act in rest):  # a rewrite would take the place of a move held
        return None
    return rest if _all_follow(fold(state, YES, rest), len(state.held) + len(rest)) else None


def left(state: State) -> State:
    """The lesson in the question that was open before something was held, or before it paused."""
    waits = state.phase in {*HOLDING, "paused"}
    return replace(state, phase=state.back, held=(), rivals=()) if waits else state


def answered_by(state: State, acts: Sequence[Act]) -> bool | None:
    """The yes or no that something asked back is answered with, whatever else is said beside it; None where there is
    none, or both."""
    said = {act.what for act in acts if isinstance(act, Say)} - {"stuck", "checked"}
    if state.phase == "offer stop" and Control("stop") in acts and "no" not in said:
        return True
    talk = all(isinstance(act, Say | Comment | Ask) for act in acts)
    return said == {"yes"} if state.phase in ANSWERED and talk and said in ({"yes"}, {"no"}) else None


def _all_follow(turns: Sequence[Advanced], acts: int) -> bool:
    kinds = [event.kind for turn in turns for event in turn.events]
    return len(kinds) >= acts and any(kind in FOLLOWS for kind in kinds) and set(kinds) <= FOLLOWS | BESIDE


def _same(act: Act, held: Act) -> bool:
    if isinstance(act, Move) and isinstance(held, Move) and "unsaid" in {act.sides, held.sides}:
        return replace(act, sides="both") == replace(held, sides="both")
    return act == held

"""What a turn says: one reply for all that was heard in it, at most two short sentences and the question last."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from dialogue.acts import Comment, PartMove, Work
from dialogue.algebra.tree import Negative, Number, Quotient, constant, has_unknown
from dialogue.tutor.activities.balance_scene import LOOSE
from dialogue.tutor.core.course import done_alone, ending
from dialogue.tutor.core.events import Advanced
from dialogue.tutor.core.questions import SIDES_FADE_AFTER
from dialogue.tutor.core.state import HOLDING, OPEN, SCENE, State
from dialogue.tutor.moves.talking import feeling
from dialogue.tutor.ordering import CONTENT
from dialogue.verbalising.replies import digits, variants, word
from dialogue.verbalising.sayings import Filling, Reply, Saying

NAMING = ("take further", "take move", "praise choice", "levelled")  # confirmations that name the move
CONFIRMING = frozenset(
    {
        *NAMING, "take line", "take result", "side right", "operations right", "operations begun", "term named",
        "comment", "reason taken", "reason sum", "move again", "other side", "sum right",
        "take rewrite expand", "take rewrite collect", "take rewrite swap", "take rewrite simplify", "as you like",
        "not nearer",
    }
)  # fmt: skip
UNSAYING = frozenset({"claim fails", "claim fails, rewritten"})  # after these nothing before them is confirmed
UNCOUNTED = frozenset({"line", "scene picture", "game line", "next", "worked then", "worked first", "model worked"})
MOST = 2  # sayings beside those and the question (rule 25)
BESIDE = {"object": "beside object", "reason": "beside reason", "rule": "beside rule", "notice": "beside notice"}


def told(turns: Sequence[Advanced], beside: Sequence[Comment], state: State) -> tuple[Saying, ...]:
    """Of all the sayings of a turn those that are said: one confirmation, what was said beside the answer heard in a
    few words, and no more than a listener can keep."""
    said = [saying for turn in turns for saying in turn.said]
    if any(saying.key in UNSAYING for saying in said):
        said = [saying for saying in said if saying.key not in CONFIRMING | {"still true", "error"}]
    if len(said) > 1:  # a line written twice in one breath
        said = [saying for saying in said if saying.key != "same line"]
    confirming = [saying for saying in said if saying.key in CONFIRMING]
    if len(confirming) > 1:
        kept = min(confirming, key=lambda one: NAMING.index(one.key) if one.key in NAMING else len(NAMING))
        kept = kept if kept.key in NAMING else confirming[-1]
        said = [one for one in said if one is kept or one.key not in CONFIRMING]
    counted = [saying for saying in said if saying.key not in UNCOUNTED]
    if len(turns) > 1 and len(counted) > MOST:
        gone = counted[: len(counted) - MOST]
        said = [one for one in said if not any(one is each for each in gone)]
    if len(counted) < MOST and (heard := _heard(beside, state)) is not None:
        said = [heard, *said]
    return tuple(said)


def _heard(beside: Sequence[Comment], state: State) -> Saying | None:
    """What was said beside an answer, heard in a few words; a mood before a reason."""
    for act in beside:
        if act.kind == "feel" and act.about in {"upset", "sorry", "thanks"}:
            return feeling(state, act)
    return next((Saying(BESIDE[act.kind]) for act in beside if act.kind in BESIDE), None)


def replies_of(before: State, after: State, sayings: tuple[Saying, ...], new_line: bool) -> tuple[Reply, ...]:
    """The sayings in words, the line where it is new, and the question last; no wording that was just used, where there
    is another."""
    choice, classroom = after.plan.seed + after.turn, after.plan.classroom
    just_said = {reply.text for reply in before.last}

    def worded(saying: Saying, avoid: set[str]) -> Reply:
        if before.task.equation.decimals:
            saying = Saying(saying.key, {name: in_decimals(value) for name, value in saying.values.items()})
        found = [word(saying, choice + more, classroom) for more in range(variants(saying.key))]
        return next((one for one in found if one.text not in avoid), found[0])

    replies = [worded(Saying(one.key, {**named(before), **one.values}), just_said) for one in sayings]
    replies = list(dict.fromkeys(replies))
    if after.phase == "done":
        if before.phase == "done":
            return tuple(replies)
        did = done_alone(after) or (_by_oneself(after) if after.alone else None)
        own = (worded(did, set()),) if did is not None else ()
        if after.place < len(after.plan.tasks):
            return (*own, *replies)
        last = ending(after)
        return (*replies, *(() if last.key.startswith("did ") else own), worded(last, set()))
    if after.phase == "between":
        return tuple(replies)
    if after.place != before.place and not after.plan.open:
        replies.append(worded(Saying("next"), just_said))
    if new_line and after.phase in OPEN:
        replies.append(worded(Saying("line", {"line": after.equation}), set()))
    if not replies or not replies[-1].text.endswith("?"):
        replies.append(worded(question(after), set(after.asked)))
    return tuple(replies)


def in_decimals(value: Filling) -> Filling:
    """A number as decimals where it has an end: what is said of an equation with decimals has them throughout."""
    match value:
        case Fraction():
            return constant(value, decimals=True)
        case Quotient(Number(top, ""), Number(bottom, "")) if bottom:
            return constant(top / bottom, decimals=True)
        case Negative(Quotient(Number(top, ""), Number(bottom, ""))) if bottom:
            return constant(-top / bottom, decimals=True)
    return value


def _by_oneself(state: State) -> Saying:
    return Saying("one step alone" if state.alone == 1 else "steps alone", {"lines": state.alone})


def is_new_line(before: State, after: State, repeated: bool) -> bool:
    """Whether the line on the board is to be read out: it is new, or it was out of sight."""
    was = before.back if before.phase in {*HOLDING, "paused"} else before.phase
    left_scene = was in SCENE and after.phase in OPEN
    left_game = before.phase == "spot" and after.phase != "spot"
    return after.board != before.board or after.place != before.place or repeated or left_scene or left_game


def with_asked(state: State, replies: tuple[Reply, ...]) -> State:
    """The state with its last question remembered, so that it is next asked in other words."""
    asked = replies[-1].text if replies and replies[-1].text.endswith("?") else ""
    return replace(state, asked=(*state.asked[-1:], asked)) if asked else state


def question(state: State) -> Saying:
    """The question of the phase, with everything it may name."""
    values: dict[str, Filling] = {**named(state), "loose": LOOSE}
    if state.held:
        said = tuple(act for act in state.held if not isinstance(act, Comment)) or state.held
        told_back = tuple(act for act in said if isinstance(act, CONTENT) and not isinstance(act, Work))
        values["held"] = told_back or said
        values["digits"] = digits(state.held)
    match state.phase:
        case "account" if state.inquiry is not None:
            return state.inquiry.saying(values)
        case "spot" if state.game is not None and state.game.name != "game":
            return Saying(f"ask {state.game.name}", values)
        case "confirm" if not state.by_ear:
            return Saying("ask meant", values)
        case "check right" if not has_unknown(state.task.equation.left):
            return Saying("ask check only right", values)
        case "part" if isinstance(state.part, PartMove) and state.part.operation is None:
            return Saying("ask part operation", values)
        case "move" if _just_begun(state):
            return Saying("ask begin", values)
        case "move" if state.leads or state.count("sides") >= SIDES_FADE_AFTER:
            return Saying("ask next line", values)
    return Saying(f"ask {state.phase}", values)


def _just_begun(state: State) -> bool:
    """Whether nothing has come of an equation yet, for a learner who no longer needs to be told of both sides."""
    fresh = len(state.board) == 1 and not state.tries and not state.rung and state.topic is None
    return fresh and bool(state.leads or state.count("sides"))


def named(state: State) -> dict[str, Filling]:
    """What any wording may name: the unknown, the first line and the line in hand, and the answer being put in."""
    values: dict[str, Filling] = {"unknown": state.letter, "first": state.task.equation, "line": state.equation}
    return values if state.guess is None else {**values, "guess": state.guess}

"""What a turn says: one reply for all that was heard in it, at most two short sentences and the question last."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain
from typing import get_args

from dialogue.acts import CONTENT, Act, Ask, Comment, Control, Mood, PartMove, Work
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.tree import has_unknown
from dialogue.learner.history import Wish
from dialogue.tutor.activities.balance_scene import LOOSE
from dialogue.tutor.core.course import promise, wish_missed
from dialogue.tutor.core.events import VERDICTS, Advanced, Event, EventKind
from dialogue.tutor.core.questions import SIDES_FADE_AFTER
from dialogue.tutor.core.state import CHECKING, HOLDING, OPEN, SCENE, Phase, State
from dialogue.tutor.core.told import CAME_TO, FELT_TOO, SLIP_TOO, TO_A_QUESTION, answers_in, is_answered_better, is_told
from dialogue.tutor.day_told import day_told, ending
from dialogue.tutor.heard_beside import heard_beside
from dialogue.tutor.moves.checking import CHECKED
from dialogue.tutor.moves.feelings import is_to_themselves, not_sure
from dialogue.tutor.moves.hints import easier_sum
from dialogue.tutor.number_forms import as_decimals, as_mixed
from dialogue.tutor.taken_up import AsSaid, taken_up
from dialogue.verbalising.replies import as_read_back, digits, variants, word
from dialogue.verbalising.sayings import Filling, Reply, Saying

NAMING = (
    "take further",
    "take move",
    "take unsure",
    "praise choice",
    "levelled",
    "take move, reason",
)  # confirmations that name the move
CONFIRMING = frozenset(
    {
        *NAMING, "take line", "take result", "side right", "operations right", "operation right",
        "operations begun", "term named",
        "take move, reason", "reason sum", "move again", "other side", "sum right",
        "take rewrite expand", "take rewrite collect", "take rewrite swap", "take rewrite simplify", "as you like",
        "not nearer",
    }
)  # fmt: skip
SMALLER = ("hint ", "smaller ", "choices ")  # how the keys of smaller questions begin
UNSAYING = frozenset({"claim fails", "claim fails, rewritten"})  # after these nothing before them is confirmed
UNCOUNTED = frozenset({"line", "scene picture", "game line", "next", "worked then", "worked first", "model worked"})
NEWS = (VERDICTS - CAME_TO) | {
    "next",
    "back to the set",
    "offer game",
    "you solved that",
    "take line",
    "take result",
    "side right",
    "operations right",
    "operation right",
}  # said once: a repeat is of the line, the move in hand and the question
UNLINED: frozenset[Phase] = frozenset({*SCENE, "offer stop"})  # no line is shown while these are asked
SHOWING = frozenset({"line", "progress", "progress first"})  # these have the line in them
TALKS: frozenset[EventKind] = frozenset({"comment", "meaning", "why", "check", "unclear", "stuck", "hint", "progress"})
SIGHT = 2  # turns of talk without the line, after which it is shown again (a choice)
NUMBERS_ONLY = 2  # equations solved by the number alone, after which its move is asked about (a choice)
MOST = 2  # sayings beside those and the question (rule 25)
NARROWING = frozenset(
    {"name the move", "whole line", "what undoes that", "operations begun", "which part"}
)  # questions
UNSURE = {
    "take move": "take unsure", "praise choice": "take unsure", "still true": "still true, named",
}  # fmt: skip
FELT = frozenset({f"heard {mood}" for mood in get_args(Mood)} - {"heard sorry", "heard thanks"}) | {
    "heard feeling", "heard not knowing", "heard nothing lost",
    "answer skipped",
    "sorry, felt", "sorry, aside", "sorry, said", "sorry, checking", "sorry, working", "sorry, misread",
    "you did move", "you wrote line", "you did left", "you told", "you saw term", "you solved", "you solved that",
    "you tried", "you caught", "you did move, felt", "you did move, slip", "you wrote line, felt",
    "sorry, number", "sorry, move",
}  # is never left out  # fmt: skip


def told(
    before: State, turns: Sequence[Advanced], heard_as: AsSaid, state: State, sure: bool = True
) -> tuple[Saying, ...]:
    """Of all the sayings of a turn those that are said: one confirmation, what was said beside the answer heard in a
    few words, and no more than a listener can keep. What was not ``sure`` is named and not praised."""
    said = [saying for turn in turns for saying in turn.named()]
    if not sure:
        said = [replace(saying, key=UNSURE.get(saying.key, saying.key)) for saying in said]
    said = [saying for saying in said if saying.key not in NARROWING or saying is said[-1]]
    if any(not saying.key.startswith("progress") for saying in said):  # where a step or an answer is, that is seen
        said = [saying for saying in said if not saying.key.startswith("progress")]
    if any(saying.key in UNSAYING for saying in said):
        said = [saying for saying in said if saying.key not in CONFIRMING | {"still true", "error"}]
    if any(saying.key.startswith(SMALLER) for saying in said):  # the question is there already, and smaller
        said = [saying for saying in said if not saying.key.startswith("in other words")]
    if len(said) > 1:  # a line written twice in one breath
        said = [saying for saying in said if saying.key != "same line"]
    said = [saying for place, saying in enumerate(said) if not _is_outdone(saying, said[place + 1 :])]
    confirming = [saying for saying in said if saying.key in CONFIRMING]
    if len(confirming) > 1:
        kept = min(confirming, key=lambda one: NAMING.index(one.key) if one.key in NAMING else len(NAMING))
        kept = kept if kept.key in NAMING else confirming[-1]
        said = [one for one in said if one is kept or one.key not in CONFIRMING]
    counted = [saying for saying in said if saying.key not in UNCOUNTED]
    if len(turns) > 1 and len(counted) > MOST:
        gone = sorted(counted, key=_worth)[: len(counted) - MOST]
        said = [one for one in said if not any(one is each for each in gone)]
    events = [event for turn in turns for event in turn.events]
    said = taken_up(before, heard_as, events, said)
    heard = _heard(before, turns, heard_as, said, events)
    if heard is not None and (len(counted) < MOST or heard.key in FELT):
        if heard.key.startswith("you did move"):  # it names the move
            said = [saying for saying in said if saying.key not in NAMING]
        said = [*said, heard] if heard.key == "you solved that" else [heard, *said]
        said += easier_sum(state, said) if heard.key.endswith((FELT_TOO, SLIP_TOO)) else []
    return tuple(said)


def _heard(
    before: State, turns: Sequence[Advanced], heard_as: AsSaid, said: Sequence[Saying], events: Sequence[Event]
) -> Saying | None:
    """What is said of what stands beside the steps; no apology where all of it was taken."""
    state, kinds = turns[-1].state, [event.kind for event in events]
    heard = heard_beside(before, state, heard_as, events) or not_sure(before, heard_as.beside, kinds)
    if heard is None or any(saying.key == "you caught" for saying in said):
        return None
    if not heard.key.startswith("sorry, ") or heard.key in {"sorry, felt", "sorry, aside", "sorry, number"}:
        return heard
    if Comment("object") in heard_as.beside and is_to_themselves(before, state, said, kinds):
        return None
    if not any(saying.key.endswith(("fits", "fit")) for saying in said):
        return heard
    return None if turns[0].events[0].kind in CHECKED else Saying("sorry, said")


def is_to_the_person(saying: Saying) -> bool:
    """Whether it answers a question or a feeling, so that no hint takes its place."""
    return saying.key in FELT or (saying.key.startswith(TO_A_QUESTION) and saying.key not in VERDICTS)


def _is_outdone(saying: Saying, after: Sequence[Saying]) -> bool:
    """Whether what follows in the same turn leaves nothing to say of it: an answer put in of which the check is told,
    a question about an error where another answer is put in already, a move taken that is said to be right."""
    keys = {one.key for one in after}
    instead = {"put it in": VERDICTS, "error": {"put it in"}, **{key: {"answer right move"} for key in NAMING}}
    return is_answered_better(saying.key, keys - VERDICTS) or any(key in keys for key in instead.get(saying.key, ()))


def _worth(saying: Saying) -> int:
    """What is left out first where a turn has too much to say: an offer, then what came first, a verdict last."""
    if saying.key == "offer game":
        return 0
    return 2 if saying.key in VERDICTS or saying.key.startswith(TO_A_QUESTION) else 1


def promised(state: State, wish: Wish) -> Saying | None:
    """That a wish said beside a step is kept in mind, where the next equation is chosen by it."""
    if state.phase in {"between", "done"}:  # there it is answered by the choice itself
        return None
    if state.plan.beyond or state.plan.open:
        return promise(state, wish)
    return Saying("set ends" if state.task.exit else "set stays")


def replies_of(before: State, after: State, sayings: tuple[Saying, ...], new_line: bool) -> tuple[Reply, ...]:
    """The sayings in words, the line where it is new, and the question last; no wording that was just used, where there
    is another."""
    choice, classroom = after.plan.seed + after.turn, after.plan.classroom
    just_said = {reply.text for reply in before.last}
    openers = {text.split()[0].strip(",.:") for turn in before.said for text in turn if text}
    if after.phase in CHECKING:  # the question names the number
        sayings = tuple(one for one in sayings if one.key != "put it in")

    def worded(saying: Saying, avoid: set[str]) -> Reply:
        if before.task.equation.decimals or after.decimals:
            saying = Saying(saying.key, {name: as_decimals(value) for name, value in saying.values.items()})
        elif after.mixed:
            saying = Saying(saying.key, {name: as_mixed(value) for name, value in saying.values.items()})
        at = after.plan.seed + before.told.count(saying.key) if is_told(saying.key) else choice
        first = word(saying, at, classroom)
        others = (word(saying, at + more, classroom) for more in range(1, variants(saying.key)))
        fresh = [one for one in chain((first,), others) if one.text not in avoid]
        if saying.key in CONFIRMING:  # and begun in another way than those of the last two turns
            fresh.sort(key=lambda one: one.text.split()[0].strip(",.:") in openers)
        return fresh[0] if fresh else first

    names = {**named(after), **named(before)}  # what is only named since, too
    replies = list(dict.fromkeys(worded(Saying(one.key, {**names, **one.values}), just_said) for one in sayings))
    if after.phase == "done":
        if before.phase == "done":
            return tuple(replies)
        did = day_told(after, [reply.key for reply in replies])
        own = () if did is None else (worded(did, set()),)
        if after.place < len(after.plan.tasks):
            before_it = VERDICTS | CONFIRMING | FELT
            answers = [one for one in replies if one.key.startswith(TO_A_QUESTION) or one.key in before_it]
            return (*answers, *own, *(reply for reply in replies if reply not in answers))
        last = ending(after, did is not None)
        ended = (*own, *(worded(one, set()) for one in ((last,) if last else ()) + wish_missed(after)))
        byes = [reply for reply in replies if reply.key == "stop"] or [worded(Saying("bye"), set())]
        return (*(reply for reply in replies if reply.key != "stop"), *ended, *byes)
    if after.phase == "between":
        return tuple(replies)
    new = after.place != before.place
    given = any(one.key == "next" or one.key.startswith("wish ") for one in sayings)
    if (new or _was_held_back(before)) and not (given or after.plan.open) and after.phase != "offer stop":
        replies.append(worded(Saying("back to the set" if before.task.wished else "next"), just_said))
    if after.phase not in UNLINED and (new or (after.phase in OPEN and _is_due(after, new_line))):
        asks = bool(replies) and replies[-1].text.endswith("?")
        replies.insert(len(replies) - asks, worded(Saying("line", {"line": after.equation}), set()))
    if not replies or not replies[-1].text.endswith("?"):
        replies.append(worded(question(after), set(after.asked)))
    return tuple(replies)


def _is_due(state: State, new_line: bool) -> bool:
    """Whether the line has to be in the replies: it is new, was asked for, or was never there."""
    put_in = state.phase in CHECKING and len(state.board) > 1  # "n = 4": its question has the first line
    return not put_in and (new_line or state.shown != (state.place, state.equation))


def _was_held_back(before: State) -> bool:
    """Whether another equation was kept out of sight while stopping was offered."""
    return before.phase == "offer stop" and before.shown is not None and before.shown[0] != before.place


def is_new_line(before: State, after: State, first: Event) -> bool:
    """Whether the line on the board is to be read out: it is new, it was out of sight, or somebody lost sight of it."""
    was = before.back if before.phase in {*HOLDING, "paused"} else before.phase
    left_scene = was in SCENE and after.phase in OPEN
    left_game = before.phase == "spot" and after.phase != "spot"
    moved = after.board != before.board or after.place != before.place
    return moved or first.kind == "repeat" or left_scene or left_game or _is_lost(before, after, first)


def _is_lost(before: State, after: State, first: Event) -> bool:
    """Whether a learner who only talks, or was shown another equation, may have lost sight of the line."""
    if first.kind == "example" or first.act == Ask("meaning", "equation"):
        return True
    talks = first.kind in TALKS and after.phase in {"operations", "first", "move"}
    return talks and not any(reply.key in SHOWING for reply in before.last) and before.since_line >= SIGHT


def again_with_line(state: State, replies: tuple[Reply, ...]) -> tuple[Reply, ...]:
    """The replies said again without what was news, with the line where it was not in them."""
    replies = tuple(reply for reply in replies if reply.key not in NEWS)
    if state.phase not in OPEN or not replies or any(reply.key in SHOWING for reply in replies):
        return replies
    line = Saying("line", {"line": state.equation})
    return (*replies[:-1], word(line, 0, state.plan.classroom), replies[-1])


def with_asked(state: State, replies: tuple[Reply, ...]) -> State:
    """The state with its last question remembered, so that it is next asked in other words, the line that was shown,
    and the answers that were told."""
    state = replace(state, told=(*state.told, *answers_in(replies)))
    if any(reply.key == "line" for reply in replies):
        state = replace(state, shown=(state.place, state.equation), since_line=0)
    else:
        state = replace(state, since_line=state.since_line + 1)
    if replies and replies[-1].key == "ask undoing":
        state = state.counted("asked what undoes")
    asked = replies[-1].text if replies and replies[-1].text.endswith("?") else ""
    return replace(state, asked=(*state.asked[-1:], asked)) if asked else state


def question(state: State) -> Saying:
    """The question of the phase, with everything it may name."""
    values: dict[str, Filling] = {**named(state), "loose": LOOSE}
    if state.held:
        said = tuple(act for act in state.held if not isinstance(act, Comment)) or state.held
        told_back = tuple(act for act in said if isinstance(act, CONTENT) and not _is_sum(act))
        values["held"] = tuple(act for act in told_back or said if as_read_back(act)) or said
        values["digits"] = digits(state.held)
    match state.phase:
        case "account" if state.inquiry is not None:
            return state.inquiry.saying(values)
        case "spot" if state.game is not None and state.game.name != "game":
            return Saying(f"ask {state.game.name}", values)
        case "confirm" if not state.by_ear and isinstance(state.held[0], Control):
            return Saying(f"ask leave {state.held[0].what}", values)
        case "confirm" if not state.by_ear and len(state.held) == 1 and isinstance(state.held[0], Move):
            return Saying("ask meant move", values)
        case "confirm" if not state.by_ear:
            return Saying("ask meant", values)
        case "mend" if state.asked_of_other:
            return Saying("ask other side", values)
        case "left" if not has_unknown(state.equation.left):
            return Saying("ask left number", {**values, "left": state.equation.left})
        case "check right" if not has_unknown(state.task.equation.left):
            return Saying("ask check only right", values)
        case "part" if isinstance(state.part, PartMove) and state.part.operation is None:
            return Saying("ask part operation", values)
        case "move" if _gives_numbers_only(state):
            return Saying("ask undoing", values)
        case "move" if _just_begun(state):
            return Saying("ask begin", values)
        case "move" if state.leads or state.count("sides") >= SIDES_FADE_AFTER:
            return Saying("ask next line", values)
    return Saying(f"ask {state.phase}", values)


def _is_sum(act: Act) -> bool:
    """Whether an act is numbers alone: a sum, or both sides of a check."""
    return isinstance(act, Work) or (isinstance(act, Line) and not any(map(has_unknown, act.equation.sides())))


def _gives_numbers_only(state: State) -> bool:
    """Whether somebody who has only ever given the number is to be asked, once a lesson, which move would bring it."""
    fresh = len(state.board) == 1 and not (state.tries or state.rung or state.tried) and state.topic is None
    numbers = len(state.solo) >= NUMBERS_ONLY and not state.undone and not state.alone
    return fresh and numbers and not state.task.alone and not state.count("asked what undoes")


def _just_begun(state: State) -> bool:
    """Whether nothing has come of an equation yet, for a learner who no longer needs to be told of both sides."""
    fresh = len(state.board) == 1 and not state.tries and not state.rung and state.topic is None
    return fresh and bool(state.leads or state.swift or state.count("sides"))


def named(state: State) -> dict[str, Filling]:
    """What any wording may name: the unknown, the first line and the line in hand, and the answer being put in."""
    values: dict[str, Filling] = {"unknown": state.letter, "first": state.task.equation, "line": state.equation}
    return values if state.guess is None else {**values, "guess": state.guess}

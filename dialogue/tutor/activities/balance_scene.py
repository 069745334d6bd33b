"""The opening scene before the first equation of all: a balance, something taken from one side, and two questions.

What will happen? What would make it level again? Nothing in it is marked, a learner who does not see it is told, and
"skip" goes straight to the equation. The picture stands in the text; a voice describes it.

A balance for whole, positive numbers only, and left behind with the first negative one: Vlassis 2002, Educational
Studies in Mathematics 49(3), 341-359 (from memory).
"""

from dataclasses import replace

from dialogue.acts import Act, Ask, Control, Say, Seen, Unclear
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move
from dialogue.tutor.core.events import Event, NotClear, Outcome, PlainKind
from dialogue.tutor.core.questions import cleared, with_question
from dialogue.tutor.core.state import Phase, State
from dialogue.verbalising.sayings import Saying

LOOSE, RIGHT = 3, 8  # marbles beside the bag, and on the other side: small enough to be counted at a glance
BAG, MARBLE, PAN, GAP = "[bag]", "●", 13, 9
TOLD_AFTER = 2  # tries at a question before it is told
ANSWERS: dict[Phase, dict[str, PlainKind]] = {
    "scene tips": {"tips": "scene right", "right down": "scene right"},
    "scene level": {"same off": "scene right", "back": "scene back"},
}


def picture(left: int, right: int) -> str:
    """The balance with a bag and ``left`` marbles against ``right``; ``LOOSE`` less on the left is level."""
    one, other = f"{BAG} {MARBLE * left}".strip(), MARBLE * right
    first, second, plate = f"{one:^{PAN}}", f"{other:^{PAN}}", "═" * PAN
    centre, middle, gap = PAN // 2, PAN + GAP // 2, " " * GAP
    arm = "─" * (middle - centre - 1)
    if RIGHT - LOOSE + left == right:
        rows = [f"{first}{gap}{second}", f"{plate}{gap}{plate}", f"{'':{centre}}└{arm}┬{arm}┘"]
    else:
        post = f"{'':{middle}}│{' ' * (PAN + GAP - middle - 1)}"
        rows = [first, plate, f"{'':{centre}}└{arm}┐", f"{post}{second}", f"{post}{plate}", f"{'':{middle}}├{arm}┘"]
    return "\n".join(f"    {row}".rstrip() for row in (*rows, f"{'':{middle}}▲"))


def opening() -> tuple[Saying, ...]:
    """The balance, level, in words and in a picture."""
    return (
        Saying("scene", {"loose": LOOSE}),
        Saying("scene other side", {"all": RIGHT}),
        _drawn(LOOSE, RIGHT),
    )


def as_it_stands(phase: Phase) -> tuple[Saying, ...]:
    """The balance again, for a lesson that is resumed: level before something was taken, tipped after it."""
    return opening() if phase == "scene tips" else (_drawn(0, RIGHT),)


def _drawn(left: int, right: int) -> Saying:
    return Saying("scene picture", {"picture": picture(left, right)})


def scene_event(state: State, meaning: Act) -> Event:
    """What an answer comes to in the scene; never an event that is marked."""
    match meaning:
        case Ask("hint" | "repeat" | "slower" | "wording" as what):
            return Event(what, meaning)
        case Ask("meaning"):
            return Event("wording", meaning)
        case Say("stuck"):
            return Event("stuck", meaning)
        case Control("skip" | "stop" | "pause" as what):
            return Event(what, meaning)
        case Seen(what):
            return Event(ANSWERS[state.phase].get(what, "scene wrong"), meaning)
        case Control("undo") if state.phase == "scene level":
            return Event("scene back", meaning)
        case Move() if state.phase == "scene level":
            return Event(_made_level(meaning), meaning)
    question = meaning.question if isinstance(meaning, Unclear) else ""
    return NotClear("unclear", meaning, question)


def _made_level(move: Move) -> PlainKind:
    """The left is ``LOOSE`` lighter: as much off the right (or off both, the left having lost it), or put back."""
    operand = linear(move.operand)
    if operand.coefficient or operand.constant != LOOSE:
        return "scene wrong"
    if move.operation == "subtract":
        return "scene wrong" if move.sides == "left" else "scene right"
    return "scene back" if move.operation == "add" and move.sides == "left" else "scene wrong"


# -- effects of the table ---------------------------------------------------------------------------------------------


def scene_tips(state: State, event: Event) -> Outcome:
    """It tips, as the learner said; the picture follows the answer and does not give it."""
    return replace(state, phase="scene level", tries=0, rung=0), (Saying("scene tipped"), _drawn(0, RIGHT))


def scene_level(state: State, event: Event) -> Outcome:
    """Level again, as the learner said: the scene is over."""
    after, leave = leave_scene(state, event)
    return after, (Saying("scene levelled"), _drawn(0, RIGHT - LOOSE), *leave)


def scene_back(state: State, event: Event) -> Outcome:
    """Level too, but the bag is then no nearer to being alone."""
    return state, (Saying("scene put back"),)


def leave_scene(state: State, event: Event) -> Outcome:
    """To the first equation."""
    return with_question(cleared(state)), (Saying("scene over"),)


def scene_hint(state: State, event: Event) -> Outcome:
    """A smaller question, and then the answer: nothing here is worth being stuck at."""
    state = replace(state, tries=state.tries + 1, doubts=0)
    tips = state.phase == "scene tips"
    if state.tries < TOLD_AFTER:
        return state, (Saying("scene count" if tips else "scene choices", {"loose": LOOSE}),)
    if tips:
        return replace(state, phase="scene level", tries=0), (Saying("scene told"), _drawn(0, RIGHT))
    after, leave = leave_scene(state, event)
    return after, (Saying("scene told level", {"loose": LOOSE}), _drawn(0, RIGHT - LOOSE), *leave)


def scene_again(state: State, event: Event) -> Outcome:
    """What was not followed: what could be said; then as if it were not known."""
    if state.doubts:
        return scene_hint(state, event)
    return replace(state, doubts=state.doubts + 1), (Saying("scene say"),)


def scene_words(state: State, event: Event) -> Outcome:
    """What can be said of the scene."""
    return state, (Saying("scene say"),)

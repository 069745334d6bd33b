"""What a feeling, or the reproach of not having listened, is met with: what this learner did, in a sentence."""

from collections.abc import Sequence
from dataclasses import replace

from dialogue.acts import Comment
from dialogue.algebra.moves import Move
from dialogue.tutor.core.events import VERDICTS, EventKind
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import CHECKING, WORKING, State
from dialogue.tutor.core.told import told_least
from dialogue.tutor.moves.checking import CHECKED
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Saying

FELT_FOR = 3  # turns for which it is remembered what was told of a person (a choice)
NO_STEP: frozenset[EventKind] = frozenset({"repeat", "meaning", "wording", "stuck", "hint"})
OFTEN = 2  # times in a lesson that the same is told of what was done (a choice)


def feeling(state: State, act: Comment) -> Saying:
    """One warm, true, specific sentence: what the learner did, and never a pep talk."""
    if act.about is not None and act.about != "upset":
        return Saying(f"heard {act.about}")
    own = [way for way in own_work(state) if state.told.count(way.key) < OFTEN]
    return told_least(state, *own) if own else Saying("heard upset" if act.about else "heard feeling")


def own_work(state: State) -> list[Saying]:
    """What the learner did in this lesson, the latest first, each in a sentence."""
    ways: list[Saying] = []
    own = [line for line in state.board[1:] if line.level == "independent"]
    if state.phase == "right" and state.aided != "shown":
        ways.append(Saying("you did left", {"left": due_value(replace(state, phase="left")) or state.equation.left}))
    if isinstance(state.pending, Move) and state.phase in WORKING and state.aided != "shown":
        ways.append(Saying("you did move", {"move": state.pending}))
    elif own and isinstance(own[-1].note, Move):
        ways.append(Saying("you did move", {"move": own[-1].note}))
    elif own:
        ways.append(Saying("you wrote line", {"line": own[-1].equation}))
    if state.described:
        ways.append(Saying("you told", {"done": state.described}))
    elif state.phase == "operations" and state.topic is not None:
        ways.append(Saying("you saw term", {"term": state.topic}))
    if state.solo:
        solved = state.plan.tasks[state.solo[-1]].equation
        if (answer := solved.solution().value) is not None:
            ways.append(Saying("you solved", {"other": solved, "guess": answer}))
    if state.tried:
        ways.append(Saying("you tried", {"guess": state.tried[-1]}))
    return ways


def apology(state: State) -> Saying:
    """What was missed, told to whoever says that they were not heard: what was last told of a person, else the step."""
    felt, at = state.felt
    if felt is not None and state.turn - at <= FELT_FOR:
        return Saying("sorry, felt", {"kind": phrases()[f"told {felt}"]})
    if state.phase in CHECKING and state.guess is not None:
        return Saying("sorry, checking", {"guess": state.guess})
    if state.phase in WORKING and isinstance(state.pending, Move):
        return Saying("sorry, move", {"move": state.pending})
    return Saying("sorry, working" if state.phase in WORKING else "sorry, misread")


def not_sure(before: State, beside: Sequence[Comment], kinds: Sequence[EventKind]) -> Saying | None:
    """What is said to who does not know beside a step, or speaks of how it is once a step brought them no nearer."""
    if kinds[-1] == "stuck" and "move level" in kinds:
        return Saying("heard not knowing")
    unnamed = Comment("feel") in beside
    if kinds[0] in NO_STEP and unnamed and before.told.count("heard feeling") < OFTEN:
        return Saying("heard feeling")
    no_nearer = any(reply.key in {"look what it gives", "not nearer"} for reply in before.last)
    return Saying("heard nothing lost") if no_nearer and unnamed and "move closer" in kinds else None


def is_to_themselves(before: State, state: State, said: Sequence[Saying], kinds: Sequence[EventKind]) -> bool:
    """Whether an objection is to their own answer: both sides were worked out and it does not fit, or a step to
    another answer follows it."""
    if any(saying.key in VERDICTS for saying in said) and CHECKED & set(kinds) and state.place == before.place:
        return True
    wrong = before.guess not in {None, before.task.equation.solution().value}
    return wrong and state.guess not in {None, before.guess} and "move closer" in kinds

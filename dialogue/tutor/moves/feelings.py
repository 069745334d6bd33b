"""What a feeling, or the reproach of not having listened, is met with: what this learner did, in a sentence."""

from dataclasses import replace

from dialogue.acts import Comment
from dialogue.algebra.moves import Move
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import CHECKING, WORKING, State
from dialogue.tutor.core.told import told_least
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Saying

FELT_FOR = 3  # turns for which it is remembered what was told of a person (a choice)
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
    if state.solved:
        ways.append(Saying("you solved", {"lines": len(state.solved)}))
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
    return Saying("sorry, working" if state.phase in WORKING else "sorry, misread")

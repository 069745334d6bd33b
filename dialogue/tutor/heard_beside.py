"""What was said beside a step and wants a word: a feeling, that somebody was not heard, something of their own."""

from collections.abc import Sequence
from dataclasses import replace

from dialogue.acts import Comment
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move
from dialogue.tutor.core.events import VERDICTS, Event, Valued
from dialogue.tutor.core.state import WORKING, State
from dialogue.tutor.core.told import TO_A_QUESTION, was_left_out
from dialogue.tutor.moves.conjectures import rule_here
from dialogue.tutor.moves.feelings import apology, feeling
from dialogue.tutor.taken_up import AsSaid, shared_parts
from dialogue.verbalising.sayings import Saying

OF_THIS_ONE = frozenset({"you did move", "you wrote line", "you did left", "you told", "you saw term", "you tried"})
UNSPOKEN = frozenset({"glad", "greeting", "bored"})  # moods that want no word beside a step


def heard_beside(before: State, state: State, said: AsSaid, events: Sequence[Event]) -> Saying | None:
    """What was said beside an answer and wants a word: how somebody feels, the gravest first, that the tutor did not
    listen, or something of their own. A feeling of no known kind is met with what was just done, for it may be any."""
    beside = said.beside
    felt = sorted((act for act in beside if act.kind == "feel" and act.about is not None), key=_weight)
    if state.phase == "done":
        felt = [act for act in felt if act.about != "tired"]  # it is over
    unnamed = Comment("feel") in beside
    if felt and felt[0].about not in UNSPOKEN:
        return (_with_their_step(before, state) if felt[0].about == "upset" else None) or feeling(state, felt[0])
    if any(act.kind == "object" and act.about == "not heard" for act in beside):
        missed = _question_left(before) and not _went_on(before, state)
        return Saying("sorry, aside") if missed else _said_before(before, events) or apology(state)
    if unnamed and before.turn and (state.tries > before.tries or len(state.tried) > len(before.tried)):
        said_to_it = feeling(state, Comment("feel", "upset"))
        return said_to_it if said_to_it.key in OF_THIS_ONE else None
    if Comment("object") in beside:
        return _to_an_objection(before, state)
    alone = len(state.solo) > len(before.solo) and state.phase != "done"  # there it is told anyway
    if unnamed and alone and not state.told.count("you solved that"):
        return Saying("you solved that")
    if Comment("rule") in beside and (rule := rule_here(before, state)) is not None:
        return rule
    return _story(before, state, said)


def _with_their_step(before: State, state: State) -> Saying | None:
    """To who is upset with a right step in the same turn: the step, as theirs; None where there was none."""
    if state.place != before.place:
        return Saying("you solved that") if len(state.solo) > len(before.solo) else None
    if isinstance(state.pending, Move) and state.pending != before.pending and state.phase in WORKING:
        return Saying("you did move, slip" if before.tries else "you did move, felt", {"move": state.pending})
    if isinstance(before.pending, Move) and before.phase == "mend" and state.phase in WORKING:
        return Saying("you did move, slip", {"move": replace(before.pending, sides="both")})
    own = len(state.board) > len(before.board) and state.board[-1].level == "independent"
    return Saying("you wrote line, felt", {"line": state.equation}) if own else None


def _said_before(before: State, events: Sequence[Event]) -> Saying | None:
    """That a number asked for was said in the turn before already; None where it was not."""
    given = [event.value for event in events if isinstance(event, Valued) and event.kind == "value right"]
    again = [value for value in given if linear(value).constant in before.numbers]
    return Saying("sorry, number", {"value": again[0]}) if again else None


def _story(before: State, state: State, said: AsSaid) -> Saying | None:
    """What is shared out in a turn, where the line says so too, and it was not just told."""
    parts = shared_parts(before.equation) if "shared" in said.marks and Comment("aside") in said.beside else None
    if parts is None or any(reply.key.startswith("heard story") for reply in before.last):
        return None
    if state.phase == "part" and state.part is not None and state.part.operand is None:
        return Saying("heard story, part", {"value": parts[0]})
    return Saying("heard story, beside", {"value": parts[0], "by": parts[1], "line": before.equation})


def _to_an_objection(before: State, state: State) -> Saying | None:
    """What is said to an objection beside an answer, where it is plain what it is to."""
    other_answer = before.guess is not None and state.guess not in {None, before.guess}
    other_move = before.phase == "reconsider" and state.phase != "reconsider"
    if state.place == before.place and (other_answer or other_move):
        return Saying("sorry, misread")
    if _question_left(before):
        return Saying("sorry, aside")
    went_on = {"noted wrong", "for later", "skip"} & {reply.key for reply in before.last}
    if went_on:
        return Saying("answer skipped")
    answered = (reply.key for reply in before.last if reply.key not in VERDICTS)
    return Saying("sorry, working") if any(key.startswith(TO_A_QUESTION) for key in answered) else None


def _question_left(before: State) -> bool:
    return before.aside_asked and was_left_out(before)


def _went_on(before: State, state: State) -> bool:
    """Whether a step or an answer was said, so that not being heard is said of one."""
    return (state.place, state.board, state.guess) != (before.place, before.board, before.guess) or (
        state.pending is not None and state.pending != before.pending
    )


def _weight(act: Comment) -> int:
    return 2 if act.about in UNSPOKEN else 1 if act.about in {"sorry", "thanks", "tired"} else 0

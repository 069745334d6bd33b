"""A move that may have been said of both sides is never told that it tips: the other side is asked for, in words that
accuse nobody. A move said of one side alone keeps its tilt and its question. The turns are invented."""

import pytest
from talking import task

from dialogue.tutor.core.state import Plan, Turn, Utterance
from dialogue.tutor.session import begin, step

TIPS = {"tilt", "ask mend", "levelled", "error", "model both-sides", "evidence number"}
NO_REASON = 1  # a seed with which no reason is asked for in these turns
BOTH = (
    "take 20 off the n side and the other side as well",
    "20 off the left, and the right also",
    "20 from the 42 and 20 from n + 20",
    "everyone loses 20",
    "both sides lose 20",
    "20 off each side",
    "take 20 from the right side and the same on the left",
    "i take 20 off the n side, everybody gives 20",
    "send 20 home from the left and also from the n side",
    "minus 20 on the n side too",
    "subtract 20 from the right, same for the left",
    "20 off every side",
    "take 20 off the side with n, and the 42 gives 20 too",
    "the n side loses 20 and so does the 42",
    "take 20 away on the right. the left too",
    "take the 20 off n and off the 42",
    "i take 20 away from the left side as well as the right",
    "20 less on the n side, and 20 less on the other",
    "the left gives 20 away, the right does it as well",
    "n side minus 20, left side minus 20 also",
    "take 20 off the left and the right",
)
ONE = (
    "take 20 off the right side",
    "take 20 off the n side",
    "only take 20 off the right, leave the 42",
    "just take 20 from the n side",
    "take 20 off the right side only",
    "i take 20 off the n side and leave the 42 alone",
    "take 20 off the right and the 42 stays",
)


def _turns(*texts: str) -> list[Turn]:
    known = (("operations", 4), ("first", 2))
    turns = [begin(Plan((task("42 = n + 20"), task("5n + 2 = 17")), NO_REASON, known))]
    for text in texts:
        turns.append(step(turns[-1].state, Utterance(text)))
    return turns


def _keys(turn: Turn) -> set[str]:
    return {reply.key for reply in turn.replies}


@pytest.mark.parametrize("text", BOTH)
def test_who_may_have_meant_both_sides_is_not_told_that_it_tips(text: str) -> None:
    turn = _turns(text)[-1]
    assert not _keys(turn) & TIPS and "ask reason" not in _keys(turn)
    assert turn.state.phase != "mend" or turn.replies[-1].key == "other side too"
    assert not turn.state.seen  # no error is put down to anybody
    assert not turn.state.tries


@pytest.mark.parametrize("text", BOTH)
@pytest.mark.parametrize("answer", ["the same", "yes, 20 off that as well", "both", "it loses 20 too"])
def test_the_other_side_is_taken_as_it_is_told(text: str, answer: str) -> None:
    turns = _turns(text)
    if turns[-1].state.phase == "mend":
        turns = _turns(text, answer)
        assert turns[-1].state.phase in {"left", "line"} and not _keys(turns[-1]) & TIPS
        assert turns[-1].state.aided == "independent"


@pytest.mark.parametrize("text", ONE)
def test_a_move_on_one_side_alone_tips(text: str) -> None:
    turn = _turns(text)[-1]
    assert turn.state.phase == "mend" and _keys(turn) & {"tilt", "model both-sides"}
    assert "both-sides" in str(turn.state.seen) or turn.state.tries == 1


def test_talk_in_between_asks_for_the_other_side_and_nothing_else() -> None:
    turns = _turns("the n side loses 20 and so does the 42", "hmm", "yes")
    assert [turn.replies[-1].key for turn in turns[-2:]] == ["ask other side", "ask other side"]
    assert not _keys(turns[-1]) & TIPS


def test_a_move_on_one_side_alone_tips_also_once_the_other_was_asked_for() -> None:
    turns = _turns("the n side loses 20 and so does the 42", "no, only take 20 off the right, leave the 42")
    assert "tilt" in _keys(turns[-1])

"""One utterance is understood once, where that is sure or was spoken: the tagger runs once, and not at all for what is
certain. What is not sure is read again, a sentence at a time."""

import pytest
from talking import Talk

from dialogue.acts import Expecting
from dialogue.tutor.by_sentence import sentences
from dialogue.tutor.core.state import Utterance
from dialogue.tutor.session import step
from dialogue.understanding import interpret as understanding
from dialogue.understanding.readings import Reading

CERTAIN = ("3x = 12", "-2", "subtract two from both sides", "let's play a game")
READ = ("i reckon we want rid of that two so take it off each side", "erm what are we even doing")
UNSURE = "my cousin says the thing beside it goes over somewhere. so it turns round maybe"
CORRECTED = "add two, no, take two away from each of them"


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The texts that the tagger was given."""
    texts: list[str] = []
    tagged = understanding.tagged

    def watched(text: str, expecting: Expecting, letter: str, tutor: str) -> tuple[list[Reading], int]:
        texts.append(text)
        return tagged(text, expecting, letter, tutor)

    monkeypatch.setattr(understanding, "tagged", watched)
    understanding.interpret.cache_clear()
    return texts


def said(text: str) -> None:
    """One turn of a lesson."""
    step(Talk("3x + 2 = 14").state, Utterance(text))


@pytest.mark.parametrize("text", CERTAIN)
def test_what_is_certain_needs_no_tagger(seen: list[str], text: str) -> None:
    said(text)
    assert seen == []


@pytest.mark.parametrize("text", READ)
def test_any_other_turn_is_tagged_once(seen: list[str], text: str) -> None:
    said(text)
    assert seen == [text]


def test_of_a_self_correction_what_was_said_first_is_read_besides(seen: list[str]) -> None:
    said(CORRECTED)
    assert seen.count(CORRECTED) <= 1
    assert len(seen) == len(set(seen)) <= 2


def test_of_a_turn_that_is_not_sure_each_sentence_is_read_by_itself_twice_at_most(seen: list[str]) -> None:
    said(UNSURE)
    assert seen[0] == UNSURE and seen.count(UNSURE) == 1
    assert 1 < len(seen) <= 1 + 2 * len(sentences(UNSURE))
    assert set(seen[1:]) <= set(sentences(UNSURE))


def test_what_was_understood_while_it_was_heard_is_not_understood_again(seen: list[str]) -> None:
    """A spoken turn brings what it and the other hypotheses mean: the tutor takes them as they are."""
    state = Talk("3x + 2 = 14").state
    found = tuple(understanding.interpret(text, "move", "x", state.last[-1].text) for text in READ)
    seen.clear()
    understanding.interpret.cache_clear()
    turn = step(state, Utterance(READ[0], "spoken", meant=found))
    assert seen == []
    assert turn.meant is not None and turn.meant.acts == found[0].acts
    assert found[1].acts in turn.meant.rivals

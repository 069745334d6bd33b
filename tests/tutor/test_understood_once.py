"""One utterance is understood once: the network runs once for it at most, and not at all for what is certain, however
many parts of it are read."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

import pytest
from talking import Talk, move
from training.in_lesson import held, read_back, state_of
from training.reading import LabelledTurn, blind, blind_names, decided_names

from dialogue.acts import Control, Disclosure, Interpretation, Say
from dialogue.tutor.by_sentence import sentences
from dialogue.tutor.core.state import State, Utterance
from dialogue.tutor.interpret_in_lesson import interpret_in_lesson
from dialogue.tutor.session import step
from dialogue.understanding import interpret as understanding
from dialogue.understanding.seen_turn import see
from dialogue.understanding.tagger import Network, NetworkView
from dialogue.verbalising.sayings import Reply

CERTAIN = ("3x = 12", "-2", "subtract two from both sides", "let's play a game")
READ = (
    "i reckon we want rid of that two so take it off each side",
    "erm what are we even doing",
    "add two, no wait i mean we take two away from each of them lot",  # what was said first is read besides
    "my cousin says the thing beside it goes over somewhere. so it turns round maybe",  # each sentence is
    "why can't i just take 3 off it. also what does the sign mean, like is it take 2 off? ok 2 off both then",
)

HELD = held(Talk("x + 3 = 14").state, "confirm", "move")
HELD = replace(HELD, last=(Reply("unsure", *["You mean subtract 3 from both sides?"] * 2),))


class Run(NamedTuple):
    """How many words the network was given, and after which question."""

    words: int
    asked: str


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Run]]:
    """Each run of the network."""
    found: list[Run] = []
    run = Network.seen

    def watched(network: Network, words: Sequence[str], asked: str, context: Sequence[str]) -> NetworkView:
        found.append(Run(len(words), asked))
        return run(network, words, asked, context)

    monkeypatch.setattr(Network, "seen", watched)
    forget()
    yield found
    forget()


def forget() -> None:
    """What was seen and understood before is seen again."""
    see.cache_clear()
    understanding.interpret.cache_clear()


@pytest.mark.parametrize("text", CERTAIN)
def test_what_is_certain_is_not_shown_to_the_network(runs: list[Run], text: str) -> None:
    step(Talk("3x + 2 = 14").state, Utterance(text))
    assert runs == []


@pytest.mark.parametrize("text", READ)
def test_any_other_turn_is_shown_once_and_whole(runs: list[Run], text: str) -> None:
    step(Talk("3x + 2 = 14").state, Utterance(text))
    assert [run.words for run in runs] == [len(see(text, letter="x").shown)]


@pytest.mark.parametrize(
    ("names", "where"), [(blind_names, state_of), (blind_names, read_back), (decided_names, state_of)]
)
def test_no_turn_of_anybody_is_shown_more_than_once(
    runs: list[Run], names: Callable[[], list[str]], where: Callable[[LabelledTurn], State | None]
) -> None:
    """Of every author's turns, where they were said, and in answer to "You mean ...?"."""
    said = [(turn.text, where(turn)) for name in names() for turn in blind(name)]
    placed = [(text, state) for text, state in said if state is not None]
    assert len(placed) > 300
    for text, state in placed:
        before = len(runs)
        interpret_in_lesson(state, Utterance(text))
        assert len(runs) - before <= 1, text
    assert len(runs) > len(placed) / 2  # it did run


@pytest.mark.parametrize(
    ("text", "asked"),
    [("yes please mate if you could", "yesno"), ("nah mate it was off the both of them", "yesno"),
     ("okay so we take the three away from each of them", "move"), ("i reckon it is shared out by three", "move")],
)  # fmt: skip
def test_after_you_mean_the_network_is_told_the_question_that_is_answered(
    runs: list[Run], text: str, asked: str
) -> None:
    step(HELD, Utterance(text))
    assert [run.asked for run in runs] == [asked]


def test_what_was_heard_as_a_yes_or_no_and_is_none_is_the_one_thing_shown_twice(runs: list[Run]) -> None:
    """The exception: the hearing asks for the yes or no, and the tutor reads it after the question before."""
    text = "i reckon we want rid of that three so take 3 off each side"
    heard = understanding.interpret(text, "yesno", "x", HELD.last[-1].text)
    found = interpret_in_lesson(HELD, Utterance(text, "spoken", meant=(heard,))).found
    assert [run.asked for run in runs] == ["yesno", "move"]
    assert found is not None and move("subtract", "3") in found.acts
    forget()
    runs.clear()
    for act in (Say("yes"), Control("stop"), Disclosure()):  # an answer, or what always counts
        spoken = Utterance(text, "spoken", meant=(Interpretation((act,), sure=True),))
        found = interpret_in_lesson(HELD, spoken).found
        assert found is not None and found.acts == (act,)
    assert runs == []


def test_a_part_has_the_rows_of_its_own_words() -> None:
    whole = see("is it 3? no wait, 3. so take 3 off both", "move", "n", "What will you do to both sides?")
    said = sentences(whole)
    assert [one.text for one in said] == ["is it 3?", "no wait, 3.", "so take 3 off both"]
    rows = [row.tolist() for one in said for row in one.view.scores]
    assert rows == [row.tolist() for word, row in zip(whole.words, whole.view.scores, strict=True) if word.shown != ""]
    outer = whole.part((0, 8), (18, len(whole.text)))
    assert outer.text == "is it 3? 3. so take 3 off both"
    assert [row.tolist() for row in outer.part((9, 11)).view.scores] == [
        row.tolist() for row in said[1].view.scores[-2:]
    ]


def test_what_was_understood_while_it_was_heard_is_not_understood_again(runs: list[Run]) -> None:
    """A spoken turn brings what it and the other hypotheses mean: the tutor takes them as they are."""
    state = Talk("3x + 2 = 14").state
    found = tuple(understanding.interpret(text, "move", "x", state.last[-1].text) for text in READ)
    runs.clear()
    forget()
    turn = step(state, Utterance(READ[0], "spoken", meant=found))
    assert runs == []
    assert turn.meant is not None and turn.meant.acts == found[0].acts
    assert found[1].acts in turn.meant.rivals


def test_what_a_bare_question_asks_is_read_off_what_was_seen_while_it_was_heard(runs: list[Run]) -> None:
    state = Talk("3x + 2 = 14").state
    text = "but why do you have to do it to both"
    found = understanding.interpret(text, "move", "x", state.last[-1].text)
    step(state, Utterance(text, "spoken", meant=(found,)))
    assert len(runs) == 1

"""One utterance is understood once: the network runs once for it at most, and not at all for what is certain, however
many parts of it are read."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from talking import Talk
from training.reading import LabelledTurn, blind, blind_names, decided_names

from dialogue.algebra.moves import Move
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import next_step
from dialogue.tutor.by_sentence import sentences
from dialogue.tutor.core.state import Phase, State, Utterance
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
PHASES: dict[str, Phase] = {
    "operations": "operations", "term": "first", "move": "move", "value": "left", "equation": "line",
    "yesno": "offer stop", "why": "reason", "any": "between",
}  # fmt: skip
READ_BACK = "You mean subtract 3 from both sides?"


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """A number for each run of the network: how many words it was given."""
    found: list[int] = []
    run = Network.seen

    def watched(network: Network, words: list[str], *more: object) -> NetworkView:
        found.append(len(words))
        return run(network, words, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(Network, "seen", watched)
    forget()
    yield found
    forget()


def forget() -> None:
    """What was seen and understood before is seen again."""
    see.cache_clear()
    understanding.interpret.cache_clear()


@pytest.mark.parametrize("text", CERTAIN)
def test_what_is_certain_is_not_shown_to_the_network(runs: list[int], text: str) -> None:
    step(Talk("3x + 2 = 14").state, Utterance(text))
    assert runs == []


@pytest.mark.parametrize("text", READ)
def test_any_other_turn_is_shown_once_and_whole(runs: list[int], text: str) -> None:
    step(Talk("3x + 2 = 14").state, Utterance(text))
    assert runs == [len(see(text, letter="x").shown)]


@pytest.mark.parametrize("names", [blind_names, decided_names])
def test_no_turn_of_anybody_is_shown_more_than_once(runs: list[int], names: object) -> None:
    """Of every author's turns, where they were said, and again in answer to "You mean ...?"."""
    turns = [turn for name in names() for turn in blind(name)]  # type: ignore[operator]
    assert len(turns) > 500
    for turn in turns:
        state = state_of(turn)
        held = replace(state, phase="confirm", back=state.phase, by_ear=False, last=(Reply("", READ_BACK, READ_BACK),))
        for where in (state, held):
            before = len(runs)
            interpret_in_lesson(where, Utterance(turn.text))
            assert len(runs) - before <= 1, (where.phase, turn.text)
    assert len(runs) > len(turns)  # it did run


def state_of(turn: LabelledTurn) -> State:
    """A lesson that waits for what this turn answers."""
    try:
        state = Talk(turn.equation, fresh=True).state
    except Refusal:  # "no solution"
        state = Talk("3x + 2 = 14", fresh=True).state
    move, phase = next_step(state.equation), PHASES[turn.expecting]
    pending = move if isinstance(move, Move) and phase in {"left", "line"} else None
    if phase in {"left", "line"} and pending is None:
        phase = "move"
    said = (Reply("", turn.tutor, turn.tutor),) if turn.tutor else state.last
    return replace(state, phase=phase, pending=pending, last=said)


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


def test_what_was_understood_while_it_was_heard_is_not_understood_again(runs: list[int]) -> None:
    """A spoken turn brings what it and the other hypotheses mean: the tutor takes them as they are."""
    state = Talk("3x + 2 = 14").state
    found = tuple(understanding.interpret(text, "move", "x", state.last[-1].text) for text in READ)
    runs.clear()
    forget()
    turn = step(state, Utterance(READ[0], "spoken", meant=found))
    assert runs == []
    assert turn.meant is not None and turn.meant.acts == found[0].acts
    assert found[1].acts in turn.meant.rivals


def test_what_a_bare_question_asks_is_read_off_what_was_seen_while_it_was_heard(runs: list[int]) -> None:
    state = Talk("3x + 2 = 14").state
    text = "but why do you have to do it to both"
    found = understanding.interpret(text, "move", "x", state.last[-1].text)
    step(state, Utterance(text, "spoken", meant=(found,)))
    assert len(runs) == 1

"""What learners ask beside the work, on turns by an author who saw neither code nor data nor the topics, two labels
each (tests/training/topics/blind_2). What is held is what was reached at first sight; blind_1 was read for faults.
"""

import hashlib
import re
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as some
from training.asked import TOPICS, AskingTurn, asking_turns, letter_of, sentences

from dialogue.acts import Ask, Interpretation
from dialogue.algebra.equation import read_equation
from dialogue.tutor.asked_beside import ANSWERED_AS, GLOSSARY
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.moves.learner_questions import has_answer
from dialogue.tutor.session import begin, step
from dialogue.understanding.learned_topics import NONE, OTHER, asked_in, packaged
from dialogue.understanding.seen_turn import see

RIGHT, WRONG, FALSE = 41, 6, 5  # of 88 questions that have an answer, and of 172 turns that ask nothing of the kind
OF_THE_ACTS = frozenset(  # left to the understanding, which has acts for them
    {
        "right",
        "wrong",
        "why",
        "wording",
        "repeat",
        "hint",
        "answer",
        "example",
        "word",
        "harder",
        "easier",
        "stop",
        "skip",
    }
)
PACKAGED = files("dialogue.understanding").joinpath("en")


def _answered(topic: str) -> bool:
    name = ANSWERED_AS.get(topic, topic)
    return topic != OTHER and (name.startswith(GLOSSARY) or has_answer(name))


def _found(turn: AskingTurn) -> frozenset[str]:
    asked = asked_in(see(turn.text, "any", letter_of(turn.equation), turn.tutor))
    return frozenset(one.topic for one in asked if _answered(one.topic))


def test_every_topic_has_an_answer_or_an_act() -> None:
    written = {one.topic for path in TOPICS for one in sentences(path)}
    assert set(packaged().names) == written
    assert {topic for topic in written if not _answered(topic)} == OF_THE_ACTS | {NONE, OTHER}


def test_what_is_asked_is_found(capsys: pytest.CaptureFixture[str]) -> None:
    turns = asking_turns("blind_2")
    agreed = sum(one.topics[0] == one.topics[1] for one in turns)
    asking = [one for one in turns if any(map(_answered, one.topics[0] | one.topics[1]))]
    found = [(_found(one), one.topics[0] | one.topics[1]) for one in asking]
    right = sum(bool(asked & labels) for asked, labels in found)
    wrong = sum(bool(asked) and not asked & labels for asked, labels in found)
    false = sum(bool(_found(one)) for one in turns if one not in asking)
    with capsys.disabled():
        print(f"\nasked, n {len(asking)}: right {right}, wrong {wrong}; false {false} of {len(turns) - len(asking)}")
    assert agreed / len(turns) >= 0.98
    assert (right >= RIGHT, wrong <= WRONG, false <= FALSE) == (True, True, True)


@given(some.text(max_size=120), some.sampled_from("nxk"))
def test_any_text_asks_something_or_nothing_within_it(text: str, letter: str) -> None:
    for one in asked_in(see(text, "any", letter)):
        assert 0 <= one.start < one.end <= len(text) and one.topic != NONE and 0 < one.probability <= 1


def _last(equation: str, *turns: str) -> Turn:
    turn = begin(Plan((Task(read_equation(equation)), Task(read_equation("9n + 4 = 67"))), 1, (("operations", 4),)))
    for said in turns:
        turn = step(turn.state, Utterance(said))
    return turn


@pytest.mark.parametrize(
    ("equation", "said", "answer"),
    [
        ("5n + 3 = 28", "3 off both sides, but why do you have to do it to both?", "answer both sides"),
        ("n + 15 = 69", "so is it really moving across, or taking 15 off both?", "answer moving"),
        ("4n = 31", "divide both by 4. what if it doesnt come out as a whole number", "answer fraction"),
        ("9n - 90 = 72", "why can't 9n and -90 go together", "answer not the same"),
        ("5(n + 7) = 65", "why not always divide first", "answer bracket first"),
        ("n + 15 = 69", "does my teacher see this", "answer privacy"),
        ("n + 15 = 69", "who are you, a robot?", "answer who"),
    ],
)
def test_a_question_is_answered_and_the_step_beside_it_counts(equation: str, said: str, answer: str) -> None:
    turn = _last(equation, said)
    assert answer in [reply.key for reply in turn.replies]


def test_the_step_beside_a_question_is_taken() -> None:
    turn = _last("5n + 3 = 28", "3 off both sides, 5n = 25, but why do you have to do it to both?")
    assert turn.state.board[-1].equation == read_equation("5n = 25")


def test_a_question_heard_by_voice_is_answered_as_what_it_asks() -> None:
    begun = _last("5n + 3 = 28")
    text = "but why do you have to do it to both"
    said = Utterance(text, "spoken", meant=(Interpretation((Ask("why"),), sure=True),))
    assert "answer both sides" in [reply.key for reply in step(begun.state, said).replies]


def test_a_number_in_a_question_is_no_answer() -> None:
    turn = _last("4n = 31", "but 31 does not go into 4 evenly. is that ok?")
    assert turn.state.guess is None


@pytest.mark.parametrize(
    "said", ["take away 4?", "is it 12?", "n = 4", "so 3 lots of n is 66", "48?", "divide by 4 so 20"]
)
def test_a_step_or_a_guess_asks_nothing(said: str) -> None:
    assert asked_in(see(said, "any", "n")) == ()


def test_the_file_is_the_one_that_the_card_tells_of() -> None:
    stated = re.search(r"`learned_topics.npz` sha256 `(\w+)`", PACKAGED.joinpath("tagger_card.md").read_text("utf-8"))
    assert stated is not None
    assert stated[1] == hashlib.sha256(PACKAGED.joinpath("learned_topics.npz").read_bytes()).hexdigest()

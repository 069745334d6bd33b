"""Questions about the working beside a step: whether another way gives the same, why the other side stays, whether an
answer or a choice was right, a belief put as a reason. Each is answered with the step, and by what was computed."""

import pytest
from talking import move
from talking import typed_keys as _keys
from talking import typed_said as _said
from talking import typed_turns as _turns

from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Task, Utterance
from dialogue.tutor.moves.of_the_working import OF_WORKING
from dialogue.tutor.own_questions import own_questions
from dialogue.tutor.session import begin, step

BRACKET = "3(n + 11) = 72"
ASKED = (
    (BRACKET, ("3n + 33 = 72. why is the 72 not timesed as well?",), "answer only written"),
    (BRACKET, ("divide both by 3, n + 11 = 24. why do both ways come to the same n?",), "answer same result"),
    (BRACKET, ("divide by 3, n + 11 = 24. does it matter if it doesn't divide evenly?",), "answer fraction"),
    (
        BRACKET,
        ("3n + 33 = 72", "i multiplied it out", "take 33 off. could i have divided by 3 at the beginning?"),
        "answer could have",
    ),
    (BRACKET, ("3n + 33 = 72, but how come the 72 doesn't become 216?",), "answer only written"),
    ("2n + 7 = 5n - 8", ("take 2n, 7 = 3n - 8. could i have moved or taken the 5n instead?",), "answer same result"),
    ("3(n - 7) = 36", ("3n - 21 = 36. does the minus stay because it is the 7's?",), "answer whose sign, lots"),
    ("9 - 4n = 1", ("take 9 off, -4n = -8. is the minus part of the 4?",), "answer whose sign"),
    ("5n + 3 = 28", ("3 off both, 5n = 25. is it finished now?",), "answer finished"),
    ("5n + 3 = 28", ("3 off both, 5n = 25", "n = 5, i just saw it. is that cheating?"), "answer cheating"),
    ("5n + 3 = 28", ("3 off both, 5n = 25, is that an n or an m?",), "answer which letter"),
    ("5n - 3 = 27", ("add 3 to both, 5n = 30. is adding the right thing there?",), "answer right choice"),
    (
        "5n + 3 = 28",
        ("so it is really just taking the same off both sides, said short? is that it?",),
        "answer passing, yes",
    ),
    ("24 = n + 9", ("you turned it round",), "answer swapped"),
)


@pytest.mark.parametrize(("equation", "texts", "key"), ASKED, ids=[texts[-1] for _, texts, _ in ASKED])
def test_a_question_about_the_working_is_answered_beside_the_step(
    equation: str, texts: tuple[str, ...], key: str
) -> None:
    turns = _turns(equation, *texts, fresh=False)
    assert key in [reply.key for reply in turns[-1].replies]
    assert turns[-1].replies[-1].text.endswith("?"), "the question in hand stands last"


def test_why_the_other_side_stays_names_both_writings_and_no_other_reason() -> None:
    said = _said(BRACKET, "3n + 33 = 72. why is the 72 not times by 3? i thought you do both sides", fresh=False)
    assert "3(n + 11) and 3n + 33 are the same amount" in said and "So 72 stays" in said
    assert "must be done to the other" not in said


def test_that_two_writings_are_the_same_is_judged() -> None:
    before = ("3n + 33 = 72", "i multiplied it out")
    assert "yes, alike" in _keys(BRACKET, *before, "is it because 3(n+11) and 3n+33 are the same amount?", fresh=False)
    assert "answer not the same" in _keys(BRACKET, *before, "are 3(n + 11) and 3n + 11 the same?", fresh=False)


def test_what_could_have_been_done_is_judged_on_the_first_line() -> None:
    before = ("3n + 33 = 72", "i multiplied it out", "33 off, 3n = 39")
    assert "answer could have" in _keys(BRACKET, *before, "could i have divided by 3 first?", fresh=False)
    assert "answer could have, longer" in _keys(BRACKET, *before, "could i have added 4 first?", fresh=False)


def _second(*texts: str) -> list[str]:
    """The keys at last, where the first equation was solved with 5."""
    turn = begin(Plan((Task(read_equation("6n + 41 = 10n + 21")), Task(read_equation("6n + 41 = 10n + 5"))), 3))
    for text in ("n = 5", "71", "71", *texts):
        turn = step(turn.state, Utterance(text))
    return [reply.key for reply in turn.replies]


def test_whether_an_answer_was_right_is_told_of_the_equation_that_it_solved() -> None:
    assert "answer was right" in _second("Was my 5 right then? And am I slower than most people?")
    assert "answer was not right" in _second("Was my 6 right then?")
    assert "answer was not right" in _second("Was my 9 right then?"), "which is the answer in hand"
    assert not {"answer was right", "answer was not right"} & set(_second("is 9 right?")), "it is put in"


def test_a_belief_put_as_a_reason_gets_the_reason() -> None:
    keys = _keys("5n - 3 = 27", "add 3 to both. is it because the minus has to go?", fresh=False)
    assert {"why add", "answer whose sign"} & set(keys)


def test_what_was_found_of_two_ways_is_heard_beside_a_question() -> None:
    before = ("n - 7 = 12", "i divided", "n = 19", "36")
    asked = "the first one, since 36 is in the 3 times table. Why do both ways give the same n?"
    keys = _keys("3(n - 7) = 36", *before, asked, fresh=False)
    assert keys[:2] == ["compared, even", "answer same result"]


def test_a_question_of_no_known_topic_is_passed_on_beside_the_step_and_never_in_the_same_words() -> None:
    asked = (
        "3 off both, 5n = 25. how did people long ago write all this down on stones?",
        "divide by 5, n = 5. how did people long ago learn this without any school?",
    )
    turns = _turns("5n + 3 = 28", *asked, fresh=False)
    told = [[reply.text for reply in turn.replies if reply.key == "answer open"] for turn in turns[1:]]
    assert all(told) and told[0] != told[1] and turns[1].state.equation == read_equation("5n = 25")


@pytest.mark.parametrize(
    "text",
    [
        "so n = 5, not so?",
        "is it 5 because 25 + 3 is 28?",
        "could i take 3 off?",
        "5 again?",
        "what if i take 3?",
        "could i have 5?",
    ],
)
def test_a_step_or_an_answer_with_a_question_mark_is_no_question_of_the_working(text: str) -> None:
    keys = set(_keys("5n + 3 = 28", text, fresh=False))
    assert not keys & {"answer open", "answer same again", "answer could have", "answer finished", "answer cheating"}


def test_every_question_of_the_working_is_said_in_two_short_sentences() -> None:
    for topic, respond in OF_WORKING.items():
        for texts in ((), ("3n + 33 = 72",)):
            assert respond(_turns(BRACKET, *texts, fresh=False)[-1].state).key.startswith("answer "), topic


def test_a_letter_asked_for_is_no_question_of_words() -> None:
    assert [one.topic for one in own_questions("is that a b or a d?")] == ["which letter"]


def test_a_number_in_words_before_a_question_is_kept() -> None:
    text = "take three off both sides, does my teacher see this?"
    turn = _turns("5n + 3 = 28", text, fresh=False)[-1]
    assert turn.state.pending == move("subtract", "3") and "answer privacy" in [reply.key for reply in turn.replies]


def test_is_that_it_beside_a_question_is_of_that_question() -> None:
    keys = _second("So it is really just taking the same off both sides, only written short? Is that it?")
    assert "answer passing, yes" in keys and not any(key.startswith("answer finished") for key in keys)

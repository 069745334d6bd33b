"""A person is met: what is told or felt beside a step, no apology where none is due, a repeat without its praise, and
a goodbye beside the answer. The sentences are invented."""

from functools import partial

import pytest
from talking import REPEAT, Talk, typed_keys, typed_turns, value

from dialogue.acts import Comment

_turns, _keys = partial(typed_turns, fresh=False), partial(typed_keys, fresh=False)


def test_a_repeat_says_no_praise_and_no_news_again() -> None:
    turns = _turns("3n = 39", "13", "39", "can you say that again")
    assert [reply.key for reply in turns[-2].replies] == ["answer fits", "next", "line", "ask begin"]
    assert turns[-1].replies == turns[-2].replies[2:]


def test_what_is_told_beside_a_question_not_followed_is_met_and_the_question_asked_in_other_words() -> None:
    talk = Talk("3n = 39", "5n + 2 = 17")
    talk.say(value("13"), value("39"))
    asked = talk.turns[-1].replies[-1].text
    talk.turn(REPEAT, Comment("feel"))
    assert talk.keys == ["heard feeling", "line", "ask begin"] and asked not in talk.text
    text = "no i dont know what your asking. everyone was mean today and nobody sat with me"
    assert _keys("3n = 39", "13", "39", text)[0] == "heard feeling"


def test_who_calls_themselves_stupid_beside_an_objection_is_told_what_they_did() -> None:
    turns = _turns("3n = 39", "13", "39", "you just said that. im so stupid")
    assert [reply.key for reply in turns[-1].replies] == ["you solved", "smaller last"]


def test_no_apology_where_all_was_taken() -> None:
    turn = _turns("n - 35 = 17", "try -18", "-53. so its wrong. so add 35 then. 52")[-1]
    assert turn.state.guess == 52 and not any("sorry" in reply.key for reply in turn.replies)
    checked = "6 times -10 is -60, and minus 9 is -69. It is not -51. So my idea was wrong. It should be plus 9?"
    failing = _keys("6n - 9 = -51", "why is a check needed? n = -10", checked)
    assert failing[0] == "answer fails"


def test_not_knowing_beside_a_step_and_a_fear_of_harm_are_met() -> None:
    typed = ("take away 29", "take 29 away again from both? i really dont know", "oh no its worse now. add 29 to both?")
    turns = _turns("n - 29 = 45", *typed, fresh=True)
    assert turns[-2].replies[0].key == "heard not knowing"
    assert [reply.key for reply in turns[-1].replies][:2] == ["heard nothing lost", "take move"]


@pytest.mark.parametrize("text", ["divide both by 3, n = 13. thanks, bye", "13. bye"])
def test_who_leaves_with_the_answer_has_it_put_in_and_goes(text: str) -> None:
    turn = _turns("3n = 39", text)[-1]
    keys = [reply.key for reply in turn.replies]
    assert turn.state.phase == "done" and keys[0] == "put in, fits" and keys[-1] == "stop"


def test_who_leaves_with_another_number_is_told_nothing_of_it() -> None:
    turn = _turns("3n = 39", "14. bye")[-1]
    assert turn.state.phase == "done" and not any("fit" in reply.key for reply in turn.replies)

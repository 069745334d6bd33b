"""What is told of a person is heard, and what is told of the letter is not; a complaint, a goodbye and a wish for a
harder equation, as they are typed. The turns are invented."""

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step


def _last(equation: str, *turns: str, fresh: bool = False, open_: bool = False) -> Turn:
    tasks = (Task(read_equation(equation)), *(() if open_ else (Task(read_equation("9n + 4 = 67")),)))
    turn = begin(Plan(tasks, 1, () if fresh else (("operations", 4), ("first", 2)), open=open_))
    for said in turns:
        turn = step(turn.state, Utterance(said))
    return turn


def _keys(turn: Turn) -> list[str]:
    return [reply.key for reply in turn.replies]


def _said(turn: Turn) -> str:
    return " ".join(reply.text for reply in turn.replies)


@pytest.mark.parametrize(
    "said", ["just n. all by itself. lonely n. so n = 48", "haha im not sad the n is. n = 48", "poor n. n = 48"]
)
def test_what_is_told_of_the_letter_gets_no_sympathy(said: str) -> None:
    turn = _last("n/12 = 4", said)
    assert "heard sad" not in _keys(turn) and turn.state.guess == 48


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ("i fell out wiht my best freind this mornign. n = 5", "heard friend"),
        ("n = 5. do you ever fall out with poeple", "heard friend"),
        ("n = 5. i was crying at break", "heard sad"),
        ("n = 5. its not fair", "heard unfair"),
        ("lonely n. n = 5. my dog died", "heard loss of a pet"),
        ("i fell out with my friend", "heard friend"),
    ],
)
def test_what_is_told_of_a_person_is_named(said: str, heard: str) -> None:
    turn = _last("54 - 7n = 19", said)
    assert _keys(turn)[0] == heard and "more than yes" not in _keys(turn)


def test_a_complaint_gets_an_apology_that_says_back_what_was_passed_over() -> None:
    turn = _last("54 - 7n = 19", "n = 5. i fell out with my friend", "54 - 35 is 19", "you dont even lisen. 9n = 63")
    assert "Sorry. You told me about your friend, and I did not listen." in _said(turn)
    assert turn.state.board[-1].equation == read_equation("9n = 63")
    both = _last(
        "54 - 7n = 19", "n = 5", "54 - 35 is 19. i fell out with my friend", "you dont even lisen. 9n = 63 n = 7"
    )
    assert _keys(both)[0] == "sorry, felt" and both.state.solved == (0, 1)
    checking = _last("n/7 = 14", "its 98", "98! are you even reading what i put")
    assert ": 98." in _said(checking)
    assert "Sorry" in _said(_last("n/7 = 14", "you dont even lisen"))


def test_what_happens_is_in_an_order_only_where_there_are_two() -> None:
    assert "order" not in _said(_last("n - 39 = 34", "it takes away 39", fresh=True)).lower()
    two = _last("2n + 21 = 29", "first times 2, then add 21", fresh=True)
    assert "operations right" in _keys(two)


@pytest.mark.parametrize("said", ["13. obvs. gota go footy", "13. i have to go and put the tea on, thanks", "13. bye"])
def test_a_goodbye_with_the_end_of_an_equation_ends_the_lesson(said: str) -> None:
    turn = _last("5n = 13", "n = 2.6", said)
    assert turn.state.phase == "done" and turn.state.solved == (0,)


@pytest.mark.parametrize(
    "said", ["i have to go back a step", "the 5 has got to go", "i need to go over it", "i dont have to go"]
)
def test_a_word_of_the_working_is_no_goodbye(said: str) -> None:
    assert _last("5n = 13", said).state.phase not in {"done", "offer stop"}


@pytest.mark.parametrize(
    "said",
    [
        "15. can i have a hader one",
        "15. ok now really hard one please",
        "15. you have more difficult?",
        "15. can i have a hader one i dont want to think about it",
    ],
)
def test_a_harder_one_is_wished_for_and_no_game_is_offered_instead(said: str) -> None:
    turn = _last("5n = 15", "n = 3", said, open_=True)
    assert turn.state.wish == "harder" and turn.state.phase == "between" and "offer game" not in _keys(turn)


def test_a_question_that_is_not_about_the_lesson_is_not_waved_through() -> None:
    turn = _last("5n = 15", "what is your favourite colour?")
    assert _keys(turn)[0] == "answer chat"

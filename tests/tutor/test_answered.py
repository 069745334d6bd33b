"""What a learner asks, wishes or believes beside a step gets its own answer, with the numbers of the line; the turns
are invented."""

import pytest
from talking import Talk, move, value

from dialogue.acts import Comment
from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step


def _played(equation: str, *turns: str, after: str = "5n = 35", open_: bool = False) -> list[Turn]:
    """A lesson of typed turns, where what happens to the unknown need not be asked."""
    tasks = (Task(read_equation(equation)), *((Task(read_equation(after)),) if not open_ else ()))
    played = [begin(Plan(tasks, 1, (("operations", 4), ("first", 2)), open=open_))]
    for said in turns:
        played.append(step(played[-1].state, Utterance(said)))
    return played


def _said(turn: Turn) -> str:
    return " ".join(reply.text for reply in turn.replies)


# -- nothing empty ----------------------------------------------------------------------------------------------------

EMPTY = (
    "I hear",
    "I heard",
    "Point taken",
    "I am listening",
    "have heard that",
    "Keep that",
    "Hold on to that",
    "a little more",
)


def test_an_objection_gets_the_line_and_nothing_empty() -> None:
    talk = Talk("3x + 2 = 14")
    talk.turn(Comment("object"))
    assert "3x + 2 = 14" in talk.turns[-1].replies[0].text
    talk.turn(move("subtract", "2"), Comment("object"))
    assert talk.keys[0] == "take move"


def test_the_side_worked_out_is_named() -> None:
    talk = Talk("3x + 2 = 2x + 6")
    talk.turn(value("4"))
    talk.turn(value("14"))
    assert "14" in talk.turns[-1].replies[0].text


def test_a_reply_begins_with_a_capital() -> None:
    said = _said(_played("n/6 = 9", "times 6", "why")[-1])
    assert "both sides times 6" not in said or "Both sides times 6" in said


# -- a question, a belief or a wish, apart from what stands beside it -------------------------------------------------


@pytest.mark.parametrize(
    ("equation", "before", "said", "answer", "line"),
    [
        (
            "6n + 25 = 67",
            (),
            "minus 25 from both sides, 6n = 42. but why does minus undo plus",
            "25 up and 25 down",
            "6n = 42",
        ),
        ("6n = 96", (), "divide by 6, n = 16. why does divide undo times tho", "6 lots, shared into 6", "n = 16"),
        ("5n = 95", (), "but why cant i just take the 5 away tho", "Take 5 off, and 5n − 5 is left", "5n = 95"),
        ("5n = 95", (), "theyre just next to each other", "5n means 5 times", "5n = 95"),
        ("n - 44 = 22", (), "minus cancels minus right?", "takes 88 in all", "n − 44 = 22"),
        ("6n + 25 = 67", (), "why cant it be plus", "25 and 25 more make 50", "6n + 25 = 67"),
        ("4(n + 8) = 84", (), "is it because the 4 times the 8 as well", "Yes, like that: 4(n + 8)", "4(n + 8) = 84"),
        ("4k = 92", (), "divide by 4, k = 23. Isn't that 3x + 2 = 15?", "3x + 6", "k = 23"),
        ("n/4 = 8", (), "times 4, n = 32. Is the fraction line always a division?", "divided by", "n = 32"),
        (
            "x/4 = 13",
            (),
            "is x a different thing to n or the same. anyway times 4, x = 52",
            "a letter for a number",
            "x = 52",
        ),
        ("6n = 90", (), "divide by 6, n = 15. whats the game", "I make one slip", "n = 15"),
        (
            "4n + 5 = 23",
            ("take 5 off both sides, 4n = 18",),
            "n = 4.5. i thought the answers were always whole",
            "whole number",
            "4n = 18",
        ),
        ("53 = 7n + 25", (), "why is the 53 on the left?", "It does not matter", "53 = 7n + 25"),
        (
            "53 = 7n + 25",
            (),
            "take 25, 28 = 7n. if you walk 25 forward then 25 back your back where you started",
            "Yes, like that",
            "28 = 7n",
        ),
    ],
)
def test_what_is_asked_or_believed_is_answered_beside_the_step(
    equation: str, before: tuple[str, ...], said: str, answer: str, line: str
) -> None:
    played = _played(equation, *before, said)
    assert answer in _said(played[-1]), _said(played[-1])
    state = played[-1].state
    assert read_equation(line.replace("−", "-")).text() == state.board[-1].equation.text() and not state.tries


def test_the_rule_is_not_shown_with_the_numbers_of_a_step_still_to_be_found() -> None:
    assert "25" not in _said(_played("6n + 25 = 67", "why does minus undo plus")[-1]).replace("6n + 25 = 67", "")


def test_a_question_where_two_ways_are_compared_is_answered_and_the_two_stay() -> None:
    played = _played("6(n + 5) = 78", "divide by 6, n + 5 = 13", "take 5, n = 8", "78. why do we take the 6 off first?")
    assert "done last is undone first" in _said(played[-1]) and played[-1].state.phase == "compare"


def test_a_wish_beside_a_step_is_for_the_next_equation() -> None:
    played = _played("5n = 95", "n = 19. can we do a harder one", open_=True)
    assert "harder" in _said(played[-1]) and played[-1].state.phase == "check left"
    played.append(step(played[-1].state, Utterance("95. Could we do one with brackets?")))
    assert (played[-1].state.phase, played[-1].state.wish) == ("between", "brackets")


def test_in_a_chosen_set_a_wish_is_told_why_it_must_wait() -> None:
    played = _played("5n = 95", "n = 19. Give bracket please")
    assert "other kinds come after it" in _said(played[-1]) and played[-1].state.phase == "check left"


def test_a_game_wished_for_beside_the_last_side_is_begun() -> None:
    assert _played("5n = 95", "n = 19", "95!! can i have the game pls")[-1].state.phase == "spot"


def test_the_bracket_is_named_as_the_board_has_it() -> None:
    assert "joined in 6(n + 5)" in _said(_played("6(n + 5) = 78", "take away 6 from both sides")[-1])


def test_what_an_adult_should_hear_is_heard_beside_a_question() -> None:
    assert _played("5n = 95", "my dad hits me. why does minus undo plus")[-1].replies[0].key == "tell someone"

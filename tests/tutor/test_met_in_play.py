"""Turns of invented learners who were played against the tutor, and what it must make of them."""

from fractions import Fraction

import pytest
from talking import task
from test_met import _keys, _turns

from dialogue.acts import Interpretation, PartMove, Unclear, Value
from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.tree import constant
from dialogue.algebra.writing import write
from dialogue.tutor.core.mistakes import amount_for, term_in_question
from dialogue.tutor.core.state import Plan
from dialogue.tutor.interpret_in_lesson import interpret_in_lesson
from dialogue.tutor.session import Utterance, begin, respond, step
from dialogue.tutor.sure_parts import with_number_of_line
from dialogue.understanding.certain import certain_acts


def test_a_move_that_stands_on_a_wrong_step_is_not_taken_by_itself() -> None:
    keys = _keys("6n + 23 = 89", "gets u where lol. move the 23 over, 89+23=112, then /6")
    assert not {"take move", "take unsure"} & set(keys)


def test_a_sum_and_the_next_line_are_not_run_together() -> None:
    assert certain_acts("66/6, n=11", "equation", "n") is None
    turn = _turns("6n + 5 = 71", "easy. x6 then +5. so 66/6, n=11")[-1]
    assert turn.state.guess == 11


def test_both_sides_told_in_one_breath_are_both_taken() -> None:
    told = "Six twelves are 72, plus 69 is 141. And the right, ten twelves are 120 plus 21, 141 as well."
    assert "answer fits" in _keys("6n + 69 = 10n + 21", "n is 12. Can I check that first?", told)


@pytest.mark.parametrize(
    "said", ["If I put 22 there it will be 36 people, and 36 is not 42. So it is not 22.", "36, and 36 is no 42"]
)
def test_what_a_side_comes_to_is_taken_from_among_other_words(said: str) -> None:
    assert "answer fails" in _keys("42 = n + 14", "n = 22 is it?", said)


@pytest.mark.parametrize("said", ["take it off the 69 as well, i cant do that", "off the 69 too. take 52 off"])
def test_the_other_side_named_by_its_number_makes_it_level(said: str) -> None:
    turn = _turns("69 = n + 52", "ok so i take 52 off the n side. so its 69 = n", said)[-1]
    assert turn.state.phase != "mend" and turn.state.pending is not None and turn.state.pending.sides == "both"


def test_the_side_of_the_unknown_too_is_both_sides() -> None:
    turn = _turns("42 = n + 20", "From 42 I take 20 away, and from the n side too, so nobody quarrels.")[-1]
    assert turn.state.pending is not None and turn.state.pending.sides == "both"


def test_a_number_of_the_line_that_is_asked_about_is_not_put_in() -> None:
    asked = "But what about the 72? You didn't say. Is it because 3(n+11) and 3n+33 are the same amount?"
    for before in ([], ["why do you have to do it to both?"]):
        state = _turns("3(n + 11) = 72", *before, "3n + 33 = 72")[-1].state
        found = interpret_in_lesson(state, Utterance(asked)).found
        assert found is not None and not any(isinstance(act, Value) for act in found.acts)


def test_a_line_said_where_a_reason_was_asked_for_is_judged() -> None:
    turns = _turns("8n + 21 = 3n + 46", "take 21 off both sides", "8n = 3n + 67")
    assert turns[-1].replies[-1].key == "error"
    right = _turns("8n + 21 = 3n + 46", "take 21 off both sides", "8n = 3n + 25")
    assert right[-1].state.board[-1].equation.text() == "8*n = 3*n + 25"


def test_right_sums_that_come_down_to_the_answer_are_the_answer() -> None:
    assert _turns("5n + 21 = 46", "46 - 21 = 25, 25 / 5 = 5")[-1].state.guess == 5
    assert _turns("5n + 21 = 46", "46 - 21 = 24, 24 / 5 = 5")[-1].state.guess != 5


def test_a_move_asked_about_is_not_named_twice() -> None:
    keys = _keys("6n + 69 = 10n + 21", "I think I would take away 6n from both sides. Is that allowed?")
    assert "answer right move" in keys and not {"take move", "take unsure"} & set(keys)


def test_what_is_not_clear_beside_an_answer_is_asked_again_of_that_answer() -> None:
    state = _turns("4n = 32", "divide")[-1].state
    answer, nine = Line(read_equation("n = 32")), Line(read_equation("n = 9"))
    turn = respond(state, Utterance("n = 32 umm"), Interpretation((answer, answer, Unclear()), sure=True))
    assert turn.state.guess == 32 and "32" in turn.replies[-1].text
    broken = Line(read_equation("4n = 3"))
    left = respond(state, Utterance("n = 9 umm 4n = 3"), Interpretation((nine, Unclear(), broken), sure=True))
    assert left.replies and left.state.phase != "check left"


def test_who_was_asked_to_put_a_right_answer_in_is_not_asked_twice() -> None:
    for said in (
        "nothing its finished. n=11. next one pls",
        "n = 11",
    ):
        assert "put in, fits" in _keys("6n + 5 = 71", "n=11", said), said
    assert "put in, fits" not in _keys("6n + 5 = 71", "n=11", "what does it mean to put it in?")


def test_a_wrong_answer_that_is_held_on_to_is_tried_for_all_to_see() -> None:
    turn = _turns("6n + 5 = 71", "n=12", "no its 12, n = 12")[-1]
    assert turn.state.guess is None and "77" in " ".join(reply.text for reply in turn.replies)


def test_sums_that_come_down_to_the_answer_are_it_whatever_is_said_beside_them() -> None:
    assert _turns("6n + 5 = 89", "89-5=84, 84/6=14. told u im fast")[-1].state.guess == 14


def test_what_a_right_sum_comes_to_is_no_answer_to_be_put_in() -> None:
    turn = _turns("6n + 23 = 89", "n=112/6", "112+23=135. not 89. ugh. should be 89-23 =66")[-1]
    assert turn.state.guess is None and "66" not in turn.replies[-1].text


def test_a_number_that_the_tutor_just_said_may_be_what_a_side_comes_to() -> None:
    before = ("n=112/6", "112+23=135. not 89. ugh. should be 89-23 =66")
    keys = _keys("6n + 23 = 89", *before, "no 66 isnt n, its 6n. so n=11. 66+23=89 boom")
    assert "answer fits" in keys


def test_a_check_by_adding_up_is_one() -> None:
    keys = _keys("78 = 3n", "n = 26, and both sides are still equal. I am checking: 26 and 26 and 26 is 78.")
    assert {"answer fits", "put in, fits"} & set(keys)


def test_who_says_that_it_is_not_their_answer_sees_what_it_comes_to_and_goes_on() -> None:
    for said in ("no that is not my answer", "that 22 was for the other one, the one with 20. I have not found n yet"):
        turn = _turns("42 = n + 14", "n = 22", said)[-1]
        assert turn.state.guess is None and turn.state.phase == "move", said


def test_what_a_side_becomes_is_no_answer_where_nobody_asked_for_it() -> None:
    turn = _turns("42 = n + 14", "The left side, 42, becomes 22 please. And now it is 14 who is the visitor.")[-1]
    assert turn.state.guess is None


def test_another_number_beside_the_answer_that_is_put_in_is_heard() -> None:
    said = "But 3 is what is left on the table, it is not n. The 3 cedis can be cut, so each one gets 6 and a half."
    assert _turns("6n = 39", "n = 3", said)[-1].state.guess == Fraction(13, 2)


def test_an_operation_without_its_number_has_that_of_the_line_before_it() -> None:
    line = Line(read_equation("43 = 4n - 5"))
    told = "43 equals 4n minus 5. do I take 5 away or add it? I think add"
    assert with_number_of_line(told, (line, PartMove("add"))) == (
        line,
        Move("add", constant(Fraction(5)), "unsaid"),
    )
    assert with_number_of_line("I think add", (line, PartMove("add"))) == (line, PartMove("add"))
    assert with_number_of_line(told, (line, PartMove("subtract"))) == (line, PartMove("subtract"))


def test_the_answer_of_the_one_before_is_not_put_into_the_next() -> None:
    for said in ("n is 11", "11", "I said that n is 11"):
        turn = _turns("6n + 5 = 71", "n=11", "71", said)[-1]
        assert "fitted before" in [reply.key for reply in turn.replies] and turn.state.guess is None, said


def test_an_answer_with_something_unclear_behind_it_is_still_theirs_to_put_in() -> None:
    state = _turns("12n - 23 = 8n + 13", "n = 9")[0].state
    acts = (Line(read_equation("n = 9")), Unclear())
    turn = respond(state, Utterance("n = 9 umm"), Interpretation(acts, sure=True))
    assert turn.state.phase == "check left" and turn.state.guess == 9


def test_a_number_shown_beside_the_unknown_is_not_its_answer() -> None:
    for line in map(read_equation, ("5p + 18 = 68", "5p = 25", "4p = 36", "6p = 6", "5p = 0")):
        answer, by = line.solution().value, linear(line.left).coefficient
        amount = amount_for(line, by)
        assert answer not in {amount, by * amount, by + amount, amount - by}


def test_a_question_about_a_term_names_none_that_is_still_to_be_made() -> None:
    assert write(term_in_question(read_equation("x/2 + x/3 = 5"), "inverse")) == "x/2"


def test_a_right_answer_is_taken_from_among_what_was_not_followed() -> None:
    said = "n is 9, take 7 off is 36, 36 over 4 is 9, and 4 times 9 plus 7 is 43 so it's right"
    assert "answer fits" in _keys("4n + 7 = 43", said)
    assert _turns("34 = 2n", "oh so its times?? so 2n is 2 times n, half of 34 is 17?")[-1].state.guess == 17


def test_what_a_number_gives_when_it_is_tried_is_no_answer() -> None:
    turn = _turns("49 = 4n + 25", "wot does in order meen", "2 times 4 = 8 then plus 25 is 33")[-1]
    assert turn.state.guess is None and turn.state.phase != "operations"


def test_who_says_that_it_is_no_answer_is_not_asked_to_put_another_in() -> None:
    turn = _turns("49 = 4n + 25", "n=33", "huh n isnt 33, 33 is wot u get wen n is 2")[-1]
    assert turn.state.guess is None and turn.state.phase == "move"


def test_the_number_of_a_move_with_one_side_beside_it_is_a_move_on_that_side() -> None:
    before = ("take it off", "55! I take 55 away from the right side and then it's just n over there.")
    state = _turns("77 = n + 55", "first n then 55 added", *before)[-1].state
    assert state.phase == "mend" or state.pending is None or state.pending.sides != "both"


def test_two_ways_are_compared_once_in_a_lesson() -> None:
    said = (
        "divide both sides by 4, n + 3 = 11",
        "n = 8",
        "44",
        "dividing",
        "divide both sides by 5, n + 1 = 6",
        "n = 5",
    )
    turn = begin(Plan((task("4(n + 3) = 44"), task("5(n + 1) = 30"), task("n + 1 = 2")), 3))
    keys = [reply.key for reply in turn.replies]
    for text in said:
        turn = step(turn.state, Utterance(text))
        keys += [reply.key for reply in turn.replies]
    assert keys.count("other route") == 1, keys


def test_who_asks_for_the_question_again_gets_it() -> None:
    keys = _keys("77 = n + 55", "My brother pulled my sleeve. I can't see the question, can you tell me it again?")
    assert not any("open" in key for key in keys)


def test_a_right_answer_with_what_it_comes_to_in_a_story_is_checked() -> None:
    said = "Two children with 25 sweets each, that is 50 sweets, so nobody is cheated. It is correct."
    assert "answer fits" in _keys("2n = 50", "n = 25", said)
    assert "put in, fits" in _keys("2n = 50", "n = 25", "because it is half of all of it")


def test_a_number_tried_with_what_both_sides_came_to_is_a_trial() -> None:
    turn = _turns("8n + 10 = 6n + 24", "ok well i tried 5. left is 50 and right is 54. so not the same")[-1]
    assert "answer too small" in [reply.key for reply in turn.replies] and turn.state.guess is None
    said = "6 is 58 and 60, gap was 4 now its 2. so 7 gives 66 and 66. its 7"
    assert "answer fits" in _keys("8n + 10 = 6n + 24", said)
    assert "answer fits" not in _keys("8n + 10 = 6n + 24", "5 is 50 and 52, so 7 is 64 and 66")


def test_a_line_that_came_of_the_move_before_it_is_not_laid_to_the_next() -> None:
    said = "6n off both again, thats 2n minus 2 is 18. then take 2 off so 2n is 16 and n is 8"
    turn = _turns("8n - 2 = 6n + 18", said)[-1]
    assert turn.state.board[-1].equation.text() == "2*n - 2 = 18"
    assert "2n − 2 = 18, that does not give 2n = 16" in " ".join(reply.text for reply in turn.replies)


@pytest.mark.parametrize(
    ("equation", "said", "told"),
    [
        ("3x + 2 = 14", "i added 2 and got 3x = 12", "You said 2 added to both sides. From 3x + 2 = 14,"),
        ("3x + 2 = 14", "divide by 2 gives 3x = 12", "You said both sides divided by 2. From 3x + 2 = 14,"),
        ("4x = 20", "subtract 4 so x = 5", "You said 4 off both sides. From 4x = 20,"),
    ],
)
def test_a_right_line_beside_a_move_that_does_not_give_it_is_not_taken(equation: str, said: str, told: str) -> None:
    (turn,) = _turns(equation, said)[1:]
    assert turn.replies[0].text.startswith(told)
    assert turn.state.equation == read_equation(equation)


@pytest.mark.parametrize("said", ["i took 2 off and got 3x = 12", "plus two then i get three x is twelve"])
def test_a_right_line_beside_what_gives_it_or_is_done_to_the_unknown_is_taken(
    said: str,
) -> None:
    (turn,) = _turns("3x + 2 = 14", said)[1:]
    assert not any("does not give" in reply.text for reply in turn.replies)


def test_the_other_way_looked_back_at_is_not_held_against_the_line_in_hand() -> None:
    way = "But with the division by 9 at first I would have n + 2 = 10, it is shorter, no?"
    said = f"Ok, from here I subtract 18 in the two sides and it stays 9n = 72. {way}"
    turn = _turns("9(n + 2) = 90", "times 9 all of n plus 2", "9n + 18 = 90", said)[-1]
    assert "claim of before" in [reply.key for reply in turn.replies]
    assert turn.state.equation == read_equation("9n = 72")

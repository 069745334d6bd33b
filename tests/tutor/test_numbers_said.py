"""Which number of a turn counts: decimal commas, corrections, checks, results of sums. The turns are invented."""

from fractions import Fraction

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

FADED = (("operations", 4), ("first", 2))


def _typed(equation: str, *said: str, after: str = "9y + 4 = 67") -> Turn:
    turn = begin(Plan((Task(read_equation(equation)), Task(read_equation(after))), 1, FADED))
    for text in said:
        turn = step(turn.state, Utterance(text))
    return turn


def _words(turn: Turn) -> str:
    return " ".join(reply.text for reply in turn.replies)


@pytest.mark.parametrize(
    ("equation", "said", "guess"),
    [
        ("12n + 5 = 8n + 31", "take 8n, 4n = 26, so n = 6,5. easy", "13/2"),
        ("12n + 5 = 8n + 31", "6,5", "13/2"),
        ("12n + 5 = 8n + 31", "4n = 26, n = 5,75?", "23/4"),
        ("12n + 5 = 8n + 31", "n = 6, 5 is too small", "6"),
    ],
)
def test_a_decimal_comma_is_a_point(equation: str, said: str, guess: str) -> None:
    assert _typed(equation, said).state.guess == Fraction(guess)


def test_decimal_commas_in_a_check_are_points() -> None:
    turn = _typed("12n + 5 = 8n + 31", "n = 6,5", "12*6,5 + 5 = 83. 8*6,5 + 31 = 83")
    assert turn.state.solved == (0,)
    wrong = _typed("12n + 5 = 8n + 31", "n = 5,5", "12*5,5 + 5 = 71. 8*5,5 + 31 = 75")
    assert not wrong.state.solved and "71" in _words(wrong)


@pytest.mark.parametrize(
    ("equation", "said"),
    [
        ("3n - 14 = 28", "plus 14, 3n = 42, n = 14. 14 by 3 is 42 minus 14 is 28"),
        ("4n - 15 = 33", "plus 15, 4n = 48, n = 12. check 4 by 12 minus 15 is 33, ok"),
        ("3(n + 9) = 42", "n = 5. i checked it: 5 + 9 is 14, times 3 is 42"),
        ("2(n + 9) = 42", "n = 12. check: 12 + 9 is 21, twice is 42"),
        ("(n - 6)/8 = 11", "take it away? i said 94 is the answer. 94 - 6 = 88. 88/8 is 11"),
    ],
)
def test_a_check_said_with_the_answer_is_the_check(equation: str, said: str) -> None:
    assert _typed(equation, said).state.solved == (0,)


@pytest.mark.parametrize(
    ("equation", "said"),
    [
        ("3n - 14 = 28", "plus 14, 3n = 42, n = 13. 13 by 3 is 39 minus 14 is 25"),
        ("3n - 14 = 28", "n = 13. 13 by 3 is 42 minus 14 is 28"),
        ("2(n + 9) = 42", "n = 11. check: 11 + 9 is 20, twice is 42"),
        ("(n - 6)/8 = 11", "i said 96 is the answer. 96 - 6 = 88. 88/8 is 11"),
    ],
)
def test_a_check_that_does_not_come_out_confirms_nothing(equation: str, said: str) -> None:
    assert not _typed(equation, said).state.solved


@pytest.mark.parametrize("sum_said", ["2n = 26 - 18, which is 8", "2n = 26 - 18 = 8", "8 = 2n"])
def test_what_the_unknown_twice_comes_to_is_no_answer(sum_said: str) -> None:
    turn = _typed("2(n + 9) = 26", "2n + 18 = 26", f"move the 18 over and change the sign, so {sum_said}")
    assert turn.state.guess is None and "8" in turn.state.board[-1].equation.text()


@pytest.mark.parametrize(
    ("equation", "said", "guess"),
    [
        ("n + 7 = 16", "move the 7 over, becomes minus 7, so n = 9", "9"),
        ("37 + n = 52", "52 - 37 = 15. wait i said 51. backwards again. 15", "15"),
    ],
)
def test_the_number_that_is_meant_is_tested(equation: str, said: str, guess: str) -> None:
    assert _typed(equation, said).state.guess == Fraction(guess)


def test_another_answer_said_in_place_of_the_one_put_in_wins() -> None:
    turn = _typed("14n + 3 = 4n + 38", "n = 3", "no, not 3. 7/2. left 52, right 52")
    assert turn.state.solved == (0,) and "52" in _words(turn) and turn.state.guess is None
    other = _typed("14n + 3 = 4n + 38", "n = 3", "not 3, its 4")
    assert other.state.guess == 4 and not other.state.solved


def test_a_nought_left_where_terms_cancel_is_no_answer() -> None:
    assert _typed("n - 28 = 35", "minus 28?", "idk. is it zero cos they cancel").state.guess is None


def test_a_move_said_of_each_side_is_no_move_on_one() -> None:
    turn = _typed("45 = n + 18", "ok 18 off n side, 18 off the 45. n is 72")
    assert "check arithmetic" in [reply.key for reply in turn.replies] and turn.state.phase != "mend"
    one = _typed("45 = n + 18", "ok 18 off n side")
    assert one.state.phase == "mend"


def test_who_only_tried_a_number_is_told_of_no_changed_side() -> None:
    turn = _typed("n/6 + 5 = 12", "is it 24? 24/6 is 4 + 5 is 9 no")
    assert turn.replies[0].key == "answer too small" and "error" not in _keys(turn)


def test_no_sum_is_made_of_the_end_of_one() -> None:
    assert "sum wrong" not in _keys(_typed("3n - 14 = 28", "3n = 42, n = 14. hmm minus 14 is 28"))


def _keys(turn: Turn) -> list[str]:
    return [reply.key for reply in turn.replies]


@pytest.mark.parametrize(
    ("answer", "solved"),
    [
        ("n = 7. left side 3 times 7 plus 4 is 25, right side 7 plus 18 is 25", (0,)),
        ("n = 6. left side 3 times 6 plus 4 is 22, right side 6 plus 18 is 24", ()),
        ("n = 6. left side 3 times 6 plus 4 is 22, right side 4 plus 18 is 22", ()),
    ],
)
def test_a_check_of_both_sides_is_read_whole(answer: str, solved: tuple[int, ...]) -> None:
    assert _typed("3n + 4 = n + 18", answer).state.solved == solved


def test_moves_told_after_the_answer_are_how_it_came() -> None:
    turn = _typed("n/6 - 5 = 8", "13 x 6 is 78. n is 78. wait did i do the opposite thing? add 5 to 8 then times 6")
    assert turn.state.guess == 78 and turn.state.phase == "check left"


def test_what_is_said_not_to_be_the_answer_is_not_tested_again() -> None:
    turn = _typed("14n + 3 = 4n + 38", "n = 3", "I said n = 7/2 not 3. left 52, right 52")
    assert turn.state.solved == (0,)


def test_an_answer_with_what_both_sides_come_to_is_checked() -> None:
    assert _typed("3n + 4 = n + 18", "n = 7. both sides 25").state.solved == (0,)
    assert not _typed("3n + 4 = n + 18", "n = 6. both sides 22").state.solved


def test_a_number_is_never_cut_at_a_comma() -> None:
    turn = _typed("3n + 2 = 9", "n = 2,333")
    assert turn.state.guess is None and "unclear decimal comma" in _keys(turn)


@pytest.mark.parametrize(
    ("said", "guess"), [("no sorry 3", 3), ("oops i mean 3", 3), ("28", None), ("no wait 28", None)]
)
def test_a_number_that_puts_the_answer_right_is_put_in(said: str, guess: int | None) -> None:
    assert _typed("2(n + 8) = 22", "n = 6", said).state.guess == guess


@pytest.mark.parametrize("said", ["_", " ", "n = 4", "…"])
def test_a_text_without_words_in_a_check_is_no_fault(said: str) -> None:
    assert not _typed("3n + 2 = 11", "n = 4", said).state.solved


def test_a_number_beside_the_answer_or_of_a_step_is_not_put_in() -> None:
    assert _typed("y + 32 = 72", "hey i knew that 1!! its 28. anyway -32 so y = 40").state.guess == 40
    for said in ("so its a 3 and a y. like 3 of them?", "i SAID 3 off. skip"):
        assert _typed("3y = 84", said).state.guess is None, said


def test_who_says_what_undoes_takes_nothing_back() -> None:
    turn = _typed("y + 19 = 43", "take 19 off both sides", "that undoes it")
    assert turn.state.pending is not None

"""Small things read exactly: dots between two numbers, a signed term with a letter, "them" for the two sides."""

from dialogue.acts import Term, Value
from dialogue.algebra.moves import Move
from dialogue.algebra.reading import read_expression
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.interpret import interpret


def test_dots_between_numbers_part_what_is_said() -> None:
    assert certain_acts("12 ÷ -2 .... -6", "value", "y") is None
    assert interpret("12 ÷ -2 .... -6", "value", "y").acts[-1] == Value(read_expression("-6", "y"))


def test_a_signed_term_is_that_term_with_a_letter_too() -> None:
    assert certain_acts("-z", "term", "z") == (Term(read_expression("-z", "z")),)
    assert certain_acts("+2z", "term", "z") == (Term(read_expression("2z", "z")),)


def test_them_are_both_sides() -> None:
    for said in ("halve them", "halve dem", "cut them in half", "divide dem by 2"):
        assert interpret(said, "move", "n").acts == (Move("divide", read_expression("2", "n"), "both"),), said

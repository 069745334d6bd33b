"""What a log holds of an expression: read back as it was, and refused where it is none."""

import pytest

from dialogue.algebra.reading import OWN, read_expression
from dialogue.algebra.tree_json import NotAnExpression, expression_from_json, expression_to_json


@pytest.mark.parametrize("text", ["3*x + 0.50", "1/2", "7", ".5", "-(x + 1)/4"])
def test_an_expression_reads_back_as_it_was(text: str) -> None:
    read = read_expression(text, "x", room=OWN)
    assert expression_from_json(expression_to_json(read), "x") == read


@pytest.mark.parametrize("written", ["le ft/2", "1 1/0", "1 2", "x", "٣", "1/2"])
def test_a_number_that_is_not_written_as_one_is_refused(written: str) -> None:
    with pytest.raises(NotAnExpression):
        expression_from_json(["number", "3", written])


@pytest.mark.parametrize("written", ["", "3", "3.0", ".5", "1 1/2"])
def test_a_number_keeps_how_it_was_written(written: str) -> None:
    assert expression_from_json(["number", "3", written])

"""Numbers inside turns: those that a comma keeps apart, and those that a recogniser cut in two."""

import pytest

from dialogue.acts import EXPECTING, Disclosure, Expecting, Interpretation, Unclear, to_json
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.interpret import interpret


def _acts(found: Interpretation) -> list[dict[str, object]]:
    return [to_json(act) for act in found.acts]


@pytest.mark.parametrize("said", ["over three, six", "divide by three, six", "take three. six both sides"])
def test_a_comma_keeps_two_numbers_apart(said: str) -> None:
    found = interpret(said, "move", "x")
    assert "36" not in str(_acts(found))


@pytest.mark.parametrize(
    ("said", "expecting", "number"),
    [
        ("that is six point seven five then", "value", "27/4"),
        ("um six teen", "value", "16"),
        ("i make it nine teen", "value", "19"),
        ("0,5", "value", "1/2"),
        ("7,5", "value", "15/2"),
        ("it is 12,25 i think", "value", "49/4"),
    ],
)
def test_a_number_in_pieces_is_one(said: str, expecting: Expecting, number: str) -> None:
    acts = _acts(interpret(said, expecting, "x"))
    assert [act["value"] for act in acts if act["act"] == "value"] == [number]


@pytest.mark.parametrize("said", ["(3,5)", "1,000", "1,2,3", "41,41"])
def test_a_comma_that_may_be_a_list_or_a_thousand_is_asked_about(said: str) -> None:
    found = interpret(said, "value", "x")
    assert not found.sure and found.acts[0].question == "decimal comma"  # type: ignore[union-attr]


@pytest.mark.parametrize("said", ["x = 1 000", "12 000", "it is 1 000 i think", "x = 1 000 000"])
def test_digits_in_threes_are_one_number_or_two_and_never_the_first(said: str) -> None:
    found = interpret(said, "value", "x")
    assert not found.sure and found.acts == (Unclear("spaces"),)


@pytest.mark.parametrize(
    "said", ["x^2 - x^2 + x = 3", "3x^0 = x", "x² = x² + x - 4", "x = 2^2", "4^1", "x**2 = 4", "so (x+1)^2 = 9"]
)
@pytest.mark.parametrize("expecting", EXPECTING)
def test_a_power_is_said_to_be_one_and_never_read_without_it(said: str, expecting: Expecting) -> None:
    found = interpret(said, expecting, "x")
    assert not found.sure and found.acts == (Unclear("not linear"),)


@pytest.mark.parametrize("said", ["so **4**", "ok ^ that one", "x = 4 ^^", "2 1/2"])
def test_what_is_no_power_and_no_thousand_is_none(said: str) -> None:
    assert not any(isinstance(act, Unclear) and act.question for act in interpret(said, "value", "x").acts)


@pytest.mark.parametrize("number", ["1,000", "1 000", "2^2"])
def test_a_disclosure_is_heard_beside_a_number_that_is_not_clear(number: str) -> None:
    alone = interpret("my uncle hurts me at night", "value", "x")
    assert alone.acts == interpret(f"my uncle hurts me at night {number} times", "value", "x").acts == (Disclosure(),)


@pytest.mark.parametrize(
    ("said", "expecting", "acts"),
    [
        ("8+5=13 ✓", "any", [("work", "8 + 5 = 13"), ("say", "checked")]),
        (": -2", "move", [("move", "-2")]),
        ("÷(−3) ÷(−3)", "any", [("move", "-3")]),
    ],
)
def test_signs_of_other_hands(said: str, expecting: Expecting, acts: list[tuple[str, str]]) -> None:
    found = interpret(said, expecting, "x")
    told = [(act["act"], act.get("equation") or act.get("operand") or act.get("what")) for act in _acts(found)]
    assert told == acts


@pytest.mark.parametrize(
    ("said", "expecting"), [("-3, dvd by -2 bth", "value"), ("30-14", "any"), ("-5y, +2. y = 8", "move")]
)
def test_two_things_are_not_read_as_one(said: str, expecting: Expecting) -> None:
    letter = "y" if "y" in said.replace("by", "") else "x"
    assert certain_acts(said, expecting, letter) is None

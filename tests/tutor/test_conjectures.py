"""A guess put as a question gets its yes where the algebra has it, and evidence where not; the turns are invented."""

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.reading import read_expression
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step
from dialogue.understanding.plain_questions import parted


def _last(equation: str, *turns: str) -> Turn:
    tasks = (Task(read_equation(equation)), Task(read_equation("9n + 4 = 67")))
    turn = begin(Plan(tasks, 1, (("operations", 4), ("first", 2))))
    for said in turns:
        turn = step(turn.state, Utterance(said))
    return turn


def _said(turn: Turn) -> str:
    return " ".join(reply.text for reply in turn.replies)


@pytest.mark.parametrize(
    ("equation", "said", "answer"),
    [
        ("3n = 45", "Is 3n three times n?", "Yes: 3n is 3 times n. The sign is left out."),
        ("3n = 45", "would you mind telling me if 3n is three times n? nobody ever said", "Yes: 3n is 3 times n."),
        ("3n = 45", "does 3n mean three lots of n", "Yes: 3n is 3 times n."),
        ("3n = 45", "I thought 3n meant 3 and n put together, so added. Does it mean something else?",
         "3n means 3 times n; the times sign is left out."),
        ("3n = 45", "why is there no sign between the 3 and the n?", "3n means 3 times"),
        ("n/4 = 8", "is n/4 n divided by 4", "Yes: n/4 is n divided by 4."),
        ("n/4 = 8", "is n/4 the same as 4 divided by n?", "n/4 means n divided by 4."),
        ("2(x + 1) = 10", "does 2(x+1) mean 2 times x + 1?", "2(x + 1) means 2 times all of x + 1"),
        ("2(x + 1) = 10", "is 2(x + 1) the same as 2x + 2?", "Yes: 2(x + 1) is 2 times all of x + 1."),
        ("2(x + 1) = 10", "what does 2(x + 1) mean", "2(x + 1) means 2 times all of x + 1"),
        ("2(x + 1) = 10", "whats 2(x+1)", "2(x + 1) means 2 times all of x + 1"),
        ("n - 4 = 8", "so adding 4 undoes taking 4 away?", "Yes: adding 4 undoes taking away 4."),
        ("w/4 = 16", "so times undoes divide?", "Yes: multiplying undoes dividing."),
        ("5n = 15", "is the opposite of times 5 divide by 5?", "Yes: dividing by 5 undoes multiplying by 5."),
        ("n/4 = 8", "so we do it to both sides cos otherwise it tips?", "Yes. Change one side alone, and it tips."),
    ],
)  # fmt: skip
def test_a_right_guess_gets_its_yes_and_what_is_written_is_told(equation: str, said: str, answer: str) -> None:
    turn = _last(equation, said)
    assert answer in _said(turn)
    assert len(turn.state.board) == 1 and turn.state.pending is None, "a question is no step"


@pytest.mark.parametrize(
    ("equation", "said", "evidence"),
    [
        ("3n = 45", "is 3n 3 plus n?", "with n as 5, 3n is 15, and 3 + n is 8."),
        ("5n + 2 = 27", "is 5n 5 plus n?", "with n as 10, 5n is 50, and 5 + n is 15."),  # 5 would be the answer
        ("2(x + 1) = 10", "is 2(x+1) the same as 2x + 1?", "with x as 5, 2(x + 1) is 12, and 2x + 1 is 11."),
        (
            "n - 4 = 8",
            "does adding 3 undo taking 4 away?",
            "gives 6, then adding 3 gives 9. Is that back?",
        ),
        ("4n = 8", "does adding 4 undo times 4?", "40"),
        ("4n = 8", "does times 0 undo divide by 0?", "divided by zero"),
        ("4n = 8", "does adding 0 undo times 0?", "Anything times zero"),
        ("4n = 8", "is n/0 the same as n?", "n/0 means n divided by 0."),
    ],
)
def test_a_wrong_guess_gets_evidence_and_never_a_yes(equation: str, said: str, evidence: str) -> None:
    said_back = _said(_last(equation, said))
    assert evidence in said_back and "Yes" not in said_back


@pytest.mark.parametrize(
    "said",
    ["is 4n 2n + 6?", "so 4n is 2n + 6", "3n = 12 so n is 4?", "so i divide by 3?", "is it add 4", "is n 15",
     "what is n/4 when n is 8", "do both sides minus 4 so it stays balanced", "take 4 off both sides"],
)  # fmt: skip
def test_a_step_is_no_guess_about_what_is_written(said: str) -> None:
    assert parted(said, "n").asked == ()


@pytest.mark.parametrize("by", range(2, 13))
def test_what_undoes_is_judged_by_working_it_out(by: int) -> None:
    undone = {"adding": "taking away", "times": "divided by", "taking away": "adding", "divided by": "times"}
    for one in undone:
        for two in undone:
            said = _said(_last("n + 17 = 40", f"does {one} {by} undo {two} {by}?"))
            assert ("Yes" in said) == (undone[one] == two), said


@pytest.mark.parametrize(
    ("one", "two"),
    [("3n", "n + n + n"), ("3n", "n times 3"), ("2(n + 3)", "2n + 6"), ("2(n + 3)", "2n + 3"), ("4n", "4 + n")],
)
def test_what_is_the_same_is_judged_by_the_algebra(one: str, two: str) -> None:
    same = linear(read_expression(one, "n")) == linear(read_expression(two.replace("times", "*"), "n"))
    assert ("Yes" in _said(_last("n + 17 = 40", f"is {one} the same as {two}?"))) == same


def test_why_the_sign_changes_gets_the_balance_in_the_numbers_of_the_step() -> None:
    assert "8 comes off both sides. So + 8 is gone here, and − 8 shows there." in _said(
        _last("n + 8 = 22", "take 8 from both sides. but why does the sign change?")
    )
    assert "16 comes off both sides" in _said(
        _last("2(n + 8) = 22", "2n + 16 = 22", "2n = 22 - 16", "So why does it change sign?")
    )
    asked = _last("n + 8 = 22", "why does plus 8 turn into minus 8?")
    assert "Nothing moves." in _said(asked) and len(asked.state.board) == 1


def test_a_question_beside_the_last_of_a_check_is_answered_with_it() -> None:
    turn = _last("w/4 = 16", "w = 64", "64 over 4 is 16. 4 dogs. so why do we times, cos times undoes divide?")
    assert turn.state.solved == (0,) and "Yes: multiplying undoes dividing." in _said(turn)


@pytest.mark.parametrize(
    ("equation", "before", "said", "answer"),
    [
        ("14n + 3 = 8n + 48", (), "why always we can add n to both sides if we dont know n?", "Whatever n is,"),
        ("2n + 21 = 31", (), "how you say in english when i pass the number to other side?", "or taken off."),
        ("n - 39 = 50", ("n = 89",), "89 minus 39 is 50. Is that the proper way to check?", "must come to the same."),
        ("n + 3 = 12", ("3 off both sides",), "but I still want to know why it works", "3 was added, so taking 3 off"),
        ("n/7 + 4 = 11", (), "why in order? cant i just try numbers", "You may guess"),
    ],
)
def test_a_question_gets_the_answer_to_it_and_not_to_another(
    equation: str, before: tuple[str, ...], said: str, answer: str
) -> None:
    assert answer in _said(_last(equation, *before, said))

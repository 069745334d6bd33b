"""What the tutor says beside the mathematics is of this very turn, and worked out, or it is not said. The turns are
invented."""

from fractions import Fraction

import pytest
from talking import Talk, move, task, typed_keys, typed_said

from dialogue.acts import Comment, Interpretation
from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Turn, Utterance
from dialogue.tutor.session import begin, step
from dialogue.tutor.taken_up import AsSaid, checked_in, reason_that_holds, shared_out, with_marks
from dialogue.verbalising.replies import wordings

KNOWN = (("operations", 4), ("first", 2))
FORM_LETTERS = {
    "I have that.",
    "I follow.",
    "I read that too, thank you.",
    "Thank you for telling me.",
    "All right.",
    "Thank you.",
    "I see.",
}


def _lesson(equations: tuple[str, ...], *texts: str, seed: int = 1) -> list[Turn]:
    turns = [begin(Plan(tuple(map(task, equations)), seed, KNOWN))]
    for text in texts:
        turns.append(step(turns[-1].state, Utterance(text)))
    return turns


def _said(turns: list[Turn]) -> str:
    return " ".join(reply.text for reply in turns[-1].replies)


def _as_said(text: str, *beside: Comment) -> AsSaid:
    state = begin(Plan((task("3x = 6"),))).state
    found = with_marks(state, text, Interpretation(beside, sure=True))
    return AsSaid(beside, frozenset(found.marks if found else ()))


def test_no_wording_is_a_form_letter() -> None:
    whole = {text for variants in wordings().values() for text in variants}
    assert not (whole & FORM_LETTERS) - {"All right."}  # one word about which way is shorter has it, where none is
    assert [key for key, variants in wordings().items() if "All right." in variants] == ["compared"]


@pytest.mark.parametrize(
    "text",
    [
        "3n - 7 = 36, no wait, both parts, 3n - 21 = 36",
        "3n - 7 = 36. oh no i forgot the 3 on the 7. 3n - 21 = 36",
    ],
)
def test_who_puts_a_line_right_in_the_same_breath_is_told_that_they_caught_it(text: str) -> None:
    turns = _lesson(("3(n - 7) = 36",), text)
    keys = [reply.key for reply in turns[-1].replies]
    assert "you caught" in keys and not set(keys) & {"evidence lines", "evidence number", "error", "take line"}
    assert turns[-1].state.equation == read_equation("3n - 21 = 36") and not turns[-1].state.seen


def test_a_wrong_line_with_no_word_of_correction_is_not_caught() -> None:
    keys = [reply.key for reply in _lesson(("3(n - 7) = 36",), "3n - 7 = 36, then n = 10")[-1].replies]
    assert "you caught" not in keys


def test_a_wrong_answer_put_right_is_caught_and_not_apologised_for() -> None:
    turns = _lesson(("4n = 56",), "n is 28", "112! i just said that. oh nooo i forgot to half the 56! it's 2n = 28")
    keys = [reply.key for reply in turns[-1].replies]
    assert keys.index("answer too big") < keys.index("you caught") and not any(key.startswith("sorry") for key in keys)


def test_a_right_step_with_a_correction_of_nothing_wrong_is_not_caught() -> None:
    assert "you caught" not in typed_keys("3x + 2 = 14", "hang on, 2 off both sides", fresh=False)


@pytest.mark.parametrize(
    ("text", "equation", "checked"),
    [
        ("n = 7, because 6 times 7 is 42. i check: 63 and 11 is 74. 21 and 53 is 74", "9n + 11 = 3n + 53", True),
        ("n=10. check 109=109", "9n + 19 = 3n + 79", True),
        ("n is 5. 30 and 41 is 71, and 50 and 21 is 71", "6n + 41 = 10n + 21", True),
        ("26 and 26 and 26 is 78", "78 = 3n", True),
        ("n = 8, 8 plus 11 is 19, times 3 is 57", "3(n + 11) = 57", True),
        ("78 shared by 3 is 26", "78 = 3n", False),
        ("42 take away 14 is 28", "42 = n + 14", False),
        ("times 4, thats 36", "n/4 = 9", False),
        ("n = 7", "9n + 11 = 3n + 53", False),
        ("n = 10, n is 10", "9n + 19 = 3n + 79", False),
        ("9n + 11 is 3n + 53. n is 7, 63 and 11 is 74", "9n + 11 = 3n + 53", False),
    ],
)
def test_a_check_in_the_turn_is_known_by_its_sums(text: str, equation: str, checked: bool) -> None:
    assert checked_in(text, read_equation(equation), "n") is checked


@pytest.mark.parametrize(
    ("operation", "operand", "line", "text", "undone"),
    [
        ("divide", "3", "3n = 39", "divide by 3 because 3n means 3 times n and dividing undoes that", "multiplying"),
        ("add", "21", "3n - 21 = 36", "add 21 because it was subtracted", "taking away"),
        ("subtract", "4", "4n = 36", "take 4 off because 4n means 4 times n", ""),  # true, and no reason for it
        ("divide", "3", "3n = 39", "divide by 3 because 3 is small", ""),
        ("subtract", "5", "2n + 5 = 9", "take 5 off because it was multiplied", ""),
    ],
)
def test_a_reason_holds_where_the_line_has_what_it_names(
    operation: str, operand: str, line: str, text: str, undone: str
) -> None:
    made = move(operation, operand, letter="n")  # type: ignore[arg-type]  # an operation, as the rows have it
    assert reason_that_holds(read_equation(line), made, _as_said(text, Comment("reason"))) == undone
    assert not reason_that_holds(read_equation(line), made, _as_said(text))


@pytest.mark.parametrize(
    ("line", "text", "shared"),
    [
        ("78 = 3n", "three brothers got 78 oranges and each has the same", True),
        ("6n = 48", "6 children share 48 sweets", True),
        ("78 = 3n", "they got 78 oranges to share", False),  # nobody said among how many
        ("78 = 3n", "three brothers have 87 oranges each", False),
        ("78 = n + 3", "three brothers share 78 oranges", False),  # the line says something else
    ],
)
def test_a_story_is_taken_up_where_the_line_says_it_too(line: str, text: str, shared: bool) -> None:
    assert shared_out(read_equation(line), text) is shared


def test_a_story_beside_a_step_is_answered_by_its_numbers() -> None:
    text = "three brothers went to the market and got 78 oranges, each one has the same. no wait, they have to share it"
    said = _said(_lesson(("78 = 3n",), text))
    assert "78" in said and "26" not in said


def test_who_is_upset_with_a_right_step_is_told_of_the_step_and_gets_an_easier_sum() -> None:
    turns = _lesson(
        ("69 = n + 52",),
        "take 52 off the right side",
        "ugh i always mess up. take it off the 69 as well, i cant do that in my head",
    )
    said = _said(turns)
    assert "52 off both sides" in said and "69 − 50" in said and "solved" not in said and "17" not in said


def test_who_doubts_themselves_is_told_what_they_found_and_not_how_many() -> None:
    turns = _lesson(("n/4 = 7", "n/4 = 9", "69 = n + 52"), "n = 28", "7", "im so rubbish at this")
    said = _said(turns)
    assert "28" in said and "n/4 = 7" in said


def test_a_number_that_was_said_already_is_taken_up() -> None:
    turns = _lesson(("n/4 = 7",), "28, because 28 cut in 4 is 7 you see", "i just said, its 7")
    assert not any(reply.key in {"sorry, working", "sorry, misread"} for reply in turns[-1].replies)


def test_a_move_that_was_said_already_is_named() -> None:
    talk = Talk("69 = n + 52")
    talk.say(move("subtract", "52", letter="n"))
    talk.turn(Comment("object", "not heard"))
    assert "52 off both sides" in talk.text


def test_nobody_who_has_to_go_is_asked_whether_to_stop() -> None:
    turns = _lesson(("6n + 43 = 10n - 5",), "take 6n off both sides, 43 = 4n - 5. i have to go now, my break is over")
    assert turns[-1].state.phase == "done" and not _said(turns).endswith("?")


def test_a_lesson_ends_with_what_was_done_in_it() -> None:
    lesson = ("42 = n + 20", "78 = 3n", "n/5 = 4")
    turns = _lesson(lesson, "take 20 off both sides, n = 22", "42", "divide both by 3, n = 26. 3 times 26 is 78", "bye")
    said = _said(turns)
    assert "solved 2 equations" in said and "checked every answer" in said
    assert "adding 20" in said and "multiplying by 3" in said and "once" not in said


def test_what_was_caught_is_told_at_the_end() -> None:
    turns = _lesson(
        ("3n + 1 = 10", "2n = 4"), "3n = 11. no wait, 3n = 9", "divide by 3, n = 3", "10", "i have to go, bye"
    )
    assert "caught a slip of your own" in _said(turns)


@pytest.mark.parametrize("said", ["n is 6 and a half", "n is six and a half", "n = 6 1/2"])
def test_a_mixed_number_is_said_as_the_child_says_it(said: str) -> None:
    texts = typed_said("6n = 39", f"divide by 6 both sides so {said}", "hint", "hint", fresh=False)
    assert "13/2" not in texts and "6 1/2" in texts


def test_a_decimal_stays_one() -> None:
    assert "6.5" in typed_said("6n = 39", "n = 6.5", "hint", fresh=False)


def test_a_mixed_number_below_zero_keeps_its_sign() -> None:
    said = typed_said("2n = -13", "n is -6 1/2", fresh=False)
    assert "−6 1/2" in said and Fraction(-13, 2) == read_equation("2n = -13").solution().value


def test_a_question_mark_beside_a_step_is_no_question_that_was_left_out() -> None:
    chat = "hi, I have two rabbits called Biscuit and Moss! um n gets timesed by 2?"
    turns = [begin(Plan((task("2n = 52"),), 3))]
    for text in (chat, "um i just did my move? i shared both sides by 2"):
        turns.append(step(turns[-1].state, Utterance(text)))
    assert "I left that out" not in _said(turns)


def test_an_exclamation_is_not_answered_with_another_equation() -> None:
    turns = _lesson(("6n + 5 = 71", "9n + 19 = 3n + 79"), "n = 11", "71", "n = 9", "60. finally")
    assert "6n + 5" not in _said(turns)

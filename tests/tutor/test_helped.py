"""What was said is used: sums, sentences, two choices, questions at the end of an equation. The turns are invented."""

import pytest
from talking import NO, STUCK, Talk, equations, line

from dialogue.acts import Ask, Comment, PartMove, Work
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Move, carry_out
from dialogue.algebra.solver import next_step, value_at
from dialogue.algebra.tree import Expression, Number, Product, Quotient, SignedTerm, Sum, constant, has_unknown, whole
from dialogue.algebra.writing import BOARD
from dialogue.judgement import judge
from dialogue.tutor.core.line_in_hand import put_in
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.moves.sums_in_parts import smaller_sums
from dialogue.tutor.resolve_in_lesson import chosen_move
from dialogue.tutor.session import begin, step

EQUATIONS = tuple(equations())
FADED = (("operations", 4), ("first", 2))


def _typed(equation: str, *said: str, purpose: str = "") -> Turn:
    tasks = (Task(read_equation(equation), purpose=purpose), Task(read_equation("9n + 4 = 67")))  # type: ignore[arg-type]
    turn = begin(Plan(tasks, 1, FADED))
    for text in said:
        turn = step(turn.state, Utterance(text))
    return turn


def _one_sided() -> list[Equation]:
    """Those with one answer and the unknown on one side, which a sum can check."""
    held = [one for one in EQUATIONS if sum(map(has_unknown, one.sides())) == 1]
    return [one for one in held if one.solution().value is not None]


@pytest.mark.parametrize("equation", _one_sided(), ids=lambda one: one.text())
def test_an_answer_and_its_check_in_one_sum_are_both_taken(equation: Equation) -> None:
    answer = equation.solution().value
    assert answer is not None
    side = next(side for side in equation.sides() if has_unknown(side))
    worth = constant(value_at(side, answer))
    if isinstance(put_in(side, answer), Number):
        return  # "x = 9" has no sum
    talk = Talk(equation.text(), "9n + 4 = 67")
    talk.turn(Work(put_in(side, answer), worth))
    assert talk.state.solved == (0,), talk.text
    wrong = Talk(equation.text(), "9n + 4 = 67")
    wrong.turn(Work(put_in(side, answer + 1), constant(value_at(side, answer + 1))))
    assert not wrong.state.solved and wrong.state.guess is None, "another sum is no answer"


def test_another_number_after_one_that_does_not_fit_is_tried_next() -> None:
    turn = _typed("n + 17 = 40", "is it 24", "41 too much. 23?")
    assert turn.state.phase == "check left" and turn.state.guess == 23
    assert "23" in turn.replies[-1].text


@pytest.mark.parametrize(
    ("equation", "said", "come_to"),
    [
        ("n + 17 = 40", "hmm i was thinking about lunch. ok n = 23", "23"),
        ("n + 17 = 40", "maybe 22? no, 23", "23"),
        ("3n + 17 = 41", "this one looks like the last. so i take 17 off both sides. not sure", "17"),
        ("3n + 17 = 41", "3n = 24 but that is odd somehow, whatever you say", "3n = 24"),
    ],
)
def test_a_plain_sentence_counts_among_others(equation: str, said: str, come_to: str) -> None:
    turn = _typed(equation, said)
    taken = turn.state.pending or turn.state.guess or len(turn.state.board) > 1
    assert taken and come_to in " ".join(reply.text for reply in turn.replies)


def test_a_move_that_is_no_nearer_is_shown_by_what_it_gives() -> None:
    for equation in EQUATIONS:
        talk = Talk(equation.text())
        wrong = Move("add", whole(50), "both")
        if judge(equation, wrong).closer:
            continue
        talk.say(wrong)
        if talk.state.phase != "reconsider":
            continue
        gives = carry_out(wrong, talk.state.equation).text(BOARD)
        before = talk.turns[-1]
        for act in (NO, STUCK, Comment("notice"), Comment("reason")):
            talk.turns.append(before)
            talk.turn(act)
            assert gives in talk.text, (act, talk.text)


def test_one_of_two_moves_is_picked_by_a_word_of_it_and_never_by_both() -> None:
    for equation in EQUATIONS:
        talk = Talk(equation.text())
        found = next_step(talk.state.equation)
        if not isinstance(found, Move) or all(map(has_unknown, equation.sides())):
            continue
        talk.say(Ask("hint"), Ask("hint"))
        if talk.keys[-1] != "choices move":
            continue
        words = {"add": "added", "subtract": "off", "multiply": "times", "divide": "divided"}
        for operation in (found.operation, INVERSE[found.operation]):
            picked = chosen_move(talk.state, f"um {words[operation]} then")
            assert picked is not None and picked.operation == operation
        both = f"{words[found.operation]} or {words[INVERSE[found.operation]]}"
        assert chosen_move(talk.state, both) is None and chosen_move(talk.state, "dunno") is None
        talk.turn(PartMove(found.operation))
        assert isinstance(talk.state.pending, Move) and talk.state.pending.operation == found.operation


def test_a_question_with_the_end_of_an_equation_is_about_that_equation() -> None:
    for equation in _one_sided()[::3]:
        answer = equation.solution().value
        talk = Talk(equation.text(), "987x + 654 = 3615")
        talk.say(line(f"{equation.letter} = {answer}"))
        sides = [constant(value_at(side, answer or whole(0).value)) for side in equation.sides()]
        talk.turn(line(f"{sides[0].value} = {sides[1].value}"), Ask("why", "both sides"))  # type: ignore[union-attr]
        told = " ".join(reply.text for reply in talk.turns[-1].replies if reply.key.startswith("answer both"))
        assert told and "987" not in told and "3615" not in told, talk.text


def test_why_names_an_operation_undone_only_where_one_was() -> None:
    for equation in EQUATIONS:
        found = next_step(equation)
        if not isinstance(found, Move):
            continue
        talk = Talk(equation.text())
        talk.say(found, Ask("why"))
        assert talk.keys[0].startswith("why "), talk.keys
        other = Talk(equation.text())
        other.say(Move("multiply", whole(7), "both"), Ask("why"))
        if other.state.phase == "reconsider":
            assert other.keys[0] == "look what it gives", other.keys


SUMS = [
    *(Sum((SignedTerm(1, whole(one)), SignedTerm(sign, whole(two)))) for one in (8, 47, 120) for two in (9, 12, 39, 86)
      for sign in (1, -1)),
    Sum((SignedTerm(1, whole(4)), SignedTerm(-1, whole(34)))),
    *(Product((whole(one), whole(two))) for one in (3, 7, 9) for two in (12, 18, 35)),
    *(Quotient(whole(one * two), whole(two)) for one in (6, 14) for two in (4, 7)),
]  # fmt: skip


@pytest.mark.parametrize("sum_", SUMS, ids=str)
def test_a_sum_in_two_easier_ones_comes_to_the_same_and_never_says_it(sum_: Expression) -> None:
    said = smaller_sums(sum_)
    if said is None:
        return
    parts = {name: linear(part).constant for name, part in said.values.items()}  # type: ignore[arg-type]
    due = linear(sum_).constant
    assert abs(due) not in parts.values()
    match said.key:
        case "parts added":
            found = parts["one"] + parts["two"] + parts["after"]
        case "parts added, near":
            found = parts["one"] + parts["two"] - parts["after"]
        case "parts taken":
            found = parts["one"] - parts["two"] - parts["after"]
        case "parts taken, near":
            found = parts["one"] - parts["two"] + parts["after"]
        case "parts multiplied":
            found = parts["by"] * parts["one"] + parts["by"] * parts["two"]
        case _:
            found = parts["sum"] / parts["by"]
    assert found == due


def test_the_numbers_of_a_sum_named_and_not_done_ask_how_to_do_it() -> None:
    turn = _typed("n - 38 = 47", "add 38", "n", "too big for me. what is 47 and 38")
    assert turn.replies[0].key == "parts added, near" and "85" not in turn.replies[0].text


def test_what_the_learner_feels_is_named_beside_the_step() -> None:
    for said, key in (
        ("n = 5. my best friend isn't talking to me", "heard friend"),
        ("n = 5, i got told off in science", "heard told off"),
        ("n = 5. ive got a headache", "heard ill"),
    ):
        assert key in {reply.key for reply in _typed("4n = 20", said).replies}, said


def test_a_stop_said_plainly_ends_the_lesson_with_a_goodbye() -> None:
    turn = _typed("4n = 20", "n = 5", "20. can i stop now")
    assert turn.state.phase == "done" and any("5 fits" in reply.text for reply in turn.replies)
    assert any("Bye" in reply.text for reply in turn.replies)


def test_a_line_gone_back_to_is_where_the_lesson_goes_on() -> None:
    turn = _typed("5n + 16 = 91", "5n = 75", "can we go on from 5n + 16 = 91")
    assert [one.equation.text() for one in turn.state.board] == ["5*n + 16 = 91"]

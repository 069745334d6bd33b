"""Walks: hints alone reach every solution, no walk crashes, nothing is given away, a replay is the same."""

import random
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from talking import (
    CHECK,
    DISTRESS,
    EVERY_NUMBER,
    EXAMPLE,
    HINT,
    NO,
    NO_NUMBER,
    OWN,
    PAUSE,
    PHASES,
    REPEAT,
    SKIP,
    SLOWER,
    STUCK,
    UNCLEAR,
    UNDO,
    WHERE,
    WHY,
    WORDING,
    YES,
    equations,
    respond,
    told,
)

from dialogue.acts import Act, Ask, Comment, Control, Describe, PartMove, Refused, Try, Unclear, Value, Work
from dialogue.algebra.board import board_of, equation_from
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions.rules.inverse import crossed_keeping_sign
from dialogue.algebra.moves import Line, Move, Rewrite, carry_out
from dialogue.algebra.operations import Done, operations_on
from dialogue.algebra.reading import read_expression
from dialogue.algebra.solver import next_step
from dialogue.algebra.tree import constant
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.core.questions import due_line, due_value
from dialogue.tutor.core.state import SCENE, Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin
from dialogue.verbalising.replies import move_phrase

EQUATIONS = list(equations())
MOST_HINTS = 160  # the longest of them needs 42
FADED = (("operations", 4), ("first", 2), ("sides", 2))


def turn(state: State, meaning: Act | None, doubt: str = "none") -> Turn:
    """One turn on a meaning."""
    return respond(state, Utterance("given", "typed" if doubt == "none" else "spoken", doubt), meaning)  # type: ignore[arg-type]


def to_the_end(state: State) -> list[Turn]:
    """Only asking for hints, until the lesson is over."""
    turns = [turn(state, HINT)]
    while turns[-1].state.place == state.place and len(turns) < MOST_HINTS:
        turns.append(turn(turns[-1].state, HINT))
    return turns


@pytest.mark.parametrize("faded", [(), FADED], ids=["fresh", "faded"])
def test_only_asking_for_hints_reaches_every_solution(faded: tuple[tuple[str, int], ...]) -> None:
    longest = 0
    for equation in EQUATIONS:
        turns = to_the_end(begin(Plan((Task(equation),), 3, faded)).state)
        longest = max(longest, len(turns))
        assert turns[-1].state.phase == "done", equation.text()
        solved = equation.solution().kind == "one"
        assert turns[-1].record.solved == (equation.text() if solved else "")
        board = turns[-2].state.board
        assert all(line.equation.solution() == equation.solution() for line in board)
    assert longest < MOST_HINTS


def in_order(equation: Equation) -> tuple[Done, ...]:
    """A right answer to "what happens to the unknown?"."""
    return operations_on(equation)


def says(rng: random.Random, state: State) -> Act | None:
    """Something a learner might mean: a help word, a right or wrong answer, a legal or illegal move, nonsense."""
    letter = state.letter
    number = read_expression(rng.choice(["0", "1", "2", "3", "7", "18", "-4", "1/2", "0.5", "999999999"]))
    operand = rng.choice([number, read_expression(f"{rng.choice([1, 2, 3])}{letter}", letter)])
    move = Move(
        rng.choice(["add", "subtract", "multiply", "divide"]), operand, rng.choice(["both", "left", "right", "unsaid"])
    )
    choices: list[Callable[[], Act | None]] = [
        lambda: HINT, lambda: STUCK, lambda: UNDO, lambda: YES, lambda: NO, lambda: None, lambda: UNCLEAR,
        lambda: rng.choice([REPEAT, SLOWER, WHERE, WHY, CHECK, EXAMPLE, WORDING, PAUSE, DISTRESS, Unclear("grouping")]),
        lambda: move, lambda: move, lambda: Move("transfer", operand, "unsaid"),
        lambda: next_step(state.equation), lambda: next_step(state.equation),
        lambda: Rewrite(rng.choice(["expand", "collect", "swap", "simplify"])),
        lambda: Value(operand), lambda: Value(due_value(state) or number), lambda: Value(due_value(state) or number),
        lambda: rng.choice([PartMove(move.operation), PartMove(None, operand), PartMove(None, None, "both")]),
        lambda: rng.choice([Comment("feel"), Comment("goal"), Comment("object"), Work(number, number), Try(number)]),
        lambda: rng.choice([Ask("meaning"), Ask("answer"), Control("restart"), Control("lead"), Refused(move)]),
        lambda: told(move), lambda: Describe(()), lambda: Describe(in_order(state.equation)),
        lambda: rng.choice([NO_NUMBER, EVERY_NUMBER]),
        lambda: Line(Equation(state.equation.left, number, letter)),
        lambda: Line(read_equation(f"{letter} = {write(number)}", letter)),
        lambda: Line(due_line(state) or state.equation), lambda: Line(state.equation.swapped()),
        lambda: _drawn_by_an_error(rng, state.equation),
        lambda: SKIP if rng.random() < 0.5 else HINT,
    ]  # fmt: skip
    return rng.choice(choices)()


def _drawn_by_an_error(rng: random.Random, equation: Equation) -> Act:
    """A term moved across with its sign, which several errors explain; the same line again where none can be."""
    boards = list(crossed_keeping_sign(board_of(equation)))
    return Line(equation_from(rng.choice(boards), equation.letter) if boards else equation)


def walk(seed: int, steps: int) -> list[Turn]:
    """A lesson of random sayings over random equations."""
    rng = random.Random(seed)
    tasks = (Task(read_equation(rng.choice(OWN[:4]))), *(Task(rng.choice(EQUATIONS)) for _ in range(3)))
    turns = [begin(Plan(tasks, seed))]
    for _ in range(steps):
        doubt = rng.choice(["none"] * 8 + ["read back", "ask again"])
        turns.append(turn(turns[-1].state, says(rng, turns[-1].state), doubt))
    return turns


WALKS, STEPS = 30, 100


def test_random_walks_are_answered_fully_and_see_every_phase() -> None:
    visited = set()
    for seed in range(WALKS):
        for before, after in zip(turns := walk(seed, STEPS), turns[1:], strict=False):
            visited.add(after.state.phase)
            for reply in after.replies:
                assert not re.search(r"[{}]|None|Fraction|\(value", reply.text + reply.spoken), reply
                assert reply.text
                assert reply.spoken
            talking = before.state.phase not in {"paused", "done"} and after.state.phase not in {"done", "paused"}
            if talking:
                last = after.replies[-1].text
                assert last.endswith("?"), (before.state.phase, after.replies)
            for line in after.state.board:
                assert line.equation.solution() == after.state.task.equation.solution()
    assert visited == set(PHASES) - {*SCENE, "between", "spot", "compare"}  # tested in files of their own


def test_a_walk_can_always_be_finished_by_hints() -> None:
    rng = random.Random(5)
    for seed in range(12):
        turns = walk(100 + seed, 60)
        for each in rng.sample(turns, 8):
            if each.state.phase not in {"done", "offer stop"}:
                last = to_the_end(each.state)[-1]
                assert last.state.place == each.state.place + 1, each.record


def test_the_same_sayings_give_the_same_turns() -> None:
    for seed in (1, 2, 3):
        assert walk(seed, 60) == walk(seed, 60)


def test_another_seed_gives_other_words() -> None:
    first, second = (begin(Plan((Task(read_equation("3x + 2 = 14")),), seed)).replies for seed in (0, 1))
    assert [reply.key for reply in first] == [reply.key for reply in second]
    assert first != second


# -- nothing is given away --------------------------------------------------------------------------------------------

SHOWN = {"show move", "show side", "show line", "show value", "show rewrite expand", "show rewrite collect",
         "show rewrite simplify", "show rewrite swap", "line", "operations told", "answer fits", "answer fits, praised",
         "told none", "told every", "side worked out", "put in, fits", "put in, both fit"}  # fmt: skip


def _numbers(text: str) -> set[str]:
    return set(re.findall(r"\d+(?:\.\d+)?", text))


def test_no_hint_before_the_last_rung_names_the_answer_or_the_result() -> None:
    """The parallel example and the two choices are looked at apart: the one is another equation, the other offers
    the step beside its inverse."""
    for equation in EQUATIONS:
        state = begin(Plan((Task(equation),), 1, FADED[:2])).state
        for each in to_the_end(state):
            before = state
            state = each.state
            known = _numbers(before.task.equation.text(BOARD)) | _numbers(before.equation.text(BOARD))
            if isinstance(before.pending, Move):
                known |= _numbers(write(before.pending.operand, BOARD))
            if before.guess is not None:
                known |= _numbers(write(constant(before.guess), BOARD))
            for reply in each.replies:
                if reply.key in SHOWN or reply.key.startswith("ask ") or reply.key in {"example", "choices move"}:
                    continue
                if reply.key.startswith("parts "):  # a sum in two easier ones: never what it comes to
                    due = due_value(before)
                    assert due is None or not _numbers(write(due, BOARD)) & (_numbers(reply.text) - known)
                    continue
                assert _numbers(reply.text) <= known, (reply, before.equation.text())


def test_the_worked_example_is_never_the_step_in_hand() -> None:
    for equation in EQUATIONS:
        state = begin(Plan((Task(equation),), 1, FADED)).state
        step = next_step(state.equation)
        if not isinstance(step, Move) or linear(step.operand).coefficient or abs(linear(step.operand).constant) == 1:
            continue  # n off both sides, or times -1, has no parallel with another number
        said = next((reply.text for reply in turn(state, EXAMPLE).replies if reply.key == "example"), "")
        assert f"choose {move_phrase(step, 'text')}," not in said, (equation.text(), said)


def test_failures_and_not_knowing_show_a_step_only_at_the_fourth() -> None:
    """A hint asked for goes down at once; a wrong answer or "I don't know" first brings three other things."""
    for equation in EQUATIONS[::5]:
        name = equation.letter
        broken = f"{name} = {name}" if equation.solution().kind == "none" else f"{name} + 1 = {name}"
        for saying in (STUCK, Line(read_equation(broken))):
            state = begin(Plan((Task(equation),), 2, FADED[:2])).state
            if state.phase != "move":
                continue
            for _ in range(3):
                each = turn(state, saying)
                assert not {reply.key for reply in each.replies} & (SHOWN - {"line", "operations told"}), each.record
                assert len(each.state.board) == len(state.board)
                state = each.state


@pytest.mark.parametrize("text", ["3x + 2 = 14", "8n + 3 = 5n + 21", "14 = 3x + 2", "2(x - 1)/3 = 4 - x", *OWN[4:8]])
def test_an_answer_put_in_is_met_with_the_same_words_right_or_wrong(text: str) -> None:
    """Until both sides are worked out the keys, and the words but for the number, are the same."""
    equation = read_equation(text)
    right = equation.solution().value
    assert right is not None
    heard = []
    for answer in (right, right + 1, right - 7, right * 3 + Fraction(1, 2)):
        said = []
        state = begin(Plan((Task(equation),), 4)).state
        guess = Line(Equation(read_expression(equation.letter), constant(answer), equation.letter))
        for meaning in (guess, Value(read_expression("977")), None, Value):
            due = due_value(state)
            now = Value(due) if meaning is Value and due is not None else meaning
            each = turn(state, now)  # type: ignore[arg-type]
            state = each.state
            if "check" not in state.phase:
                break
            said.append([re.sub(r"\N{MINUS SIGN}?\d+(\.\d+)?(/\d+)?", "N", reply.text) for reply in each.replies])
        heard.append(said)
    assert all(one == heard[0] for one in heard)


def test_a_legal_move_is_never_called_wrong() -> None:
    """Common practice (no source): of any legal move the tutor says that it is allowed, or that it is still true."""
    rng = random.Random(9)
    allowed = {"take move", "still true", "another plan", "praise choice", "ask reconsider", "ask left", "ask line",
               "ask reason", "ask move", "unclear too big", "error"}  # fmt: skip
    for equation in EQUATIONS:
        state = replace(begin(Plan((Task(equation),), 1, FADED)).state)
        if state.phase != "move":
            continue
        for _ in range(6):
            operand = rng.choice(["2", "5", "-3", "1/2", f"2{equation.letter}", f"{equation.letter}"])
            operation = rng.choice(
                ["add", "subtract"] if equation.letter in operand else ["add", "subtract", "multiply", "divide"]
            )
            move = Move(operation, read_expression(operand, equation.letter), rng.choice(["both", "unsaid"]))
            assert carry_out(move, equation).solution() == equation.solution()
            assert {reply.key for reply in turn(state, move).replies} <= allowed

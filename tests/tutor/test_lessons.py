"""Whole lessons to read: what invented children mean, turn by turn, and every reply.

A file of ``lessons`` has the equations, the seed, and turns: what the learner means, in a short form of the acts, and
in words after ``#`` for the reader. ``python tests/tutor/test_lessons.py`` writes the replies beside it, in a
``.txt``; the difference shows what a change does to a conversation.

    m -3        subtract 3 (+ - * /; L or R or B at the end for the sides)     p -    the same with something unsaid
    l 3x = 12   a line         v 4   a value       t 4   a number tried        V none  none, or every
    d *3 +2     what happens to the unknown (< for "taken from")               w 2+3=5 a sum
    s yes       say            a why ask           k stop  a command           c feel upset  talk
    r expand    a rewrite      u     not clear     not ...  refused            ;      several acts in one turn
    ?           before them: understood, but not for sure
"""

from pathlib import Path
from typing import Any

import pytest
from talking import task

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Interpretation,
    PartMove,
    Refused,
    Say,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Done
from dialogue.algebra.reading import read_expression
from dialogue.tutor.core.state import Plan, Utterance
from dialogue.tutor.session import begin, respond

FOLDER = Path(__file__).with_name("lessons")
OPERATIONS: dict[str, Any] = {"-": "subtract", "+": "add", "*": "multiply", "/": "divide", "<": "take from"}
SIDES: dict[str, Any] = {"L": "left", "R": "right", "B": "both"}


def act(text: str, letter: str) -> Act:
    """The act of the short form."""
    kind, _, rest = text.strip().partition(" ")
    words = rest.split()
    given: dict[str, Any] = {"s": Say, "k": Control, "u": Unclear, "r": Rewrite, "V": Verdict}
    match kind:
        case "m" | "p":
            sides = SIDES[words.pop()] if words and words[-1] in SIDES else "unsaid"
            sign = words[0][0] if words and words[0][0] in OPERATIONS else ""
            number = "".join(words).removeprefix(sign)
            operand = read_expression(number, letter) if number else None
            if operand is not None and sign:
                return Move(OPERATIONS[sign], operand, sides)
            return PartMove(OPERATIONS.get(sign), operand, sides)
        case "l":
            return Line(read_equation(rest, letter))
        case "v":
            return Value(read_expression(rest, letter))
        case "t":
            return Try(read_expression(rest, letter))
        case "d":
            return Describe(tuple(Done(OPERATIONS[each[0]], read_expression(each[1:], letter)) for each in words))
        case "w":
            left, right = (read_expression(side) for side in rest.split("="))
            return Work(left, right)
        case "c":
            return Comment(*words)  # type: ignore[arg-type]
        case "a":
            return Ask(*words)  # type: ignore[arg-type]
        case "not":
            return Refused(act(rest, letter))
    made: Act = given[kind](rest)
    return made


def played(path: Path) -> str:
    """The lesson as text."""
    first, second, *turns = path.read_text("utf-8").splitlines()
    tasks = tuple(map(task, first.removeprefix("equations: ").split("; ")))
    turn = begin(Plan(tasks, int(second.removeprefix("seed: "))))
    lines = [f"Tutor:   {reply.text}" for reply in turn.replies]
    for each in turns:
        meant, _, words = each.partition(" # ")
        acts = tuple(act(one, turn.state.letter) for one in meant.removeprefix("? ").split(";"))
        sure = acts != (Unclear(),) and not meant.startswith("? ")
        turn = respond(turn.state, Utterance(words or meant), Interpretation(acts, sure))
        lines += [f"Learner: {words or meant}", *(f"Tutor:   {reply.text}" for reply in turn.replies)]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.acts")), ids=lambda path: path.stem)
def test_a_lesson_is_as_it_was_read(path: Path) -> None:
    assert played(path) == path.with_suffix(".txt").read_text("utf-8")


if __name__ == "__main__":
    for each in sorted(FOLDER.glob("*.acts")):
        each.with_suffix(".txt").write_text(played(each), "utf-8")

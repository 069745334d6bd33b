"""Nothing that is refused is done: ways of refusing times what can be refused."""

import pytest

from dialogue.acts import EXPECTING, Act, Control, Expecting, Refused
from dialogue.algebra.moves import Move
from dialogue.understanding.interpret import interpret

WAYS = (
    "i don't want to {}", "don't {}", "please don't {}", "i didn't want to {}", "i never want to {}", "no need to {}",
    "there's no need to {}", "i'm not going to {}", "i won't {}", "let's not {}", "we shouldn't {}", "not going to {}",
)  # fmt: skip
THINGS = (
    "stop", "quit", "give up", "finish", "skip this one", "undo that", "go back", "start again", "get a hint",
    "subtract 2 from both sides", "add 3 to both sides", "divide both sides by 3", "multiply by 4", "take 6 off",
    "move the 3 over", "halve it",
)  # fmt: skip


def _does_something(act: Act) -> bool:
    return isinstance(act, Control | Move) and not isinstance(act, Refused)


def test_nothing_refused_is_done() -> None:
    """None of the 192 is both sure and an act that changes the lesson or the line."""
    done = []
    for way in WAYS:
        for thing in THINGS:
            found = interpret(way.format(thing), "move", "x", "What will you do to both sides?")
            if found.sure and any(map(_does_something, found.acts)):
                done.append(way.format(thing))
    assert done == []


@pytest.mark.parametrize("expecting", EXPECTING)
@pytest.mark.parametrize(
    ("text", "letter"),
    [
        ("i added 2 and got 3x = 12", "x"), ("i added 5 and got 2n = 12", "n"), ("divide by 2 gives 3x = 12", "x"),
        ("subtract 4 so x = 5", "x"), ("i timesed it by 3 and that gives p = 9", "p"),
    ],
)  # fmt: skip
def test_a_claimed_move_beside_a_line_is_not_lost(text: str, letter: str, expecting: Expecting) -> None:
    """Whatever was asked: a line beside a claimed move is believed only with the move, so that both can be judged."""
    found = interpret(text, expecting, letter)
    assert not found.sure or any(isinstance(act, Move) for act in found.acts), found.acts

"""Nothing that is refused is done: ways of refusing times what can be refused."""

from dialogue.acts import Act, Control, Refused
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

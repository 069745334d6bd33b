"""Stuck is never a loop: whoever says the same thing for ever gets through the lesson, and never hears one text for
ever."""

from collections import Counter

import pytest
from talking import STUCK, UNCLEAR, Talk, line, move, respond, told, value

from dialogue.acts import Act, Ask, Comment, Control, Disclosure, PartMove, Refused, Say, Term, Try, Work
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Rewrite, Verdict
from dialogue.algebra.operations import Done
from dialogue.algebra.reading import read_expression
from dialogue.tutor.core.state import Plan, State, Task, Utterance
from dialogue.tutor.session import begin

MOST_TURNS = 250  # of one equation
MOST_RUNNING = 2
SHARE = 5  # of the pairs of a state and an act: one in so many is tried

EVER: tuple[Act, ...] = (
    STUCK, UNCLEAR, Say("yes"), Say("no"), Say("checked"),
    *(Ask(what) for what in ("hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game",
                             "meaning", "answer")),
    *(Control(what) for what in ("undo", "restart", "lead", "slower")),
    *(Comment(kind) for kind in ("reason", "rule", "notice", "goal", "object", "feel", "aside")),
    Comment("feel", "bored"), Refused(Control("stop")), Refused(move("subtract", "2")),
    move("subtract", "2"), move("add", "5"), move("add", "2"), move("subtract", "2", "left"), move("multiply", "0"),
    move("divide", "3"), move("divide", "0"), move("divide", "x"), move("multiply", "2"), move("transfer", "2"),
    move("subtract", "3x"), move("add", "x"),
    value("5"), value("4"), value("2"), value("3x"), value("x*x"), Try(read_expression("5")),
    Term(read_expression("2")),
    Work(read_expression("2 + 2"), read_expression("4")), Work(read_expression("2 + 2"), read_expression("5")),
    line("3x = 12"), line("3x = 16"), line("x = 5"), line("x = 4"), line("6x + 4 = 28"), line("x = x"), line("3 = 4"),
    Verdict("none"), Verdict("every"), *(Rewrite(how) for how in ("expand", "collect", "swap", "simplify")),
    told(move("multiply", "3")), told(move("subtract", "9")), told(Done("take from", read_expression("2"))), told(),
    PartMove("divide"), PartMove(None, read_expression("2")), PartMove(None, None, "both"),
    PartMove("add", None, "left"),
)  # fmt: skip
EQUATIONS = ("3x + 2 = 14", "4 - x = 9", "3x + 4 = 3x + 9", "8x + 3 = 5x + 21", "2(x - 1)/3 = 4 - x")


def for_ever(state: State, act: Act) -> tuple[int, int]:
    """Turns until the equation is over, and how often in a row the same text was heard."""
    place, running, most = state.place, Counter[str](), 0
    for count in range(1, MOST_TURNS + 1):
        turn = respond(state, Utterance("the same"), act)
        texts = {reply.text for reply in turn.replies if reply.key != "line"}
        running = Counter({text: running[text] + 1 for text in texts})
        most = max([most, *running.values()])
        state = turn.state
        if state.place > place or state.phase == "done":
            return count, most
    return MOST_TURNS + 1, most


@pytest.mark.parametrize("act", EVER, ids=str)
def test_one_utterance_for_ever_gets_through(act: Act) -> None:
    """On two of the equations, of which every act meets others; on one of them with all scaffolds, on one faded."""
    place = EVER.index(act)
    for number, faded in ((place, ()), (place + 2, (("operations", 4), ("first", 1), ("sides", 1)))):
        text = EQUATIONS[number % len(EQUATIONS)]
        state = begin(Plan((Task(read_equation(text, "x")), Task(read_equation("x + 1 = 3"))), 3, faded)).state
        turns, most = for_ever(state, act)
        assert turns <= MOST_TURNS, text
        assert most <= MOST_RUNNING, text


BEFORE: tuple[tuple[Act, ...], ...] = (
    (move("subtract", "2"),), (move("subtract", "2"), value("3x")), (line("3x = 13"),), (line("x = 4"),),
    (move("add", "2"),), (move("subtract", "2", "left"),), (Ask("game"),), (Control("pause"),), (Disclosure(),),
    (PartMove("divide"),), (line("3x = 12"),),
)  # fmt: skip


@pytest.mark.parametrize("place", range(len(BEFORE)))
def test_from_every_state(place: int) -> None:
    """Every act from some of the states and every state with some of the acts: which goes by both places."""
    before = BEFORE[place]
    for act in (one for row, one in enumerate(EVER) if (row + place) % SHARE == 0):
        talk = Talk("3x + 2 = 14", "x + 1 = 3", seed=1)
        talk.say(*before)
        turns, most = for_ever(talk.state, act)
        assert turns <= MOST_TURNS, act
        assert most <= MOST_RUNNING, act

"""A game, asked for by the learner: an equation that the tutor works with one slip made on purpose, to be caught.

Always another equation than the learner's own, announced as a game, and never on the board.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from dialogue.acts import Act, Ask, Value
from dialogue.algebra.board import board_of, equation_from
from dialogue.algebra.cost import untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions.rules import LINE_RULES
from dialogue.algebra.moves import Line
from dialogue.algebra.parallel import parallel
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.tree import has_unknown, whole
from dialogue.tutor.core.events import Event, Outcome, Pointed, PointKind
from dialogue.tutor.core.state import Game, Phase, State
from dialogue.understanding.grammar import read_data
from dialogue.verbalising.sayings import Filling, Saying

MOST_LINES, MOST_TRIES = 5, 2
PLANTED = frozenset(  # slips that show on one line and are worth catching
    {"opposite-on-other-side", "one-side-only", "subtract-coefficient", "partial-distribution", "distribution-sign",
     "like-terms-sign", "combine-unlike-terms", "multiply-one-term-only", "divide-one-term-only"}
)  # fmt: skip


def planted(equation: Equation, seed: int) -> tuple[tuple[Equation, ...], int, str] | None:
    """A parallel equation worked with one slip, which line that is, and the error; None where none can be made."""
    found = list(_workings(parallel(equation)))
    return found[seed % len(found)] if found else None


def _workings(other: Equation) -> Iterator[tuple[tuple[Equation, ...], int, str]]:
    right = (other, *(worked.equation for worked in solve_by_steps(other)))
    for place, line in enumerate(right[:-1]):
        for errors, rule in LINE_RULES:
            if errors[0] not in PLANTED:
                continue
            for board in rule(board_of(line)):
                wrong = equation_from(board, other.letter)
                solution = wrong.solution()
                whole = solution.value is not None and solution.value.denominator == 1
                tidy = not any(untidy(side) for side in wrong.sides()) or errors[0] == "partial-distribution"
                if not whole or not tidy or solution == other.solution() or not _shows(wrong):
                    continue
                lines = (*right[: place + 1], wrong, *(worked.equation for worked in solve_by_steps(wrong)))
                if len(lines) <= MOST_LINES and len(set(lines)) == len(lines):
                    yield lines, place + 1, errors[0]


def _shows(line: Equation) -> bool:
    return any(has_unknown(side) for side in line.sides())


def chosen(state: State, meaning: Act) -> Pointed | None:
    """The line that the learner points at, by its number or by saying it; None where it is no line of these."""
    game = state.game
    if game is None:
        return None
    match meaning:
        case Value(value) if not has_unknown(value):
            number = linear(value).constant
            if not 1 <= number <= len(game.lines) or number.denominator != 1:
                return None
            place = int(number) - 1
        case Line(equation) if equation in game.lines:
            place = game.lines.index(equation)
        case _:
            return None
    kind: PointKind = "slip found" if place == game.slip else "slip missed"
    return Pointed(kind, meaning, game.lines[place])


# -- effects of the table ---------------------------------------------------------------------------------------------


def start_game(state: State, event: Event) -> Outcome:
    """Lines of another equation with one slip in them, where one can be planted; not where nobody may help."""
    found = planted(state.task.equation, state.plan.seed + state.turn)
    if found is None or state.task.alone:
        return state, (Saying("no game"),)
    lines, slip, error = found
    game = Game(lines, slip, error, state.phase)
    return replace(state, phase="spot", game=game, doubts=0), (Saying("game"), *_shown(game))


def _shown(game: Game) -> tuple[Saying, ...]:
    return tuple(Saying("game line", {"lines": number, "other": line}) for number, line in enumerate(game.lines, 1))


def slip_found(state: State, event: Event) -> Outcome:
    """The slip, pointed at: what it was, and back to the equation."""
    game = state.game
    if game is None:
        return _left(state), ()
    values = {"other": game.lines[game.slip], "after": game.lines[game.slip - 1]}
    return _left(state), (Saying("game found", values), Saying("game over"))


def slip_missed(state: State, event: Event) -> Outcome:
    """A right line pointed at is said to follow; the second time, the slip is shown: it is a game."""
    game = state.game
    if game is None:
        return _left(state), ()
    game = replace(game, tries=game.tries + 1)
    if game.tries >= MOST_TRIES:
        values: dict[str, Filling] = {
            "lines": game.slip + 1,
            "other": game.lines[game.slip],
            "after": game.lines[game.slip - 1],
        }
        return _left(state), (Saying("game told", values), Saying("game over"))
    if isinstance(event, Pointed) and event.line != game.lines[0]:
        return replace(state, game=game), (Saying("game missed"),)
    return replace(state, game=game), (Saying("game help"),)


def leave_game(state: State, event: Event) -> Outcome:
    """Back to the equation without the slip."""
    return _left(state), (Saying("game over"),)


def _left(state: State) -> State:
    back = state.game.back if state.game is not None else "move"
    return replace(state, phase=back, game=None, doubts=0)


POLITE = re.compile(r"\b(please|can we|could we|i want to|i want|i'd like to|i'd like|ok|okay)\b")
ORDINALS = ("first", "second", "third", "fourth", "fifth")
NUMBERS = ("one", "two", "three", "four", "five")


@cache
def _games() -> frozenset[str]:
    return frozenset(read_data("asides")["game"])


def aside(text: str, phase: Phase) -> Act | None:
    """What was meant beside the lesson; None for anything else."""
    said = " ".join(re.sub(r"[^a-z0-9' ]", " ", text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")).split())
    if phase == "spot":
        for word in said.split():
            if word.isdigit() and len(word) == 1:
                return Value(whole(int(word)))
            for names in (ORDINALS, NUMBERS):
                if word in names:
                    return Value(whole(names.index(word) + 1))
    shorter = " ".join(POLITE.sub(" ", said).split())
    return Ask("game") if said in _games() or shorter in _games() else None

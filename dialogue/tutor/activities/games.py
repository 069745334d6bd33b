"""Games that a learner may ask for: some lines of other equations than the learner's own, one of which is to be found.

Announced as games, and never on the board. The next game asked for in a lesson is another one, in the order of
``GAMES``; whatever a game says is in the wordings under its name.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache

from dialogue.acts import Act, Ask, Value
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line
from dialogue.algebra.tree import has_unknown, whole
from dialogue.tutor.activities.odd_one_out import odd_one_out
from dialogue.tutor.activities.slip_game import catch_a_slip
from dialogue.tutor.core.events import Event, Outcome, Pointed, PointKind
from dialogue.tutor.core.state import Game, Phase, State
from dialogue.understanding.grammar import read_data
from dialogue.understanding.normalise import in_lower_case
from dialogue.understanding.phrase_spotting import denies
from dialogue.verbalising.sayings import Filling, Saying

GAMES: tuple[Callable[[Equation, int, Phase], Game | None], ...] = (catch_a_slip, odd_one_out)
MOST_TRIES = 2


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
    """The next game that can be made beside this equation; none on an equation without help."""
    played = state.count("games") % len(GAMES)
    made = (make(state.task.equation, state.plan.seed + state.turn, state.phase)
            for make in (*GAMES[played:], *GAMES[:played]))  # fmt: skip
    game = next((each for each in made if each is not None), None)
    if game is None or state.task.alone:
        return state, (Saying("no game"),)
    return replace(state.counted("games"), phase="spot", game=game, doubts=0), (Saying(game.name), *_shown(game))


def _shown(game: Game) -> tuple[Saying, ...]:
    return tuple(Saying("game line", {"lines": number, "other": line}) for number, line in enumerate(game.lines, 1))


def slip_found(state: State, event: Event) -> Outcome:
    """The slip, pointed at: what it was, and back to the equation."""
    game = state.game
    if game is None:
        return _left(state), ()
    values = {"other": game.lines[game.slip], "after": game.lines[game.slip - 1]}
    return _left(state), (Saying(f"{game.name} found", values), Saying("game over"))


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
        return _left(state), (Saying(f"{game.name} told", values), Saying("game over"))
    if isinstance(event, Pointed) and event.line != game.lines[0]:
        return replace(state, game=game), (Saying(f"{game.name} missed"),)
    return replace(state, game=game), (Saying(f"{game.name} help"),)


def leave_game(state: State, event: Event) -> Outcome:
    """Back to the equation without the slip."""
    return _left(state), (Saying("game over"),)


def _left(state: State) -> State:
    back = state.game.back if state.game is not None else "move"
    return replace(state, phase=back, game=None, doubts=0)


LINE_NAMED = re.compile(
    r"\bline (\d|one|two|three|four|five)\b(?! (?:is|looks|seems) (?:right|ok|okay|fine|correct|good))"
)
POLITE = re.compile(r"\b(please|can we|could we|i want to|i want|i'd like to|i'd like|ok|okay)\b")
ORDINALS = ("first", "second", "third", "fourth", "fifth")
NUMBERS = ("one", "two", "three", "four", "five")


def line_named(text: str) -> Value | None:
    """The one line that is named as one ("line 2 cos 6 x 30 is 180"), whatever is worked out beside it."""
    named = {NUMBERS.index(one) + 1 if one in NUMBERS else int(one) for one in LINE_NAMED.findall(in_lower_case(text))}
    return Value(whole(named.pop())) if len(named) == 1 and not denies(text) else None


@cache
def _games() -> frozenset[str]:
    return frozenset(read_data("asides")["game"])


def aside(text: str, phase: Phase) -> Act | None:
    """What was meant beside the lesson; None for anything else."""
    said = " ".join(re.sub(r"[^a-z0-9' ]", " ", in_lower_case(text)).split())
    if phase == "spot":
        for word in said.split():
            if word.isdecimal() and len(word) == 1:
                return Value(whole(int(word)))
            for names in (ORDINALS, NUMBERS):
                if word in names:
                    return Value(whole(names.index(word) + 1))
    shorter = " ".join(POLITE.sub(" ", said).split())
    return Ask("game") if said in _games() or shorter in _games() else None

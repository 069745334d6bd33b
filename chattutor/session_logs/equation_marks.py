"""How one equation of a session went, turn by turn: what a teacher needs to know of it, and no more."""

import re
from dataclasses import dataclass, field
from typing import NamedTuple

from dialogue.learner.records import NOTHING_DONE

HELP_EVENTS = frozenset({"stuck", "hint", "tell me", "example"})  # events that call for help
ASKING = frozenset({"hint", "example"})  # of these who asks for help; "I don't know" alone may be anything
NO_WORK = HELP_EVENTS | {
    "begin", "go on", "repeat", "why", "check", "progress", "wording", "slower", "game", "meaning", "yes", "no",
    "undo", "skip", "stop", "pause", "restart", "easier", "harder", "lead", "comment", "refused", "leave",
    "unclear", "doubtful", "unsure", "narrow", "unheard", "to explain", "distress", "silence",
}  # fmt: skip
STEPS = ("move", "rewrite", "line", "left wrong", "right wrong", "both wrong")  # how events of undoing begin
HALF = "move part"  # what may be half a move: it undoes nothing yet, and any words may be taken for it
WRONG_VALUES = frozenset({"value wrong", "value of other side"})
CHECKING = "check "  # how the phases begin in which an answer is put in: a slip there is none of the solving
HELD = frozenset({"confirm", "reason", "paused", "offer stop", "account"})  # phases that wait for another question
ANSWER = re.compile(r"[a-z] = -?\d+(?:[./]\d+)?|-?\d+(?:[./]\d+)? = [a-z]")


class Mark(NamedTuple):
    """One equation: ``help`` the most that was needed (a place in HELP); ``wrong`` steps that broke the balance;
    ``numbers`` different ones put forward as its answer; ``undoing`` moves and lines that were no answer; ``calls`` for
    help, of which ``asks`` were put as a request; ``longest`` turns in a row at one question, of which ``phase``,
    ``line`` and the last words are kept."""

    place: int
    touched: bool = False
    solved: bool = False
    help: int = 0
    wrong: int = 0
    numbers: int = 0
    undoing: int = 0
    calls: int = 0
    asks: int = 0
    longest: int = 0
    phase: str = ""
    line: str = ""
    said: str = ""


def is_answer(stated: str) -> bool:
    """Whether a stated line is the unknown alone and a number."""
    return ANSWER.fullmatch(stated) is not None


def went_wrong(event: str, phase: str, broke: bool) -> bool:
    """Whether a turn counts as a wrong step: it broke the balance, or gave a wrong value outside a check."""
    return broke or (event in WRONG_VALUES and not phase.startswith(CHECKING))


@dataclass(slots=True)
class EquationFold:
    """The turns of one equation, heard in order."""

    place: int
    touched: bool = False
    solved: bool = False
    help: int = 0
    wrong: int = 0
    undoing: int = 0
    calls: int = 0
    asks: int = 0
    numbers: set[str] = field(default_factory=set)
    longest: tuple[int, str, str, str] = (0, "", "", "")
    _here: tuple[str, str] = ("", "")
    _turns: int = 0
    _words: str = ""

    def hear(self, event: str, phase: str, line: str, words: str, stated: str, broke: bool) -> None:
        """One turn: what it came to, the question and the line it answered, the words, the line it stated, and
        whether a step in it broke the balance."""
        self.touched |= event not in NOTHING_DONE
        self.calls += event in HELP_EVENTS and phase not in HELD
        self.asks += event in ASKING and phase not in HELD
        self.wrong += went_wrong(event, phase, broke)
        if stated and is_answer(stated):
            self.numbers.add(stated)
        elif event.startswith(STEPS) and event != HALF:
            self.undoing += 1
        self._at_one_question(event, phase, line, words)

    def mark(self) -> Mark:
        """What is kept."""
        return Mark(
            self.place, self.touched, self.solved, self.help, self.wrong, len(self.numbers), self.undoing, self.calls,
            self.asks, *self.longest,
        )  # fmt: skip

    def _at_one_question(self, event: str, phase: str, line: str, words: str) -> None:
        if phase in HELD:
            return
        if (phase, line) != self._here:
            self._here, self._turns, self._words = (phase, line), 0, ""
        self._turns += 1
        if words and (event in HELP_EVENTS or not self._words or event not in NO_WORK):
            self._words = words
        if self._turns > self.longest[0]:
            self.longest = (self._turns, phase, line, self._words)

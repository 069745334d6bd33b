"""The loop of a lesson: listen, step, log, show. A reply is on the disk before it is on the screen."""

from collections.abc import Iterator
from dataclasses import dataclass
from threading import Thread
from typing import Literal, TypeAlias

from chattutor.lesson.ports import Chooses, Face, UtteranceSource
from chattutor.session_logs.writer import SessionLog
from dialogue.turn_record import Given
from dialogue.tutor import give, step
from dialogue.tutor.core.state import State, Turn, Utterance
from dialogue.understanding.interpret import warm

Why: TypeAlias = Literal["finished", "stopped", "input ended"]

GOODBYE = "That is all for now. Your work is saved."


@dataclass(frozen=True, slots=True)
class Ended:
    """How a sitting ended, and the last turn of it."""

    why: Why
    turn: Turn


class Conversation:
    """One lesson, from its opening turn until it is over. Every turn is on the disk before it is given out.

    Where the plan grows, ``chooser`` gives the next equation whenever one is over; without one the lesson then ends.
    """

    def __init__(self, opening: Turn, log: SessionLog, chooser: Chooses | None = None) -> None:
        self.turn = opening
        self._log, self._chooser = log, chooser

    @property
    def over(self) -> bool:
        """Whether nothing more can be said in it."""
        return self.turn.state.phase == "done"

    @property
    def why(self) -> Why:
        """How it ended, once it is over."""
        return "finished" if self.turn.state.place >= len(self.turn.state.plan.tasks) else "stopped"

    def begin(self) -> Iterator[Turn]:
        """The opening, and the next equation where it stands between two. Raises LogTrouble."""
        self._log.turn(self.turn)
        yield self.turn
        yield from self._go_on()

    def take(self, said: Utterance) -> Iterator[Turn]:
        """The turn that answers what was said, and the next equation where one is over. Raises LogTrouble."""
        turn = step(self.turn.state, said)
        self._log.turn(turn, said)
        self.turn = turn
        if self._chooser is not None:
            self._chooser.heard(turn.record)
        yield turn
        yield from self._go_on()

    def _go_on(self) -> Iterator[Turn]:
        while self.turn.state.phase == "between":
            turn = next_equation(self.turn.state, self._chooser)
            self._log.turn(turn)
            self.turn = turn
            yield turn
        if self.over:
            self._log.end(self.why)


def hold(opening: Turn, source: UtteranceSource, face: Face, log: SessionLog, chooser: Chooses | None = None) -> Ended:
    """Go through a lesson from its opening turn until it is over or nothing more comes. Raises LogTrouble."""
    lesson = Conversation(opening, log, chooser)
    for turn in lesson.begin():
        face.show(turn)
    # while the learner reads the first question, the grammar of what can be said is built
    warming = Thread(target=warm, daemon=True)
    warming.start()
    while not lesson.over:
        said = source.listen()
        warming.join()
        if said is None:
            face.notice(GOODBYE)
            log.end("input ended")
            return Ended("input ended", lesson.turn)
        for turn in lesson.take(said):
            face.show(turn)
    return Ended(lesson.why, lesson.turn)


def next_equation(state: State, chooser: Chooses | None) -> Turn:
    """The turn between two equations: the next one, or the end."""
    task, why = chooser.next(state.plan.tasks, state) if chooser is not None else (None, Given())
    return give(state, task, why)

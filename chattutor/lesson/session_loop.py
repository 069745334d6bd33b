"""The loop of a lesson: listen, step, log, show. A reply is on the disk before it is on the screen."""

from dataclasses import dataclass
from threading import Thread
from typing import Literal, TypeAlias

from chattutor.lesson.ports import Face, UtteranceSource
from chattutor.lesson.task_selection import Chooser
from chattutor.session_logs.saved import replies_to_json, said_to_json
from chattutor.session_logs.writer import SessionLog
from dialogue.tutor import give, step
from dialogue.tutor.core.state import State, Turn
from dialogue.understanding.understand import understand

Why: TypeAlias = Literal["finished", "stopped", "input ended"]

GOODBYE = "That is all for now. What you did is kept."


@dataclass(frozen=True, slots=True)
class Ended:
    """How a sitting ended, and the last turn of it."""

    why: Why
    turn: Turn


def hold(opening: Turn, source: UtteranceSource, face: Face, log: SessionLog, chooser: Chooser | None = None) -> Ended:
    """Go through a lesson from its opening turn until it is over or nothing more comes. Raises LogTrouble.

    Where the plan grows, ``chooser`` gives the next equation whenever one is over; without one the lesson then ends.
    """
    turn = opening
    log.turn(None, turn.record, replies_to_json(turn.replies))
    face.show(turn)
    # while the learner reads the first question, the grammar of what can be said is built
    warming = Thread(target=understand, args=("yes",), daemon=True)
    warming.start()
    while turn.state.phase != "done":
        if turn.state.phase == "between":
            turn = next_equation(turn.state, chooser)
            log.turn(None, turn.record, replies_to_json(turn.replies))
            face.show(turn)
            continue
        said = source.listen()
        warming.join()
        if said is None:
            face.notice(GOODBYE)
            log.end("input ended")
            return Ended("input ended", turn)
        turn = step(turn.state, said)
        log.turn(said_to_json(said, turn.record.get("event", "")), turn.record, replies_to_json(turn.replies))
        if chooser is not None:
            chooser.heard(turn.record)
        face.show(turn)
    why: Why = "finished" if turn.state.place >= len(turn.state.plan.tasks) else "stopped"
    log.end(why)
    return Ended(why, turn)


def next_equation(state: State, chooser: Chooser | None) -> Turn:
    """The turn between two equations: the next one, or the end."""
    task, why = chooser.next(state.plan.tasks, state) if chooser is not None else (None, {"given": None})
    return give(state, task, why)

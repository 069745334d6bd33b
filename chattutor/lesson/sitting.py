"""The loop of a lesson: listen, step, log, show. A reply is on the disk before it is on the screen."""

from dataclasses import dataclass
from threading import Thread
from typing import Literal, TypeAlias

from chattutor.lesson.ports import Ears, Face
from chattutor.logs.saved import replies_to_json, said_to_json
from chattutor.logs.writer import SessionLog
from dialogue.language.understand import understand
from dialogue.tutor import step
from dialogue.tutor.state import Turn

Why: TypeAlias = Literal["finished", "stopped", "input ended"]

GOODBYE = "That is all for now. What you did is kept."


@dataclass(frozen=True, slots=True)
class Ended:
    """How a sitting ended, and the last turn of it."""

    why: Why
    turn: Turn


def hold(opening: Turn, ears: Ears, face: Face, log: SessionLog) -> Ended:
    """Go through a lesson from its opening turn until it is over or nothing more comes. Raises LogTrouble."""
    turn = opening
    log.turn(None, turn.record, replies_to_json(turn.replies))
    face.show(turn)
    # while the learner reads the first question, the grammar of what can be said is built
    warming = Thread(target=understand, args=("yes",), daemon=True)
    warming.start()
    while turn.state.phase != "done":
        said = ears.listen()
        warming.join()
        if said is None:
            face.notice(GOODBYE)
            log.end("input ended")
            return Ended("input ended", turn)
        turn = step(turn.state, said)
        log.turn(said_to_json(said, turn.record.get("event", "")), turn.record, replies_to_json(turn.replies))
        face.show(turn)
    why: Why = "finished" if turn.state.place >= len(turn.state.plan.tasks) else "stopped"
    log.end(why)
    return Ended(why, turn)

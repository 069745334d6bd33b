"""Replaying a session log through today's tutor: the same state, and any reply that would differ now."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import assert_never

from chattutor.common.exits import LogTrouble
from chattutor.session_logs.folder import session_files, sessions
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.saved import NotSaved, meant_by, plan_of, reply_records, task_of, utterance_of
from chattutor.session_logs.schema import TurnLine
from dialogue.turn_record import Answered, Given, Opened, Resumed, Said
from dialogue.tutor import begin, give, step
from dialogue.tutor.activities.balance_scene import as_it_stands
from dialogue.tutor.core.state import SCENE, Plan, State, Turn
from dialogue.tutor.session import question, respond
from dialogue.verbalising.replies import word
from dialogue.verbalising.sayings import Saying


@dataclass(frozen=True, slots=True)
class Replayed:
    """One turn of the log beside the same turn today. ``same`` compares what the learner was shown and told."""

    line: TurnLine
    turn: Turn

    @property
    def same(self) -> bool:
        """Whether today's tutor gives the very same replies."""
        return self.line.replies == reply_records(self.turn.replies)


def sittings(session: Session, folder: Path) -> list[Session]:
    """The sittings of one lesson, first to last, up to this one. Raises LogTrouble where one is missing."""
    chain = [session]
    while (header := chain[0].header) is not None and header.continues is not None:
        wanted = header.continues.id
        before = _called(wanted, session.path.parent) or _called(wanted, folder)
        if before is None or before in chain:
            raise LogTrouble(f"{session.path} continues an earlier session that is not in {folder}.")
        chain.insert(0, before)
    return chain


def _called(name: str, folder: Path) -> Session | None:
    """The session with this id in a folder: first looked for where its file's name says so, then in every file."""
    for path in session_files(folder):
        if path.stem.endswith(name) and (found := read_session(path)).header and found.header.id == name:
            return found
    return next((one for one in sessions(folder) if one.header and one.header.id == name), None)


def replay(session: Session, folder: Path) -> Iterator[Replayed]:
    """Every turn of the lesson from its beginning, earlier sittings included. Raises LogTrouble."""
    turn: Turn | None = None
    for sitting in sittings(session, folder):
        try:
            for line in sitting.turns:
                turn = begin(_plan(sitting)) if turn is None else following(turn.state, line)
                yield Replayed(line, turn)
        except NotSaved as error:
            raise LogTrouble(f"{sitting.path} cannot be replayed: {error}.") from error


def following(state: State, line: TurnLine) -> Turn:
    """The turn of this line, in the lesson as it stood before it. Raises NotSaved."""
    match line.record:
        case Answered():
            return answered(state, line.said or Said())
        case Given(given=task) as kept:  # as it was given then, whatever would be chosen today
            if state.phase != "between":
                raise NotSaved("an equation is given before the one before it is over")
            return give(state, None if task is None else task_of(task), kept)
        case Resumed() | Opened() as kept:  # the latter forged, in the middle of a lesson
            return resumed(state, kept)
    assert_never(line.record)


def answered(state: State, said: Said) -> Turn:
    """The turn again, from the acts that it was taken for then; from its words where those were not kept."""
    if said.acts is None:
        return step(state, utterance_of(said))
    return respond(state, utterance_of(said), meant_by(said, state.letter))


def resumed(state: State, record: Resumed | Opened) -> Turn:
    """The opening of a sitting that resumes a lesson: the line (or the balance) and the question in hand, nothing else
    changed; nothing between two equations, for the next one is given then, and nothing where it is over."""
    shown = as_it_stands(state.phase) if state.phase in SCENE else (Saying("line", {"line": state.equation}),)
    sayings = () if state.phase in {"between", "done"} else (*shown, question(state))
    return Turn(state, tuple(word(saying, state.plan.seed, state.plan.classroom) for saying in sayings), record)


def _plan(session: Session) -> Plan:
    if session.header is None:
        raise NotSaved("it has no header")
    return plan_of(session.header.plan)

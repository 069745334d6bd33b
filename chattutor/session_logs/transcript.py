"""A session log as text to be read: who said what, in order."""

from collections.abc import Iterator
from datetime import datetime

from chattutor.common.exits import plain
from chattutor.session_logs.reader import Session
from chattutor.session_logs.schema import TurnLine
from dialogue.turn_record import PlanRecord, ReplyRecord, Said

TUTOR, LEARNER = "Tutor:   ", "Learner: "
SILENCE, WITHHELD, NOT_HEARD = "(silence)", "(words not kept)", "(not heard)"
ENDINGS = {
    "finished": "(the lesson was finished)",
    "stopped": "(the learner stopped)",
    "input ended": "(the input ended)",
}
BROKEN_OFF = "(interrupted)"
ASK_AGAIN = "ask again"  # the doubt of a guess that the tutor did not even read back

shown = plain  # text of a log, fit for a terminal


def local(stamp: str) -> str:
    """A log's time (UTC) on the clock of this place, to the minute."""
    try:
        return datetime.fromisoformat(stamp).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError):
        return shown(stamp)


def transcript(session: Session) -> Iterator[str]:
    """The session, a line each, without line ends: heading, turns, how it ended, and what is wrong with the file."""
    yield from heading(session)
    for turn in session.turns:
        yield from said_and_replied(turn)
    if session.header is not None:
        why = session.end.why if session.end else ""
        yield ENDINGS.get(why, BROKEN_OFF if not why else f"({shown(why)})")
    for problem in session.problems:
        yield f"! {problem.sentence}"


def heading(session: Session) -> Iterator[str]:
    """Whose session, when, with which version and equations."""
    header = session.header
    if header is None:
        return
    marked = " (invented)" if header.settings.invented else ""
    marked += " (marked from paper)" if header.settings.paper else ""
    yield shown(f"Session of {local(header.created)}, learner {header.learner}{marked}")
    yield f"Equations: {'; '.join(equations(header.plan))}"
    if header.continues:
        yield shown(f"Continues session {header.continues.id}.")
    yield ""


def equations(plan: PlanRecord) -> list[str]:
    """The equations of a plan, fit for a terminal."""
    return [shown(task.equation) for task in plan.tasks]


def learner_words(said: Said) -> str:
    """What was said, as it can be shown; what hardly was heard is nobody's words."""
    if said.withheld:
        return WITHHELD
    return NOT_HEARD if said.doubt == ASK_AGAIN else shown(said.text or SILENCE)


def kept_words(said: Said | None) -> str:
    """The learner's words for other programs: none where they were withheld or hardly heard."""
    return "" if said is None or said.withheld or said.doubt == ASK_AGAIN else said.text


def said_and_replied(turn: TurnLine) -> Iterator[str]:
    """One turn: what the learner said, then the tutor's replies."""
    if turn.said is not None:
        how = " (spoken)" if turn.said.channel == "spoken" else ""
        yield f"{LEARNER}{learner_words(turn.said)}{how}"
    for reply in turn.replies:
        yield reply_text(reply)


def reply_text(reply: ReplyRecord) -> str:
    """One reply; a picture is begun on a line of its own, and its lines stay lines."""
    lines = [shown(line) for line in reply.text.split("\n")]
    return f"{TUTOR}{lines[0]}" if len(lines) == 1 else "\n".join([TUTOR.rstrip(), *lines])

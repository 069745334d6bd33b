"""A lesson that is killed: begun as a process, answered as a learner would, killed, and its log looked over.

The lesson is a real ``chattutor lesson`` with pipes on every side: either started as a person's shell would start it,
or forked from this process, which has everything loaded already, so that thousands can be killed in minutes.
"""

import os
import select
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from chattutor.cli import main
from chattutor.lesson.session_loop import GOODBYE
from chattutor.lesson.voice.by_voice import LEARNING as LEARNING_ON
from chattutor.lesson.voice.by_voice import LEARNT, NO_EARS, NO_VOICE
from chattutor.session_logs.folder import sessions
from chattutor.session_logs.reader import Session
from chattutor.session_logs.replay import following
from chattutor.session_logs.saved import plan_of, reply_records
from dialogue.algebra.solver import in_words, next_step
from dialogue.algebra.writing import write
from dialogue.tutor import State, Turn, begin
from dialogue.tutor.core.questions import due_value

PROGRAM = (sys.executable, "-m", "chattutor")
NOTICES = (GOODBYE, LEARNT, *(text.partition("{")[0] for text in (NO_EARS, NO_VOICE, LEARNING_ON)))  # amid a lesson
WAIT = 180.0  # seconds after which a lesson that says nothing hangs


class Lesson:
    """A running lesson. ``shown`` is all it has written to its standard output, ``said`` all that was sent to it."""

    def __init__(self, pid: int, given: int, out: int) -> None:
        self.pid, self._given, self.out = pid, given, out
        self.shown = b""
        self.said: list[str] = []
        self.over = False
        self.status: int | None = None  # its exit code, or minus the signal that ended it

    def say(self, *texts: str) -> None:
        """Send lines; a lesson that has ended takes none."""
        self.said += texts
        try:
            os.write(self._given, "".join(f"{text}\n" for text in texts).encode())
        except BrokenPipeError:
            return

    def press_enter(self) -> None:
        """Send an empty line, which by voice only stops the tutor's voice."""
        os.write(self._given, b"\n")

    def wait_for(self, enough: Callable[[bytes], bool], seconds: float = WAIT) -> bool:
        """Read until there is enough; False where it ended first. Raises TimeoutError."""
        until = time.monotonic() + seconds
        while not enough(self.shown):
            ready, _, _ = select.select([self.out], [], [], max(0.0, until - time.monotonic()))
            if not ready:
                raise TimeoutError(f"nothing for {seconds:.0f} s after {self.shown[-300:].decode()!r}")
            piece = os.read(self.out, 65_536)
            if not piece:
                return enough(self.shown)
            self.shown += piece
        return True

    def read_for(self, seconds: float) -> None:
        """Read whatever comes in so long."""
        until = time.monotonic() + seconds
        while select.select([self.out], [], [], max(0.0, until - time.monotonic()))[0]:
            piece = os.read(self.out, 65_536)
            if not piece:
                self.over = True
                return
            self.shown += piece

    def wait_while(self, true: Callable[[], bool], seconds: float = WAIT) -> None:
        """Read until something is no longer true, looking ten times a second. Raises TimeoutError."""
        until = time.monotonic() + seconds
        while not self.over and true():
            if time.monotonic() > until:
                raise TimeoutError(f"waited {seconds:.0f} s after {self.shown[-300:].decode()!r}")
            self.read_for(0.1)

    def end(self, how: int | None = signal.SIGKILL) -> int:
        """Send a signal (None: only the end of input), read what is left, and give the exit status."""
        if how is not None:
            os.kill(self.pid, how)
        os.close(self._given)  # not before, or it might end by itself
        while piece := os.read(self.out, 65_536):
            self.shown += piece
        os.close(self.out)
        self.status = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        return self.status


def forked(words: Sequence[str], before: Callable[[], None] | None = None, errors: int = 2) -> Lesson:
    """A lesson in a copy of this process; ``before`` is done in it first, to make its world a worse one. ``errors``: a
    file that takes its standard error."""
    given, take, out, put = *os.pipe()[::-1], *os.pipe()
    sys.stdout.flush()
    pid = os.fork()
    if pid == 0:
        for have, want in ((take, 0), (put, 1), (errors, 2)):
            os.dup2(have, want)
        os.closerange(3, 64)
        sys.stdin, sys.stdout, sys.stderr = open(0), open(1, "w"), open(2, "w", buffering=1)  # noqa: SIM115
        if before is not None:
            before()
        _run(words)
    os.close(take)
    os.close(put)
    return Lesson(pid, given, out)


def _run(words: Sequence[str]) -> None:
    code = 70
    try:
        code = main(["lesson", *words])
        sys.stdout.flush()
    except BaseException:  # told, since this process ends here without anybody above it
        traceback.print_exc()
    os._exit(code)  # nothing of the process this is a copy of may be cleared away here


def started(words: Sequence[str], more: Mapping[str, str] | None = None, errors: int | None = None) -> Lesson:
    """A lesson started as a shell would."""
    given, take, out, put = *os.pipe()[::-1], *os.pipe()
    process = subprocess.Popen(
        [*PROGRAM, "lesson", *words], stdin=take, stdout=put, stderr=errors, env={**os.environ, **(more or {})}
    )
    os.close(take)
    os.close(put)
    lesson = Lesson(process.pid, given, out)
    process.returncode = 0  # it is waited for here, not there
    return lesson


def answer(state: State, random: Random, serial: int) -> str:
    """What a learner might say now: mostly right, else wrong, a request, or something that is nothing."""
    due, following, chance = due_value(state), next_step(state.equation), random.random()
    if chance < 0.6 and due is not None:
        return write(due)
    if chance < 0.6 and following is not None:
        return in_words(following).rstrip(".")
    if chance < 0.75:
        return str(1000 + serial)
    return random.choice(("hint", "repeat", "why", "undo", f"hm {serial}", "where am I", "I don't know", "x = 0"))


@dataclass
class Findings:
    """What was looked at, and everything that was not as it must be."""

    counts: dict[str, int] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)

    def count(self, what: str, number: int = 1) -> None:
        """Count something."""
        self.counts[what] = self.counts.get(what, 0) + number

    def must(self, true: object, what: str) -> None:
        """Record what must be and is not."""
        self.count("checks")
        if not true:
            self.wrong.append(what)


def latest(folder: Path, learner: str, known: set[str]) -> Session | None:
    """The sitting of the learner that is not known yet; one whose header was not written does not count."""
    if not (folder / learner).is_dir():
        return None
    new = [one for one in sessions(folder / learner) if one.header is not None and one.header.id not in known]
    return new[0] if new else None


def follow(session: Session, before: Turn | None, found: Findings) -> Turn | None:
    """The turn the log ends in, worked out anew from the one the sitting went on from; every line compared."""
    turn = before
    for line in session.turns:
        if turn is not None:
            turn = following(turn.state, line)
        elif session.header is not None and session.header.continues is None:
            turn = begin(plan_of(session.header.plan))
        same = turn is not None and reply_records(turn.replies) == line.replies
        found.must(same, f"{session.path} turn {line.number}: the replies are not those of the state resumed")
    return turn


def look(session: Session | None, lesson: Lesson, before: Turn | None, found: Findings) -> Turn | None:
    """Check a sitting that has ended against what was shown and said; the turn that its log ends in."""
    shown = lesson.shown.decode("utf-8", "replace").split("\n")
    if session is None:
        found.must(not any(line.endswith("?") for line in shown), f"no log, but a question was shown: {shown[-3:]}")
        return before
    where = str(session.path)
    kinds = {problem.kind for problem in session.problems}
    found.must(kinds <= {"torn"}, f"{where}: {kinds}")
    found.count("half a line left, its reply not shown", "torn" in kinds)
    texts = [line.said.text for line in session.turns if line.said and line.said.channel == "typed"]
    found.must(texts == lesson.said[: len(texts)], f"{where}: logged {texts}, said {lesson.said}")
    found.must([line.number for line in session.turns] == list(range(len(session.turns))), f"{where}: numbers")
    logged = [text for line in session.turns for reply in line.replies for text in reply.text.split("\n")]
    _shown_is_logged([line for line in shown if not line.startswith(NOTICES)], logged, where, found)
    found.count("answers logged", len(texts))
    return follow(session, before, found)


def _shown_is_logged(shown: list[str], logged: list[str], where: str, found: Findings) -> None:
    """Every line shown after the notices is logged, in order, none twice; what was shown last may be half a line."""
    whole, rest = shown[:-1], shown[-1]
    starts = next((at for at, line in enumerate(whole) if logged and line == logged[0]), len(whole))
    lines = whole[starts:]
    found.count("lines shown", len(lines))
    found.must(lines == logged[: len(lines)], f"{where}: shown {lines}, logged {logged}")
    following = logged[len(lines)] if len(lines) < len(logged) else ""
    found.must(following.startswith(rest), f"{where}: shown {rest!r}, logged {following!r}")
    question = any(line.endswith("?") for line in whole[:starts])
    found.must(not question or not logged, f"{where}: a question was shown that is not logged: {whole[:starts]}")

"""The lessons that this server holds: one a learner, opened from the log where one was broken off.

A browser says what the learner said *at* which turn of which lesson. What arrives twice (after a cut, a restart, from a
second window) is taken once, and what arrives too late is never taken for an answer to another question.
"""

import argparse
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Literal, TypeAlias

from chattutor.lesson.session_loop import Conversation
from chattutor.lesson.session_setup import log_for, opened_lesson, plan_asked_for
from chattutor.session_logs.folder import unfinished
from chattutor.session_logs.reader import Session
from chattutor.session_logs.replay import sittings
from chattutor.session_logs.saved import said_record, utterance_of
from chattutor.session_logs.writer import SessionLog
from dialogue.turn_record import Answered
from dialogue.tutor.core.state import Turn, Utterance

InputOutcome: TypeAlias = Literal["taken", "moved on"]
UNDO = Utterance("undo")


class Notices:
    """A face that only keeps what it is told, and a source from which nothing comes."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Keep it."""
        self.told.append(text)

    def show(self, turn: Turn) -> None:
        """Nothing: the page is drawn from the lesson."""

    def listen(self) -> Utterance | None:
        """Nothing is asked before the lesson."""
        return None


class OpenLesson:
    """A lesson that is being held. Use one thread at a time, through ``lock``."""

    def __init__(self, code: str, root: str, conversation: Conversation, log: SessionLog, told: list[str]) -> None:
        self.code, self.root, self.notices = code, root, told
        self.lock = threading.Lock()
        self.shown: list[Turn] = []  # the turns since the learner last said something
        self.said: Utterance | None = None
        self.withheld = False
        self.touched = self.grew = time.monotonic()  # when it was last used, and when a line was last added
        self.asked: float | None = None  # when the learner asked for a person
        self._conversation, self._log = conversation, log

    @property
    def turn(self) -> Turn:
        """The last turn."""
        return self._conversation.turn

    @property
    def over(self) -> bool:
        """Whether it has ended."""
        return self._conversation.over

    def begin(self) -> None:
        """The opening, logged. Raises LogTrouble."""
        self.shown = list(self._conversation.begin())

    def say(self, said: Utterance, at: int, root: str, instead: bool = False) -> InputOutcome:
        """Take what was said at that turn; once this returns it is on the disk. Raises LogTrouble.

        ``instead`` takes back first what the last thing said had changed.
        """
        with self.lock:
            self.touched = time.monotonic()
            if root != self.root or at != self.turn.state.turn or self.over:
                return "moved on"
            if instead and self._changed():
                self._take(UNDO)
            self._take(said)
            self.notices = []
            return "taken"

    def _take(self, said: Utterance) -> None:
        before = (self.turn.state.place, len(self.turn.state.board))
        shown = []
        for turn in self._conversation.take(said):
            shown.append(turn)
            if turn is shown[0]:  # it is on the disk: whatever follows, this was said
                self.said, self.withheld, self.shown = said, said_record(said, turn).withheld, shown

        if (self.turn.state.place, len(self.turn.state.board)) > before:
            self.grew = time.monotonic()

    def _changed(self) -> bool:
        """Whether the last thing said changed the working of the equation in hand."""
        last = self.shown[0].record if self.shown else None
        if self.said is None or not isinstance(last, Answered):
            return False
        return (last.phase != last.next or last.board is not None) and last.task == self.turn.state.place

    def ask(self) -> None:
        """A person is asked for, or no more. Nothing of it is logged."""
        self.asked = None if self.asked is not None else time.monotonic()

    def close(self) -> None:
        """Let it go; it can be resumed."""
        with self.lock:
            self._log.close()


class OpenLessons:
    """Every lesson of this server, by learner code. ``options`` are those of ``chattutor lesson``."""

    def __init__(self, options: argparse.Namespace, folder: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._options, self._folder, self._clock = options, folder, clock
        self._lessons: dict[str, OpenLesson] = {}
        self._opening: dict[str, threading.Lock] = {}
        self._lock = threading.Lock()

    def of(self, code: str, words: str = "") -> OpenLesson:
        """The learner's lesson: the one that is open, or was broken off, or else a new one, in these ``words``.

        Raises LogTrouble and PlanTrouble.
        """
        with self._lock:
            alone = self._opening.setdefault(code, threading.Lock())
        with alone:
            found = self._lessons.get(code)
            if found is None:
                found = self._lessons[code] = self._opened(code, words, new=False)
            return found

    def again(self, code: str, words: str = "") -> OpenLesson:
        """A new lesson, in place of the one that is open. Raises LogTrouble and PlanTrouble."""
        with self._lock:
            alone = self._opening.setdefault(code, threading.Lock())
        with alone:
            if (before := self._lessons.pop(code, None)) is not None:
                before.close()
            found = self._lessons[code] = self._opened(code, words, new=True)
            return found

    def open_now(self) -> list[OpenLesson]:
        """The lessons that are open, in order of code."""
        return [self._lessons[code] for code in sorted(self._lessons)]

    def let_go(self, idle: float, in_use: Callable[[str], bool] = lambda code: False) -> None:
        """Let go of lessons that nobody has looked at for so many seconds; they can be resumed."""
        for code, lesson in list(self._lessons.items()):
            if self._clock() - lesson.touched >= idle and not in_use(code):
                self._lessons.pop(code, None)
                lesson.close()

    def _opened(self, code: str, words: str, new: bool) -> OpenLesson:
        before = None if new else unfinished(self._folder, code)
        options = argparse.Namespace(**vars(self._options))
        options.learner, options.new, options.go_on = code, new, before is not None
        options.classroom = words or options.classroom
        face = Notices()
        opening, header, chooser = opened_lesson(options, self._folder, code, plan_asked_for(options, code), face, face)
        log = log_for(self._folder, header)
        conversation = Conversation(opening, log, chooser)
        chain = sittings(before, self._folder) if header.continues is not None and before is not None else []
        first = chain[0].header if chain else None
        lesson = OpenLesson(code, first.id if first is not None else header.id, conversation, log, face.told)
        lesson.said, lesson.withheld = _last_said(chain)
        try:
            lesson.begin()
        except BaseException:
            log.close()
            raise
        return lesson


def _last_said(chain: list[Session]) -> tuple[Utterance | None, bool]:
    """What was said last before the lesson was broken off, and whether its words were withheld."""
    for line in (line for session in reversed(chain) for line in reversed(session.turns)):
        if line.said is not None:
            return utterance_of(line.said), line.said.withheld
    return None, False

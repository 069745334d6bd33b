"""What the parts of the server share: the lessons, who may do what, how much, and who is listening."""

import argparse
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol
from urllib.parse import parse_qsl

from starlette.requests import HTTPConnection, Request

from chattutor.page.classroom import Classroom
from chattutor.page.open_lessons import OpenLesson, OpenLessons
from chattutor.page.request_guard import Rates, origin_of
from chattutor.page.subscribers import Subscribers
from chattutor.page.tokens import Role, Tokens, Visitor

if TYPE_CHECKING:  # numpy comes with it
    from chattutor.page.shared_hearing import SharedHearing

COOKIES: dict[Role, str] = {"here": "tutor-here", "learner": "tutor-learner", "teacher": "tutor-teacher"}
WORDS_COOKIE = "tutor-words"
CLASSROOMS = {
    "british": "brackets, times, quarters",
    "american": "parentheses, multiplied by, fourths",
}
KEY_SIZE = 18  # bytes of chance in an address that opens the page: more than can be tried
SAY_BURST, SAY_RATE = 12, 3  # turns of one learner at once, and a second
LOOK_BURST, LOOK_RATE = 30, 10  # looks at what is being typed
MOST_FIELDS = 200


class Voice(Protocol):
    """The voice of a lesson, where the microphone is on."""

    def nudge(self) -> None:
        """Something was typed."""


@dataclass(slots=True)
class Service:
    """One server. ``keys`` are what the printed addresses hold: one opens lessons, one the teacher's pages."""

    options: argparse.Namespace
    folder: Path
    tokens: Tokens
    classroom: Classroom | None = None
    keys: dict[Role, str] = field(default_factory=lambda: {role: new_key() for role in ("here", "teacher")})
    lessons: OpenLessons = field(init=False)
    subscribers: Subscribers = field(default_factory=Subscribers)
    voices: dict[str, "Voice"] = field(default_factory=dict)
    hearing: "SharedHearing | None" = None
    turns: Rates = field(default_factory=lambda: Rates(SAY_BURST, SAY_RATE))
    looks: Rates = field(default_factory=lambda: Rates(LOOK_BURST, LOOK_RATE))

    def __post_init__(self) -> None:
        self.lessons = OpenLessons(self.options, self.folder)

    def visitor(self, connection: HTTPConnection, role: Role) -> Visitor | None:
        """Who is asking, if their cookie says that they have this role."""
        return self.tokens.read(connection.cookies.get(COOKIES[role], ""), role)

    def in_class(self, connection: HTTPConnection) -> bool:
        """Whether it came over the class's network, where there are learners alone."""
        return self.classroom is not None and origin_of(connection.scope) in self.classroom.origins

    def learner(self, connection: HTTPConnection) -> str | None:
        """The code of the learner who is asking."""
        visitor = self.visitor(connection, "learner")
        return visitor.code if visitor is not None and visitor.code else None

    def words(self, connection: HTTPConnection) -> str:
        """Whose words a lesson that begins now has: as chosen in this browser, or else, and in a class, as served."""
        chosen = connection.cookies.get(WORDS_COOKIE, "")
        usual: str = self.options.classroom
        return chosen if chosen in CLASSROOMS and not self.in_class(connection) else usual

    def opened(self, connection: HTTPConnection, code: str) -> OpenLesson:
        """The learner's lesson; takes a while where it is not open yet. Raises LogTrouble and PlanTrouble."""
        return self.lessons.of(code, self.words(connection))

    def changed(self, lesson: OpenLesson) -> None:
        """Tell every window of the learner that the lesson has moved on. Call it in the event loop."""
        self.subscribers.tell(lesson.code)

    def typed(self, lesson: OpenLesson) -> None:
        """The lesson has moved on by what was typed: its voice, if it has one, goes on from there."""
        self.changed(lesson)
        if (voice := self.voices.get(lesson.code)) is not None:
            voice.nudge()


def new_key() -> str:
    """Something that nobody guesses."""
    return secrets.token_urlsafe(KEY_SIZE)


async def fields(request: Request) -> dict[str, str]:
    """The fields of a form; of a field that comes twice the last."""
    body = (await request.body()).decode("utf-8", "replace")
    try:
        return dict(parse_qsl(body, keep_blank_values=True, max_num_fields=MOST_FIELDS))
    except ValueError:  # more fields than any of our forms has
        return {}

"""A class at work: who is on which equation, since when no line was added, who asked for a person; nothing more.

Nothing of it is kept. PINs and the join code are shown here too, on the teacher's own computer alone.
"""

import time
from html import escape

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.mathml import equation_math
from chattutor.page.class_filter import known_names
from chattutor.page.classroom import Classroom
from chattutor.page.markup import hidden
from chattutor.page.open_lessons import OpenLesson
from chattutor.page.server_state import CLASSROOMS, Service, fields
from chattutor.page.sign_in import WHOSE
from chattutor.page.teacher_frame import options, teacher_page
from chattutor.page.teacher_routes import for_teachers
from dialogue.tutor.core.state import SCENE

HERE = "/teacher/live"
ASKS = "asks for a person"
NOBODY = "<p>Nobody is working now.</p>"
HEADS = ("learner", "equation", "minutes on this line", "")


def live_routes(service: Service) -> list[Route]:
    """The routes."""

    async def show(request: Request) -> Response:
        rows = await run_in_threadpool(_rows, service)
        room = _joining(service.classroom) if service.classroom is not None else ""
        body = f"{room}<div id=rows aria-live=off>{rows}</div>{_words(service)}"
        return teacher_page("Now", HERE, body, "live.js")

    async def rows(request: Request) -> Response:
        return HTMLResponse(await run_in_threadpool(_rows, service))

    async def seen(request: Request) -> Response:
        code = (await fields(request)).get("learner", "")
        for lesson in service.lessons.open_now():
            if lesson.code == code and lesson.asked is not None:
                lesson.ask()
                service.changed(lesson)
        return RedirectResponse(HERE, 303)

    async def words(request: Request) -> Response:
        chosen = (await fields(request)).get("words", "")
        if chosen in CLASSROOMS:
            service.options.classroom = chosen
        return RedirectResponse(HERE, 303)

    async def pins(request: Request) -> Response:
        room = service.classroom
        if room is None:
            return RedirectResponse(HERE, 303)
        return await run_in_threadpool(_pins, room, request.query_params.get("code", "").strip())

    async def ask(request: Request) -> Response:
        """A learner asks for a person, or takes it back."""
        code = service.learner(request)
        if code is not None:
            lesson = await run_in_threadpool(service.lessons.of, code)
            lesson.ask()
            service.changed(lesson)
        return RedirectResponse("/lesson", 303)

    return [
        Route(HERE, for_teachers(service, show)),
        Route(f"{HERE}/rows", for_teachers(service, rows)),
        Route(f"{HERE}/seen", for_teachers(service, seen), methods=["POST"]),
        Route(f"{HERE}/words", for_teachers(service, words), methods=["POST"]),
        Route(f"{HERE}/pins", for_teachers(service, pins)),
        Route("/lesson/ask", ask, methods=["POST"]),
    ]


def _joining(room: Classroom) -> str:
    at = " or ".join(escape(origin) for origin in sorted(room.origins))
    return (
        f"<p class=join>Address: <b>{at}</b> Join code: <b>{room.join}</b></p>"
        f'<p><a href="{HERE}/pins">PINs to hand out</a></p>'
    )


def _words(service: Service) -> str:
    return (
        f"<form class=filters method=post action={HERE}/words><label>The tutor's words in lessons that begin now "
        f"<select name=words>{options(WHOSE, service.options.classroom)}</select></label>"
        "<button>Save</button></form>"
    )


def _rows(service: Service) -> str:
    """The list as HTML: those who ask for a person first, then by code."""
    known = known_names(service)
    now = time.monotonic()
    lessons = [lesson for lesson in service.lessons.open_now() if service.subscribers.watched(lesson.code)]
    lessons.sort(key=lambda lesson: (lesson.asked is None, lesson.asked or 0.0, lesson.code))
    if not lessons:
        return NOBODY
    head = "".join(f"<th scope=col>{each}</th>" for each in HEADS)
    rows = "".join(_row(lesson, known, now) for lesson in lessons)
    return f"<table class=live><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _row(lesson: OpenLesson, known: dict[str, str], now: float) -> str:
    state, code = lesson.turn.state, lesson.code
    name = f"{known[code]} ({code})" if code in known else code
    if lesson.over:
        where, since = "the lesson is over", ""
    else:
        line = "the balance" if state.phase in SCENE else equation_math(state.equation)
        where, since = f"{line} <span class=small>({state.place + 1})</span>", str(int((now - lesson.grew) // 60))
    asks, done = "", ""
    if lesson.asked is not None:
        asks, name = " class=asks", f"{ASKS}: {name}"
        done = f"<form method=post action={HERE}/seen>{hidden(learner=code)}<button>Seen to</button></form>"
    return f"<tr{asks}><th scope=row>{escape(name)}</th><td>{where}</td>{_cell(since)}<td>{done}</td></tr>"


def _cell(minutes: str) -> str:
    """On a small window the heads are away, and the cell has its own."""
    return f'<td data-head="{HEADS[2]}">{minutes}</td>' if minutes else "<td></td>"


def _pins(room: Classroom, asked: str) -> Response:
    """PINs of the class lists, or of one code. Raises LogTrouble."""
    listed = room.listed() or ({asked: ""} if asked else {})
    rows = "".join(
        f"<tr><th scope=row>{escape(name)}</th><td>{escape(code)}</td><td>{room.pin(code)}</td></tr>"
        for code, name in sorted(listed.items(), key=lambda each: each[1])
    )
    form = (
        ""
        if room.keys
        else f"<form class=filters action={HERE}/pins>"
        "<label>Learner code <input name=code maxlength=32 required></label>"
        "<button>Show the PIN</button></form>"
    )
    head = "".join(f"<th scope=col>{each}</th>" for each in ("name", "code", "PIN"))
    table = f"<table class=live><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return teacher_page("PINs", HERE, form + (table if rows else ""))

"""The teacher's pages of a class and of a learner: what ``chattutor review`` shows; notes and judgements by clicking.

Names come from key files given to the command; they are shown, and stand in no address and in no log.
"""

import re
from collections.abc import Awaitable, Callable
from datetime import date
from html import escape
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.exits import CannotGoOn
from chattutor.exchange.name_list import names_in
from chattutor.exchange.roster import with_names
from chattutor.page.entrance import let_in, opens
from chattutor.page.markup import hidden, message
from chattutor.page.reviewing import Wanted, reviewed
from chattutor.page.service import COOKIES, Service, fields
from chattutor.page.teacher_frame import framed, options, teacher_page
from chattutor.page.tokens import Visitor
from chattutor.review.html import class_html
from chattutor.review.learner_html import learner_html
from chattutor.review.learner_page import learner_page
from chattutor.session_logs.folder import sessions
from chattutor.session_logs.learner import learner_code
from chattutor.session_logs.notes import WORDS, add_note, add_override, marked, read_notes
from chattutor.session_logs.spreadsheet import class_csv
from dialogue.algebra.misconceptions import error_table

STRANGER, NOT_LET_IN = "For teachers", "Open the teacher's address from the window where chattutor runs."
TROUBLE = "That could not be done"
NO_LESSONS = "There are no lessons of these days yet."
DAY = re.compile(r"\d{4}-\d\d-\d\d")
JUDGEMENTS = {"right": "it was right", "wrong": "it was wrong", "withdraw": "as the tutor judged it"}
Handler = Callable[[Request], Awaitable[Response]]


def for_teachers(service: Service, handler: Handler) -> Handler:
    """The same, for a teacher alone; a sentence for the person stands on a page."""

    async def guarded(request: Request) -> Response:
        if service.visitor(request, "teacher") is None or service.in_class(request):
            return HTMLResponse(message(STRANGER, NOT_LET_IN), 403)
        try:
            return await handler(request)
        except CannotGoOn as trouble:
            return HTMLResponse(message(TROUBLE, trouble.sentence, "Back", "/teacher"), 422)

    return guarded


def teacher_routes(service: Service) -> list[Route]:
    """The routes."""

    async def start(request: Request) -> Response:
        if opens(service, request, "teacher") and not service.in_class(request):
            return let_in(service, request, Visitor("teacher"), "/teacher")
        return await for_teachers(service, show_class)(request)

    async def show_class(request: Request) -> Response:
        if not service.folder.is_dir():
            return teacher_page("Class", "/teacher", f"<p>{NO_LESSONS}</p>")
        wanted, chosen = _wanted(service, request)
        page = await run_in_threadpool(reviewed, service.folder, wanted)
        codes = [row["code"] for row in page["learners"]]
        known = await run_in_threadpool(known_names, service)
        above = _filters(service, wanted, chosen) + _learners(codes, known)
        return framed(class_html(with_names(page, known)), "/teacher", above)

    async def table(request: Request) -> Response:
        page = await run_in_threadpool(reviewed, service.folder, _wanted(service, request)[0])
        answer = Response(
            class_csv(with_names(page, await run_in_threadpool(known_names, service))), media_type="text/csv"
        )
        answer.headers["Content-Disposition"] = 'attachment; filename="class.csv"'
        return answer

    async def learner(request: Request) -> Response:
        return await run_in_threadpool(_learner, service, request.path_params["code"])

    async def note(request: Request) -> Response:
        form = await fields(request)
        code = learner_code(form.get("learner", ""))
        await run_in_threadpool(add_note, service.folder, code, form.get("text", ""))
        return RedirectResponse(f"/teacher/learner/{code}", 303)

    async def override(request: Request) -> Response:
        code = await run_in_threadpool(_override, service, await fields(request))
        return RedirectResponse(f"/teacher/learner/{code}", 303)

    async def leave(request: Request) -> Response:
        answer = RedirectResponse("/", 303)
        answer.delete_cookie(COOKIES["teacher"], httponly=True, samesite="strict")
        return answer

    return [
        Route("/teacher", start),
        Route("/teacher/class.csv", for_teachers(service, table)),
        Route("/teacher/learner/{code}", for_teachers(service, learner)),
        Route("/teacher/note", for_teachers(service, note), methods=["POST"]),
        Route("/teacher/override", for_teachers(service, override), methods=["POST"]),
        Route("/teacher/leave", leave, methods=["POST"]),
    ]


def _wanted(service: Service, request: Request) -> tuple[Wanted, str]:
    """What the address asks for, and the number of the class in it. What is no day is no bound."""
    asked = request.query_params
    since, until = (day if DAY.fullmatch(day := asked.get(name, "")) else "" for name in ("since", "until"))
    chosen = asked.get("class", "")
    place = int(chosen) if chosen.isascii() and chosen.isdigit() and len(chosen) < 4 else -1
    if not 0 <= place < len(service.options.key):
        return Wanted(None, since, until), ""
    return Wanted(tuple(names_in(service.options.key[place]).names), since, until), chosen


def known_names(service: Service) -> dict[str, str]:
    """Code to name, from every key."""
    return {code: name for key in service.options.key for code, name in names_in(key).names.items()}


def _filters(service: Service, wanted: Wanted, chosen: str) -> str:
    classes = [("", "everybody"), *((str(place), key.stem) for place, key in enumerate(service.options.key))]
    which = f"<label>Class <select name=class>{options(classes, chosen)}</select></label>" if len(classes) > 1 else ""
    today = date.today().isoformat()
    asked = f"class={chosen}&amp;since={wanted.since}&amp;until={wanted.until}"
    return (
        f"<form class=filters action=/teacher>{which}"
        f'<label>From <input type=date name=since value="{wanted.since}" max="{today}"></label>'
        f'<label>To <input type=date name=until value="{wanted.until}" max="{today}"></label>'
        f'<button>Show</button> <a href="/teacher/class.csv?{asked}">Save as a table (CSV)</a></form>'
    )


def _learners(codes: list[str], known: dict[str, str]) -> str:
    """A way to each learner's page."""
    if not codes:
        return f"<p>{NO_LESSONS}</p>"
    links = "".join(
        f'<li><a href="/teacher/learner/{escape(code)}">{escape(f"{known[code]} ({code})" if code in known else code)}'
        "</a></li>"
        for code in codes
    )
    return f"<details><summary>One learner</summary><ul class=learners>{links}</ul></details>"


def _learner(service: Service, asked: str) -> Response:
    code = learner_code(asked)
    found = list(marked(service.folder, sessions(service.folder, code)))
    if not found:
        raise CannotGoOn(f"There is no session of learner {code}.")
    page = learner_page(code, found, read_notes(service.folder, code))
    ids = [session["id"] for session in page["sessions"]]
    return framed(
        learner_html(with_names(page, known_names(service))),
        "/teacher",
        _note(code) + _judging(code, ids),
        "teacher.js",
    )


def _note(code: str) -> str:
    return (
        f"<form class=filters method=post action=/teacher/note>{hidden(learner=code)}"
        "<label>A note <input name=text maxlength=2000 required autocomplete=off></label>"
        "<button>Keep it</button></form>"
    )


def _judging(code: str, ids: list[str]) -> str:
    """A form that a script fills in where a turn is clicked."""
    choices = [(word, JUDGEMENTS[word]) for word in WORDS] + [(key, row.name) for key, row in error_table().items()]
    listed = [(name, f"lesson {place}") for place, name in enumerate(ids, 1)]
    return (
        f"<form class=filters id=judge method=post action=/teacher/override>{hidden(learner=code)}"
        f"<label>Judge a turn otherwise: <select name=session>{options(listed, ids[-1])}</select></label>"
        "<label>turn <input name=turn inputmode=numeric size=4 required></label>"
        f"<label><select name=judgement aria-label='as'>{options(choices, 'right')}</select></label>"
        "<button>Keep it</button></form>"
    )


def _override(service: Service, form: dict[str, Any]) -> str:
    code, turn = learner_code(form.get("learner", "")), form.get("turn", "")
    if not (turn.isascii() and turn.isdecimal() and len(turn) < 9):
        raise CannotGoOn(f"{turn!r} is no number of a turn.")
    name = form.get("session", "")
    found = next((each for each in sessions(service.folder, code) if each.header and each.header.id == name), None)
    if found is None:
        raise CannotGoOn(f"There is no such session of learner {code}.")
    add_override(service.folder, found, int(turn), form.get("judgement", ""))
    return code

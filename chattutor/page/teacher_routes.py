"""The teacher's pages of a class and of a learner: what ``chattutor review`` shows, and a teacher's word."""

import re
import tempfile
from collections.abc import Awaitable, Callable
from html import escape
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.exits import FINE, CannotGoOn
from chattutor.exchange.name_list import names_in
from chattutor.exchange.roster import with_names
from chattutor.page.class_filter import address, filters, known_names, wanted
from chattutor.page.markup import hidden, message
from chattutor.page.own_command import own_command
from chattutor.page.reviewing import Wanted, reviewed
from chattutor.page.server_state import COOKIES, Service, fields
from chattutor.page.sign_in import let_in, opens
from chattutor.page.teacher_frame import framed, options, teacher_page
from chattutor.page.tokens import Visitor
from chattutor.review.class_reading import without_lesson
from chattutor.review.html import class_html
from chattutor.review.learner_html import learner_html
from chattutor.review.learner_page import learner_page
from chattutor.session_logs.folder import check_folder
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.notes import JUDGEMENT_WORDS, add_belongs, add_note, add_override, read_notes, sessions_of
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.spreadsheet import class_csv
from chattutor.session_logs.times import Days
from dialogue.algebra.misconceptions import error_table

NAMED = re.compile(r"(<b class=working>|<th scope=row>)([^<]+)(</b>|</th>)")
STRANGER, NOT_LET_IN = "For teachers", "Open the teacher's address from the window where chattutor runs."
KEEP = "Add a note, change a judgement, say whose lesson it is"
TROUBLE = "That could not be done"
NO_LESSONS = "There are no lessons on these days yet."
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
        asked, chosen = wanted(service, request.query_params)
        page = await run_in_threadpool(reviewed, service.folder, asked)
        codes = [row["code"] for row in page["learners"]]
        known = await run_in_threadpool(known_names, service)
        listed = known if asked.codes is None else asked.codes
        page["no_lesson"] = without_lesson(service.folder, set(codes), listed, Days(asked.since, asked.until))
        above = (
            f"<form class=filters action=/teacher>{filters(service, asked, chosen)}<button>Show</button> "
            f'<a href="{address("/teacher/class.csv", asked, chosen)}">Save as a table (CSV)</a></form>'
        ) + _learners(codes, known)
        return framed(_with_ways(class_html(with_names(page, known)), codes, known), "/teacher", above)

    async def table(request: Request) -> Response:
        page = await run_in_threadpool(reviewed, service.folder, wanted(service, request.query_params)[0])
        answer = Response(
            class_csv(with_names(page, await run_in_threadpool(known_names, service))), media_type="text/csv"
        )
        answer.headers["Content-Disposition"] = 'attachment; filename="class.csv"'
        return answer

    async def learner(request: Request) -> Response:
        asked = wanted(service, request.query_params)[0]
        return await run_in_threadpool(_learner, service, request.path_params["code"], asked)

    async def parent(request: Request) -> Response:
        return await run_in_threadpool(_parent, service, learner_code(request.path_params["code"]))

    async def note(request: Request) -> Response:
        form = await fields(request)
        code = learner_code(form.get("learner", ""))
        await run_in_threadpool(add_note, service.folder, code, form.get("text", ""))
        return RedirectResponse(f"/teacher/learner/{code}", 303)

    async def override(request: Request) -> Response:
        code = await run_in_threadpool(_override, service, await fields(request))
        return RedirectResponse(f"/teacher/learner/{code}", 303)

    async def belongs(request: Request) -> Response:
        form = await fields(request)
        code = learner_code(form.get("learner", ""))
        found = _session(service, code, form.get("session", ""))
        await run_in_threadpool(add_belongs, service.folder, found, form.get("whose", "").strip())
        return RedirectResponse("/teacher", 303)

    async def leave(request: Request) -> Response:
        answer = RedirectResponse("/", 303)
        answer.delete_cookie(COOKIES["teacher"], httponly=True, samesite="strict")
        return answer

    return [
        Route("/teacher", start),
        Route("/teacher/class.csv", for_teachers(service, table)),
        Route("/teacher/learner/{code}", for_teachers(service, learner)),
        Route("/teacher/learner/{code}/parent", for_teachers(service, parent)),
        Route("/teacher/belongs", for_teachers(service, belongs), methods=["POST"]),
        Route("/teacher/note", for_teachers(service, note), methods=["POST"]),
        Route("/teacher/override", for_teachers(service, override), methods=["POST"]),
        Route("/teacher/leave", leave, methods=["POST"]),
    ]


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


def _with_ways(document: str, codes: list[str], known: dict[str, str]) -> str:
    """The class page with each learner's name as the way to their own."""
    ways = {escape(f"{known[code]} ({code})" if code in known else code): code for code in codes}

    def way(found: re.Match[str]) -> str:
        code = ways.get(found[2])
        return found[0] if code is None else f'{found[1]}<a href="/teacher/learner/{code}">{found[2]}</a>{found[3]}'

    return NAMED.sub(way, document)


def _parent(service: Service, code: str) -> Response:
    """The half page in plain words, as ``review --parent`` writes it. Raises CannotGoOn."""
    keys = [f"--key={key}" for key in service.options.key if code in names_in(key).names]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "parent.html"
        words = ("review", f"--learner={code}", "--parent", f"--html={path}", *keys[:1], "--", str(service.folder))
        done = own_command(*words)
        if done.code != FINE:
            raise CannotGoOn(done.told)
        return framed(path.read_text("utf-8"), "/teacher", f'<a href="/teacher/learner/{code}">Back to {code}</a>')


def _learner(service: Service, asked: str, of: Wanted) -> Response:
    code = learner_code(asked)
    days = Days(of.since, of.until)
    check_folder(service.folder)
    every = sessions_of(service.folder, code)
    found = [each for each in every if each.header is not None and days.hold(each.header.created)]
    if not found:
        raise CannotGoOn(f"There is no session of learner {code}{' on these days' if any(days) else ''}.")
    page = learner_page(code, found, read_notes(service.folder, code))
    ids = [session["id"] for session in page["sessions"]]
    kept = "".join((_note(code), _judging(code, ids), _whose(code, ids)))
    above = f"{_days_of(service, code, of)}<details id=keep><summary>{KEEP}</summary>{kept}</details>"
    return framed(learner_html(with_names(page, known_names(service))), "/teacher", above, "teacher.js")


def _days_of(service: Service, code: str, of: Wanted) -> str:
    return (
        f"<form class=filters action=/teacher/learner/{code}>{filters(service, of, '', classes=False)}"
        f'<button>Show</button> <a href="/teacher/learner/{code}/parent">Half a page for a parent</a></form>'
    )


def _whose(code: str, ids: list[str]) -> str:
    """A form for a lesson that somebody else had under this code."""
    listed = [(name, f"lesson {place}") for place, name in enumerate(ids, 1)]
    return (
        f"<form class=filters method=post action=/teacher/belongs>{hidden(learner=code)}"
        f"<label>Another learner's: <select name=session>{options(listed, ids[-1])}</select></label>"
        "<label>whose code is <input name=whose maxlength=32 required autocomplete=off></label>"
        "<button>Save</button></form>"
    )


def _note(code: str) -> str:
    return (
        f"<form class=filters method=post action=/teacher/note>{hidden(learner=code)}"
        "<label>A note <input name=text maxlength=2000 required autocomplete=off></label>"
        "<button>Save</button></form>"
    )


def _judging(code: str, ids: list[str]) -> str:
    """A form that a script fills in where a turn is clicked."""
    errors = [(key, row.name) for key, row in error_table().items()]
    choices = [(word, JUDGEMENTS[word]) for word in JUDGEMENT_WORDS] + errors
    listed = [(name, f"lesson {place}") for place, name in enumerate(ids, 1)]
    return (
        f"<form class=filters id=judge method=post action=/teacher/override>{hidden(learner=code)}"
        f"<label>Change how a turn is judged: <select name=session>{options(listed, ids[-1])}</select></label>"
        "<label>turn <input name=turn inputmode=numeric size=4 required></label>"
        f"<label><select name=judgement aria-label='as'>{options(choices, 'right')}</select></label>"
        "<button>Save</button></form>"
    )


def _override(service: Service, form: dict[str, Any]) -> str:
    code, turn = learner_code(form.get("learner", "")), form.get("turn", "")
    if not (turn.isascii() and turn.isdecimal() and len(turn) < 9):
        raise CannotGoOn(f"{turn!r} is not the number of a turn.")
    add_override(service.folder, _session(service, code, form.get("session", "")), int(turn), form.get("judgement", ""))
    return code


def _session(service: Service, code: str, name: str) -> Session:
    """A session on the learner's page, as its log has it. Raises CannotGoOn."""
    found = next((each for each in sessions_of(service.folder, code) if each.header and each.header.id == name), None)
    if found is None:
        raise CannotGoOn(f"There is no such session of learner {code}.")
    return read_session(found.path)  # of another code's too, where a teacher said whose it is

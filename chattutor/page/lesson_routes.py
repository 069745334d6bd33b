"""The lesson over plain HTTP: the page, and its form, which works without a script."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.exits import CannotGoOn
from chattutor.lesson.terminal_lines import cleaned
from chattutor.page.lesson_page import lesson_page
from chattutor.page.lesson_view import view
from chattutor.page.markup import message
from chattutor.page.open_lessons import OpenLesson
from chattutor.page.server_state import Service, fields
from dialogue.tutor.core.state import Utterance

MOVED_ON = "The lesson has moved on since. Is this still what you would say?"
TOO_FAST = "That was too quick. Wait a moment, then say it again."
NOTHING_SAID = "Type what you would do first."
NO_LESSON = "The lesson cannot go on"


def lesson_routes(service: Service) -> list[Route]:
    """The routes."""

    async def show(request: Request) -> Response:
        return await _shown(service, request)

    async def say(request: Request) -> Response:
        code = service.learner(request)
        if code is None:
            return RedirectResponse("/", 303)
        form = await fields(request)
        text = form.get("ready") or form.get("words", "")
        trouble = await _said(service, code, text, form)
        if trouble:
            return await _shown(service, request, form.get("words", ""), trouble)
        return RedirectResponse("/lesson", 303)

    async def new(request: Request) -> Response:
        code = service.learner(request)
        if code is None:
            return RedirectResponse("/", 303)
        try:
            lesson = await run_in_threadpool(service.lessons.again, code, service.words(request))
        except CannotGoOn as trouble:
            return HTMLResponse(message(NO_LESSON, trouble.sentence, "Try again", "/lesson"), 503)
        service.changed(lesson)
        return RedirectResponse("/lesson", 303)

    return [
        Route("/lesson", show),
        Route("/lesson/say", say, methods=["POST"]),
        Route("/lesson/new", new, methods=["POST"]),
    ]


async def _shown(service: Service, request: Request, draft: str = "", trouble: str = "") -> Response:
    code = service.learner(request)
    if code is None:
        return RedirectResponse("/", 303)
    try:
        lesson = await run_in_threadpool(service.opened, request, code)
    except CannotGoOn as error:
        return HTMLResponse(message(NO_LESSON, error.sentence, "Try again", "/lesson"), 503)
    return HTMLResponse(await run_in_threadpool(_drawn, lesson, draft, trouble, service.in_class(request)))


def _drawn(lesson: OpenLesson, draft: str, trouble: str, in_class: bool) -> str:
    with lesson.lock:
        found = view(lesson)
    return lesson_page(found, draft, trouble, in_class)


async def _said(service: Service, code: str, raw: str, form: dict[str, str]) -> str:
    """Take what was said; what is wrong with it, in words, or nothing."""
    text, at = cleaned(raw.encode("utf-8", "replace")), form.get("at", "")
    if not text:
        return NOTHING_SAID
    if not service.turns.allow(code):
        return TOO_FAST
    try:
        lesson = await run_in_threadpool(service.lessons.of, code)
        number = int(at) if at.isascii() and at.isdecimal() and len(at) < 9 else -1
        outcome = await run_in_threadpool(lesson.say, Utterance(text), number, form.get("lesson", ""))
    except CannotGoOn as trouble:
        return trouble.sentence
    service.typed(lesson)
    return "" if outcome == "taken" else MOVED_ON

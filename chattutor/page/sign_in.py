"""Coming in and going out: the address that the command printed, the learner's code, and leaving."""

import hmac
from html import escape

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.exits import LogTrouble
from chattutor.page.markup import message, page
from chattutor.page.server_state import CLASSROOMS, COOKIES, WORDS_COOKIE, Service, fields
from chattutor.page.teacher_frame import options
from chattutor.page.tokens import HOURS, Role, Visitor
from chattutor.session_logs.learner_code import learner_code

NOT_LET_IN = "Open this page from the address in the window where chattutor runs."
STRANGER = "This page cannot be opened from here"
KEPT = (
    "What you type is kept on this computer, and a teacher may read it later. What you say becomes text there; "
    "no sound is kept. Nobody is watching now. "
    "If something is wrong, tell an adult you trust."
)


KEPT_THERE = (
    "What you type is kept on your teacher's computer. While you work your teacher sees which equation you are on, and "
    "may read later what you typed. If something is wrong, tell an adult you trust."
)
OPEN_WIRE = (
    "This connection is not encrypted: others on this network could read what you type, your code and your PIN. "
    "The microphone cannot be used."
)
WHOSE = [(name, f"{name.title()} ({words})") for name, words in CLASSROOMS.items()]
YEAR = 365 * 24 * 3600
WRONG = "The join code, the learner code and the PIN do not match. Check each one, or ask your teacher."
TOO_MANY = "Too many tries. Wait half a minute, then try again."


def entrance_routes(service: Service) -> list[Route]:
    """The routes."""

    async def start(request: Request) -> Response:
        if service.in_class(request):
            return RedirectResponse("/lesson", 303) if service.learner(request) else HTMLResponse(_joining(request))
        if opens(service, request, "here"):
            return let_in(service, request, Visitor("here"), "/")
        if service.learner(request) is not None:
            return RedirectResponse("/lesson", 303)
        if service.visitor(request, "here") is None:
            return HTMLResponse(message(STRANGER, NOT_LET_IN), 403)
        if service.options.learner:
            return let_in(service, request, Visitor("learner", service.options.learner), "/lesson")
        return HTMLResponse(_who(service.words(request)))

    async def who(request: Request) -> Response:
        if service.visitor(request, "here") is None:
            return HTMLResponse(message(STRANGER, NOT_LET_IN), 403)
        form = await fields(request)
        code = form.get("code", "").strip()
        try:
            visitor = Visitor("learner", learner_code(service.options.learner or code))
        except LogTrouble as trouble:
            return HTMLResponse(_who(form.get("words", ""), code, trouble.sentence), 422)
        answer = let_in(service, request, visitor, "/lesson")
        if form.get("words", "") in CLASSROOMS:
            answer.set_cookie(WORDS_COOKIE, form["words"], max_age=YEAR, httponly=True, samesite="strict")
        return answer

    async def join(request: Request) -> Response:
        room = service.classroom
        if room is None or not service.in_class(request):
            return HTMLResponse(message(STRANGER, NOT_LET_IN), 403)
        form = await fields(request)
        code = form.get("code", "").strip()
        device = request.client.host if request.client else ""
        try:
            if not room.may_try(learner_code(code), device):
                return HTMLResponse(_joining(request, form, TOO_MANY), 429)
            if not room.lets_in(form.get("join", ""), code, form.get("pin", "")):
                return HTMLResponse(_joining(request, form, WRONG), 403)
        except LogTrouble as trouble:
            return HTMLResponse(_joining(request, form, trouble.sentence), 422)
        return let_in(service, request, Visitor("learner", code), "/lesson")

    async def leave(request: Request) -> Response:
        answer = RedirectResponse("/", 303)
        answer.delete_cookie(COOKIES["learner"], httponly=True, samesite="strict")
        return answer

    return [
        Route("/", start),
        *(Route(f"/{way.__name__}", way, methods=["POST"]) for way in (who, join, leave)),
    ]


def opens(service: Service, request: Request, role: Role) -> bool:
    """Whether the address holds the key of this role."""
    key = request.query_params.get("key", "")
    return key.isascii() and hmac.compare_digest(key, service.keys[role])


def let_in(service: Service, request: Request, visitor: Visitor, to: str) -> Response:
    """Send them on, with a cookie that says who they are."""
    answer = RedirectResponse(to, 303)
    answer.set_cookie(
        COOKIES[visitor.role], service.tokens.give(visitor), max_age=HOURS * 3600, httponly=True, samesite="strict",
        secure=request.url.scheme == "https",
    )  # fmt: skip
    return answer


def _joining(request: Request, form: dict[str, str] | None = None, trouble: str = "") -> str:
    """The form for a class; what was typed stands in it again, but for the PIN."""
    given = form or {}
    wrong = f"<p id=wrong class=trouble>{escape(trouble)}</p>" if trouble else ""
    told = "aria-describedby=wrong" if trouble else ""
    shown = [
        (name, words, escape(given.get(name, "")) if name != "pin" else "", how)
        for name, words, how in (
            ("join", "Join code (on the board)", "autocomplete=off"),
            ("code", "Your learner code", "autocomplete=off"),
            ("pin", "Your PIN", "type=password inputmode=numeric autocomplete=off"),
        )
    ]
    rows = "".join(
        f'<label for={name}>{words}</label><div class=entry><input id={name} name={name} value="{value}" maxlength=32 '
        f"autocapitalize=none spellcheck=false required {how} {told}></div>"
        for name, words, value, how in shown
    )
    open_wire = "" if request.url.scheme == "https" else f"<p class=small>{OPEN_WIRE}</p>"
    return page(
        "Join the lesson", "message",
        f"<main><h1>Join the lesson</h1><form method=post action=/join>{rows}{wrong}"
        f"<p><button class=main>Begin</button></p></form><p class=small>{KEPT_THERE}</p>{open_wire}</main>",
    )  # fmt: skip


def _who(words: str, code: str = "", trouble: str = "") -> str:
    wrong = f"<p id=wrong class=trouble>{escape(trouble)}</p>" if trouble else ""
    told = "aria-describedby=wrong aria-invalid=true" if trouble else ""
    return page(
        "Who is learning?",
        "message",
        "<main><h1>Who is learning?</h1><form method=post action=/who><label for=code>Your learner code</label>"
        f'<div class=entry><input id=code name=code value="{escape(code)}" maxlength=32 autocomplete=off '
        f"autocapitalize=none spellcheck=false required autofocus {told}><button class=main>Begin</button></div>{wrong}"
        f"<label for=words>The tutor's words</label><select id=words name=words>{options(WHOSE, words)}</select>"
        f"</form><p class=small>{KEPT}</p></main>",
    )

"""Coming in and going out: the address that the command printed, the learner's code, and leaving."""

import hmac
from html import escape

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.exits import LogTrouble
from chattutor.page.markup import message, page
from chattutor.page.service import COOKIES, Service, fields
from chattutor.page.tokens import HOURS, Role, Visitor
from chattutor.session_logs.learner import learner_code

NOT_LET_IN = "Open this page from the address in the window where chattutor runs."
STRANGER = "Not this way"
KEPT = (
    "What you type is kept on this computer, and a teacher may read it later. What you say becomes text there; "
    "no sound is kept. Nobody is watching now. "
    "If something is wrong, tell an adult you trust."
)


def entrance_routes(service: Service) -> list[Route]:
    """The routes."""

    async def start(request: Request) -> Response:
        if opens(service, request, "here"):
            return let_in(service, Visitor("here"), "/")
        if service.learner(request) is not None:
            return RedirectResponse("/lesson", 303)
        if service.visitor(request, "here") is None:
            return HTMLResponse(message(STRANGER, NOT_LET_IN), 403)
        if service.options.learner:
            return let_in(service, Visitor("learner", service.options.learner), "/lesson")
        return HTMLResponse(_who())

    async def who(request: Request) -> Response:
        if service.visitor(request, "here") is None:
            return HTMLResponse(message(STRANGER, NOT_LET_IN), 403)
        code = (await fields(request)).get("code", "").strip()
        try:
            return let_in(service, Visitor("learner", learner_code(service.options.learner or code)), "/lesson")
        except LogTrouble as trouble:
            return HTMLResponse(_who(code, trouble.sentence), 422)

    async def leave(request: Request) -> Response:
        answer = RedirectResponse("/", 303)
        answer.delete_cookie(COOKIES["learner"], httponly=True, samesite="strict")
        return answer

    return [Route("/", start), Route("/who", who, methods=["POST"]), Route("/leave", leave, methods=["POST"])]


def opens(service: Service, request: Request, role: Role) -> bool:
    """Whether the address holds the key of this role."""
    key = request.query_params.get("key", "")
    return key.isascii() and hmac.compare_digest(key, service.keys[role])


def let_in(service: Service, visitor: Visitor, to: str) -> Response:
    """Send them on, with a cookie that says who they are."""
    answer = RedirectResponse(to, 303)
    answer.set_cookie(
        COOKIES[visitor.role], service.tokens.give(visitor), max_age=HOURS * 3600, httponly=True, samesite="strict",
        secure=service.secure,
    )  # fmt: skip
    return answer


def _who(code: str = "", trouble: str = "") -> str:
    wrong = f"<p id=wrong class=trouble>{escape(trouble)}</p>" if trouble else ""
    told = "aria-describedby=wrong aria-invalid=true" if trouble else ""
    return page(
        "Who is learning?",
        "message",
        "<main><h1>Who is learning?</h1><form method=post action=/who><label for=code>Your learner code</label>"
        f'<div class=entry><input id=code name=code value="{escape(code)}" maxlength=32 autocomplete=off '
        f"autocapitalize=none spellcheck=false required autofocus {told}><button class=main>Begin</button></div>{wrong}"
        f"</form><p class=small>{KEPT}</p></main>",
    )

"""The class over time, and tomorrow's lesson: what ``review --over-time`` and ``review --plan`` make, as pages."""

import re
from html import escape
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from chattutor.exchange.roster import with_names
from chattutor.page.class_filter import filters, known_names, wanted
from chattutor.page.reviewing import Wanted, reviewed
from chattutor.page.server_state import Service, fields
from chattutor.page.teacher_frame import POLICY, framed, teacher_page
from chattutor.page.teacher_routes import for_teachers
from chattutor.review.document import rendered
from chattutor.review.half_terms import keep, set_for
from chattutor.review.plain_report import OF_TIME
from chattutor.session_logs.folder import own_folder
from chattutor.tomorrow.plan_files import EXPLAINED, GROUPS, LESSONS, write_plan

HERE, OVER_TIME = "/teacher/tomorrow", "/teacher/over-time"
FILE = re.compile(r"[a-z0-9-]{1,60}\.(html|csv)")
WORDS = {GROUPS: "groups, half a page each", EXPLAINED: "explanations", LESSONS: "equations for each learner (CSV)"}
HOW = (
    "From what the class did: groups to teach again, a sheet and an explanation for each, and equations for everybody."
)


def tomorrow_routes(service: Service) -> list[Route]:
    """The routes."""

    async def over_time(request: Request) -> Response:
        asked, chosen = wanted(service, request.query_params)
        page = await run_in_threadpool(reviewed, service.folder, asked, "over time")
        known = await run_in_threadpool(known_names, service)
        text = rendered(
            "over_time.html", title="Over time", kind="time", under="", page=with_names(page, known), cautions=OF_TIME
        )
        above = f"<form class=filters action={OVER_TIME}>{filters(service, asked, chosen)}<button>Show</button></form>"
        return framed(_in_own_window(text), OVER_TIME, above + _half_terms(service.folder))

    async def half_terms(request: Request) -> Response:
        form = await fields(request)
        await run_in_threadpool(keep, service.folder, form.get("days", ""), "Half-terms")
        return RedirectResponse(OVER_TIME, 303)

    async def show(request: Request) -> Response:
        choice = filters(service, Wanted(), "")
        return teacher_page("Tomorrow", HERE, await run_in_threadpool(_body, _folder(), choice))

    async def make(request: Request) -> Response:
        form = await fields(request)
        page = await run_in_threadpool(reviewed, service.folder, wanted(service, form)[0])
        await run_in_threadpool(_made, service, page, "give" in form)
        return RedirectResponse(HERE, 303)

    async def file(request: Request) -> Response:
        path = _folder() / request.path_params["name"]
        if not FILE.fullmatch(path.name) or not path.is_file():
            return RedirectResponse(HERE, 303)
        text = await run_in_threadpool(path.read_text, "utf-8")
        if path.suffix == ".csv":
            return Response(text, media_type="text/csv", headers={"Content-Disposition": "attachment"})
        return HTMLResponse(text, headers={"Content-Security-Policy": POLICY})

    return [
        Route(OVER_TIME, for_teachers(service, over_time)),
        Route(f"{OVER_TIME}/half-terms", for_teachers(service, half_terms), methods=["POST"]),
        Route(HERE, for_teachers(service, show)),
        Route(f"{HERE}/make", for_teachers(service, make), methods=["POST"]),
        Route(f"{HERE}/{{name}}", for_teachers(service, file)),
    ]


def _in_own_window(text: str) -> str:
    """Its wide tables, each of which scrolls by itself on a small window."""
    begun = text.replace("<table", "<div class=wide tabindex=0><table")
    return begun.replace("</table>", "</table></div>")


def _half_terms(folder: Path) -> str:
    """The form in which the teacher sets when half-terms begin."""
    told = "\n".join(f"{each.first} {each.name}" for each in set_for(folder))
    return (
        f"<details><summary>When half-terms begin</summary><form method=post action={OVER_TIME}/half-terms>"
        "<p><label for=days>A line for each: its first day and its name, such as 2026-11-02 Autumn 2</label></p>"
        f"<p><textarea id=days name=days rows=6 cols=44>{escape(told)}</textarea></p><button>Keep</button>"
        "<p>With nothing in it: about when schools in England begin them.</p></form></details>"
    )


def _folder() -> Path:
    return own_folder() / "tomorrow"


def _made(service: Service, page: dict[str, Any], give: bool) -> None:
    """Write it anew; what was there of another day goes."""
    for path in _folder().glob("*"):
        if FILE.fullmatch(path.name):
            path.unlink()
    write_plan(page, service.folder, _folder(), known_names(service), give)


def _body(folder: Path, choice: str) -> str:
    names = sorted(path.name for path in folder.glob("*") if FILE.fullmatch(path.name))
    links = "".join(
        f'<li><a href="{HERE}/{name}">{escape(WORDS.get(name, name.removesuffix(".html").replace("-", " ")))}</a></li>'
        for name in names
    )
    return (
        f"<p>{HOW}</p><form class=filters method=post action={HERE}/make>{choice}"
        "<label><input type=checkbox name=give> make these equations each learner's next lesson</label>"
        f"<button>Make it</button></form>{f'<ul>{links}</ul>' if links else ''}"
    )

"""Work on paper, typed in and marked, as ``chattutor mark`` does it: marks to look at, or pages to hand back."""

import tempfile
from html import escape
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from chattutor.common.exits import CannotGoOn
from chattutor.page.own_command import CommandDone, own_command
from chattutor.page.server_state import Service, fields
from chattutor.page.teacher_frame import POLICY, teacher_page
from chattutor.page.teacher_routes import for_teachers

HERE = "/teacher/marking"
HOW = """\
An empty line stands between two pieces of work. First a code and the equation, then the lines of working:
A17: 3x + 2 = 14
3x = 12
x = 4"""
SHEET = "The equations that were set, in order, if the work has only their numbers"
NOTHING = "There is nothing to mark yet."


def marking_routes(service: Service) -> list[Route]:
    """The routes."""

    async def show(request: Request) -> Response:
        return teacher_page("Marking", HERE, _form({}))

    async def mark(request: Request) -> Response:
        given = await fields(request)
        if not given.get("work", "").strip():
            raise CannotGoOn(NOTHING)
        done, page = await run_in_threadpool(_marked, service, given)
        if page:
            return HTMLResponse(page, headers={"Content-Security-Policy": POLICY})
        told = f"<p class=trouble>{escape(done.told)}</p>" if done.told else ""
        return teacher_page("Marking", HERE, f"{_found(done)}{told}{_form(given)}")

    return [
        Route(HERE, for_teachers(service, show)),
        Route(f"{HERE}/mark", for_teachers(service, mark), methods=["POST"]),
    ]


def _marked(service: Service, given: dict[str, str]) -> tuple[CommandDone, str]:
    """What the command said, and the page to hand back where one was asked for."""
    with tempfile.TemporaryDirectory() as folder:
        work, sheet, page = (Path(folder) / name for name in ("work.txt", "sheet.txt", "page.html"))
        work.write_text(given["work"].replace("\r\n", "\n"), "utf-8", "replace")
        words = [f"--title={given.get('title', '')}"]
        if given.get("sheet", "").strip():
            sheet.write_text(given["sheet"].replace("\r\n", "\n"), "utf-8", "replace")
            words.append(f"--sheet={sheet}")
        if given.get("do") == "page":
            words.append(f"--page={page}")
        if "count" in given:
            words.append(f"--logs={service.folder}")
        done = own_command("mark", *words, "--", str(work))
        told = done.told.replace(f"{work}, line", "Line").replace(str(work), "this work")
        text = page.read_text("utf-8") if page.exists() else ""
    return done._replace(told=told), text


def _found(done: CommandDone) -> str:
    text = done.text.strip()
    return f"<h2>What was found</h2><pre class=report tabindex=0>{escape(text)}</pre>" if text else ""


def _form(given: dict[str, str]) -> str:
    work, sheet, title = (escape(given.get(name, "")) for name in ("work", "sheet", "title"))
    return (
        f"<form method=post action={HERE}/mark><p class=small id=how>{escape(HOW).replace(chr(10), '<br>')}</p>"
        "<label for=work>Typed-in work</label>"
        f"<textarea id=work name=work rows=10 spellcheck=false aria-describedby=how>{work}</textarea>"
        f"<details{' open' if sheet else ''}><summary>A sheet</summary><label for=sheet>{SHEET}</label>"
        f"<textarea id=sheet name=sheet rows=5 spellcheck=false>{sheet}</textarea></details>"
        f'<div class=filters><label>Title of the pages <input name=title maxlength=80 value="{title}"></label>'
        "<label><input type=checkbox name=count> count it with the lessons</label>"
        "<button name=do value=marks>Mark it</button>"
        "<button name=do value=page>Pages to hand back</button></div></form>"
    )

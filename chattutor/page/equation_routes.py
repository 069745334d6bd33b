"""The teacher's equations: drawn for a stage, checked, and printed as sheets with their key."""

import tempfile
from html import escape
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from chattutor.common.exits import CannotGoOn
from chattutor.common.mathml import equation_math
from chattutor.page.service import Service, fields
from chattutor.page.teacher_frame import POLICY, options, teacher_page
from chattutor.page.teacher_routes import for_teachers
from chattutor.paper.sets import EquationSet, read_set
from chattutor.paper.sheets import Sheet, page
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.writing import BOARD, TYPED
from dialogue.learner.families import draw
from dialogue.learner.stages import stage, stages

HERE = "/teacher/equations"
MOST = 60  # equations drawn at once
USUAL = 8


def equation_routes(service: Service) -> list[Route]:
    """The routes."""

    async def show(request: Request) -> Response:
        asked = request.query_params
        number, count, seed = (_number(asked.get(name, ""), least, most, usual) for name, least, most, usual in (
            ("stage", 1, len(stages()), 6), ("count", 1, MOST, USUAL), ("seed", 0, 999_999, 1)))  # fmt: skip
        drawn = await run_in_threadpool(_drawn, number, count, seed) if "stage" in asked else ""
        return teacher_page("Equations", HERE, _making(number, count, seed) + _writing(drawn, ""))

    async def look(request: Request) -> Response:
        form = await fields(request)
        text = form.get("equations", "")
        found = await run_in_threadpool(_read, text)
        if form.get("do") == "print":
            return _sheets(found, form)
        return teacher_page(
            "Equations", HERE, _making(6, USUAL, 1) + _writing(text, form.get("title", "")) + _told(found)
        )

    return [
        Route(HERE, for_teachers(service, show)),
        Route(f"{HERE}/look", for_teachers(service, look), methods=["POST"]),
    ]


def _number(text: str, least: int, most: int, usual: int) -> int:
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else usual
    return max(least, min(most, number))


def _drawn(number: int, count: int, seed: int) -> str:
    return "".join(f"{task.equation.text(TYPED)}\n" for task in draw(number, seed, count))


def _read(text: str) -> EquationSet:
    """The set, read as a file is. Raises CannotGoOn."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "equations.txt"
        path.write_text(text.replace("\r\n", "\n"), "utf-8", "replace")
        return read_set(path)


def _making(number: int, count: int, seed: int) -> str:
    samples = [(each, read_equation(each.sample).text(BOARD)) for each in stages()]
    listed = [(str(each.number), f"{each.number} {each.name}: {sample}") for each, sample in samples]
    return (
        f"<form class=filters action={HERE}>"
        f"<label>Stage <select name=stage>{options(listed, str(number))}</select></label>"
        f'<label>How many <input name=count inputmode=numeric size=3 value="{count}"></label>'
        f'<label>Seed <input name=seed inputmode=numeric size=6 value="{seed}"></label>'
        "<button>Draw them</button></form>"
        f"<p class=small>{escape(stage(number).new)}</p>"
    )


def _writing(text: str, title: str) -> str:
    return (
        f"<form method=post action={HERE}/look><label for=equations>Equations, one a line</label>"
        f"<textarea id=equations name=equations rows=10 spellcheck=false>{escape(text)}</textarea>"
        f'<div class=filters><label>Title of the sheet <input name=title maxlength=80 value="{escape(title)}"></label>'
        "<label><input type=checkbox name=large> large print</label>"
        "<label><input type=checkbox name=key> with answers</label>"
        "<button name=do value=check>Check them</button><button name=do value=print>Make a sheet</button></div></form>"
    )


def _told(found: EquationSet) -> str:
    lines = "".join(f"<li>{escape(finding.text())}</li>" for finding in found.findings)
    told = f"<ul>{lines}</ul>" if lines else "<p>Nothing is to be said against any of them.</p>"
    shown = "".join(f"<li>{equation_math(item.equation)}</li>" for item in found.items)
    return f"<section><h2>What was found</h2>{told}<h2>As they will be shown</h2><ol class=shown>{shown}</ol></section>"


def _sheets(found: EquationSet, form: dict[str, str]) -> Response:
    if not found.items:
        raise CannotGoOn("There is no equation that can be printed.")
    under: dict[str, list[Equation]] = {}
    for item in found.items:
        under.setdefault(item.heading, []).append(item.equation)
    title = form.get("title", "")
    sheets = [Sheet(": ".join(filter(None, (title, heading))), title, tuple(some)) for heading, some in under.items()]
    text = page(sheets, large="large" in form, key="short" if "key" in form else None)
    return HTMLResponse(text, headers={"Content-Security-Policy": POLICY})

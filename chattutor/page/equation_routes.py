"""The teacher's equations: drawn for a stage or several, checked, and printed as sheets with their key.

Drawing and printing are those of ``chattutor equations``, run by it.
"""

import tempfile
from html import escape
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from chattutor.common.exits import FINE, CannotGoOn
from chattutor.common.mathml import equation_math
from chattutor.page.markup import hidden
from chattutor.page.own_command import own_command
from chattutor.page.server_state import Service, fields
from chattutor.page.teacher_frame import POLICY, options, teacher_page
from chattutor.page.teacher_routes import for_teachers
from chattutor.paper.sets import EquationSet, read_set
from dialogue.algebra.equation import read_equation
from dialogue.algebra.writing import BOARD
from dialogue.learner.stages import stages

HERE = "/teacher/equations"
MOST = 60  # equations drawn at once
USUAL = {"stage": "6", "count": "8", "seed": "1"}
KEYS = (("", "without answers"), ("short", "with answers"), ("full", "with every step"))
PARTS = (("", "sheets"), ("key", "only the answers"))
FILE = "equations.txt"


def equation_routes(service: Service) -> list[Route]:
    """The routes."""

    async def show(request: Request) -> Response:
        asked = request.query_params
        drawn = await run_in_threadpool(_drawn, dict(asked)) if "stage" in asked else ""
        return teacher_page("Equations", HERE, _making(dict(asked)) + _writing({"equations": drawn}, dict(asked)))

    async def look(request: Request) -> Response:
        form = await fields(request)
        if form.get("do") == "print":
            return await run_in_threadpool(_sheets, form)
        found = await run_in_threadpool(_read, form.get("equations", ""))
        return teacher_page("Equations", HERE, _making(form) + _writing(form, form) + _told(found))

    return [
        Route(HERE, for_teachers(service, show)),
        Route(f"{HERE}/look", for_teachers(service, look), methods=["POST"]),
    ]


def _drawn(asked: dict[str, str]) -> str:
    """The equations, a line each. Raises CannotGoOn."""
    count = asked.get("count", "")
    number = int(count) if count.isascii() and count.isdecimal() and len(count) < 9 else int(USUAL["count"])
    words = [f"--{name}={asked.get(name, '') or USUAL[name]}" for name in ("stage", "seed")]
    told = ["--words"] if "words" in asked else []
    done = own_command("equations", "make", *words, f"--count={max(1, min(MOST, number))}", *told)
    if done.code != FINE:
        raise CannotGoOn(done.told)
    return done.text


def _read(text: str) -> EquationSet:
    """The set, read as a file is. Raises CannotGoOn."""
    with tempfile.TemporaryDirectory() as folder:
        return read_set(_file(folder, text))


def _file(folder: str, text: str) -> Path:
    path = Path(folder) / FILE
    path.write_text(text.replace("\r\n", "\n"), "utf-8", "replace")
    return path


def _making(asked: dict[str, str]) -> str:
    given = {name: escape(asked.get(name, "") or usual) for name, usual in USUAL.items()}
    samples = [(each, read_equation(each.sample).text(BOARD)) for each in stages()]
    rows = "".join(
        f"<li>{each.name}: {sample} <span class=small>{escape('; '.join((each.new, *each.curriculum)))}</span></li>"
        for each, sample in samples
    )
    return (
        f"<form class=filters action={HERE}>"
        f'<label>Stage, or several in turn <input name=stage size=8 value="{given["stage"]}" aria-describedby=stages>'
        "</label>"
        f'<label>How many <input name=count inputmode=numeric size=3 value="{given["count"]}"></label>'
        f'<label>Seed <input name=seed inputmode=numeric size=6 value="{given["seed"]}"></label>'
        f"<label><input type=checkbox name=words{' checked' if 'words' in asked else ''}> in words</label>"
        "<button>Draw them</button></form>"
        "<p class=small id=stages>Several stages: 3,5,6 or 3-6.</p>"
        f"<details><summary>The stages</summary><ol class=stages>{rows}</ol></details>"
    )


def _writing(given: dict[str, str], asked: dict[str, str]) -> str:
    """The equations, and what their sheet is to be like; as it was given, and what they were drawn from."""
    drawn = hidden(**{name: asked.get(name, "") or usual for name, usual in USUAL.items()})
    text = escape(given.get("equations", ""))
    texts = "".join(
        f'<label>{words} <input name={name} maxlength=200 value="{escape(given.get(name, ""))}"></label>'
        for name, words in (
            ("title", "Title of the sheet"), ("group", "Class"), ("date", "Date"), ("instruction", "What to do"),
        )
    )  # fmt: skip
    ticks = "".join(
        f"<label><input type=checkbox name={name}{' checked' if name in given else ''}> {words}</label>"
        for name, words in (("large", "large print"), ("words", "in words"))
    )
    choices = (
        f"<label>Answers <select name=key>{options(list(KEYS), given.get('key', ''))}</select></label>"
        f"<label>Print <select name=only>{options(list(PARTS), given.get('only', ''))}</select></label>"
    )
    return (
        f"<form method=post action={HERE}/look>{drawn}"
        "<label for=equations>Equations, one on each line</label>"
        f"<textarea id=equations name=equations rows=10 spellcheck=false>{text}</textarea>"
        "<div class=filters><button name=do value=check>Check them</button></div>"
        f"<div class=filters>{texts}{ticks}{choices}<button name=do value=print>Make a sheet</button></div></form>"
    )


def _told(found: EquationSet) -> str:
    lines = "".join(f"<li>{escape(finding.text())}</li>" for finding in found.findings)
    told = f"<ul>{lines}</ul>" if lines else "<p>No problems were found.</p>"
    shown = "".join(f"<li>{equation_math(item.equation)}</li>" for item in found.items)
    return f"<section><h2>What was found</h2>{told}<h2>As they will be shown</h2><ol class=shown>{shown}</ol></section>"


def _sheets(form: dict[str, str]) -> Response:
    """The page to print. Raises CannotGoOn."""
    named = (("title", "title"), ("group", "class"), ("date", "date"), ("instruction", "instruction"))
    words = [f"--{option}={value}" for name, option in named if (value := form.get(name, "").strip())]
    words += [f"--{name}" for name in ("large", "words") if name in form]
    words += [f"--{name}={value}" for name in ("key", "only") if (value := form.get(name, ""))]
    with tempfile.TemporaryDirectory() as folder:
        path = _file(folder, form.get("equations", ""))
        done = own_command("equations", "print", *words, "--", str(path))
        if done.code != FINE:
            raise CannotGoOn(done.told.rpartition("\n")[2].replace(f" in {path}", ""))
    return HTMLResponse(done.printed, headers={"Content-Security-Policy": POLICY})

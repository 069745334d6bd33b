"""The records of a class: which lessons there are, one as text or replayed, and what ``chattutor logs`` does.

The forms stand in ``record_actions.toml``; what each says is what the command says.
"""

import json
import tempfile
import tomllib
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from chattutor.common.exits import FINE, USAGE, CannotGoOn
from chattutor.page.class_filter import known_names
from chattutor.page.markup import hidden
from chattutor.page.own_command import CommandDone, own_command
from chattutor.page.server_state import Service, fields
from chattutor.page.teacher_frame import teacher_page
from chattutor.page.teacher_routes import for_teachers
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.transcript import local

HERE = "/teacher/records"
NOTHING = "Nothing was found."
MOST_LISTED = 300  # lessons on one page, the newest; a learner's code finds the others
WAYS = {"show": "Read it", "replay": "With today's tutor"}
HEADS = ("learner", "begun", "turns", "how it ended", "", "")


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a form."""

    name: str
    words: str
    kind: Literal["text", "code", "number", "url"]
    needed: bool = False


@dataclass(frozen=True, slots=True)
class RecordAction:
    """A row of the table; its head says what each means."""

    does: str
    title: str
    button: str
    about: str
    changes: bool = False
    saves: str = ""
    sure: str = ""
    fields: tuple[Field, ...] = ()


def actions() -> dict[str, RecordAction]:
    """The table, by what each does."""
    rows = tomllib.loads(files("chattutor.page").joinpath("record_actions.toml").read_text("utf-8"))["action"]
    made = [RecordAction(**row | {"fields": tuple(Field(**each) for each in row.get("fields", ()))}) for row in rows]
    return {each.does: each for each in made}


def record_routes(service: Service) -> list[Route]:
    """The routes."""
    table = actions()

    async def show(request: Request) -> Response:
        asked = request.query_params.get("learner", "").strip()
        code = learner_code(asked) if asked else ""
        rows = await run_in_threadpool(_lessons, service, code)
        return teacher_page("Records", HERE, _filter(code) + rows + "".join(map(_form, table.values())))

    async def lesson(request: Request) -> Response:
        way, name = request.path_params["way"], request.path_params["name"]
        if way not in WAYS or not (name.isascii() and name.isalnum()):
            return RedirectResponse(HERE, 303)
        done = await run_in_threadpool(own_command, "logs", way, f"--logs={service.folder}", "--", name)
        return _report(WAYS[way], done)

    async def act(request: Request) -> Response:
        action = table.get(request.path_params["does"])
        if action is None or action.changes is not (request.method == "POST"):
            return RedirectResponse(HERE, 303)
        given = await fields(request) if action.changes else dict(request.query_params)
        words = _words(action, given)
        if action.sure and given.get("sure") != "yes":
            return teacher_page(action.title, HERE, _sure(action, given))
        if action.changes:  # what nobody looks at any more is not in use
            await run_in_threadpool(service.lessons.let_go, 0.0, service.subscribers.watched)
        return await run_in_threadpool(_acted, service, action, words, given)

    return [
        Route(HERE, for_teachers(service, show)),
        Route(f"{HERE}/{{way}}/{{name}}", for_teachers(service, lesson)),
        Route(f"{HERE}/{{does}}", for_teachers(service, act), methods=["GET", "POST"]),
    ]


def _words(action: RecordAction, given: dict[str, str]) -> list[str]:
    """The command's options and arguments. Raises CannotGoOn."""
    named, plain = [], []
    for place, each in enumerate(action.fields):
        value = given.get(f"field{place}", "").strip()
        if each.kind == "code" and value:
            value = learner_code(value)
        if not value:
            if each.needed:
                raise CannotGoOn(f"{each.words}: please fill this in.", USAGE)
        elif each.name:
            named.append(f"{each.name}={value}")
        else:
            plain.append(value)
    return [*named, *(["--", *plain] if plain else [])]


def _acted(service: Service, action: RecordAction, words: list[str], given: dict[str, str]) -> Response:
    start = ["logs", action.does, f"--logs={service.folder}"]
    if not action.saves:
        return _report(action.title, own_command(*start, *(["--yes"] if action.sure else []), *words))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "out"
        done = own_command(*start, *([f"--to={path}"] if action.does == "export" else []), *words)
        if done.code != FINE:
            return _report(action.title, done)
        data = path.read_bytes() if path.exists() else done.printed
    name = action.saves.format(learner=given.get("field0", "").strip())
    return Response(
        data, media_type="application/octet-stream", headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


def _report(title: str, done: CommandDone) -> Response:
    """What a command said, on a page."""
    told = f"<p class=trouble>{escape(done.told)}</p>" if done.told else ""
    printed = f"<pre class=report tabindex=0>{escape(done.text)}</pre>" if done.text.strip() else ""
    back = f'<p><a href="{HERE}">Records</a></p>'
    return teacher_page(title, HERE, f"{told}{printed or ('' if told else f'<p>{NOTHING}</p>')}{back}")


def _filter(code: str) -> str:
    return (
        f"<form class=filters action={HERE}><label>Learner code "
        f'<input name=learner maxlength=32 value="{escape(code)}" autocomplete=off></label><button>Show</button></form>'
    )


def _lessons(service: Service, code: str) -> str:
    """The lessons, newest first, with ways to read each. Raises CannotGoOn."""
    if not service.folder.is_dir():
        return f"<p>{NOTHING}</p>"
    wanted = [f"--learner={code}"] if code else []
    done = own_command("logs", "list", "--json", f"--logs={service.folder}", *wanted)
    if done.code != FINE:
        raise CannotGoOn(done.told)
    found = sorted(map(json.loads, done.printed.splitlines()), key=lambda row: str(row["created"]), reverse=True)
    if not found:
        return f"<p>{NOTHING}</p>"
    known = known_names(service)
    rows = "".join(_row(row, known) for row in found[:MOST_LISTED])
    head = "".join(f"<th scope=col>{each}</th>" for each in HEADS)
    more = f"<p>The newest {MOST_LISTED} of {len(found):,}.</p>" if len(found) > MOST_LISTED else ""
    table = f"<table class=live><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return f"<div class=wide tabindex=0>{table}</div>{more}"


def _row(row: dict[str, Any], known: dict[str, str]) -> str:
    code = row["learner"]
    name = f"{known[code]} ({code})" if code in known else code
    ways = "".join(f'<td><a href="{HERE}/{way}/{escape(row["id"])}">{words}</a></td>' for way, words in WAYS.items())
    faults = f" <b>{escape(', '.join(row['problems']))}</b>" if row["problems"] else ""
    return (
        f"<tr><th scope=row>{escape(name)}</th><td>{escape(local(row['created']))}</td>"
        f"<td data-head=turns>{row['turns']}</td>"
        f"<td>{escape(row['end'])}{faults}</td>{ways}</tr>"
    )


def _form(action: RecordAction) -> str:
    inputs = "".join(_input(place, each) for place, each in enumerate(action.fields))
    method = "post" if action.changes else "get"
    return (
        f"<section><h2>{action.title}</h2><p class=small>{escape(action.about)}</p>"
        f"<form class=filters method={method} action={HERE}/{action.does}>{inputs}"
        f"<button>{action.button}</button></form></section>"
    )


def _input(place: int, of: Field) -> str:
    how = {"code": "maxlength=32", "number": "inputmode=numeric size=6", "url": "type=url", "text": "size=30"}[of.kind]
    needed = "required" if of.needed else ""
    return f"<label>{of.words} <input name=field{place} autocomplete=off {how} {needed}></label>"


def _sure(action: RecordAction, given: dict[str, str]) -> str:
    told = [
        f"<li>{each.words}: {escape(value)}</li>"
        for place, each in enumerate(action.fields)
        if (value := given.get(f"field{place}", "").strip())
    ]
    kept = {f"field{place}": given.get(f"field{place}", "") for place in range(len(action.fields))}
    return (
        f"<p>{action.sure}</p><ul>{''.join(told)}</ul>"
        f"<form class=filters method=post action={HERE}/{action.does}>{hidden(sure='yes', **kept)}"
        f'<button>{action.button}</button> <a class=button href="{HERE}">Leave it</a></form>'
    )

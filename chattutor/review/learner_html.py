"""The learner page as one HTML file: no script, nothing from outside, readable in grey, pictures told in words too."""

from typing import Any

from chattutor.review.document import as_math, as_said, as_text, document, section, without_pictures
from chattutor.review.drawing import can_draw
from chattutor.review.learner_page import VALUES
from chattutor.review.learner_text import next_words, said_how, session_name, turn_notes
from chattutor.review.phrasing import stage_name
from chattutor.review.terminal import MARKS
from chattutor.session_logs.transcript import local

OVERRIDE = "To judge a turn otherwise, or add a note: chattutor review DIR --override SESSION TURN JUDGEMENT, --note."
HEADS = ("turn", "on", "as heard", "how", "step", "left side", "right side", "judgement", "help", "notes")


def learner_html(page: dict[str, Any]) -> str:
    """The page as text."""
    notes = [f"{as_text(local(note['at']))}: {as_text(note['text'])}" for note in page["notes"]]
    body = [
        section("What comes next", [as_text(next_words(page))]),
        section("Teacher's notes", notes),
        section("Seen on more than one equation", [_pattern(row) for row in page["patterns"]]),
        f"<section class=keep><h2>Path over lessons</h2>{_picture(page['path'])}</section>",
        *(_session(session) for session in page["sessions"]),
    ]
    body.append(f"<p class=small>{as_text(OVERRIDE)}</p>")
    return document(f"Learner {page['code']}", "learner", said_how(page), "\n".join(body))


def _pattern(row: dict[str, Any]) -> str:
    seen = "; ".join(f"{as_math(each['line'])} then {as_said(each['said'])}" for each in row["seen"])
    return f"<b>{as_text(row['name'])}</b>: {seen}"


def _session(session: dict[str, Any]) -> str:
    name = session_name(session)
    head = "".join(f"<th scope=col>{title}</th>" for title in HEADS)
    rows: list[str] = []
    before = None
    for turn in session["turns"]:
        new = " class=new" if before not in {None, turn["task"]} else ""
        rows.append(f"<tr{new}>{''.join(f'<td>{cell}</td>' for cell in _cells(turn))}</tr>")
        before = turn["task"]
    return (
        f"<section><h2>{as_text(name)}</h2><div class=scroll tabindex=0 role=region "
        f'aria-label="{as_text(name)}"><table class=turns><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div></section>"
    )


def _cells(turn: dict[str, Any]) -> list[str]:
    letter = turn["letter"]
    heard = as_text(turn["heard"]) + (f" ({turn['confirmed']})" if turn["confirmed"] else "")
    sides = [as_math(turn[side], letter) for side in ("left", "right")]
    replaced = f" <small>in place of: {as_text(turn['replaced'])}</small>" if turn["replaced"] else ""
    judgement, level = as_text(turn["judgement"]) + replaced, as_text(turn["level"])
    notes = as_text("; ".join(turn_notes(turn)))
    asked = turn["event"] in VALUES and any(sides)  # then the value stands in its side already
    step = "" if asked else as_math(turn["step"]) if "=" in turn["step"] else as_text(turn["step"])
    return [str(turn["turn"]), as_math(turn["line"]), heard, turn["channel"], step, *sides, judgement, level, notes]


def _picture(path: list[dict[str, Any]]) -> str:
    """The path as a picture; where nothing can draw, as a table."""
    if not path:
        return "<p>none</p>"
    if not can_draw():
        return without_pictures(_table(path))
    from chattutor.review import pictures

    return f"{pictures.path(path)}<details><summary>The same as a table</summary>{_table(path)}</details>"


def _table(path: list[dict[str, Any]]) -> str:
    rows = "".join(
        f"<tr><td>{as_text(local(one['when'])[:10])}</td><td>{stage_name(one['stage'])}</td>"
        f"<td>{as_math(one['equation'])}</td><td>{MARKS[one['outcome']]} {one['outcome']}</td></tr>"
        for one in path
    )
    heads = "".join(f"<th scope=col>{head}</th>" for head in ("lesson", "stage", "equation", "how it went"))
    return f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"

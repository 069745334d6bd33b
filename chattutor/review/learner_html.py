"""The learner page as one HTML file: no script, nothing from outside, readable in grey, pictures told in words too."""

from typing import Any

from chattutor.logs.transcript import local
from chattutor.mathml import math
from chattutor.review.html import STYLE, as_text
from chattutor.review.learner_text import next_words, pattern_words, said_how, turn_notes
from chattutor.review.terminal import MARKS
from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal

TURN_STYLE = """
table.turns { width: 100%; font-size: .9rem; margin: .3rem 0 } table.turns td { text-align: left; vertical-align: top }
thead { display: table-header-group } tr { break-inside: avoid } svg text { font: 11px system-ui, sans-serif }
"""
HEADS = ("turn", "on", "as heard", "how", "step", "left side", "right side", "judgement", "help", "notes")
WIDE, HIGH, LEFT = 44, 18, 62  # pixels: a lesson, a stage, the names of the stages
CROWDED = 16  # lessons, the latest, that fit beside each other on paper


def learner_html(page: dict[str, Any]) -> str:
    """The page as text."""
    code = as_text(page["code"])
    notes = [f"{as_text(local(note['at']))}: {as_text(note['text'])}" for note in page["notes"]]
    sections = [
        _list("What comes next", [as_text(next_words(page))]),
        _list("Teacher's notes", notes),
        _list("Seen on more than one equation", [as_text(pattern_words(row)) for row in page["patterns"]]),
        f"<section><h2>Stages over lessons</h2>{_picture(page['path'])}</section>",
        *(_session(session) for session in page["sessions"]),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Learner {code}</title><style>{STYLE}{TURN_STYLE}</style></head>\n<body><main><h1>Learner {code}</h1>"
        f"<p class=small>{as_text(said_how(page))}</p>\n" + "\n".join(sections) + "\n</main></body></html>\n"
    )


def _list(title: str, items: list[str]) -> str:
    inside = "".join(f"<li>{item}</li>" for item in items)
    return f"<section><h2>{title}</h2>{f'<ul>{inside}</ul>' if items else '<p>none</p>'}</section>"


def _session(session: dict[str, Any]) -> str:
    head = "".join(f"<th scope=col>{name}</th>" for name in HEADS)
    rows = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in _cells(turn))}</tr>" for turn in session["turns"])
    return (
        f"<section><h2>Session {as_text(session['id'][:8])}, {as_text(local(session['when']))}, "
        f"{as_text(session['end'])}</h2><table class=turns><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
        "</section>"
    )


def _cells(turn: dict[str, Any]) -> list[str]:
    heard = as_text(turn["heard"]) + (f" ({turn['confirmed']})" if turn["confirmed"] else "")
    plain = [as_text(turn[key]) for key in ("step", "left", "right", "judgement", "level")]
    notes = as_text("; ".join(turn_notes(turn)))
    return [str(turn["turn"]), _equation(turn["line"]), heard, turn["channel"], *plain, notes]


def _equation(text: str) -> str:
    try:
        equation = read_equation(text)
    except Refusal:
        return as_text(text)
    return f"{math(equation.left)} = {math(equation.right)}"


def _picture(path: list[dict[str, Any]]) -> str:
    """A column a lesson, a row a stage, the mark of the latest equation of that stage in it; the same in words."""
    lessons = sorted({row["when"] for row in path})[-CROWDED:]
    shown = [row for row in path if row["when"] in lessons]
    stages = sorted({row["stage"] for row in shown})
    cells = {(row["stage"], row["when"]): row["outcome"] for row in shown}
    if not cells:
        return "<p>none</p>"
    names = "".join(_put(4, place, f"stage {stage}" if stage else "own") for place, stage in enumerate(stages))
    dates = "".join(_put(LEFT + WIDE * place, len(stages), local(when)[5:10]) for place, when in enumerate(lessons))
    marks = "".join(
        _put(LEFT + WIDE * lessons.index(when) + WIDE // 3, stages.index(stage), MARKS[outcome])
        for (stage, when), outcome in cells.items()
    )
    words = "; ".join(
        f"{local(when)[:10]} {f'stage {stage}' if stage else 'own equation'} {outcome}"
        for (stage, when), outcome in sorted(cells.items(), key=lambda cell: (cell[0][1], cell[0][0]))
    )
    key = " &ensp; ".join(f"{mark} {meaning}" for meaning, mark in MARKS.items())
    width, height = LEFT + WIDE * len(lessons) + 8, HIGH * (len(stages) + 1) + 8
    return (
        f'<p class=small>{key}</p><svg role="img" width="{width}" height="{height}" viewBox="0 0 {width} {height}" '
        f'aria-label="{as_text(words)}">{names}{dates}{marks}</svg>'
    )


def _put(x: int, row: int, text: str) -> str:
    return f'<text x="{x}" y="{HIGH * (row + 1)}">{as_text(text)}</text>'

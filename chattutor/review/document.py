"""What every HTML page of the review is made of: one file, no script, nothing from outside, log text as plain text."""

import os
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from pathlib import Path

from chattutor.common.exits import LogTrouble, reason
from chattutor.common.mathml import equation_math, expression_math
from chattutor.review.drawing import INSTALL
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal

# should a browser ever be made to see a script, it still runs none and fetches nothing
POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def write_page(text: str, target: Path) -> None:
    """Write a page, readable by its owner only. Raises LogTrouble."""
    try:
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with open(handle, "w", encoding="utf-8", errors="backslashreplace", newline="") as out:
            out.write(text)
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error


def document(title: str, kind: str, under: str, body: str) -> str:
    """A whole page; ``title`` and ``under`` are plain text, ``body`` is HTML."""
    style = files("chattutor.review").joinpath("page.css").read_text("utf-8")
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<title>{as_text(title)}</title>\n<style>\n{style}</style></head>\n<body class="{kind}"><main>'
        f"<h1>{as_text(title)}</h1><p class=small>{as_text(under)}</p>\n{body}\n</main></body></html>\n"
    )


def section(title: str, items: Sequence[str], beside: str = "") -> str:
    """A heading with a list under it; items and what stands beside them are HTML."""
    inside = f"<ul>{''.join(f'<li>{item}</li>' for item in items)}</ul>" if items else "<p>none</p>"
    inside = f"<div class=two>{inside}<div>{beside}</div></div>" if beside else inside
    return f"<section class=keep><h2>{title}</h2>{inside}</section>"


def as_text(value: object) -> str:
    """Text of a log fit for HTML."""
    return escape("".join(each if each.isprintable() else " " for each in str(value)))


def as_math(value: object, letter: str | None = None) -> str:
    """An equation of a log in MathML, or an expression in ``letter``; as text where it is neither."""
    text = str(value)
    try:
        if "=" in text:
            return equation_math(read_equation(text))
        return as_text(text) if letter is None else expression_math(read_expression(text, letter))
    except Refusal:
        return as_text(text)


def as_said(words: object) -> str:
    """A learner's words, as they were heard."""
    return f"<span class=said>“{as_text(words)}”</span>"


def without_pictures(table: str) -> str:
    """In place of a picture, where the plotting library is not installed."""
    return f"<p class=small>Pictures need one more package: <code>{escape(INSTALL)}</code></p>{table}"

"""What every HTML page of the review is made of: one file, no script, nothing from outside, log text as plain text.

The pages are Jinja2 templates; whatever is put into one is escaped unless it was made here as markup.
"""

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from chattutor.common.exits import LogTrouble, reason
from chattutor.common.files import write_whole
from chattutor.common.mathml import equation_math, expression_math
from chattutor.review.evidence import OUTCOMES
from chattutor.review.phrasing import MOST_LETTERS, clipped, counted, stage_name, twins
from chattutor.session_logs.transcript import local
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal

# should a browser ever be made to see a script, it still runs none and fetches nothing
POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def write_page(text: str, target: Path) -> None:
    """Write a page, readable by its owner only. Raises LogTrouble."""
    try:
        write_whole(target, text.encode("utf-8", "backslashreplace"))
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error


def rendered(template: str, **given: Any) -> str:
    """A page from its template."""
    return _environment().get_template(template).render(given)


def printable(value: object) -> str:
    """Text of a log without what cannot be printed."""
    return "".join(each if each.isprintable() else " " for each in str(value))


def math(value: object, letter: str | None = None) -> Markup:
    """An equation of a log in MathML, or an expression in ``letter``; as text where it is neither."""
    text = str(value)
    try:
        if "=" in text:
            return Markup(equation_math(read_equation(text)))  # noqa: S704 - made by us of numbers and one letter  # nosec B704 - made by our own writer, escaped there
        if letter is not None:
            return Markup(expression_math(read_expression(text, letter)))  # noqa: S704 - as above  # nosec B704 - made by our own writer, escaped there
    except Refusal:
        pass
    return escape(printable(text))


def short_math(value: object) -> Markup:
    """An equation, where there is room for it."""
    return math(value) if len(str(value)) <= MOST_LETTERS else escape(printable(clipped(value)))


def _clip(value: object, most: int = MOST_LETTERS) -> str:
    return printable(clipped(value, most))


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("chattutor.review", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.filters |= {
        "math": math, "short_math": short_math, "clip": _clip, "plain": printable, "local": local,
        "stage_name": stage_name, "twins": twins,
    }  # fmt: skip
    style = files("chattutor.review").joinpath("page.css").read_text("utf-8")
    made.globals |= {"POLICY": POLICY, "STYLE": Markup(style), "OUTCOMES": OUTCOMES, "counted": counted}  # noqa: S704 - our own file  # nosec B704 - made by our own writer, escaped there
    return made

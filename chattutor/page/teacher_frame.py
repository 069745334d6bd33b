"""What stands around every page of the teacher's: where else to go; and pages of the review with our frame put in."""

import re
from html import escape

from starlette.responses import HTMLResponse

from chattutor.page.markup import page

PAGES = (
    ("/teacher", "Class"),
    ("/teacher/over-time", "Over time"),
    ("/teacher/tomorrow", "Tomorrow"),
    ("/teacher/live", "Now"),
    ("/teacher/equations", "Equations"),
    ("/teacher/marking", "Marking"),
    ("/teacher/records", "Records"),
)
OWN_POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')
MAIN = re.compile(r"<main\b")
# the review's pages bring their style with them, and bars of a computed width
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


def navigation(here: str) -> str:
    """The way to the other pages; ``here`` is the address of this one."""
    links = "".join(f'<a href="{to}"{" aria-current=page" if to == here else ""}>{words}</a>' for to, words in PAGES)
    return (
        f'<header class="frame"><nav aria-label="Teacher’s pages">{links}</nav>'
        "<form method=post action=/teacher/leave><button class=quiet>Leave</button></form></header>"
    )


def teacher_page(title: str, here: str, body: str, scripts: str = "") -> HTMLResponse:
    """A page of our own."""
    whole = f"{navigation(here)}<main><h1>{escape(title)}</h1>{body}</main>"
    return HTMLResponse(page(title, "teacher", whole, scripts, ("base.css", "teacher.css")))


def framed(document: str, here: str, above: str, scripts: str = "") -> HTMLResponse:
    """A page of the review with the frame before what it holds; ``above`` stands over it and is not printed."""
    modules = "".join(f'<script type="module" src="/static/{name}"></script>' for name in scripts.split())
    links = '<link rel="stylesheet" href="/static/teacher.css"><link rel="icon" href="/static/icon.svg">'
    text = OWN_POLICY.sub("", document).replace("</head>", f"{links}{modules}</head>", 1)
    before = (
        f'{navigation(here)}<section class="frame controls" aria-label="What to show and to keep">{above}</section>'
    )
    text = MAIN.sub(lambda found: before + found[0], text, count=1)
    return HTMLResponse(text, headers={"Content-Security-Policy": POLICY})


def options(choices: list[tuple[str, str]], chosen: str) -> str:
    """The options of a ``<select>``: value and words of each."""
    return "".join(
        f'<option value="{escape(value)}"{" selected" if value == chosen else ""}>{escape(words)}</option>'
        for value, words in choices
    )

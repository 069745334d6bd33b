"""The frame that every page of the server stands in."""

from html import escape

NAME = "chattutor"


def page(title: str, kind: str, body: str, scripts: str = "", styles: tuple[str, ...] = ("base.css",)) -> str:
    """A whole page: ``title`` is plain text, ``body`` HTML, ``scripts`` names of modules of ours, space between."""
    links = "".join(f'<link rel="stylesheet" href="/static/{name}">' for name in styles)
    modules = "".join(f'<script type="module" src="/static/{name}"></script>' for name in scripts.split())
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<title>{escape(title)}</title>{links}<link rel="icon" href="/static/icon.svg">{modules}</head>\n'
        f'<body class="{kind}">{body}</body></html>\n'
    )


def message(title: str, text: str, way: str = "", to: str = "/") -> str:
    """A page that says one thing, with one way on."""
    on = f'<p><a class=button href="{to}">{escape(way)}</a></p>' if way else ""
    return page(title, "message", f"<main><h1>{escape(title)}</h1><p>{escape(text)}</p>{on}</main>")


def hidden(**fields: object) -> str:
    """Hidden fields of a form."""
    return "".join(f'<input type=hidden name="{name}" value="{escape(str(value))}">' for name, value in fields.items())

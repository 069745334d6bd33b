"""The lesson's page as plain HTML: it can be used as it is, and a script only saves it from being loaded anew."""

from html import escape
from typing import Any

from chattutor.page.markup import hidden, page

READY = (
    ("hint", "Hint"), ("repeat", "Say again"), ("where are we", "Where are we?"), ("why", "Why?"), ("undo", "Undo"),
    ("skip", "Skip"), ("stop", "Stop"),
)  # fmt: skip
"""What is said by each button, and the button's words."""

LABEL = "Type it in words or symbols"
SIGNS = (("+", "plus", ""), ("\N{MINUS SIGN}", "minus", ""), ("\N{MULTIPLICATION SIGN}", "times", "multiplied by"),
         ("\N{DIVISION SIGN}", "divided by", ""), ("(", "open bracket", "open parenthesis"),
         (")", "close bracket", "close parenthesis"), ("=", "equals", ""))  # fmt: skip
"""What each key puts in, and its name: British, and American where that is another."""

VOICE = (
    "<div id=voice hidden><span class=bar aria-hidden=true><span id=level></span></span>"
    "<button type=button id=microphone>Use the microphone</button></div>"
)
PERSON = ("Ask for my teacher", "I have asked for my teacher")  # by whether it was
FRACTION = "<span class=over><span>a</span><span>b</span></span>"


def lesson_page(found: dict[str, Any], draft: str = "", trouble: str = "", in_class: bool = False) -> str:
    """The page for a view of the lesson; ``draft`` stands in the field, ``trouble`` says why it still does. In a class
    a person can be asked for."""
    parts: dict[str, str] = found["parts"]
    over: bool = found["over"]
    shown = "".join(
        (
            _held("div", "notices", parts), _held("section", "working", parts, 'aria-label="Your working" tabindex=0'),
            _held("div", "balance", parts), _held("p", "heard", parts), _held("div", "told", parts),
            _held("h1", "question", parts),
        )
    )  # fmt: skip
    body = (
        f"<header><p id=place>{parts['place']}</p>{_settings(found, in_class)}</header>"
        f"<main>{shown}<p id=trouble>{escape(trouble)}</p>{_form(found, draft)}{_after(over)}</main>"
        "<p id=live class=unseen role=status></p>"
    )
    whole = page("Lesson", "lesson", body, "lesson.js", ("base.css", "lesson.css"))
    at = f'data-lesson="{found["lesson"]}" data-turn="{found["turn"]}" data-over="{str(over).lower()}"'
    return whole.replace("<body ", f"<body {at} ", 1)


def _held(tag: str, name: str, parts: dict[str, str], more: str = "") -> str:
    return f"<{tag} id={name} {more}>{parts[name]}</{tag}>"


def _settings(found: dict[str, Any], in_class: bool) -> str:
    asked: bool = found["asked"]
    person = (
        f'<form method=post action=/lesson/ask><button id=ask aria-pressed={str(asked).lower()} data-off="{PERSON[0]}" '
        f'data-on="{PERSON[1]}">{PERSON[asked]}</button></form>'
    )
    return (
        "<div class=settings role=group aria-label='How it looks'>"
        f"{person if in_class else ''}"
        "<button type=button id=larger class=quiet aria-pressed=false hidden>Larger</button>"
        "<button type=button id=spaced class=quiet aria-pressed=false hidden>More space</button>"
        "<form method=post action=/leave><button class=quiet>Leave</button></form></div>"
    )


def _form(found: dict[str, Any], draft: str) -> str:
    letter = escape(found["letter"])
    keys = [f'<button type=button data-put="{letter}" id=letter>{letter}</button>']
    keys += [
        f'<button type=button data-put="{sign}" aria-label="{(found["american"] and other) or name}">{sign}</button>'
        for sign, name, other in SIGNS
    ]
    keys.append(f"<button type=button data-over aria-label=fraction>{FRACTION}</button>")
    ready = "".join(f'<button name=ready value="{said}" formnovalidate>{words}</button>' for said, words in READY)
    return (
        f"<form id=say method=post action=/lesson/say {'hidden' if found['over'] else ''}>"
        f"{hidden(at=found['turn'], lesson=found['lesson'])}"
        f"<div class=over-field><label for=words>{LABEL}</label><span id=look aria-hidden=true></span></div>"
        f'<div class=entry><input id=words name=words value="{escape(draft)}" maxlength=1000 autocomplete=off '
        "autocapitalize=none autocorrect=off spellcheck=false enterkeyhint=send>"
        "<button class=main>Say it</button></div>"
        f"<div class=tools><div class=keys role=group aria-label='Signs' hidden>{''.join(keys)}</div>{VOICE}</div>"
        "<p id=sound-notice class=small hidden></p>"
        f"<div class=ready role=group aria-label='Always there'>"
        f"<span id=answers>{found['parts']['answers']}</span>{ready}</div></form>"
    )


def _after(over: bool) -> str:
    return (
        f"<form id=again method=post action=/lesson/new {'' if over else 'hidden'}>"
        "<button class=main>Another lesson</button></form>"
    )

"""What the lesson's page shows after a turn: fragments of HTML, in the page from the start, renewed by a script.

What is read out by a screen reader is said once, in one place, in the words of the tutor's voice.
"""

import re
from html import escape
from typing import Any

from chattutor.common.mathml import labelled_math
from chattutor.lesson.screen.board_rows import SHOWN, notes
from chattutor.lesson.weighing import weighed
from chattutor.page.balance_drawing import of_equation, of_scene
from chattutor.page.open_lessons import OpenLesson
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Move, Rewrite
from dialogue.tutor import expecting
from dialogue.tutor.activities.balance_scene import LOOSE, RIGHT
from dialogue.tutor.core.state import SCENE, State
from dialogue.verbalising.sayings import Reply
from dialogue.verbalising.speak import AMERICAN, BRITISH, say_expression

SHOWN_ELSEWHERE = {"line", "scene picture"}  # replies that the working or the balance shows instead
WITHOUT_WORKING = {*SCENE, "between", "spot"}  # in the game it is another equation that is looked at
BALANCE_PHASES = {"operations", "first", "move", "mend"}
SIGN = re.compile(" ([=+\N{MINUS SIGN}\N{MULTIPLICATION SIGN}\N{DIVISION SIGN}]) (?=[^ ])")
NO_REPLY = "Take your time."  # silence is answered by nothing
YES_OR_NO = "".join(f'<button name=ready value="{each}">{each.title()}</button>' for each in ("yes", "no"))
OVER = "That was the last one for now. Your work is saved."


def view(lesson: OpenLesson) -> dict[str, Any]:
    """The lesson as it stands, for the page: ``parts`` are HTML by the id of what holds them."""
    state = lesson.turn.state
    replies = [reply for turn in lesson.shown for reply in turn.replies]
    told, asked = _split(replies, state)
    return {
        "lesson": lesson.root,
        "turn": state.turn,
        "over": lesson.over,
        "letter": state.letter,
        "american": state.plan.classroom == "american",
        "asked": lesson.asked is not None,
        "said": None if lesson.said is None else {"text": lesson.said.text, "withheld": lesson.withheld},
        "live": in_one_breath([*lesson.notices, *(each.spoken for each in replies if each.key != "scene picture")]),
        "parts": {
            "place": escape(_place(state)),
            "notices": "".join(f"<p>{escape(text)}</p>" for text in lesson.notices),
            "working": "" if state.phase in WITHOUT_WORKING else working(state),
            "balance": _balance(lesson),
            "heard": _heard(lesson),
            "answers": YES_OR_NO if not lesson.over and expecting(state) == "yesno" else "",
            "told": "".join(f"<p>{_sentence(reply.text)}</p>" for reply in told),
            "question": _sentence(asked.text) if asked is not None else OVER if lesson.over else NO_REPLY,
        },
    }


def _sentence(text: str) -> str:
    """A sentence as HTML; mathematics in it is not broken between two lines."""
    return escape(SIGN.sub("\N{NO-BREAK SPACE}\\1\N{NO-BREAK SPACE}", text))


def in_one_breath(sentences: list[str]) -> str:
    """Sentences to be read out, each with an end that is heard."""
    return " ".join(each if each.endswith((".", "?", "!", ":")) else f"{each}." for each in sentences if each)


def _split(replies: list[Reply], state: State) -> tuple[list[Reply], Reply | None]:
    """What the tutor tells, and what it asks last."""
    spoken = [reply for reply in replies if reply.text and reply.key not in SHOWN_ELSEWHERE]
    if not spoken:
        return [], state.last[-1] if state.last and state.phase != "done" else None
    return spoken[:-1], spoken[-1]


def _place(state: State) -> str:
    if state.phase in SCENE:
        return "A balance"
    number, count = state.numbered
    return f"Equation {number} of {count}" if count else f"Equation {number - (state.phase == 'done')}"


def _heard(lesson: OpenLesson) -> str:
    if lesson.said is None or lesson.withheld or not lesson.said.text:
        return ""
    how = "I heard" if lesson.said.channel == "spoken" else "You said"
    words = f"<span>{how}:</span> <q>{escape(lesson.said.text)}</q>"
    return words if lesson.over else f"{words} <button type=button data-change>Change it</button>"


def _balance(lesson: OpenLesson) -> str:
    state = lesson.turn.state
    if state.phase == "scene tips":
        return of_scene(LOOSE, RIGHT, "neither")
    if state.phase == "scene level":
        return of_scene(0, RIGHT, "right")
    one_sided = state.pending if state.phase == "mend" and isinstance(state.pending, Move) else None
    if state.phase not in BALANCE_PHASES or (one_sided is None and len(state.board) != 1):
        return ""
    return of_equation(weighed(state.equation, one_sided), state.letter)


def working(state: State) -> str:
    """The lines of working as a list, the operation beside both sides of the line that it was done to."""
    steps = [*(line.note for line in state.board[1:]), state.pending]
    last = len(state.board) - 1
    lines = [
        _line(line.equation, done, line.level == SHOWN, place == last, state.plan.classroom == "american")
        for place, (line, done) in enumerate(zip(state.board, steps, strict=True))
    ]
    return f"<ol role=list>{''.join(lines)}</ol>"


def _line(equation: Equation, done: Move | Rewrite | None, shown: bool, now: bool, american: bool) -> str:
    voice = AMERICAN if american else BRITISH
    left, right = (labelled_math(side, say_expression(side, voice)) for side in equation.sides())
    before, after = notes(done)
    current = " aria-current=step" if now else ""
    mark = "<span class=mark>shown</span>" if shown else ""
    return (
        f"<li{current}><span class=before>{escape(before)}</span><span class=left>{left}</span>"
        "<span class=equals><math aria-label=equals><mo lspace=0 rspace=0>=</mo></math></span>"
        f"<span class=right>{right}{mark}</span>"
        f"<span class=after>{escape(after)}</span></li>"
    )

"""The learner page as one HTML file: no script, nothing from outside, readable in grey, pictures told in words too."""

from typing import Any

from chattutor.review.document import rendered
from chattutor.review.learner_page import VALUES
from chattutor.review.learner_text import next_words, said_how, session_name, turn_notes
from chattutor.review.path_picture import path_picture
from chattutor.session_logs.equation_marks import HELP_EVENTS
from chattutor.session_logs.transcript import local

OVERRIDE = (
    "To change how a turn is judged, or add a note: chattutor review DIR --override SESSION TURN JUDGEMENT, --note."
)
HEADS = ("turn", "on", "as heard", "how", "step", "left side", "right side", "judgement", "help", "notes")

MOST_PRINTED = 20  # turns that fit on the sheet beside the report; of more, the moments worth a look
SHEET, LEAST = 465.0, 4  # points of the sheet below its title and above the foot; moments shown at the least
LINE, HEADING, ROW, FRACTION = 10.0, 19.0, 11.0, 5.0  # points a printed line takes, a row of moments, a fraction in it
ACROSS = 95  # letters across half a sheet


def learner_html(page: dict[str, Any]) -> str:
    """The page as text."""
    picture = path_picture(page["path"])
    return rendered(
        "learner.html", title=f"Learner {page['code']}", kind="learner", under=said_how(page), page=page,
        next_words=next_words(page), notes=[f"{local(note['at'])}: {note['text']}" for note in page["notes"]],
        picture=picture, sessions=[_session(session) for session in page["sessions"]], heads=HEADS,
        override=OVERRIDE,
        moments=_moments(page, picture["high"] if picture else 0), printed=page["turns"] <= MOST_PRINTED,
    )  # fmt: skip


def _moments(page: dict[str, Any], picture: float) -> list[dict[str, Any]]:
    """The latest turns worth a look, as many as the sheet has room for below a picture so high: wrong steps, calls for
    help, what was put right unasked, a teacher's word."""
    every = [turn | {"day": local(session["when"])[:10]} for session in page["sessions"] for turn in session["turns"]]
    worth = [
        turn
        for turn in every
        if turn["error"] or turn["event"] in HELP_EVENTS or turn["self_correction"] or turn["overridden"]
    ]
    room = SHEET - picture - _lines_above(page) * LINE - 3 * HEADING
    shown: list[dict[str, Any]] = []
    for turn in reversed(worth):
        room -= ROW + FRACTION * ("/" in turn["line"])
        if room < 0 and len(shown) >= LEAST:
            break
        shown.append(turn)
    return shown[::-1]


def _lines_above(page: dict[str, Any]) -> int:
    """Lines of print that the report takes, of which two parts stand side by side."""
    stuck = 2 * len(page["stuck"][:3]) + bool(page["gained"])
    notes = sum(1 + len(note["text"]) // ACROSS for note in page["notes"])
    seen = sum(
        2 + sum(len(each["line"]) + len(each["said"]) + 9 for each in row["seen"][:4]) // ACROSS
        for row in page["patterns"]
    )
    return max(1, stuck) + max(1, notes, seen)


def _session(session: dict[str, Any]) -> dict[str, Any]:
    turns: list[dict[str, Any]] = []
    before = None
    for turn in session["turns"]:
        placed = turn["event"] in VALUES and bool(turn["left"] or turn["right"])  # the value stands in its side already
        new = before not in {None, turn["task"]}
        question = "" if turn["step"] and not placed else turn["asked"]  # a step says what it is by itself
        turns.append(turn | {"placed": placed, "question": question, "new": new, "notes": "; ".join(turn_notes(turn))})
        before = turn["task"]
    return {"name": session_name(session), "turns": turns}

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
MOMENTS = 22


def learner_html(page: dict[str, Any]) -> str:
    """The page as text."""
    return rendered(
        "learner.html", title=f"Learner {page['code']}", kind="learner", under=said_how(page), page=page,
        next_words=next_words(page), notes=[f"{local(note['at'])}: {note['text']}" for note in page["notes"]],
        picture=path_picture(page["path"]), sessions=[_session(session) for session in page["sessions"]], heads=HEADS,
        override=OVERRIDE, moments=_moments(page), printed=page["turns"] <= MOST_PRINTED,
    )  # fmt: skip


def _moments(page: dict[str, Any]) -> list[dict[str, Any]]:
    """The latest turns worth a look: wrong steps, calls for help, what was put right unasked, a teacher's word."""
    every = [turn | {"day": local(session["when"])[:10]} for session in page["sessions"] for turn in session["turns"]]
    worth = [
        turn
        for turn in every
        if turn["error"] or turn["event"] in HELP_EVENTS or turn["self_correction"] or turn["overridden"]
    ]
    return worth[-MOMENTS:]


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

"""The page's web socket: whatever a page sends, the lesson stands where it stood or one turn on, and can be shown.

Messages as ``chattutor.page.lesson_socket`` takes them, without the network: several in one input, a line each, to one
open lesson. The turn and the lesson that a message names may be those that are open (``AT``, ``ROOT`` stand for them).
"""

import argparse
import json
import tempfile
from pathlib import Path

from harness import instrumented, run

with instrumented("chattutor.page", "chattutor.lesson", "dialogue.tutor"):
    from chattutor.lesson.terminal_lines import cleaned
    from chattutor.page.lesson_socket import as_object, as_typed
    from chattutor.page.lesson_view import view
    from chattutor.page.open_lessons import OpenLessons
    from chattutor.session_logs.reader import read_session
    from dialogue.tutor.core.state import Utterance

FOLDER = tempfile.TemporaryDirectory(prefix="fuzz-socket-")
MOST = 12  # messages in one input
OPTIONS = argparse.Namespace(
    learner=None, equations=None, stage=6, minutes=None, logs=None, seed=1, classroom="british", plain=False,
    large=False, voice=False, model=None, key=[],
)  # fmt: skip
LESSONS = OpenLessons(OPTIONS, Path(FOLDER.name))
DONE = [0]


def one(data: bytes) -> None:
    """Some messages to a lesson of its own."""
    DONE[0] += 1
    code = f"a{DONE[0]}"
    lesson = LESSONS.of(code)
    for raw in data.decode("utf-8", "replace").split("\n")[:MOST]:
        at = lesson.turn.state.turn
        message = as_object(raw.replace('"AT"', str(at)).replace("ROOT", lesson.root))
        text = cleaned(str(message.get("text", "")).encode("utf-8", "replace"))
        match message:
            case {"do": "say", "at": int(where), "lesson": str(root)} if text:
                outcome = lesson.say(Utterance(text), where, root, message.get("instead") is True)
                assert outcome in {"taken", "moved on"}
                assert outcome == "taken" or lesson.turn.state.turn == at
            case {"do": "ask"}:
                lesson.ask()
            case {"do": "look"}:
                as_typed(text, str(message.get("letter", "x")))
        json.dumps(view(lesson))
    lesson.close()
    LESSONS.let_go(-1)
    (log,) = (Path(FOLDER.name) / code).glob("*.jsonl")
    assert read_session(log).problems == (), "the log is whole whatever was sent"
    for path in log.parent.iterdir():
        path.unlink()
    log.parent.rmdir()


def seeds() -> list[bytes]:
    """Lessons as a page holds them."""
    said = ("subtract 2 from both sides", "hint", "x = 4", "undo", "stop")
    lesson = [json.dumps({"do": "say", "text": text, "at": "AT", "lesson": "ROOT"}) for text in said]
    instead = json.dumps({"do": "say", "text": "add 1", "at": "AT", "lesson": "ROOT", "instead": True})
    odd = ["[]", "{}", '{"do": "say"}', '{"do": "say", "text": "3", "at": 10000000000000000000000, "lesson": ""}']
    looks = [json.dumps({"do": "look", "text": "2(x-1)/3 = 4", "letter": "x"}), json.dumps({"do": "ask"})]
    return ["\n".join(lines).encode() for lines in (lesson, [lesson[0], instead, lesson[1]], odd, looks, odd + lesson)]


if __name__ == "__main__":
    run(one, seeds())

"""A typed lesson in the page, in this process: one conversation, one log, whatever the browser does."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from page_clients import ORIGIN, SECRET, browser, options, talk
from starlette.testclient import TestClient, WebSocketTestSession

from chattutor.page.lesson_routes import MOVED_ON, NOTHING_SAID, TOO_FAST
from chattutor.page.server_state import SAY_BURST, Service
from chattutor.page.tokens import Tokens
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.replay import replay
from dialogue.turn_record import Said

pytestmark = pytest.mark.timeout(60)  # waiting for a web socket that never answers would hang

FIRST = ["subtract 2 from both sides", "3x", "12", "divide both sides by 3", "x = 4", "14"]
LetIn = Callable[..., TestClient]


def _log(logs: Path) -> Session:
    (path,) = logs.rglob("*.jsonl")
    return read_session(path)


def _say(socket: WebSocketTestSession, seen: dict[str, Any], text: str, **more: object) -> dict[str, Any]:
    socket.send_json({"do": "say", "text": text, "at": seen["turn"], "lesson": seen["lesson"], **more})
    found: dict[str, Any] = socket.receive_json()
    return found


def test_a_lesson_from_beginning_to_end(let_in: LetIn, logs: Path) -> None:
    with let_in() as client, talk(client) as socket:
        seen = socket.receive_json()
        assert seen["parts"]["place"] == "Equation 1 of 2" and seen["letter"] == "x"
        for text in [*FIRST, "multiply both sides by 4", "n + 6 = 20", "subtract 6", "n = 14", "5"]:
            seen = _say(socket, seen, text)
        assert seen["over"]
    session = _log(logs)
    assert session.sound and session.end is not None and session.end.why == "finished"
    assert [turn.said.text for turn in session.turns if turn.said][: len(FIRST)] == FIRST
    assert all(each.same for each in replay(session, logs))


def test_a_reply_is_on_the_disk_before_it_is_sent(let_in: LetIn, logs: Path) -> None:
    with let_in() as client, talk(client) as socket:
        seen = socket.receive_json()
        for number, text in enumerate(FIRST[:3], 1):
            seen = _say(socket, seen, text)
            session = _log(logs)
            assert (session.turns[number].said or Said()).text == text
            for reply in session.turns[number].replies:
                if reply.key != "line":
                    assert reply.text.replace("'", "&#x27;") in json.dumps(seen["parts"], ensure_ascii=False)


def test_what_arrives_twice_is_taken_once(let_in: LetIn, logs: Path) -> None:
    with let_in() as client, talk(client) as socket:
        opening = socket.receive_json()
        first = _say(socket, opening, FIRST[0])
        again = _say(socket, opening, FIRST[0])
        assert again["turn"] == first["turn"] == 1 and again["said"]["text"] == FIRST[0]
    assert len(_log(logs).turns) == 2


def test_what_is_said_too_late_is_not_taken_for_an_answer_to_another_question(let_in: LetIn, logs: Path) -> None:
    with let_in() as client, talk(client) as one, talk(client) as other:
        opening, _ = one.receive_json(), other.receive_json()
        _say(one, opening, FIRST[0])
        assert other.receive_json()["turn"] == 1  # every window is told
        other.send_json({"do": "say", "text": "stop", "at": 0, "lesson": opening["lesson"]})
        assert other.receive_json()["turn"] == 1
        other.send_json({"do": "say", "text": "stop", "at": 1, "lesson": "another"})
        assert not other.receive_json()["over"]
    assert len(_log(logs).turns) == 2


def test_a_server_that_was_killed_goes_on_with_the_lesson(logs: Path, equations: Path, let_in: LetIn) -> None:
    def server() -> Service:
        return Service(options(equations=equations), logs, Tokens(SECRET))

    before = server()
    client = let_in(of=before)
    with talk(client) as socket:
        seen = socket.receive_json()
        for text in FIRST[:2]:
            seen = _say(socket, seen, text)
    before.lessons.let_go(0.0)  # as a death of the process lets go of the file
    after = browser(server())
    after.cookies = client.cookies  # the cookie of before is good still
    with talk(after) as socket:
        back = socket.receive_json()
        assert (back["lesson"], back["turn"], back["said"]) == (seen["lesson"], 2, {"text": "3x", "withheld": False})
        assert _say(socket, back, "12")["turn"] == 3
    first, second = sorted(map(read_session, logs.rglob("*.jsonl")), key=lambda one: one.header and one.header.created)
    assert first.end is None and second.header is not None and second.header.continues is not None
    assert second.header.continues.id == (first.header and first.header.id)


def test_changing_what_was_said_takes_back_what_it_did(let_in: LetIn, logs: Path) -> None:
    with let_in() as client, talk(client) as socket:
        seen = _say(socket, socket.receive_json(), "subtract 5 from both sides")
        assert re.findall("value=.(yes|no).", seen["parts"]["answers"]) == ["yes", "no"]  # whether to keep that move
        seen = _say(socket, seen, FIRST[0], instead=True)
        assert seen["parts"]["answers"] == ""
        assert seen["turn"] == 3
    said = [turn.said.text for turn in _log(logs).turns if turn.said]
    assert said == ["subtract 5 from both sides", "undo", FIRST[0]]


def test_what_tells_of_distress_is_neither_kept_nor_shown(let_in: LetIn, logs: Path) -> None:
    words = "someone at home is hurting me"
    with let_in() as client, talk(client) as socket:
        seen = _say(socket, socket.receive_json(), words)
        assert seen["said"]["withheld"] and seen["parts"]["heard"] == ""
        assert words not in json.dumps(seen["parts"])
        assert "adult" in seen["live"]
    assert words not in next(logs.rglob("*.jsonl")).read_text("utf-8")


def test_hostile_text_stays_text(let_in: LetIn) -> None:
    words = "<img src=x onerror=alert(1)>\u202e</q><script>alert(2)</script>&amp;"
    with let_in() as client, talk(client) as socket:
        seen = _say(socket, socket.receive_json(), words)
        for html in seen["parts"].values():
            assert "<img" not in html and "<script" not in html and "\u202e" not in html
        assert "&lt;img src=x" in seen["parts"]["heard"]
        page = client.get("/lesson").text
        assert "<img" not in page and "alert(2)</script>" not in page


@pytest.mark.parametrize(
    "message",
    ["", "{", "[]", "null", "7", '{"do": "say"}', '{"do": "say", "text": 7, "at": "0", "lesson": 1}', '{"do": "fly"}',
     '{"do": "say", "text": "stop", "at": 1e9, "lesson": "x"}', '{"do": "look", "text": ["x"], "letter": "<>"}',
     "[" * 9_000, '{"do": "say", "text": "' + "y" * 20_000 + '"}'],
)  # fmt: skip
def test_a_message_that_is_none_changes_nothing(let_in: LetIn, logs: Path, message: str) -> None:
    with let_in() as client, talk(client) as socket:
        seen = socket.receive_json()
        socket.send_text(message)
        answer = _say(socket, seen, FIRST[0])
        while answer["what"] == "look":
            answer = socket.receive_json()
        assert answer["turn"] == 1
    assert len(_log(logs).turns) == 2


def test_more_than_anybody_says_is_slowed_down_and_nothing_is_lost(let_in: LetIn) -> None:
    with let_in() as client, talk(client) as socket:
        seen = socket.receive_json()
        for _ in range(SAY_BURST):
            seen = _say(socket, seen, "repeat")
        refused = _say(socket, seen, "repeat")
        while refused["what"] == "lesson":  # a bucket fills a little meanwhile
            refused = _say(socket, refused, "repeat")
        assert refused == {"what": "refused", "why": TOO_FAST}


def test_what_is_typed_is_shown_as_mathematics(let_in: LetIn) -> None:
    with let_in() as client, talk(client) as socket:
        socket.receive_json()
        for text, part in (("3/4x = 9", "<mfrac>"), ("(x + 1)/2", "<mfrac>"), ("take it off", ""), ("x ÷ 0 = 1", "")):
            socket.send_json({"do": "look", "text": text, "letter": "x"})
            seen = socket.receive_json()
            assert seen["what"] == "look" and part in seen["math"] and bool(part) == bool(seen["math"]), text


def test_the_tutors_words_are_chosen(let_in: LetIn, service: Service, logs: Path) -> None:
    client = let_in()
    assert "open bracket" in client.get("/lesson").text
    client.post("/who", data={"code": "avocet-02", "words": "american"}, headers=ORIGIN)
    page = client.get("/lesson").text
    assert "open parenthesis" in page and "multiplied by" in page and "bracket" not in page
    (path,) = (logs / "avocet-02").glob("*.jsonl")
    assert json.loads(path.read_text("utf-8").splitlines()[0])["plan"]["classroom"] == "american"
    client.post("/who", data={"code": "knot-04", "words": "<b>"}, headers=ORIGIN)
    assert "open parenthesis" in client.get("/lesson").text  # this browser's choice stays
    other = browser(service)
    other.get(f"/teacher?key={service.keys['teacher']}")
    other.post("/teacher/live/words", data={"words": "american"}, headers=ORIGIN)
    assert '<option value="american" selected>' in other.get("/teacher/live").text
    assert "open parenthesis" in let_in("plover-05").get("/lesson").text
    assert "open bracket" in let_in().get("/lesson").text  # what has begun goes on as it was


def test_a_lesson_without_a_script(let_in: LetIn, logs: Path) -> None:
    client = let_in()
    page = client.get("/lesson").text
    for text in FIRST[:2]:
        at, lesson = re.findall(r'name="(?:at|lesson)" value="(\w+)"', page)
        answer = client.post("/lesson/say", data={"words": text, "at": at, "lesson": lesson}, headers=ORIGIN)
        assert (answer.status_code, answer.headers["location"]) == (303, "/lesson")
        page = client.get("/lesson").text
    late = client.post("/lesson/say", data={"words": "12 & so on", "at": "0", "lesson": lesson}, headers=ORIGIN)
    assert MOVED_ON in late.text and 'value="12 &amp; so on"' in late.text
    assert NOTHING_SAID in client.post("/lesson/say", data={"at": "2", "lesson": lesson}, headers=ORIGIN).text
    assert client.post("/lesson/say", data={"ready": "stop", "at": "2", "lesson": lesson}, headers=ORIGIN).is_redirect
    assert [turn.said.text for turn in _log(logs).turns if turn.said] == [*FIRST[:2], "stop"]
    assert client.post("/lesson/new", headers=ORIGIN).is_redirect
    assert len(list(logs.rglob("*.jsonl"))) == 2


def test_a_log_that_cannot_be_written_takes_nothing_and_says_so(
    let_in: LetIn, logs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import os

    with let_in() as client, talk(client) as socket:
        seen = socket.receive_json()
        fsync = os.fsync

        def full(handle: int) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(os, "fsync", full)
        refused = _say(socket, seen, FIRST[0])
        assert refused["what"] == "refused" and "No space left on device" in refused["why"]
        monkeypatch.setattr(os, "fsync", fsync)
        assert _say(socket, seen, FIRST[0])["turn"] == 1
    session = _log(logs)
    assert session.sound and len(session.turns) == 2

"""Who is let in: the right address, the right page, the right cookie; nobody reaches another learner's lesson."""

from collections.abc import Callable
from pathlib import Path

import pytest
from page_clients import HOST, ORIGIN, SECRET, browser, talk
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from chattutor.common.exits import CannotGoOn
from chattutor.common.secret import kept_secret
from chattutor.page.lesson_socket import NOT_LET_IN
from chattutor.page.request_guard import MAX_BODY
from chattutor.page.server_state import COOKIES, Service
from chattutor.page.tokens import HOURS, Tokens, Visitor

pytestmark = pytest.mark.timeout(60)

LetIn = Callable[..., TestClient]
PAGES = ("/", "/lesson", "/static/lesson.js", "/nowhere")


@pytest.mark.parametrize("host", ["rebound.example", "127.0.0.1", "127.0.0.1:1", "localhost", f"{HOST}.example", ""])
@pytest.mark.parametrize("path", PAGES)
def test_only_our_own_address_is_answered(let_in: LetIn, host: str, path: str) -> None:
    assert let_in().get(path, headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", ["http://rebound.example", "null", f"https://{HOST}", "http://127.0.0.1:1", None])
def test_nothing_is_changed_for_another_page(let_in: LetIn, logs: Path, origin: str | None) -> None:
    client, headers = let_in(), {"host": HOST} | ({} if origin is None else {"origin": origin})
    for path in ("/who", "/leave", "/lesson/say", "/lesson/new"):
        assert client.post(path, data={"code": "x"}, headers=headers).status_code == 403
    with pytest.raises(WebSocketDisconnect), client.websocket_connect("/lesson/talk", headers=headers):
        pass
    assert not logs.exists()


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_has_the_policy(let_in: LetIn, path: str) -> None:
    for client in (let_in(), let_in("other")):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self';")
        assert "unsafe" not in policy and "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"


def test_a_long_body_is_refused(let_in: LetIn) -> None:
    client = let_in()
    assert client.post("/who", content=b"x" * (MAX_BODY + 1), headers=ORIGIN).status_code == 413
    pieces = (b"x" * 1_000 for _ in range(MAX_BODY // 1_000 + 2))  # without a length told beforehand
    assert client.post("/who", content=pieces, headers=ORIGIN).status_code == 413


def test_without_the_key_nobody_is_let_in(client: TestClient, service: Service, logs: Path) -> None:
    for path in ("/", "/?key=", "/?key=x", f"/?key={service.keys['teacher']}", "/?key=%C3%A9"):
        assert client.get(path).status_code == 403, path
    assert client.post("/who", data={"code": "heron-03"}, headers=ORIGIN).status_code == 403
    assert client.get("/lesson").headers["location"] == "/"
    with client.websocket_connect("/lesson/talk", headers=ORIGIN) as socket, pytest.raises(WebSocketDisconnect) as end:
        socket.receive_json()
    assert end.value.code == NOT_LET_IN
    assert not logs.exists()


def test_cookies_are_for_us_alone(client: TestClient, service: Service) -> None:
    cookie = client.get(f"/?key={service.keys['here']}").headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie


@pytest.mark.parametrize("code", ["", "a b", "../x", "<b>", "x" * 33, "con", "é"])
def test_a_code_that_is_none_is_asked_for_again(let_in: LetIn, code: str) -> None:
    answer = let_in().post("/who", data={"code": code}, headers=ORIGIN)
    assert answer.status_code == 422
    assert "A learner&#x27;s code is 1 to 32 letters" in answer.text and "<b>" not in answer.text


def test_no_learner_reaches_another(let_in: LetIn, service: Service) -> None:
    mine, theirs = let_in("heron-03"), let_in("avocet-02")
    token = mine.cookies[COOKIES["learner"]]
    body, _, mac = token.rpartition(".")
    _, code, until = body.split(".")
    stolen = [
        f"learner.avocet-02.{until}.{mac}", f"{body}.{'0' * 64}", f"learner.avocet-02.{until}.", "", "...", "é.é.é.é",
        theirs.cookies[COOKIES["here"]], Tokens(bytes(32)).give(Visitor("learner", "avocet-02")),
        Tokens(SECRET, "another class").give(Visitor("learner", "avocet-02")),
        Tokens(SECRET, clock=lambda: 0.0).give(Visitor("learner", "avocet-02")),
    ]  # fmt: skip
    for forged in stolen:
        client = browser(service)
        client.cookies.set(COOKIES["learner"], forged.encode("ascii", "replace").decode())
        assert client.get("/lesson").headers.get("location") == "/", forged
    assert code == "heron-03"
    with talk(mine) as socket:
        lesson = socket.receive_json()["lesson"]
    with talk(theirs) as socket:
        other = socket.receive_json()
        socket.send_json({"do": "say", "text": "stop", "at": 0, "lesson": lesson})
        assert socket.receive_json() == other  # their own lesson, and not moved


def test_tokens_end() -> None:
    now = [1_000.0]
    tokens = Tokens(SECRET, clock=lambda: now[0])
    token = tokens.give(Visitor("learner", "heron-03"))
    now[0] += HOURS * 3600 - 1
    assert tokens.read(token, "learner") == Visitor("learner", "heron-03")
    assert tokens.read(token, "teacher") is None
    now[0] += 2
    assert tokens.read(token, "learner") is None


def test_the_secret_is_kept_for_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "own" / "page.key"
    secret = kept_secret(path)
    assert len(secret) == 32 and kept_secret(path) == secret
    assert path.stat().st_mode & 0o777 == 0o600
    path.write_bytes(b"short")
    assert len(kept_secret(path)) == 32
    with pytest.raises(CannotGoOn, match="cannot be kept"):
        kept_secret(tmp_path / "own" / "page.key" / "deeper")


def test_the_address_never_holds_a_code(let_in: LetIn) -> None:
    client = let_in()
    for path in ("/", "/who"):
        answer = client.get(path) if path == "/" else client.post(path, data={"code": "heron-03"}, headers=ORIGIN)
        assert "heron" not in answer.headers.get("location", "")

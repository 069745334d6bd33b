"""A class that joins over the network: who is let in, what of the teacher's is out of reach, who is at work."""

import re
import signal
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from browser import axe, needs_chromium
from page_clients import HOST, SECRET, browser, options, talk
from playwright.sync_api import Browser, expect
from served import Served, say
from starlette.testclient import TestClient

from chattutor.page.app import application
from chattutor.page.classroom import DEVICE_TRIES, TRIES, Classroom
from chattutor.page.server_state import Service
from chattutor.page.sign_in import TOO_MANY, WRONG
from chattutor.page.tokens import Tokens, Visitor

pytestmark = pytest.mark.timeout(120)

CLASS = "127.0.0.2:8322"
HEADERS = {"origin": f"http://{CLASS}", "host": CLASS}
KEY = "code,givenName,familyName,sourcedId\nheron-03,Ada,Invented,u1\navocet-02,Ben,Invented,u2\n"
DAY = date(2026, 11, 29)


@pytest.fixture
def room(tmp_path: Path) -> Classroom:
    """A class with a list of two."""
    key = tmp_path / "7b.csv"
    key.write_text(KEY, "utf-8")
    return Classroom(SECRET, frozenset({f"http://{CLASS}"}), (key,), lambda: DAY)


@pytest.fixture
def service(logs: Path, equations: Path, room: Classroom) -> Service:
    """A server for that class."""
    given = options(equations=equations, key=list(room.keys))
    return Service(given, logs, Tokens(SECRET, room.join), room)


def _device(service: Service) -> TestClient:
    """A tablet on the class's network."""
    app = application(service, [f"http://{HOST}", f"http://{CLASS}"])
    return TestClient(app, f"http://{CLASS}", follow_redirects=False)


def _join(device: TestClient, room: Classroom, **other: str) -> int:
    form = {"join": room.join, "code": "heron-03", "pin": room.pin("heron-03")} | other
    return device.post("/join", data=form, headers=HEADERS).status_code


def test_a_learner_joins_with_code_and_pin(service: Service, room: Classroom) -> None:
    device = _device(service)
    page = device.get("/").text
    assert "not encrypted: others on this network could read" in page
    assert _join(device, room, join=f" {room.join.upper()} ") == 303
    lesson = device.get("/lesson").text
    assert "3x" in re.sub(r"<[^>]+>", "", lesson).replace("\N{INVISIBLE TIMES}", "") and "Ask for my teacher" in lesson


@pytest.mark.parametrize(
    "other",
    [{"join": "wrong1"}, {"pin": "0000"}, {"pin": ""}, {"pin": "é"}, {"code": "nobody-01"}, {"code": "avocet-02"}],
)
def test_nobody_joins_without_all_three(service: Service, room: Classroom, other: dict[str, str]) -> None:
    device = _device(service)
    answer = device.post("/join", data={"join": room.join, "code": "heron-03", "pin": room.pin("heron-03")} | other,
                         headers=HEADERS)  # fmt: skip
    assert answer.status_code == 403 and WRONG in answer.text
    assert room.pin("heron-03") not in answer.text  # a PIN is never shown again
    assert device.get("/lesson").headers["location"] == "/"


def test_a_learner_who_is_in_no_list_cannot_join_even_with_the_right_pin(service: Service, room: Classroom) -> None:
    assert _join(_device(service), room, code="nobody-01", pin=room.pin("nobody-01")) == 403
    anybody = Classroom(SECRET, room.origins, (), room.today)
    assert anybody.lets_in(anybody.join, "nobody-01", anybody.pin("nobody-01"))


def test_pins_are_not_guessed(service: Service, room: Classroom) -> None:
    device = _device(service)
    given = [_join(device, room, pin=f"{number:04}") for number in range(TRIES)]
    assert set(given) == {403}
    answer = device.post("/join", data={"code": "heron-03"}, headers=HEADERS)
    assert answer.status_code == 429 and TOO_MANY in answer.text
    assert _join(device, room) == 429  # not even the right one, for a while
    others = [_join(device, room, code=f"code-{number}") for number in range(DEVICE_TRIES)]
    assert others[-1] == 429  # nor by going from code to code


def test_join_code_and_pins_are_the_days_and_the_computers(room: Classroom) -> None:
    again = Classroom(SECRET, today=lambda: DAY)
    assert (again.join, again.pin("heron-03")) == (room.join, room.pin("heron-03"))
    tomorrow = Classroom(SECRET, today=lambda: date(2026, 11, 30))
    assert tomorrow.join != room.join and tomorrow.pin("heron-03") == room.pin("heron-03")
    elsewhere = Classroom(bytes(32), today=lambda: DAY)
    assert elsewhere.join != room.join and elsewhere.pin("heron-03") != room.pin("heron-03")
    pins = {room.pin(f"code-{number}") for number in range(500)}
    assert len(pins) > 450 and all(re.fullmatch(r"\d{4}", pin) for pin in pins)


@pytest.mark.parametrize("path", ["/teacher", "/teacher/live", "/teacher/live/pins", "/teacher/class.csv",
                                  "/teacher/learner/heron-03", "/teacher/equations"])  # fmt: skip
def test_nothing_of_the_teachers_is_on_the_network(service: Service, room: Classroom, path: str) -> None:
    device = _device(service)
    _join(device, room)
    device.cookies.set("tutor-teacher", service.tokens.give(Visitor("teacher")))  # even with the teacher's own cookie
    device.cookies.set("tutor-here", service.tokens.give(Visitor("here")))
    assert device.get(path).status_code == 403
    assert device.get(f"/teacher?key={service.keys['teacher']}").status_code == 403
    assert "Join the lesson" in _device(service).get(f"/?key={service.keys['here']}").text


def test_a_device_does_not_choose_who_it_is(service: Service, room: Classroom) -> None:
    device = _device(service)
    _join(device, room)
    answer = device.post("/who", data={"code": "avocet-02"}, headers=HEADERS)
    assert answer.status_code == 403
    assert browser(service).post("/join", data={}, headers={"origin": f"http://{HOST}"}).status_code == 403


def _live(service: Service) -> TestClient:
    teacher = browser(service, f"http://{CLASS}")
    teacher.get(f"/teacher?key={service.keys['teacher']}")
    return teacher


def test_the_list_shows_who_is_where_and_who_asks_and_nothing_more(service: Service, room: Classroom) -> None:
    teacher, device = _live(service), _device(service)
    assert "Nobody is working now" in teacher.get("/teacher/live").text
    _join(device, room)
    cookies = "; ".join(f"{name}={value}" for name, value in device.cookies.items())
    with (
        device,
        device.websocket_connect("/lesson/talk", headers=HEADERS | {"cookie": cookies}) as socket,
    ):
        seen = socket.receive_json()
        socket.send_json({"do": "say", "text": "3x = 16", "at": seen["turn"], "lesson": seen["lesson"]})
        socket.receive_json()
        rows = teacher.get("/teacher/live/rows").text
        assert ">Ada Invented (heron-03)<" in rows and "<math" in rows and "asks" not in rows
        assert "3x = 16" not in rows  # what was said is for later
        socket.send_json({"do": "ask"})
        assert socket.receive_json()["asked"] is True
        assert "<tr class=asks>" in teacher.get("/teacher/live/rows").text
        done = teacher.post("/teacher/live/seen", data={"learner": "heron-03"}, headers={"origin": f"http://{HOST}"})
        assert done.status_code == 303
        assert "asks" not in teacher.get("/teacher/live/rows").text
    assert "Nobody is working now" in teacher.get("/teacher/live/rows").text


def test_pins_are_handed_out_by_the_list(service: Service, room: Classroom) -> None:
    text = _live(service).get("/teacher/live/pins").text
    for code, name in (("heron-03", "Ada Invented"), ("avocet-02", "Ben Invented")):
        assert f"{name}</th><td>{code}</td><td>{room.pin(code)}<" in text


def test_a_cookie_of_another_day_is_none(service: Service, room: Classroom) -> None:
    tomorrow = Tokens(SECRET, Classroom(SECRET, today=lambda: date(2026, 11, 30)).join)
    assert service.tokens.read(tomorrow.give(Visitor("learner", "heron-03")), "learner") is None


def test_without_a_class_there_is_no_joining(let_in: Callable[..., TestClient], logs: Path) -> None:
    alone = Service(options(), logs, Tokens(SECRET))
    client = let_in(of=alone)
    assert client.post("/join", data={}, headers={"origin": f"http://{HOST}"}).status_code == 403
    with talk(client) as socket:
        assert socket.receive_json()["asked"] is False


@needs_chromium
def test_a_tablet_joins_and_the_teacher_sees_it(chromium: Browser, tmp_path: Path) -> None:
    words = ("--class", "--at", "127.0.0.2", "--class-port", "0", "--stage", "6", "--seed", "1")
    with Served(tmp_path / "logs", *words) as served:
        teacher = chromium.new_context().new_page()
        teacher.goto(served.teacher)
        teacher.click("a[href='/teacher/live']")
        address, join = teacher.locator(".join b").all_text_contents()
        teacher.click("a[href='/teacher/live/pins']")
        teacher.fill("[name=code]", "heron-03")
        teacher.click("text=Show the PIN")
        pin = teacher.locator("td").nth(1).text_content() or ""
        tablet = chromium.new_context(viewport={"width": 820, "height": 1180}, has_touch=True).new_page()
        assert axe(teacher)["faults"] == []
        tablet.goto(address)
        assert axe(tablet)["faults"] == []
        for name, value in (("join", join), ("code", "heron-03"), ("pin", pin)):
            tablet.fill(f"#{name}", value)
        tablet.press("#pin", "Enter")
        tablet.wait_for_selector("html.scripted #question")
        say(tablet, "hint")
        tablet.click("#ask")
        expect(tablet.locator("#ask")).to_have_text("I have asked for my teacher")
        expect(tablet.locator("#ask")).to_have_attribute("aria-pressed", "true")
        teacher.click("a[href='/teacher/live']")
        expect(teacher.locator("tr.asks th")).to_have_text("asks for a person: heron-03")
        assert axe(teacher)["faults"] == axe(tablet)["faults"] == []
        teacher.set_viewport_size({"width": 390, "height": 740})
        box = teacher.locator("text=Seen to").bounding_box()
        assert box is not None and 0 <= box["x"] < box["x"] + box["width"] <= 390  # in sight on a small window
        assert axe(teacher)["faults"] == []
        teacher.click("text=Seen to")
        expect(tablet.locator("#ask")).to_have_attribute("aria-pressed", "false", timeout=10_000)
        served.process.send_signal(signal.SIGTERM)
        assert served.process.wait(15) is not None
        tablet.wait_for_selector("body.lost")
        for page in (teacher, tablet):
            page.context.close()

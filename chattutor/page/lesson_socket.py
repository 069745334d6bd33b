"""The lesson over a web socket: what the learner says comes in, the lesson as it then stands goes out.

From the page, one JSON object each::

    {"do": "say", "text", "at": turn, "lesson": id, "instead": bool?}    said at this turn of this lesson
    {"do": "look", "text"}                                              how would this be read?
    {"do": "ask"}                                                       a person is asked for, or no more

To the page::

    {"what": "lesson", ...}          the lesson as it stands (``lesson_view.view``); after every turn, in every window
    {"what": "refused", "why"}       not taken; what was said stays with the page
    {"what": "look", "text", "math"} what was typed, as mathematics; empty where it is none

A reply is on the disk before it is sent. A page that was cut off says again what it has no answer to, with the turn
that it was said at, and so it is taken once.
"""

import json
from contextlib import suppress
from typing import Any

import anyio
from anyio import to_thread
from starlette.routing import WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from chattutor.common.exits import CannotGoOn
from chattutor.common.mathml import equation_math, expression_math
from chattutor.lesson.terminal_lines import cleaned
from chattutor.page.lesson_routes import TOO_FAST
from chattutor.page.lesson_view import view
from chattutor.page.open_lessons import OpenLesson
from chattutor.page.server_state import Service
from chattutor.page.subscribers import CHANGED, Mailbox, post
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.tutor.core.state import Utterance

NOT_LET_IN, TOO_MANY, NO_LESSON = 4401, 4429, 4503  # close codes, of the range left to applications (RFC 6455, 7.4.2)
GONE = (WebSocketDisconnect, RuntimeError)  # RuntimeError: starlette's, once it has noticed by itself
MOST_LOOKED_AT = 200  # characters
MOST_MESSAGE = 16_384  # characters of one message


def talk_route(service: Service) -> WebSocketRoute:
    """The route."""

    async def talk(socket: WebSocket) -> None:
        with suppress(*GONE):
            await _talk(service, socket)

    return WebSocketRoute("/lesson/talk", talk)


async def _talk(service: Service, socket: WebSocket) -> None:
    await socket.accept()
    code = service.learner(socket)
    if code is None:
        await socket.close(NOT_LET_IN)
        return
    box = service.subscribers.join(code)
    if box is None:
        await socket.close(TOO_MANY)
        return
    try:
        await _Window(service, socket, code, box).hold()
    except CannotGoOn as trouble:
        await socket.send_json({"what": "refused", "why": trouble.sentence})
        await socket.close(NO_LESSON)
    finally:
        service.subscribers.leave(code, box)


class _Window:
    """One open page of a learner."""

    def __init__(self, service: Service, socket: WebSocket, code: str, box: Mailbox) -> None:
        self._service, self._socket, self._code, self._box = service, socket, code, box

    async def hold(self) -> None:
        """Until it is closed. Raises CannotGoOn where there can be no lesson."""
        await to_thread.run_sync(self._service.opened, self._socket, self._code)
        post(self._box, CHANGED)
        async with anyio.create_task_group() as both:
            both.start_soon(self._send, both)
            try:
                while True:
                    text = await self._socket.receive_text()
                    await self._take(text)
            except (*GONE, KeyError):  # KeyError: bytes, where only text is spoken
                both.cancel_scope.cancel()

    async def _send(self, both: anyio.abc.TaskGroup) -> None:
        while (message := await self._box.get()) is not None:
            try:
                await self._socket.send_json(await self._as_it_stands() if message is CHANGED else message)
            except GONE:
                break
            except CannotGoOn as trouble:
                post(self._box, {"what": "refused", "why": trouble.sentence})
        both.cancel_scope.cancel()

    async def _as_it_stands(self) -> dict[str, Any]:
        lesson = await to_thread.run_sync(self._service.lessons.of, self._code)
        return await to_thread.run_sync(_seen, lesson)

    async def _take(self, raw: str) -> None:
        message = as_object(raw)
        text = cleaned(str(message.get("text", "")).encode("utf-8", "replace"))
        match message:
            case {"do": "say", "at": int(at), "lesson": str(root)} if text:
                await self._say(text, at, root, message.get("instead") is True)
            case {"do": "ask"} if self._service.turns.allow(self._code):
                lesson = await to_thread.run_sync(self._service.lessons.of, self._code)
                lesson.ask()
                self._service.changed(lesson)
            case {"do": "look"} if self._service.looks.allow(self._code):
                letter = str(message.get("letter", "x"))
                post(self._box, {"what": "look", "text": message.get("text"), "math": as_typed(text, letter)})

    async def _say(self, text: str, at: int, root: str, instead: bool) -> None:
        if not self._service.turns.allow(self._code):
            post(self._box, {"what": "refused", "why": TOO_FAST})
            return
        try:
            lesson = await to_thread.run_sync(self._service.lessons.of, self._code)
            outcome = await to_thread.run_sync(lesson.say, Utterance(text), at, root, instead)
        except CannotGoOn as trouble:
            post(self._box, {"what": "refused", "why": trouble.sentence})
            return
        if outcome == "taken":
            self._service.typed(lesson)
        else:
            post(self._box, CHANGED)


def _seen(lesson: OpenLesson) -> dict[str, Any]:
    with lesson.lock:
        return {"what": "lesson", **view(lesson)}


def as_object(raw: str) -> dict[str, Any]:
    """A message of the page; nothing where it is none."""
    if len(raw) > MOST_MESSAGE:
        return {}
    try:
        given = json.loads(raw)
    except (ValueError, RecursionError):
        return {}
    return given if isinstance(given, dict) else {}


def as_typed(text: str, letter: str) -> str:
    """What was typed as mathematics, for the learner to see how it is read; empty where it is none."""
    if not text or len(text) > MOST_LOOKED_AT or len(letter) != 1 or not any(each in text for each in "/=*()÷×"):
        return ""
    try:
        return equation_math(read_equation(text)) if "=" in text else expression_math(read_expression(text, letter))
    except Refusal:
        return ""

"""The web socket of the voice, open for as long as the microphone is on.

From the page: sound, as 16-bit samples at 16 kHz, and ``{"do": "began"|"played", "id"}`` of the tutor's sentences and
``{"do": "hush"}``. To the page: ``{"what": "sound", "id"}`` followed by a WAV file, ``{"what": "hush"}``,
``{"what": "voice", "state": "preparing|speaking|listening|off"}`` and ``{"what": "notice", "text"}``. Sound is
forgotten once it is understood.
"""

import asyncio
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from anyio import to_thread
from starlette.routing import WebSocketRoute
from starlette.websockets import WebSocket

from chattutor.common.exits import CannotGoOn
from chattutor.lesson.voice.voice_setup import missing_packages
from chattutor.page.lesson_socket import GONE, NO_LESSON, NOT_LET_IN, TOO_MANY, as_object
from chattutor.page.server_state import Service

if TYPE_CHECKING:
    from chattutor.page.shared_hearing import SharedHearing

BUSY = "{count} learners are speaking with this computer now, as many as it can hear at once. Type for now."
MOST_SHARED = 40  # voices that one recogniser hears: a class, half a processor in all (bench_page_voices.py)
MOST_ALONE = 3  # each has a recogniser of its own, of 100 to 200 MB
MISSING = 'Sound needs more packages: pip install "chattutor[voice]" ({package})'
MOST_BLOCK = 32_768  # bytes: a second of sound


def voice_route(service: Service) -> WebSocketRoute:
    """The route."""

    async def voice(socket: WebSocket) -> None:
        with suppress(*GONE):
            await _voice(service, socket)

    return WebSocketRoute("/lesson/voice", voice)


async def _voice(service: Service, socket: WebSocket) -> None:
    await socket.accept()
    code = service.learner(socket)
    if code is None:
        await socket.close(NOT_LET_IN)
        return
    if service.voices.get(code) is not None:  # of another window
        await socket.close(TOO_MANY)
        return
    if missing := missing_packages():
        await socket.send_json({"what": "notice", "text": MISSING.format(package=missing[0])})
        await socket.close(NO_LESSON)
        return
    shared = await to_thread.run_sync(_hearing, service)
    most = service.options.voices or (MOST_ALONE if shared is None else MOST_SHARED)
    if len(service.voices) >= most:
        await socket.send_json({"what": "notice", "text": BUSY.format(count=most)})
        await socket.close(NO_LESSON)
        return
    try:
        await _hold(service, socket, code)
    except CannotGoOn as trouble:
        await socket.send_json({"what": "notice", "text": trouble.sentence})
        await socket.close(NO_LESSON)


def _hearing(service: Service) -> "SharedHearing | None":
    """The recogniser that all share: the one that comes with its model, unless another was asked for."""
    from chattutor.page.shared_hearing import SharedHearing
    from speech.recognition.moonshine.model_files import availability

    if service.hearing is None and service.options.model is None and availability().ok:
        service.hearing = SharedHearing()
    return service.hearing


async def _hold(service: Service, socket: WebSocket, code: str) -> None:
    from chattutor.page.spoken_lesson import SpokenLesson

    lesson = await to_thread.run_sync(service.lessons.of, code)
    loop = asyncio.get_running_loop()
    out: asyncio.Queue[dict[str, Any] | bytes] = asyncio.Queue()

    def send(message: dict[str, Any] | bytes) -> None:
        loop.call_soon_threadsafe(out.put_nowait, message)

    def changed() -> None:
        loop.call_soon_threadsafe(service.changed, lesson)

    spoken = SpokenLesson(lesson, send, changed, service.options, service.hearing)
    service.voices[code] = spoken
    sending = asyncio.create_task(_send(socket, out))
    try:
        spoken.start()
        await _receive(socket, spoken)
    finally:
        service.voices.pop(code, None)
        spoken.end()
        sending.cancel()


async def _send(socket: WebSocket, out: "asyncio.Queue[dict[str, Any] | bytes]") -> None:
    try:
        while True:
            message = await out.get()
            await (socket.send_bytes(message) if isinstance(message, bytes) else socket.send_json(message))
    except GONE:  # who receives finds out too
        return


async def _receive(socket: WebSocket, spoken: Any) -> None:
    while True:
        message = await socket.receive()
        if message["type"] == "websocket.disconnect":
            return
        if (data := message.get("bytes")) is not None:
            if len(data) <= MOST_BLOCK:
                spoken.microphone.put(data)
            continue
        told = as_object(message.get("text") or "")
        if told.get("do") == "hush":
            spoken.hush()
        else:
            spoken.loudspeaker.told(told.get("do"), told.get("id"))

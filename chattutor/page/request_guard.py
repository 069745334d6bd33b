"""What every request passes: the right Host and Origin, a bounded body, not too many; and the headers of every answer.

Host is checked against rebinding (a name elsewhere made to point here); Origin keeps other pages in the same browser
from speaking for the learner: OWASP, Cross-Site Request Forgery Prevention, "verifying origin"; W3C, CSP Level 3.
"""

import time
from collections import OrderedDict
from collections.abc import Callable, Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

BURST, RATE = 300, 40  # requests of one address at once, and a second; a page asks for some fifteen
MOST_KEPT = 1_000  # visitors whose asking is counted; the one longest unused is dropped
MAX_BODY = 65_536  # bytes; a form with a set of equations needs some thousands
SAFE = frozenset({"GET", "HEAD"})
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; media-src 'self' blob:; "
    "connect-src 'self' {sockets}; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with none at all, browsers send no Origin with a form
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(self)",
    "Cache-Control": "no-store",
}
ELSEWHERE = "The tutor does not answer at this address. Open the one in the window where chattutor runs."
NOT_OURS = "This did not come from the tutor's own page. Load that page again."
TOO_MANY = "That was too much at once. Wait a moment, then load the page again."
TOO_LONG = "That is too long. Make it shorter."


def origin_of(scope: Scope) -> str:
    """The origin that a request came to, by its Host: what a page there has for its own (RFC 6454)."""
    secure = scope["scheme"] in {"https", "wss"}
    return f"{'https' if secure else 'http'}://{Headers(scope=scope).get('host', '')}"


class Guard:
    """Around an application: answers only at these ``origins``, such as ``http://127.0.0.1:8321``."""

    def __init__(self, app: ASGIApp, origins: Iterable[str]) -> None:
        self._app = app
        self._origins = frozenset(origins)
        self._rates = Rates(BURST, RATE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass it on."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        device = (scope.get("client") or ("",))[0]
        if not self._rates.allow(device):
            await self._refuse(scope, receive, send, TOO_MANY, 429)
        elif (refused := self._refused(scope, headers)) is not None:
            await self._refuse(scope, receive, send, *refused)
        elif scope["type"] == "websocket":
            await self._app(scope, receive, send)
        else:
            await self._answer(scope, receive, send)

    def _refused(self, scope: Scope, headers: Headers) -> tuple[str, int] | None:
        here = origin_of(scope)
        if here not in self._origins:
            return ELSEWHERE, 421
        changes = scope["type"] == "websocket" or scope["method"] not in SAFE
        if changes and headers.get("origin") != here:
            return NOT_OURS, 403
        size = headers.get("content-length", "0")
        return (TOO_LONG, 413) if not size.isdecimal() or int(size) > MAX_BODY else None

    async def _refuse(self, scope: Scope, receive: Receive, send: Send, why: str, status: int) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": why})
            return
        await PlainTextResponse(why, status, HEADERS)(scope, receive, send)

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        body = await _whole(receive)
        if body is None:
            await self._refuse(scope, receive, send, TOO_LONG, 413)
            return
        left = [body]
        policy = POLICY.format(sockets=origin_of(scope).replace("http", "ws", 1))

        async def again() -> Message:
            return {"type": "http.request", "body": left.pop()} if left else await receive()

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.setdefault("Content-Security-Policy", policy)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        await self._app(scope, again, with_headers)


async def _whole(receive: Receive) -> bytes | None:
    """The whole body, or None where it is past the bound, whatever length was told beforehand."""
    body: bytes = b""
    while True:
        message = await receive()
        body += bytes(message.get("body", b""))
        if len(body) > MAX_BODY:
            return None
        if not message.get("more_body"):
            return body


class Rates:
    """How much one visitor may ask for: ``burst`` at once, ``rate`` a second after that, for each name."""

    def __init__(self, burst: float, rate: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._burst, self._rate, self._clock = burst, rate, clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allow(self, name: str, cost: float = 1.0) -> bool:
        """Whether one more fits, which is then counted."""
        now = self._clock()
        left, since = self._buckets.pop(name, (self._burst, now))
        left = min(self._burst, left + (now - since) * self._rate)
        allowed = left >= cost
        self._buckets[name] = (left - cost if allowed else left, now)
        while len(self._buckets) > MOST_KEPT:
            self._buckets.popitem(last=False)
        return allowed

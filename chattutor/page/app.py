"""The application that the server runs: routes, static files, and what happens at its start and its end."""

import asyncio
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager, suppress
from importlib.resources import files

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from chattutor.page.equation_routes import equation_routes
from chattutor.page.lesson_routes import lesson_routes
from chattutor.page.lesson_socket import talk_route
from chattutor.page.live_routes import live_routes
from chattutor.page.marking_routes import marking_routes
from chattutor.page.markup import message
from chattutor.page.record_routes import record_routes
from chattutor.page.request_guard import Guard
from chattutor.page.server_state import Service
from chattutor.page.sign_in import entrance_routes
from chattutor.page.teacher_routes import teacher_routes
from chattutor.page.tomorrow_routes import tomorrow_routes
from chattutor.page.voice_route import voice_route
from dialogue.understanding.interpret import warm

KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
BROKEN = "Something went wrong", "This is a fault in the program. Nothing you said or wrote is lost."
IDLE = 1_800.0  # seconds after which a lesson that no window looks at is let go
LOOK = 60.0  # seconds between two looks for such lessons


def application(service: Service, origins: Iterable[str]) -> ASGIApp:
    """The whole application, at these origins."""
    routes = [
        *entrance_routes(service),
        *lesson_routes(service),
        talk_route(service),
        voice_route(service),
        *teacher_routes(service),
        *equation_routes(service),
        *live_routes(service),
        *tomorrow_routes(service),
        *marking_routes(service),
        *record_routes(service),
        static_route(),
    ]
    inner = Starlette(
        routes=routes, lifespan=lambda app: _life(service), exception_handlers={404: _not_found, 500: _broken}
    )
    return Guard(inner, origins)


def static_route() -> Route:
    """Scripts, style sheets and the icon, read once."""
    folder = files("chattutor.page").joinpath("static")
    kept = {
        entry.name: (entry.read_bytes(), KINDS[suffix])
        for entry in folder.iterdir()
        if (suffix := f".{entry.name.rpartition('.')[2]}") in KINDS
    }

    async def static(request: Request) -> Response:
        found = kept.get(request.path_params["name"])
        if found is None:
            return await _not_found(request, None)
        return Response(found[0], media_type=found[1])

    return Route("/static/{name}", static)


async def _not_found(request: Request, error: object) -> Response:
    return HTMLResponse(message("There is nothing here", "This page does not exist.", "To the start page"), 404)


async def _broken(request: Request, error: object) -> Response:
    return HTMLResponse(message(*BROKEN, "Try again", "/"), 500)


@asynccontextmanager
async def _life(service: Service) -> AsyncIterator[None]:
    warming = asyncio.create_task(run_in_threadpool(warm))  # builds the grammar of what can be said
    looking = asyncio.create_task(_let_go(service))
    try:
        yield
    finally:
        looking.cancel()
        with suppress(asyncio.CancelledError):
            await looking
        await warming
        if service.hearing is not None:
            service.hearing.close()
        service.lessons.let_go(0.0)  # each can be resumed


async def _let_go(service: Service) -> None:
    while True:
        await asyncio.sleep(LOOK)
        await run_in_threadpool(service.lessons.let_go, IDLE, service.subscribers.watched)

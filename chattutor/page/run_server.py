"""Running the server: its ports, its addresses, its browser, its end. A class is served at addresses of its own."""

import argparse
import asyncio
import contextlib
import socket
import ssl
import sys
import webbrowser
from collections.abc import Iterator
from pathlib import Path
from threading import Timer

import uvicorn
from starlette.types import ASGIApp

from chattutor.common.exits import CannotGoOn, reason
from chattutor.common.secret import kept_secret
from chattutor.exchange.name_list import names_in
from chattutor.lesson.session_setup import plan_asked_for
from chattutor.page.app import application
from chattutor.page.classroom import Classroom
from chattutor.page.server_state import Service
from chattutor.page.tokens import Tokens
from chattutor.session_logs.folder import default_folder, own_folder
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.next_lesson import rows_by_code

HERE = "127.0.0.1"
ANYWHERE = "192.0.2.1"  # an address for documentation (RFC 5737): asking for the way there sends nothing
TAKEN = "The page cannot be served at {at}: {reason}. Another chattutor page may be open; --port chooses another port."
AT = """\
The lesson:            http://{host}/?key={here}
The teacher's pages:   http://{host}/teacher?key={teacher}
Keep this window open. Ctrl-C here ends it; an open lesson can be resumed later."""
FOR_A_CLASS = """\
For the class:         {address}
Today's join code:     {join}
PINs are on the teacher's page, under Now. {wire}"""
OPEN_WIRE = "Without --encrypt or --certificate others on the network can read what is sent, and microphones stay off."
CLOSED_WIRE = "The connection is encrypted."
NO_WAY = "This computer is not on a network. Connect it, or name one of its addresses with --at."
NO_CERTIFICATE = "The certificate {path} and its key cannot be used: {reason}. --certificate-key names the key."
NO_MAKER = "Making certificates needs one more package: pip install cryptography ({package})."
TRUST = "Each device must trust this file once a term; it works on this network only: {authority}"
MAX_SOCKET_MESSAGE = 65_536  # bytes
MOST_AT_ONCE = 400  # connections
SECONDS_TO_END = 3


class _Server(uvicorn.Server):
    """One of several: signals are for whoever runs them all."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave them."""
        yield


def serve(args: argparse.Namespace) -> int:
    """Serve until it is ended by a key or a signal; the exit code. Raises CannotGoOn."""
    _look_over(args)
    secret = kept_secret(own_folder() / "page.key")
    sockets = [_bound(HERE, args.port)]
    port = sockets[0].getsockname()[1]
    room = None
    if args.for_class:
        at = args.at or _own_address()
        sockets.append(_bound(at, args.class_port if args.class_port is not None else port + 1))
        if args.encrypt:
            _encrypted(args, at)
        elif args.certificate:
            _usable(args.certificate, args.certificate_key)
        scheme = "https" if args.certificate else "http"
        room = Classroom(secret, frozenset({f"{scheme}://{at}:{sockets[1].getsockname()[1]}"}), tuple(args.key))
    tokens = Tokens(secret, room.join if room is not None else "")
    service = Service(args, args.logs or default_folder(), tokens, room)
    own = [f"http://{name}:{port}" for name in (HERE, "localhost")]
    app = application(service, [*own, *(room.origins if room is not None else ())])
    print(AT.format(host=f"{HERE}:{port}", **service.keys), flush=True)
    if room is not None:
        (address,) = room.origins
        print(FOR_A_CLASS.format(address=address, join=room.join, wire=CLOSED_WIRE if args.certificate else OPEN_WIRE))
    sys.stdout.flush()
    if args.browser:
        Timer(0.3, webbrowser.open, (f"{own[0]}/?key={service.keys['here']}",)).start()
    inside = _config(app)
    if room is None:
        uvicorn.Server(inside).run(sockets=sockets)
    else:
        outside = _config(app, False, args.certificate, args.certificate_key)
        asyncio.run(_both(uvicorn.Server(inside), _Server(outside), sockets))
    print(file=sys.stderr)
    return 0


async def _both(inside: uvicorn.Server, outside: _Server, sockets: list[socket.socket]) -> None:
    """Two servers of one application; whatever ends the first ends the second."""
    other = asyncio.create_task(outside.serve(sockets=sockets[1:]))
    try:
        await inside.serve(sockets=sockets[:1])
    finally:
        outside.should_exit = True
        await other


def _look_over(args: argparse.Namespace) -> None:
    """Find now what would fail at the first lesson: codes, equations or keys that cannot be used. Raises CannotGoOn."""
    if args.learner is not None:
        learner_code(args.learner)
    if args.learner is not None or args.equations is None or rows_by_code(args.equations) is None:
        plan_asked_for(args, args.learner or "")  # a table with codes has equations for some learners alone
    for key in args.key:
        told = names_in(key).told
        if told:
            print(told, file=sys.stderr)


def _usable(certificate: Path, key: Path | None) -> None:
    """Raises CannotGoOn where the certificate and its key cannot be used."""
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(certificate, key)
    except OSError as error:  # ssl's own errors are of this class
        raise CannotGoOn(NO_CERTIFICATE.format(path=certificate, reason=reason(error))) from error


def _encrypted(args: argparse.Namespace, at: str) -> None:
    """Serve with a certificate of our own. Raises CannotGoOn."""
    try:
        from chattutor.page.certificates import certificates
    except ModuleNotFoundError as error:
        raise CannotGoOn(NO_MAKER.format(package=error.name)) from error
    authority, args.certificate, args.certificate_key = certificates(own_folder() / "certificates", at)
    print(TRUST.format(authority=authority))


def _config(
    app: ASGIApp, first: bool = True, certificate: Path | None = None, key: Path | None = None
) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        date_header=False,
        proxy_headers=False,  # nobody stands between, and who does could lie about addresses
        ws_max_size=MAX_SOCKET_MESSAGE,
        limit_concurrency=MOST_AT_ONCE,
        timeout_graceful_shutdown=SECONDS_TO_END,
        ws="websockets-sansio",
        lifespan="on" if first else "off",
        ssl_certfile=certificate,
        ssl_keyfile=None if key is None else str(key),
    )


def _bound(at: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((at, port))
        listening.listen(MOST_AT_ONCE)  # a browser that is quicker than the server waits
    except OSError as error:
        listening.close()
        raise CannotGoOn(TAKEN.format(at=f"{at}:{port}", reason=reason(error))) from error
    return listening


def _own_address() -> str:
    """This computer's address on the network that it is on. Raises CannotGoOn."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect((ANYWHERE, 9))
            return str(asking.getsockname()[0])
        except OSError as error:
            raise CannotGoOn(NO_WAY) from error

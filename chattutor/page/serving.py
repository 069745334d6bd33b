"""Running the server on this computer: its port, its addresses, its browser, its end."""

import argparse
import socket
import sys
import webbrowser
from threading import Timer

import uvicorn

from chattutor.common.exits import CannotGoOn, reason
from chattutor.page.app import application
from chattutor.page.service import Service
from chattutor.page.tokens import Tokens, kept_secret
from chattutor.session_logs.folder import default_folder, own_folder

HERE = "127.0.0.1"
TAKEN = "Port {port} is in use here: {reason}. Another chattutor page may be open; or choose another with --port."
AT = """\
The lesson:            http://{host}/?key={here}
The teacher's pages:   http://{host}/teacher?key={teacher}
Keep this window open meanwhile. Ctrl-C here ends it; a lesson that is open can be gone on with later."""
MAX_SOCKET_MESSAGE = 65_536  # bytes
MOST_AT_ONCE = 400  # connections
SECONDS_TO_END = 3


def serve(args: argparse.Namespace) -> int:
    """Serve until it is ended by a key or a signal; the exit code. Raises CannotGoOn."""
    folder = args.logs or default_folder()
    tokens = Tokens(kept_secret(own_folder() / "page.key"))
    service = Service(args, folder, tokens)
    listening = _bound(args.port)
    port = listening.getsockname()[1]
    host = f"{HERE}:{port}"
    print(AT.format(host=host, **service.keys), flush=True)
    if args.browser:
        address = f"http://{host}/?key={service.keys['here']}"
        Timer(0.3, webbrowser.open, (address,)).start()
    server = uvicorn.Server(
        uvicorn.Config(
            application(service, (host, f"localhost:{port}")),
            log_level="warning",
            access_log=False,
            server_header=False,
            date_header=False,
            ws_max_size=MAX_SOCKET_MESSAGE,
            limit_concurrency=MOST_AT_ONCE,
            timeout_graceful_shutdown=SECONDS_TO_END,
            ws="websockets-sansio",
        )
    )
    server.run(sockets=[listening])
    print(file=sys.stderr)
    return 0


def _bound(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HERE, port))
        listening.listen()  # a browser that is quicker than the server waits
    except OSError as error:
        listening.close()
        raise CannotGoOn(TAKEN.format(port=port, reason=reason(error))) from error
    return listening

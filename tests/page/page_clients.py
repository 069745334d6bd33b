"""What the command would hand to an application in this process, and its clients."""

import argparse

from starlette.testclient import TestClient, WebSocketTestSession

from chattutor.page.app import application
from chattutor.page.server_state import Service

HOST = "127.0.0.1:8321"
ORIGIN = {"origin": f"http://{HOST}", "host": HOST}  # the test client would give a web socket another host
SECRET = bytes(range(32))


def options(**more: object) -> argparse.Namespace:
    """What the command would hand over."""
    usual = {
        "learner": None, "equations": None, "stage": None, "minutes": None, "logs": None, "seed": 1,
        "classroom": "british", "plain": False, "large": False, "voice": False, "model": None, "silence": 0.5,
        "pace": 1.0, "voices": None, "key": [],
    }  # fmt: skip
    return argparse.Namespace(**{**usual, **more})


def browser(service: Service, *origins: str) -> TestClient:
    """Another browser, on the same server."""
    return TestClient(application(service, [f"http://{HOST}", *origins]), f"http://{HOST}", follow_redirects=False)


def talk(client: TestClient) -> WebSocketTestSession:
    """The lesson's web socket, with the browser's cookies, which the test client keeps for pages alone."""
    cookies = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    return client.websocket_connect("/lesson/talk", headers=ORIGIN | {"cookie": cookies})

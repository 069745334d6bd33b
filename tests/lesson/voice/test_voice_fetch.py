"""``chattutor voice fetch``: over a real connection to a server in this test, and from a file that is here."""

import os
import re
import subprocess
import sys
import threading
import zipfile
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from chattutor.common.exits import CannotGoOn
from chattutor.lesson.voice.fetching import SOURCE, fetch
from speech.recognition.vosk_models import find_model

WHOLE = ("am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst", "graph/Gr.fst")
NAME = "vosk-model-small-en-us-0.15"
ROOT = Path(__file__).parents[3]


class Quietly(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        pass

    def copyfile(self, source: Any, outputfile: Any) -> None:
        if self.path.startswith("/cut"):
            outputfile.write(source.read(50))
        else:
            super().copyfile(source, outputfile)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    (tmp_path / "served").mkdir()
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quietly, directory=tmp_path / "served")) as running:
        threading.Thread(target=running.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{running.server_port}"
        running.shutdown()


def packed(path: Path, names: tuple[str, ...]) -> Path:
    with zipfile.ZipFile(path, "w") as file:
        for name in names:
            file.writestr(name, b"a model's bytes " * 40)
    return path


def model(path: Path, names: tuple[str, ...] = WHOLE) -> Path:
    return packed(path, tuple(f"{NAME}/{name}" for name in names))


def test_a_model_is_fetched_where_it_is_then_found_and_where_from_and_to_is_said(server: str, tmp_path: Path) -> None:
    model(tmp_path / "served" / f"{NAME}.zip")
    told: list[str] = []
    place = fetch(f"{server}/{NAME}.zip", tmp_path / "models", told.append)
    assert place == tmp_path / "models" / NAME
    assert find_model(folders=[tmp_path / "models"]) == place
    assert told[0] == f"Fetching {server}/{NAME}.zip\ninto {place}"
    assert [one.name for one in (tmp_path / "models").iterdir()] == [NAME]  # nothing lies about


def test_a_model_that_is_there_is_not_fetched_again(tmp_path: Path) -> None:
    with zipfile.ZipFile(model(tmp_path / "m.zip")) as file:
        file.extractall(tmp_path)
    told: list[str] = []
    assert fetch(SOURCE, tmp_path, told.append) == tmp_path / NAME  # this address is not asked
    assert told == [f"The model is already there: {tmp_path / NAME}"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("cut.zip", "The connection ended after 0 of 0 MB"),
        ("half.zip", "no complete vosk model: nothing was kept"),
        ("text.zip", "not a complete zip file"),
        ("out.zip", "no complete vosk model: nothing was kept"),
        ("absent.zip", "could not be fetched (HTTP Error 404: File not found)"),
    ],
)
def test_what_is_not_whole_is_told_in_one_line_and_leaves_nothing(
    name: str, said: str, server: str, tmp_path: Path
) -> None:
    served = tmp_path / "served"
    model(served / "cut.zip")
    model(served / "half.zip", WHOLE[:2])
    (served / "text.zip").write_text("not there any more")
    packed(served / "out.zip", ("../../escaped",))
    with pytest.raises(CannotGoOn) as refused:
        fetch(f"{server}/{name}", tmp_path / "models", lambda line: None)
    assert said in refused.value.sentence
    assert "\n" not in refused.value.sentence
    assert list((tmp_path / "models").iterdir()) == []
    assert not list(tmp_path.rglob("escaped"))


def test_no_connection_is_told_with_the_way_round_it(server: str, tmp_path: Path) -> None:
    with pytest.raises(CannotGoOn, match="fetch it with a browser, then: chattutor voice fetch --from"):
        fetch("http://127.0.0.1:9/m.zip", tmp_path, lambda line: None)  # the discard port: nobody listens


def test_half_a_model_in_its_place_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()
    (tmp_path / NAME / "mine.txt").write_text("kept")
    with pytest.raises(CannotGoOn, match="is incomplete"):
        fetch(SOURCE, tmp_path, lambda line: None)
    assert (tmp_path / NAME / "mine.txt").read_text() == "kept"


def test_the_command_unpacks_a_file_that_is_here(tmp_path: Path) -> None:
    path = model(tmp_path / f"{NAME}.zip")
    command = [sys.executable, "-m", "chattutor", "voice", "fetch", "--from", str(path), "--to", str(tmp_path / "to")]
    told = subprocess.run(command, capture_output=True, text=True)
    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout.startswith(f"Unpacking {path}\ninto {tmp_path / 'to' / NAME}\n")
    assert find_model(folders=[tmp_path / "to"]).name == NAME


def test_where_a_model_would_come_from_and_go_to_is_said_before_anybody_fetches_it(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "chattutor", "voice"]
    told = subprocess.run(command, capture_output=True, text=True, env=os.environ | {"HOME": str(tmp_path)})
    assert f"'chattutor voice fetch' downloads one from {SOURCE} into {tmp_path}" in told.stdout


def test_nothing_else_of_ours_can_use_the_network() -> None:
    """The page's server listens, and opens no connection; its own tests look at what a browser asks for."""
    network = re.compile(
        r"^\s*(?:import|from) (socket|ssl|ftplib|http|urllib\.request|asyncio|requests|httpx|websockets)\b", re.M
    )
    ours = [path for name in ("chattutor", "dialogue", "speech") for path in (ROOT / name).rglob("*.py")]
    found = {path.name: set(network.findall(path.read_text("utf-8"))) for path in ours}
    waits_only = {"app.py", "subscribers.py", "voice_route.py"}  # an event loop's queues and tasks
    assert {name: what for name, what in found.items() if what and name not in waits_only} == {
        "fetching.py": {"http", "urllib.request"},
        "run_server.py": {"asyncio", "socket", "ssl"},
    }
    assert all(found[name] == {"asyncio"} for name in waits_only)
    serving = (ROOT / "chattutor" / "page" / "run_server.py").read_text("utf-8")
    assert serving.count(".connect(") == 1 and "asking.connect((ANYWHERE, 9))" in serving  # a datagram's: sends nothing
    assert "open_connection" not in "".join(path.read_text("utf-8") for path in ours)

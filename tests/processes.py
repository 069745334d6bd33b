"""Running the program as a person's shell would: a process, its standard input, output and errors."""

import atexit
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import suppress
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
PROGRAM = (sys.executable, "-m", "chattutor")
STARTED_WITHIN = 60.0  # seconds


def chattutor(*words: str | Path, given: str | bytes = "", timeout: float = 60) -> subprocess.CompletedProcess[str]:
    """Run to the end with this standard input; output as text. Raises subprocess.TimeoutExpired.

    On Linux a process of its own, forked from one that has imported everything (``warm.py``): a start takes a second.
    """
    data = given.encode() if isinstance(given, str) else given
    if sys.platform != "linux":
        command = [*PROGRAM, *map(str, words)]
        done = subprocess.run(command, input=data, capture_output=True, timeout=timeout, cwd=ROOT, check=False)
        return subprocess.CompletedProcess(command, done.returncode, done.stdout.decode(), done.stderr.decode())
    code, out, errors = _forked(tuple(map(str, words)), data, timeout)
    return subprocess.CompletedProcess([*PROGRAM, *map(str, words)], code, out.decode(), errors.decode())


def start(*words: str | Path) -> subprocess.Popen[bytes]:
    """Start it with pipes on every side."""
    return subprocess.Popen([*PROGRAM, *map(str, words)], stdin=-1, stdout=-1, stderr=-1, cwd=ROOT)


@cache
def _warm() -> str:
    """The address of the process that is forked, begun once."""
    folder, owner = tempfile.mkdtemp(prefix="warm-"), os.getpid()  # a child that ends takes nothing away
    address = f"{folder}/socket"
    alone = os.environ | {"OPENBLAS_NUM_THREADS": "1"}  # it begins threads when numpy is imported
    server = subprocess.Popen([sys.executable, str(ROOT / "tests" / "warm.py"), address], stdin=-1, env=alone)

    def end() -> None:
        if os.getpid() == owner and server.stdin is not None:
            server.stdin.close()
            server.wait(10)
            shutil.rmtree(folder, ignore_errors=True)

    atexit.register(end)
    until = time.monotonic() + STARTED_WITHIN
    while not Path(address).exists():
        assert server.poll() is None and time.monotonic() < until, "the program cannot be imported"
        time.sleep(0.02)
    return address


def _forked(words: tuple[str, ...], given: bytes, timeout: float) -> tuple[int, bytes, bytes]:
    """The exit code, output and errors of one run."""
    asked = {"words": words, "environment": dict(os.environ), "folder": str(ROOT)}
    pipes = [os.pipe() for _ in range(3)]
    theirs = (pipes[0][0], pipes[1][1], pipes[2][1])
    with socket.socket(socket.AF_UNIX) as connection:
        connection.connect(_warm())
        socket.send_fds(connection, [json.dumps(asked).encode() + b"\n"], theirs)
        for end in theirs:
            os.close(end)
        told = connection.makefile("rb")
        program = int(told.readline())
        read: dict[int, bytes] = {}
        threads = [threading.Thread(target=_write, args=(pipes[0][1], given))]
        threads += [threading.Thread(target=_read, args=(pipes[number][0], number, read)) for number in (1, 2)]
        for thread in threads:
            thread.start()
        connection.settimeout(timeout)
        try:
            code = int(told.readline())
        except TimeoutError as error:
            os.kill(program, signal.SIGKILL)
            raise subprocess.TimeoutExpired([*PROGRAM, *words], timeout) from error
        finally:
            for thread in threads:
                thread.join(10)
    return code, read[1], read[2]


def _write(pipe: int, given: bytes) -> None:
    with open(pipe, "wb", buffering=0) as end, suppress(BrokenPipeError):  # it did not read to the end
        end.write(given)


def _read(pipe: int, number: int, read: dict[int, bytes]) -> None:
    with open(pipe, "rb") as end:
        read[number] = end.read()

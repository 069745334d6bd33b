"""The program with all of it imported, waiting: each run is a fork of it, which takes a tenth of a start.

A run has a process, environment, folder, standard input, output and errors of its own, and ends as Python ends one.
What starts anew only where Python does (its own settings, the ``python -m`` line) is left to ``processes.py`` to start
in full. ``python tests/warm.py SOCKET`` answers on that socket until its standard input is closed; Linux alone.
"""

import atexit
import gc
import json
import os
import pkgutil
import select
import signal
import socket
import sys
import threading
import time
import traceback
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[1]
LATER = ("chattutor.page", "chattutor.district", "chattutor.lesson.voice", "chattutor.commands.page")  # import threads
MOST = 1_000_000  # bytes of a request: the words and the environment


def serve(address: str) -> None:
    """Fork for every connection, until nobody needs it."""
    before = dict(os.environ)
    sys.path[0] = str(ROOT)  # as for python -m, which has no folder of tests
    import chattutor
    import dialogue

    for package in (chattutor, dialogue):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if not found.name.startswith(LATER) and not found.name.endswith("__main__"):
                import_module(found.name)
    told = {name: value for name, value in os.environ.items() if before.get(name) != value}  # to libraries, by ours
    _read_once()
    assert len(list(Path("/proc/self/task").iterdir())) == 1, "a fork has one thread alone"
    gc.freeze()
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever interrupts the tests means those
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(f"{address}.new")
        listener.listen(64)
        os.rename(f"{address}.new", address)  # whoever finds it is answered
        while sys.stdin not in select.select([listener, sys.stdin], [], [])[0]:
            connection, _ = listener.accept()
            if os.fork() == 0:
                listener.close()
                _watch(connection, told)
            connection.close()


def _read_once() -> None:
    """The tables, the network and sympy, as a lesson and a worked solution read them."""
    from dialogue.algebra import with_sympy
    from dialogue.algebra.equation import read_equation
    from dialogue.tutor import Plan, Task, Utterance, begin, step

    equation = read_equation("3x + 2 = 14")
    with_sympy.solution(equation)
    step(begin(Plan((Task(equation),))).state, Utterance("so I take the two away from all of it"))


def _watch(connection: socket.socket, told: dict[str, str]) -> None:
    """Run what was asked for in a process of its own, and tell its number and then how it ended."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    data, ends, _, _ = socket.recv_fds(connection, MOST, 3)
    while not data.endswith(b"\n"):
        data += connection.recv(MOST)
    asked = json.loads(data)
    program = os.fork()
    if program == 0:
        connection.close()
        signal.signal(signal.SIGINT, signal.default_int_handler)
        _become(ends, asked["words"], told | asked["environment"], asked["folder"])
    for each in ends:
        os.close(each)
    connection.sendall(f"{program}\n".encode())
    _, status = os.waitpid(program, 0)
    connection.sendall(f"{os.waitstatus_to_exitcode(status)}\n".encode())
    os._exit(0)


def _become(ends: Sequence[int], words: list[str], environment: dict[str, str], folder: str) -> None:
    """The program, as if it had been started with these words."""
    for number, end in enumerate(ends):
        os.dup2(end, number)
        os.close(end)
    os.environ.clear()
    os.environ.update(environment)
    os.chdir(folder)
    time.tzset()
    sys.argv = [str(ROOT / "chattutor" / "__main__.py"), *words]
    as_before = [(each.encoding, each.errors) for each in (sys.stdin, sys.stdout, sys.stderr)]
    sys.stdin, sys.stdout, sys.stderr = (
        open(number, mode, 1 if number == 2 else -1, *how, closefd=False)  # noqa: SIM115 - as Python has them
        for number, (mode, how) in enumerate(zip("rww", as_before, strict=True))
    )
    os._exit(_ended())


def _ended() -> int:
    """Run the program to its end; its exit code."""
    from chattutor.cli import main

    code: object = 1
    try:
        code = main()
    except SystemExit as leaving:
        code = leaving.code
    except BaseException:
        traceback.print_exc()
    threading._shutdown()  # type: ignore[attr-defined]  # as at the end of every program: the threads that it waits for
    atexit._run_exitfuncs()
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except OSError:
        return 120  # as Python does
    return code if isinstance(code, int) else int(code is not None)


if __name__ == "__main__":
    serve(sys.argv[1])

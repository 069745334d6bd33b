"""Session logs: whatever a file holds, it is read, told, digested and replayed, or said in one line to be none.

An odd first byte closes every line with a chain of its own, so that what is inside is reached and not only the seal;
the rest is the file. Lines are mutated as JSON, so that every key meets every kind of value.
"""

import json
import random
import tempfile
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from harness import instrumented, run

with instrumented(
    "chattutor.session_logs", "chattutor.session_logs.digest", "chattutor.session_logs.lines", "dialogue.tutor"
):
    from chattutor.common.exits import LogTrouble
    from chattutor.exchange.xapi import statements
    from chattutor.session_logs.digest import digest, quick
    from chattutor.session_logs.hash_chain import CHAIN, link
    from chattutor.session_logs.reader import read_session
    from chattutor.session_logs.rejudge import changes
    from chattutor.session_logs.replay import replay
    from chattutor.session_logs.saved import NotSaved, tasks_of
    from chattutor.session_logs.transcript import transcript
    from chattutor.session_logs.verifying import Checked, verify

DEMOS = Path(__file__).parents[2] / "transcripts_demo"
FOLDER = tempfile.TemporaryDirectory(prefix="fuzz-logs-")
LOG = Path(FOLDER.name) / "log.jsonl"
VALUES = (None, True, False, 0, -1, 10**30, 1.5, float("inf"), float("nan"), "", "x", "\ud800\x1b[2J", [], {}, [[]])


def one(data: bytes) -> None:
    """One file."""
    LOG.write_bytes(_sealed(data[1:]) if data[:1] and data[0] & 1 else data[1:])
    session = read_session(LOG)
    "\n".join(transcript(session)).encode("utf-8", "backslashreplace")
    for statement in statements(session):
        json.dumps(statement)
    digested = digest(session)
    found = quick(LOG)
    assert (found is not None) == session.sound, "both ways take the same files"
    assert found is None or json.dumps(found) == json.dumps(digested), "and give the same digest"
    json.dumps([asdict(change) for change in changes(session, LOG.parent)])
    list(verify(LOG.parent, Checked()))
    with suppress(NotSaved):
        tasks_of(session)
    try:
        list(replay(session, LOG.parent))
    except LogTrouble as trouble:
        assert "\n" not in trouble.sentence


def _sealed(content: bytes) -> bytes:
    """The lines, each with its chain made anew."""
    chain, out = "", []
    for line in content.split(b"\n"):
        found = CHAIN.search(line)
        start = line[: found.start()] if found else line.rstrip(b"} ")
        if start:
            chain = link(start, chain)
            out.append(b'%s,"chain":"%s"}\n' % (start, chain.encode()))
    return b"".join(out)


def mutate(data: bytes, most: int, seed: int) -> bytes:
    """Half the time a value of one line becomes another; else bytes change."""
    import atheris

    chance = random.Random(seed)
    lines = data[1:].split(b"\n")
    at = chance.randrange(len(lines))
    try:
        body = json.loads(lines[at])
        if not isinstance(body, dict) or not body or chance.random() < 0.4:
            return bytes(atheris.Mutate(data, most))
        for _ in range(chance.randint(1, 3)):
            _spoil(body, chance)
        lines[at] = json.dumps(body, separators=(",", ":")).encode()
    except (ValueError, RecursionError):  # no JSON, or spoilt into something that holds itself
        return bytes(atheris.Mutate(data, most))
    if chance.random() < 0.1:
        lines.insert(chance.randrange(len(lines) + 1), chance.choice(lines))
    return (b"\1" + b"\n".join(lines))[:most]


def _spoil(body: Any, chance: random.Random) -> None:
    """Change, take away or add one thing somewhere inside."""
    while True:
        if not body:
            return
        key = chance.choice(list(body)) if isinstance(body, dict) else chance.randrange(len(body))
        inside = body[key]
        if isinstance(inside, dict | list) and inside and chance.random() < 0.8:
            body = inside
            continue
        match inside:
            case str() if chance.random() < 0.4 and inside:
                place = chance.randrange(len(inside))
                body[key] = inside[:place] + chance.choice(("", "9", "x", "=", "\0", "-", "(")) + inside[place + 1 :]
            case _ if chance.random() < 0.2:
                del body[key]
            case _:
                body[key] = chance.choice(VALUES)
        return


def seeds() -> list[bytes]:
    """The first lines of the invented sessions, and what was found in them changed."""
    found = []
    for path in sorted(DEMOS.glob("*.jsonl")):
        lines = path.read_bytes().splitlines(keepends=True)
        odd = [
            line.replace(b'"id":"', b'"id":"\\ud800').replace(b'"event":"', b'"event":{},"was":"') for line in lines[:4]
        ]
        found += [b"\1" + b"".join(odd)] if path.name.startswith("11") else []
        found += [b"\1" + b"".join(lines[:4]), b"\1" + b"".join(lines[:9]), b"\0" + b"".join(lines[:2] + lines[-1:])]
    return found


if __name__ == "__main__":
    run(one, seeds(), mutate)

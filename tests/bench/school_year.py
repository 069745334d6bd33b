"""A school's year of invented session logs, to measure reading with.

    python tests/bench/school_year.py DIR [learners] [sessions each]

Eight sessions each of a hundred invented learners are really held by the tutor, at about 33 turns each; every further
session is one of those with a learner, an id and a day of its own, its chain made anew, so that every file is a sound
log. A hundred, since what is remembered of equations while a review runs holds fewer: no learner's come for nothing.
Nobody in it is real.
"""

import json
import sys
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from pathlib import Path
from random import Random

sys.path[:0] = [str(Path(__file__).parents[1] / "review")]

from invented_class import a_class, session  # noqa: E402 - the tests' own helpers are found only now

HELD, LESSONS = 100, 8  # invented learners at most, and lessons of each, that are really held
FIRST_DAY = date(2026, 9, 7)
TURN = b'{"chattutor":"turn","turn":'
END = len(b',"chain":"') + 32 + len(b'"}')


@dataclass(frozen=True)
class Pattern:
    """A session that was held: its header, and its later lines up to their chains."""

    header: dict[str, object]
    lines: tuple[bytes, ...]
    turns: int


def held(learners: int) -> list[list[Pattern]]:
    """The lessons of so many invented learners."""
    found = []
    for learner in a_class(learners, seed=11):
        lessons = []
        for lesson in range(LESSONS):
            _, content = session(learner, lesson)
            first, *rest = content.splitlines()
            turns = sum(line.startswith(TURN) and not line.startswith(TURN + b"0,") for line in rest)
            lessons.append(Pattern(json.loads(first), tuple(line[:-END] for line in rest), turns))
        found.append(lessons)
    return found


def write_year(folder: Path, learners: int = 1000, sessions: int = 60) -> tuple[int, int, int]:
    """Write the logs; how many sessions, turns and bytes."""
    patterns, random = held(min(learners, HELD)), Random(5)
    turns = size = 0
    for number in range(learners):
        code, lessons = f"L{number:06}", patterns[number % len(patterns)]
        home = folder / code
        home.mkdir(parents=True)
        for place in range(sessions):
            pattern = lessons[min(place * LESSONS // sessions, LESSONS - 1)]
            day = FIRST_DAY + timedelta(days=place * 300 // sessions)
            name, content = _content(pattern, code, day, random)
            (home / name).write_bytes(content)
            turns, size = turns + pattern.turns, size + len(content)
    return learners * sessions, turns, size


def _content(pattern: Pattern, code: str, day: date, random: Random) -> tuple[str, bytes]:
    created = f"{day}{str(pattern.header['created'])[10:]}"
    name = f"{random.getrandbits(64):016x}"
    header = {**pattern.header, "learner": code, "created": created, "id": name}
    header.pop("chain")
    start = json.dumps(header, ensure_ascii=False, separators=(",", ":")).encode()[:-1]
    was, now = str(pattern.header["created"])[:10].encode(), str(day).encode()
    lines, chain = [], b""
    for line in (start, *pattern.lines):
        line = line.replace(b'"at":"' + was, b'"at":"' + now, 1)
        chain = sha256(chain + line).hexdigest()[:32].encode()
        lines.append(b'%s,"chain":"%s"}\n' % (line, chain))
    return f"{''.join(each for each in created if each.isalnum())}-{name}.jsonl", b"".join(lines)


if __name__ == "__main__":
    made = write_year(Path(sys.argv[1]), *map(int, sys.argv[2:]))
    print("{:,} sessions, {:,} turns, {:,} bytes".format(*made))

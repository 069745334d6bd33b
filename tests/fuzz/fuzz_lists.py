"""Class lists, key files, sets of equations and typed-in work: whatever the file holds, people or one line why not.

The first byte chooses what the file is taken for. Codes made from a list are read back with the same people, and no
cell of a key could run as a formula.
"""

import csv
import os
import tempfile
from pathlib import Path

from harness import instrumented, run

with instrumented("chattutor.exchange.roster", "chattutor.paper", "chattutor.session_logs.spreadsheet", "csv"):
    from chattutor.common.exits import CannotGoOn
    from chattutor.exchange.roster import make_codes, names, read_key, with_names
    from chattutor.paper.marking import mark
    from chattutor.paper.sets import read_set
    from chattutor.paper.textfile import read_text
    from chattutor.paper.work import works
    from chattutor.session_logs.learner_code import CODE, learner_code

FOLDER = tempfile.TemporaryDirectory(prefix="fuzz-lists-")
LIST, KEY = Path(FOLDER.name) / "users.csv", Path(FOLDER.name) / "key.csv"
USERS = b"sourcedId,status,role,givenName,familyName\r\n"
FILES = (
    b"\0" + USERS + b"u1,active,student,Invented,Pupil\r\nu2,tobedeleted,student,Left,Early\r\n",
    b'\0\xef\xbb\xbf"sourcedId","givenName","familyName"\n"1","=cmd","+1"\n"2","\'-x","a\nb"\n',
    b"\1code,givenName,familyName,sourcedId\nabc23,Invented,Pupil,u1\n../x,No,Code,u2\n",
    b"\2a1: 3x + 2 = 11\n3x = 9\nx = 3\n\nb2: 2(x-1) = 4\n2x - 1 = 4\nadd 1\n",
    b"\2learner;equation;line;line\na1;3x+2=11;3x=9;x=3\nb2;x/2=4;x=2;\n",
    b"\3" + "3x + 2 = 11\n# a remark\n2(x − 1) = 4, x/2 = 3,5\n".encode("utf-16"),
)


def one(data: bytes) -> None:
    """One file."""
    LIST.write_bytes(data[1:])
    KEY.unlink(missing_ok=True)
    try:
        (_codes, _key, _work, _set)[data[0] % 4 if data else 0]()
    except CannotGoOn as trouble:
        assert trouble.sentence and "\n" not in trouble.sentence


def _codes() -> None:
    people, new = make_codes(LIST, KEY)
    assert new == len(people) == len({each.code for each in people}), "everybody has a code of their own"
    assert sorted(read_key(KEY), key=str) == sorted(people, key=str), "the key is read back as it was written"
    assert make_codes(LIST, KEY) == (people, 0), "nobody gets a second code"
    with KEY.open(encoding="utf-8", newline="") as source:
        assert not any(cell[:1] in ("=", "+", "-", "@", "\t", "\r") for row in csv.reader(source) for cell in row)
    known = names(KEY)
    with_names({"code": people[0].code, "learners": [each.code for each in people]} if people else {}, known)


def _key() -> None:
    os.replace(LIST, KEY)
    assert all(CODE.fullmatch(each.code) for each in read_key(KEY))


def _work() -> None:
    for work in works(read_text(LIST).text):
        mark(work)


def _set() -> None:
    found = read_set(LIST, remarks=False, most=50)
    assert found.as_json() if hasattr(found, "as_json") else found is not None
    learner_code("a1")


def seeds() -> list[bytes]:
    """Sound inputs."""
    return list(FILES)


if __name__ == "__main__":
    run(one, seeds())

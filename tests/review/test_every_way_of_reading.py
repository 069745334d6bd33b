"""Every way to read a folder of logs gives one page: an invented class, and in its folder all that may go wrong."""

import os
import shutil
import sys
from pathlib import Path

import pytest
from logs import answered
from school import DEMO, read_class

from chattutor.review import gathering
from chattutor.review.class_reading import class_json
from chattutor.session_logs.folder import DIGESTS, PAGE, files, session_files, sessions
from chattutor.session_logs.hash_chain import chained
from chattutor.session_logs.notes import add_note, add_override
from chattutor.session_logs.reader import read_head, read_session

sys.path[:0] = [str(Path(__file__).parents[1] / "review")]

from invented_class import write_class  # noqa: E402 - the tests' own helpers are found only now

NEVER = 10**9


@pytest.fixture(scope="module")
def mixed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class whose folder also has all kinds of other things in it."""
    folder = write_class(tmp_path_factory.mktemp("class") / "logs", 6, 2, seed=4)
    homes = sorted(folder.iterdir())
    first, second, *_ = sorted(folder.rglob("*.jsonl"))
    whole = first.read_bytes()
    lines = whole.splitlines(keepends=True)
    (homes[0] / "half.jsonl").write_bytes(whole[: len(whole) // 2])
    (homes[1] / "copy.jsonl").write_bytes(whole)
    (homes[1] / "spoilt copy.jsonl").write_bytes(whole.replace(b"both", b"left", 1))
    (homes[2] / "without a line.jsonl").write_bytes(b"".join(lines[:3] + lines[4:]))
    (homes[2] / "more.jsonl").write_bytes(second.read_bytes() + b"more\n")
    (homes[2] / "endless.jsonl").write_bytes(lines[0] + b"x" * 600_000)
    (folder / "other\udcff\n\t.jsonl").write_bytes(b'{"to do": "ask"}\n')
    (folder / "empty.jsonl").touch()
    (folder / "newer.jsonl").write_bytes(chained({"chattutor": "session", "schema": 9}, "")[0])
    (folder / "deep.jsonl").write_bytes(b"[" * 100_000)
    (folder / "plan.docx").write_bytes(b"PK\x03\x04\xff")
    (folder / "link.jsonl").symlink_to(DEMO / first.name)
    (folder / "loop").symlink_to(folder)
    (folder / "gone.jsonl").symlink_to(folder / "nowhere")
    os.mkfifo(folder / "pipe.jsonl")
    shutil.copy(first, folder / "huge.jsonl")
    os.truncate(folder / "huge.jsonl", 20_000_000_000)  # a hole: no disk is used
    add_note(folder, homes[3].name, "See on Monday.")
    with (homes[4] / "teacher.notes").open("wb") as notes:
        notes.write(b"\xff\n{}\n")
    wrong = [(one, number) for one in sessions(folder) for number, record in answered(one) if record.errors]
    add_override(folder, *wrong[0], "right")
    return folder


@pytest.fixture
def carefully(mixed: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, object]:
    """The page, every line read by the careful reader."""
    with monkeypatch.context() as only:
        only.setattr(gathering, "quick", lambda *_: None)
        return read_class(mixed, many=NEVER)


def test_the_first_line_alone_gives_the_same_header(mixed: Path) -> None:
    found = [(path, read_head(path)) for path in files(mixed)]
    assert found == [(path, read_session(path).header) for path, _ in found]
    assert len({header.id for _, header in found if header is not None}) > 10
    assert list(session_files(mixed)) == [
        path for path, _ in found if path.suffix == ".jsonl" and path.is_file() and not path.is_symlink()
    ]


def test_the_page_has_what_is_sound_and_names_what_is_not(
    mixed: Path, carefully: dict[str, list[dict[str, str]]]
) -> None:
    named = {Path(each["file"]).name for each in carefully["files_with_faults"]}
    wrong = {
        "half",
        "spoilt copy",
        "without a line",
        "more",
        "endless",
        "other\udcff\n\t",
        "empty",
        "newer",
        "deep",
        "huge",
    }
    assert named == {f"{each}.jsonl" for each in wrong}
    assert len(carefully["learners"]) == 6


def test_the_quick_way_gives_that_page(mixed: Path, carefully: dict[str, object]) -> None:
    assert read_class(mixed, many=NEVER) == carefully


def test_processes_give_that_page(mixed: Path, carefully: dict[str, object], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gathering, "WORTH_READING", 1)
    monkeypatch.setattr(gathering, "WORTH_WEIGHING", 1)
    monkeypatch.setattr(gathering, "LOGS", 3)
    assert read_class(mixed, many=NEVER) == carefully


def test_what_was_kept_gives_that_page(
    mixed: Path, carefully: dict[str, object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("chattutor.session_logs.file_stamps.YOUNG", -(10**18))
    try:
        assert read_class(mixed, many=1) == carefully
        kept = (mixed / DIGESTS).read_bytes()
        assert kept.count(b"\n=") >= sum(len(one["ideas"]) > 0 for one in carefully["learners"]) > 0
        assert read_class(mixed, many=1) == carefully
        page = class_json(mixed, many=1)
        (mixed / PAGE).unlink()
        assert class_json(mixed, many=1) == page
        assert (mixed / DIGESTS).read_bytes() == kept
        (mixed / PAGE).unlink()
        for spoiled in (b"[]", b"{", b'{"sign-drop": [999]}', b'{"sign-drop": []}', b'{"sign-drop": [-1]}'):
            parts = [line.partition(b"\t") for line in kept.splitlines()]
            found = [key + tab + (spoiled if key.startswith(b"=") else rest) for key, tab, rest in parts]
            (mixed / DIGESTS).write_bytes(b"\n".join(found) + b"\n")
            assert class_json(mixed, many=1) == page
            (mixed / PAGE).unlink()
    finally:
        for path in mixed.glob(".review-*"):
            path.unlink()

"""Reading many logs: the quick way gives what the careful one does, what is kept always fits, nothing breaks it."""

import json
import os
import shutil
import stat
from pathlib import Path

import pytest
from logs import answered, log_of, plan
from processes import chattutor
from school import DEMO, a_folder, read_class

from chattutor.review import digest_cache
from chattutor.review.class_reading import class_json
from chattutor.session_logs.digest import digest, packed, quick, unpacked
from chattutor.session_logs.folder import DIGESTS, ERASED, PAGE
from chattutor.session_logs.hash_chain import chained
from chattutor.session_logs.notes import add_note, add_override
from chattutor.session_logs.reader import read_session

OLD = 1_700_000_000  # seconds: long settled
PLAN = plan(tasks=[{"equation": "3x + 2 = 14", "stage": 6}], seed=1)
SESSIONS = sorted(DEMO.glob("*.jsonl"))


def settle(folder: Path) -> None:
    """Give every file an old time; the time of the change of that cannot be set, so the tests wait for none."""
    for path in folder.rglob("*"):
        if not path.is_symlink():
            os.utime(path, (OLD, OLD))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The invented sessions, all counted as settled."""
    monkeypatch.setattr("chattutor.session_logs.file_stamps.YOUNG", -(10**18))
    return a_folder(tmp_path / "logs")


@pytest.mark.parametrize("path", SESSIONS, ids=lambda path: path.stem)
def test_the_quick_way_reads_what_the_careful_way_reads(path: Path) -> None:
    careful = digest(read_session(path))
    assert quick(path) == careful
    assert unpacked(packed(careful)) == careful


def test_the_quick_way_takes_nothing_that_is_not_sound(tmp_path: Path) -> None:
    sound = SESSIONS[0].read_bytes()
    path = tmp_path / "x.jsonl"
    lines = sound.splitlines(keepends=True)
    spoiled = [sound[:-1], sound[:-30], b"".join(lines[:2] + lines[3:]), sound + b"x\n", b"", b"\n", lines[0][:-1]]
    spoiled += [sound[:at] + bytes([sound[at] ^ 1]) + sound[at + 1 :] for at in range(0, len(sound), 97)]
    spoiled.append(chained({"chattutor": "session", "schema": 3}, "")[0])
    for content in spoiled:
        path.write_bytes(content)
        assert quick(path) is None
    (tmp_path / "link.jsonl").symlink_to(SESSIONS[0])
    assert quick(tmp_path / "link.jsonl") is None


def test_a_second_look_gives_the_same_page_from_what_was_kept(folder: Path) -> None:
    first = read_class(folder, many=1)
    assert {path.name for path in folder.glob(".review-*")} == {DIGESTS, PAGE}
    assert {stat.S_IMODE(path.stat().st_mode) for path in folder.glob(".review-*")} == {0o600}
    head, _, page = (folder / PAGE).read_bytes().partition(b"\n")
    marked = json.dumps(json.loads(page) | {"sessions": -1}).encode()
    keeper = digest_cache.keeper()
    assert keeper is not None
    keeper.keep_page(folder, head[:64].decode(), marked)
    assert read_class(folder, many=1)["sessions"] == -1  # it is the page that was kept
    assert class_json(folder, many=1) == marked
    (folder / PAGE).write_bytes(head + b"\n" + marked)
    assert read_class(folder, many=1) == first  # it was spoiled
    (folder / PAGE).unlink()
    assert read_class(folder, many=1) == first == read_class(folder, many=10**9)


def test_digests_that_were_kept_are_used_for_files_that_did_not_change(folder: Path) -> None:
    first = read_class(folder, many=1)
    (folder / PAGE).unlink()
    kept = (folder / DIGESTS).read_bytes()
    (folder / DIGESTS).write_bytes(kept.replace(b'"invented"', b'"otherwise"'))
    assert read_class(folder, many=1) == first  # edited by hand: not signed, not used
    (folder / PAGE).unlink()
    keeper = digest_cache.keeper()
    assert keeper is not None
    head, *lines = kept.splitlines()
    others = [keeper.signed(*line.replace(b'"invented"', b'"otherwise"').split(b"\t")[:2]) for line in lines]
    (folder / DIGESTS).write_bytes(head + b"\n" + b"".join(others))
    assert [learner["code"] for learner in read_class(folder, many=1)["learners"]] == ["otherwise"]
    (folder / PAGE).unlink()
    (folder / DIGESTS).write_bytes(kept)
    assert read_class(folder, many=1) == first


@pytest.mark.parametrize("change", ["added", "deleted", "grown", "altered", "note", "override"])
def test_whatever_changed_is_read_again(folder: Path, change: str) -> None:
    first = read_class(folder, many=1)
    path = folder / "invented" / SESSIONS[0].name
    match change:
        case "added":
            log_of(folder, "B2", PLAN).end("stopped")
        case "deleted":
            path.unlink()
        case "grown":
            path.write_bytes(path.read_bytes() + b"x\n")
        case "altered":  # the same size, and the time it had before
            was = path.stat()
            path.write_bytes(path.read_bytes().replace(b"multiply", b"subtract", 1))
            os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))
        case "note":
            add_note(folder, "invented", "See on Monday.")
        case "override":
            number = next(number for number, record in answered(read_session(path)) if record.errors)
            add_override(folder, read_session(path), number, "right")
    again = read_class(folder, many=1)
    assert again != first
    assert again == read_class(folder, many=10**9)


@pytest.mark.parametrize("content", [b"", b"x", b"\xff\xfe", b"{}\n{}", b"[[[[\n" * 9])
def test_what_was_kept_and_is_spoiled_is_made_anew(folder: Path, content: bytes) -> None:
    first = read_class(folder, many=1)
    for name in (DIGESTS, PAGE):
        whole = (folder / name).read_bytes()
        for spoiled in (content, whole[: len(whole) // 2], whole.split(b"\n")[0] + b"\n" + content):
            (folder / name).write_bytes(spoiled)
            assert read_class(folder, many=1) == first


def test_a_file_changed_just_now_is_not_kept(tmp_path: Path) -> None:
    folder = a_folder(tmp_path / "logs")
    settle(folder)  # the times of content are old; the change of times is new, and nobody can set that one
    read_class(folder, many=1)
    assert not (folder / PAGE).exists()


def test_a_folder_that_may_only_be_read_is_reviewed_all_the_same(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> int:
        raise PermissionError(13, "Permission denied")

    first = read_class(folder, many=10**9)
    monkeypatch.setattr(
        "chattutor.review.digest_cache.FRESH", os.O_RDONLY | os.O_DIRECTORY
    )  # as a root cannot be refused
    assert read_class(folder, many=1) == first
    assert not list(folder.glob(".review-*"))


def test_what_was_kept_goes_when_something_is_erased(folder: Path) -> None:
    read_class(folder.parent, many=1)
    read_class(folder, many=1)
    add_note(folder, "invented", "See on Monday.")
    done = chattutor("logs", "erase", "invented", "--logs", folder, "--yes")
    assert done.returncode == 0, done.stderr
    assert "kept by reviews: 4" in done.stdout and "teachers' notes: 1" in done.stdout
    assert [path for path in folder.parent.rglob("*") if path.is_file()] == [folder / ERASED]  # it names nobody


def test_export_has_the_teachers_notes(folder: Path, tmp_path: Path) -> None:
    add_note(folder, "invented", "See on Monday.")
    done = chattutor("logs", "export", "invented", "--logs", folder, "--to", tmp_path / "x.zip")
    assert done.returncode == 0, done.stderr
    shutil.unpack_archive(tmp_path / "x.zip", tmp_path / "x")
    assert "See on Monday." in (tmp_path / "x" / "teacher.notes").read_text(encoding="utf-8")
    assert stat.S_IMODE((tmp_path / "x.zip").stat().st_mode) == 0o600


def test_a_mixed_folder_never_breaks_a_review(folder: Path) -> None:
    sound = chattutor("review", folder, "--json")
    whole = SESSIONS[0].read_bytes()
    (folder / "plan for Monday.docx").write_bytes(b"PK\x03\x04\xff")
    (folder / "notes.jsonl").write_bytes(b'{"to do": "ask Anna"}\n')
    (folder / "half.jsonl").write_bytes(whole[: len(whole) // 2])
    (folder / "older.jsonl").write_bytes(chained({"chattutor": "session", "schema": 0}, "")[0])
    (folder / "newer.jsonl").write_bytes(chained({"chattutor": "session", "schema": 9}, "")[0])
    (folder / "deep.jsonl").write_bytes(b"[" * 100_000)
    (folder / "link.jsonl").symlink_to(SESSIONS[0])
    (folder / "loop").symlink_to(folder)
    (folder / "gone.jsonl").symlink_to(folder / "nowhere")
    os.mkfifo(folder / "pipe.jsonl")
    for name in ("huge.jsonl", "junk.jsonl"):
        (folder / name).write_bytes(whole)
    with (folder / "huge.jsonl").open("r+b") as out:
        out.truncate(20_000_000_000)  # a hole: no disk is used
    with (folder / "junk.jsonl").open("ab") as out:
        out.write(b"junk\n" * 3_000_000)
    (folder / "B2").mkdir()
    (folder / "B2" / "teacher.notes").symlink_to("/etc/passwd")
    (folder / "C3").mkdir()
    (folder / "C3" / "teacher.notes").mkdir()
    done = chattutor("review", folder, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    before, after = json.loads(sound.stdout), json.loads(done.stdout)
    assert after["learners"] == before["learners"]
    named = {Path(each["file"]).name for each in after["files_with_faults"]}
    assert named >= {"notes.jsonl", "half.jsonl", "newer.jsonl", "deep.jsonl", "huge.jsonl", "junk.jsonl"}


def test_very_many_files_are_no_trouble(folder: Path) -> None:
    """20,000 in the suite; CHATTUTOR_FILES=100000 for more."""
    half = int(os.environ.get("CHATTUTOR_FILES", "20000")) // 2
    foreign = folder / "x.jsonl"
    foreign.write_bytes(b"not a log\n")
    for number in range(half):
        if number % 20_000 == 0:
            home = folder / f"part-{number}"
            home.mkdir()
        os.link(foreign, home / f"{number}.jsonl")
        (home / f"{number}.txt").symlink_to(foreign)
    done = chattutor("review", folder, "--json", timeout=250)
    assert (done.returncode, done.stderr) == (0, "")
    page = json.loads(done.stdout)
    assert page["sessions"] == len(SESSIONS)
    assert len(page["files_with_faults"]) == half + 1

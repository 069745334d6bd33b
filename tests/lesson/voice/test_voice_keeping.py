"""Sound that is kept because it was asked for, and what the first lines of old logs say."""

import os
import resource
import signal
import stat
import wave
from pathlib import Path

import numpy as np
import pytest
from logs import log_of

from chattutor.common.exits import CannotGoOn
from chattutor.lesson.voice.voice_setup import NOT_KEPT, keeper, spoke_before
from chattutor.session_logs.schema import Settings
from speech.audio.sound import Sound

SECOND = Sound(np.zeros(16_000, dtype=np.float32))


def test_each_sound_is_a_file_of_its_own_for_its_owner_only(tmp_path: Path) -> None:
    folder, told = tmp_path / "sounds", []
    keep = keeper(folder, told.append)
    keep(SECOND), keep(SECOND)
    assert sorted(path.name for path in folder.iterdir()) == ["said-0001.wav", "said-0002.wav"]
    with wave.open(str(folder / "said-0002.wav")) as file:
        assert (file.getframerate(), file.getnframes()) == (16_000, 16_000)
    assert stat.S_IMODE((folder / "said-0001.wav").stat().st_mode) == 0o600
    assert told == []


def test_nothing_is_written_over_and_no_link_is_followed(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("mine", encoding="utf-8")
    (tmp_path / "said-0001.wav").symlink_to(tmp_path / "mine")
    (tmp_path / "said-0003.wav").write_text("an earlier one", encoding="utf-8")  # the second was deleted
    keep = keeper(tmp_path, pytest.fail)
    keep(SECOND), keep(SECOND)
    assert (tmp_path / "mine").read_text("utf-8") == "mine"
    assert (tmp_path / "said-0003.wav").read_text("utf-8") == "an earlier one"
    assert {"said-0002.wav", "said-0004.wav"} <= {path.name for path in tmp_path.iterdir()}


def test_a_full_disk_is_told_once_and_the_lesson_goes_on(tmp_path: Path) -> None:
    told: list[str] = []
    keep = keeper(tmp_path, told.append)
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, before[1]))
    try:
        keep(SECOND), keep(SECOND)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)
    assert told == [NOT_KEPT.format(folder=tmp_path, reason="File too large")]
    assert list(tmp_path.iterdir()) == []  # nor half a sound


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(CannotGoOn, match="No sound can be kept in"):
        keeper(tmp_path / "file", pytest.fail)


def test_whether_a_learner_has_spoken_before_is_read_off_logs_alone(tmp_path: Path) -> None:
    home = tmp_path / "A1"
    home.mkdir()
    os.mkfifo(home / "pipe.jsonl")  # nobody ever writes to it
    (home / "loop.jsonl").symlink_to("loop.jsonl")
    (home / "other.jsonl").write_bytes(b'{"settings": {"voice": true}}\n')
    assert not spoke_before(tmp_path, "A1")
    log_of(tmp_path, "A1").close()
    assert not spoke_before(tmp_path, "A1")
    log_of(tmp_path, "A1", settings=Settings(voice=True)).close()
    assert spoke_before(tmp_path, "A1")

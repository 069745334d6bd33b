"""A standard output on a full disk: one clear line and exit code 1, whatever the command."""

import subprocess
from pathlib import Path

import pytest
from processes import PROGRAM, ROOT

FULL = Path("/dev/full")  # Linux: takes nothing, as a full disk does (full(4))
SAID = b"chattutor: The output cannot be written: No space left on device.\n"


@pytest.mark.skipif(not FULL.exists(), reason="no device that is always full")
@pytest.mark.parametrize("words", [("demo",), ("equations", "stages"), ("solve",), ("lesson", "--stage", "6")])
def test_it_is_said_in_one_line(words: tuple[str, ...], tmp_path: Path) -> None:
    with FULL.open("wb") as out:
        done = subprocess.run(
            [*PROGRAM, *words], input=b'{"equation": "2x = 4"}\n', stdout=out, stderr=-1, cwd=ROOT, check=False,
            timeout=60, env={"CHATTUTOR_LOGS": str(tmp_path)},
        )  # fmt: skip
    assert (done.returncode, done.stderr) == (1, SAID)

"""Whatever happens to a lesson, nothing that was shown is lost: a short form of ``tests/bench/bench_kill.py``."""

import subprocess
import sys
from pathlib import Path

BENCH = Path(__file__).parents[1] / "bench" / "bench_kill.py"


def test_killed_at_any_moment_on_full_slow_and_locked_disks_nothing_is_lost() -> None:
    done = subprocess.run(
        [sys.executable, str(BENCH), "--short"], capture_output=True, text=True, timeout=240, check=False
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    assert done.stdout.endswith("checks: 0 wrong\n")
    assert int(done.stdout.splitlines()[-1].split()[0]) >= 15  # so many were killed

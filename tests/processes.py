"""Running the program as a person's shell would: a process, its standard input, output and errors."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
PROGRAM = (sys.executable, "-m", "chattutor")


def chattutor(*words: str | Path, given: str | bytes = "", timeout: float = 60) -> subprocess.CompletedProcess[str]:
    """Run to the end with this standard input; output as text."""
    data = given.encode() if isinstance(given, str) else given
    done = subprocess.run(
        [*PROGRAM, *map(str, words)], input=data, capture_output=True, timeout=timeout, cwd=ROOT, check=False
    )
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


def start(*words: str | Path) -> subprocess.Popen[bytes]:
    """Start it with pipes on every side."""
    return subprocess.Popen([*PROGRAM, *map(str, words)], stdin=-1, stdout=-1, stderr=-1, cwd=ROOT)

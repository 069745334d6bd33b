"""Run every benchmark beside this file, one after another, with short settings, and print their tables.

python tests/bench/run_all.py
"""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
SHORT = {
    "bench_judge.py": ("1",),
    "bench_turn.py": ("--lines", "600", "--sympy-lines", "60", "--turns", "300"),
}


def main() -> int:
    """Print the tables; 1 where a benchmark failed."""
    failed = []
    for path in sorted(HERE.glob("bench_*.py")):
        print(f"== {path.name}", flush=True)
        if subprocess.run([sys.executable, str(path), *SHORT.get(path.name, ())], check=False).returncode:
            failed.append(path.name)
    if failed:
        print("Failed: " + ", ".join(failed), file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

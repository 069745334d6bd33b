"""How often the errors named agree with judged steps, and how long naming them takes.

    python tests/bench/bench_errors.py [FILE...] [--rows]

FILE holds judged steps as JSON lines (tests/algebra/data/README.md; without one, the file to work with).
``--rows`` prints those that differ, but never of a file held back.
"""

import argparse
import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parents[1] / "algebra"))
from judged_steps import DATA, outcomes, totals


def main() -> None:
    """Print the figures of each file."""
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    reader.add_argument("files", nargs="*", type=Path, default=[DATA / "steps_dev.jsonl"])
    reader.add_argument("--rows", action="store_true")
    given = reader.parse_args()
    for path in given.files:
        found = outcomes(path)
        if given.rows and "held" not in path.name:
            for one in found:
                if not (one.ours_first and one.theirs_first):
                    print(one.row["id"], one.row["equation"], one.row["step"], one.expected, one.named)
        print(path.name, {name: round(value, 3) for name, value in totals(found).items()})


if __name__ == "__main__":
    main()

"""A small folder of the invented logs, for the tests beside it."""

import shutil
from pathlib import Path

DEMO = Path(__file__).parents[2] / "transcripts_demo"


def a_folder(folder: Path) -> Path:
    """The invented sessions, each where a lesson of its learner would have put it; the folder."""
    for path in sorted(DEMO.glob("*.jsonl")):
        home = folder / "invented"
        home.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, home / path.name)
    return folder

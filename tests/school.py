"""A small folder of the invented logs, for the tests beside it."""

import json
import shutil
from pathlib import Path
from typing import Any

from chattutor.review.class_reading import class_json
from chattutor.review.digest_cache import MANY

DEMO = Path(__file__).parents[1] / "transcripts_demo"


def a_folder(folder: Path) -> Path:
    """The invented sessions, each where a lesson of its learner would have put it; the folder."""
    for path in sorted(DEMO.glob("*.jsonl")):
        home = folder / "invented"
        home.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, home / path.name)
    return folder


def read_class(folder: Path, many: int = MANY) -> dict[str, Any]:
    """The class page of a folder; with ``many`` logs or more, what was found is kept beside them."""
    page: dict[str, Any] = json.loads(class_json(folder, many=many))
    return page

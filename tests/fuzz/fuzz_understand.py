"""Coverage-guided fuzzing of the understanding: ``nice python tests/fuzz/fuzz_understand.py -max_total_time=1800``.

Needs atheris (``pip install atheris``); not part of the suite. The first byte chooses what was asked, the second the
letter, the rest is the text. An exception is a crash, and so is an utterance of more than thirty seconds under
instruments on a shared core; libFuzzer writes it down, and a case worth keeping goes into ``understand_cases.txt``,
which the suite runs.
"""

import sys
from typing import get_args

import atheris

with atheris.instrument_imports(include=["dialogue.language", "dialogue.algebra"]):
    from dialogue.language.understand import understand
    from dialogue.meaning import Expecting, to_json

EXPECTING = get_args(Expecting)
LETTERS = "xyznatbckmd"


def one(data: bytes) -> None:
    """Understand one text; the meaning must be writable as JSON."""
    if len(data) < 3:
        return
    text = data[2:].decode("utf-8", "surrogateescape" if data[0] & 128 else "ignore")
    to_json(understand(text, EXPECTING[data[0] % len(EXPECTING)], LETTERS[data[1] % len(LETTERS)]))


if __name__ == "__main__":
    atheris.Setup([*sys.argv, "-timeout=30", "-rss_limit_mb=1500"], one)
    atheris.Fuzz()

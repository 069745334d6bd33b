"""The understanding: whatever is said is understood or asked about, and its acts are kept and read back the same.

The first byte chooses what was asked, the second the letter, the rest is the text. Cases kept are texts
(understood_texts.txt, run by tests/understanding/test_fuzz_cases.py with every question).
"""

from pathlib import Path
from typing import get_args

from harness import instrumented, run

with instrumented("dialogue.understanding", "dialogue.algebra"):
    from dialogue.acts import Expecting, from_json, to_json
    from dialogue.understanding.interpret import interpret

EXPECTING = get_args(Expecting)
LETTERS = "xyznatbckmd"
CASES = Path(__file__).with_name("understood_texts.txt")


def one(data: bytes) -> None:
    """One text."""
    if len(data) < 3:
        return
    text = data[2:].decode("utf-8", "surrogateescape" if data[0] & 128 else "ignore")
    found = interpret(text, EXPECTING[data[0] % len(EXPECTING)], LETTERS[data[1] % len(LETTERS)])
    for acts in (found.acts, *found.rivals):
        assert tuple(from_json(to_json(act, exact=True)) for act in acts) == acts, "a log keeps the very acts"
        for act in acts:
            to_json(act)


def seeds() -> list[bytes]:
    """The cases kept."""
    texts = [line.encode().decode("unicode_escape") for line in CASES.read_text("utf-8").splitlines()]
    return [bytes([number % 128, number % 11]) + text.encode("utf-8", "ignore") for number, text in enumerate(texts)]


if __name__ == "__main__":
    run(one, seeds())

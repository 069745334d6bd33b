"""What recognisers listen for after each question, written out with every weight.

``heard.txt`` has the parts by name, then each wording: the questions it is heard after, the share of its kind, its
weight within it; ``-`` is silence and ``*`` a weight. ``python -m understanding.test_heard_to_the_letter`` in ``tests``
writes it; the difference shows what a change does.
"""

from collections.abc import Iterator
from pathlib import Path

from dialogue.acts import EXPECTING
from dialogue.understanding import recognition_grammar
from dialogue.understanding.recognition_grammar import Phrase

FILE = Path(__file__).with_name("heard.txt")
LETTER = "n"


def _parts() -> dict[str, Phrase]:
    alone = {
        name: getattr(recognition_grammar, name)()
        for name in ("below_hundred", "fraction", "decimal", "number", "digits", "count")
    }
    return alone | {name: getattr(recognition_grammar, name)(LETTER) for name in ("term", "operand", "expression")}


def _written(phrase: Phrase, names: dict[int, str]) -> str:
    if isinstance(phrase, str):
        return phrase
    if id(phrase) in names:
        return f"<{names[id(phrase)]}>"
    if phrase[0] == "sequence":
        return " ".join(_written(part, names) for part in phrase[1]) or "-"
    branches = (_written(part, names) + ("" if weight == 1 else f" *{weight:g}") for part, weight in phrase[1])
    return f"({' | '.join(branches)})"


def everything() -> Iterator[str]:
    """Every line of the file."""
    parts = _parts()
    names = {id(phrase): name for name, phrase in parts.items()}
    for name, phrase in parts.items():
        yield f"{name} = {_written(phrase, {each: other for each, other in names.items() if other != name})}"
    after: dict[str, list[str]] = {}
    for expecting in EXPECTING:
        for kind, share in recognition_grammar.hearable(expecting, LETTER)[1]:  # type: ignore[misc]
            for wording, weight in kind[1] if kind[0] == "choice" else [(kind, 1)]:
                after.setdefault(f"{share:g} {weight:g} {_written(wording, names)}", []).append(expecting)
    yield from (f"{' '.join(questions)}: {line}" for line, questions in after.items())


def test_what_is_heard() -> None:
    assert list(everything()) == FILE.read_text("utf-8").splitlines()


if __name__ == "__main__":
    FILE.write_text("\n".join(everything()) + "\n", "utf-8")

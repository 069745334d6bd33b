"""A text from a scan, in which ones and noughts have become letters: ``2x + l = 1O``.

An l beside a letter may be an unknown (``2l + 2w = 20``), so nothing is changed unless the file shows elsewhere, in
what can be no algebra (``1O``, ``l8``), that it comes from a scan; then all of it is, and whoever gave it is told.
"""

import re

CERTAIN = re.compile(
    r"(?<=\d)(?<![A-Za-z]\d)O(?![A-Za-z])|(?<![A-Za-z])O(?=[.,]?\d)|(?<![A-Za-z])l(?=[.,]?\d)"  # not the O of H2O
)
LETTERS = re.compile(r"(?<![A-Za-z])[lO]+(?![A-Za-z])|(?<=\d)I(?![A-Za-z])|(?<![A-Za-z])I(?=\d)")
LEAST = 2
FROM_A_SCAN = "This file seems to come from a scan: l and O are read, and quoted, as 1 and 0."


def scanned_line(text: str) -> tuple[int, str] | None:
    """The first line (number, text) that shows it, of a text that comes from a scan; else None."""
    shows = [(number, line) for number, line in enumerate(text.splitlines(), 1) if CERTAIN.search(line)]
    return shows[0] if len(shows) >= LEAST else None


def in_ones_and_noughts(text: str) -> str:
    """The text of a scan with the digits that its letters were."""
    return LETTERS.sub(lambda found: found[0].translate(str.maketrans("lIO", "110")), text)

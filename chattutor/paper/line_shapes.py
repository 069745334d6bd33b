"""What the lines of typed-in work look like that are no working: numbers of questions, headings, answers in a list."""

import re
from string import ascii_lowercase

from dialogue.verbalising.number_words import SMALL

NUMBER_WORD = re.compile(rf"(question|number|problem|no\.?)\s+({'|'.join(reversed(SMALL))})\b", re.IGNORECASE)
BEFORE_NUMBER = re.compile(  # Ex 4.2 no. 7
    r"(?:ex(?:ercise)?|p(?:age|g)?|ch(?:apter)?)\b\.?\s*\d+(?:\.\d+)?[a-z]?\s*[,:;–—-]?\s*(?=(?:q|no|number|question))",
    re.IGNORECASE,
)
QUESTION = re.compile(
    r"(?P<word>(?:questions?|qu?|ex(?:ercise)?|number|problem|no)\b\.?\s*(?=\d)|q(?=\d))?\(?(?P<number>\d{1,3})\s*(?P<part>[a-z](?=[.):]))?(?P<end>[):]+|\.\)|\.(?!\d)|\s+|$)"
    r"\s*(?P<rest>.*)",
    re.IGNORECASE,
)
DASHED = re.compile(r"(\d{1,2})\s*[-–—]\s+(.*=.*)")  # 1 - 3x + 8 = 20
COMMON = re.compile(  # Everybody had: 3x + 4 = 19; Equation A: 3x + 4 = 19
    r"((?:every(?:body|one)|all|both|whole class|class|task|the equation"
    r"|(?:first|second|third|next|last) (?:round|one|task)|round \w+|equation [A-H])\b[\w ,']*):\s+(\S.*=.*)",
    re.IGNORECASE,
)
GIVEN = re.compile(r"([A-H])(?:\s{2,}|[.):]\s*)(\S.*)")  # B   5 - 2x = 9, of an equation with that letter
BLANK = re.compile(r"[\s|]*")  # nothing, but for the rule of a margin
NUMBERED_STEP = re.compile(r"\s*\(?\d{1,2}[.)]\s")
PAGE_NUMBER = re.compile(r"[-–—\s]*\d{1,3}[-–—\s]*")  # the number of a page
LONG_RULE = re.compile(r"[-_=~*–—]{20,}")  # across the page: what is under it is something else
RULED = re.compile(r"[-_=~*–—]{3,}")
IN_BRACKETS = re.compile(r"\(([^()=]*=[^()=]*)\)\s*[:.,]?\s*(.*)")  # (2x - 1 = 8): x = 4.5
PART = re.compile(r"\(?([a-z]|[ivx]{1,4})(?:\.?\)\s*|\.\s+)(.*=.*)")  # b) n - 17 = 9; (ii) 2x = 8
PART_ALONE = re.compile(r"\(?([a-z]|[ivx]{1,4})\)\s*[:.]?()")  # d) with nothing beside it
PART_NAMES = (ascii_lowercase, ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x"])
LISTED = re.compile(r"(\d{1,3})\s+[a-z]\s*=\s*[-−]?\s*\d[\d./\s]*", re.IGNORECASE)
ALONE = re.compile(r"(?:[a-z]\s*=\s*)?[-−]?\s*\d[\d./\s]*|no\s+\w+|\?+", re.IGNORECASE)
ASKED_CELL = re.compile(r"q(?:uestion)?\s*\d+[.):]*|\d+[.)]", re.IGNORECASE)


def in_digits(text: str) -> str:
    """``Number three`` as ``Number 3``."""
    found = NUMBER_WORD.match(text)
    return f"{found[1]} {SMALL.index(found[2].lower())}{text[found.end() :]}" if found else text

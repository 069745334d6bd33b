"""How lines stand on the page, before they are read: columns side by side and answers in a row become a line each.

Every line keeps the number it has in the file.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from chattutor.paper.whose import name_alone

GAP = re.compile(r"\t+\s*|\s{3,}|\|")
CELL = re.compile(r"\S+(?:\s{1,2}\S+)*")
CLOSE_CELL = re.compile(r"\S+(?: \S+)*")
INSIDE = re.compile(r"\s{2,}(?=\(?q?\d{1,2}[).:]\s)", re.IGNORECASE)  # 8) 2x = 6  9) x/2 = 3
MOST_COLUMNS = 12
SLACK = 2  # columns by which a cell may begin before the head of its column
IN_A_ROW = re.compile(
    r"(?:(?<=[\s,;])|^)(?:q(?=\d))?\(?(\d{1,2}|[a-h])(?:\)\s*|[.:]\s+|(?:(?<=q\d)|(?<=q\d\d))\s+)(?=[^\s,;])",
    re.IGNORECASE,
)
ASKED = re.compile(r"\(?(?:q(?:uestion)?\.?\s*)?(\d{1,2}|[a-h])\s*[).:]\s*\S.*=.*", re.IGNORECASE)


def laid_out(lines: Sequence[str]) -> list[tuple[int, str]]:
    """(number in the file, text) of every line, in the order in which they are to be read."""
    found: list[tuple[int, str]] = []
    place = 0
    while place < len(lines):
        heads = _heads(lines[place], lines[place + 1] if place + 1 < len(lines) else "")
        if not heads:
            found += [(place + 1, part) for part in in_a_row(lines[place])]
            place += 1
            continue
        end = place + 1
        while end < len(lines) and not _ends(lines[end], heads):
            end += 1
        found += _columns(heads, lines[place:end], place + 1)
        place = end
    return found


def _cells(line: str, cell: re.Pattern[str] = CELL) -> list[tuple[int, str]]:
    """(where it begins, text) of what stands between gaps."""
    text = line.replace("|", " " * 4).expandtabs(8)
    return [(match.start(), match[0]) for match in cell.finditer(text)]


def _inside(start: int, text: str) -> list[tuple[int, str]]:
    """A cell, cut before each number of a question that stands in it behind a narrow gap."""
    at = [0, *(match.end() for match in INSIDE.finditer(text)), len(text)]
    return [(start + begins, text[begins:ends].strip()) for begins, ends in pairwise(at)]


def _heads(line: str, below: str) -> list[tuple[int, str]]:
    """The heads of columns that begin on this line, each a name or a numbered question; nothing where none do."""
    if not GAP.search(line.strip()):
        return []
    cells = _cells(line)
    if len(cells) > MOST_COLUMNS:
        return []
    split = [part for cell in cells for part in _inside(*cell)]
    asked = [ASKED.fullmatch(text) for _, text in split]
    if len(split) > 1 and all(asked):
        numbers = [match[1].lower() for match in asked if match]
        filled = {_column(start, split) for start, _ in _cells(below, CLOSE_CELL)}
        return split if _consecutive(numbers) and len(filled) == len(split) else []
    texts = [text for _, text in cells]
    under = [text for _, text in _cells(below)]
    named = all(map(name_alone, texts)) and len(under) == len(cells) and all("=" in text for text in under)
    return cells if named else []


def _ends(line: str, heads: Sequence[tuple[int, str]]) -> bool:
    """Whether columns are over: those of questions at an empty line or the next question, those of names at the next
    name."""
    last = ASKED.fullmatch(heads[-1][1])
    if last is None:
        return bool(line.strip()) and all(name_alone(text) for _, text in _cells(line))
    asked = ASKED.fullmatch(line.strip())
    return not line.strip() or (asked is not None and _consecutive([last[1].lower(), asked[1].lower()]))


def _columns(heads: Sequence[tuple[int, str]], lines: Sequence[str], first: int) -> Iterator[tuple[int, str]]:
    columns: list[list[tuple[int, str]]] = [[] for _ in heads]
    for number, line in enumerate(lines, first):
        cells = _cells(line)
        if len(cells) != len(heads):
            cells = _cells(line, CLOSE_CELL)
        placed = [""] * len(heads)
        for at, (start, text) in enumerate(cells):
            column = at if len(cells) == len(heads) else _column(start, heads)
            placed[column] = f"{placed[column]}   {text}".strip()
        for into, text in zip(columns, placed, strict=True):
            if text or not cells:
                into.append((number, text))
    for each in columns:
        yield from each


def _column(start: int, heads: Sequence[tuple[int, str]]) -> int:
    return max((place for place, (head, _) in enumerate(heads) if head <= start + SLACK), default=0)


def in_a_row(line: str) -> list[str]:
    """The parts of a line with several numbered answers: ``Ada  1) x=4  2) x=7``; of any other, the line itself."""
    marks, open_brackets, at = list[re.Match[str]](), 0, 0
    for mark in IN_A_ROW.finditer(line):
        open_brackets += line.count("(", at, mark.start()) - line.count(")", at, mark.start())
        at = mark.start()
        if open_brackets <= 0:  # the 6) of 2(x + 6) is no number
            marks.append(mark)
            at, open_brackets = mark.end(), 0
    if marks and marks[0][1].isalpha():  # the (2) behind a) 7a + 3 = 24  (2)  b) ... is its marks
        marks = [mark for mark in marks if mark[1].isalpha() or not mark[0].lstrip().startswith("(")]
    if len(marks) < 2 or not _consecutive([mark[1].lower() for mark in marks]):
        return [line]
    before = line[: marks[0].start()].strip(" \t,;:-–—")
    if before and not name_alone(before):
        return [line]
    ends = [mark.start() for mark in marks[1:]] + [len(line)]
    parts = [line[mark.start() : end].strip(" \t,;") for mark, end in zip(marks, ends, strict=True)]
    return [*filter(None, [before]), *parts]


def _consecutive(names: Sequence[str]) -> bool:
    """Whether numbers or letters follow one another."""
    if len(names) < 2 or any(name.isdecimal() != names[0].isdecimal() for name in names):
        return False
    ranks = [int(name) if name.isdecimal() else ord(name) for name in names]
    return all(other == one + 1 for one, other in pairwise(ranks))

"""How pupils and teachers write a line of working: ticks, labels, "so", chains of equals signs, operations at the side.

Only the writing is looked at here; which of several possible readings is meant is for ``working`` to decide.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from chattutor.paper.one_line import ARROWS, run_on
from chattutor.paper.question_text import CURRENCY
from dialogue.algebra.moves import Operation

NotationKind: TypeAlias = Literal["line", "check", "answer"]

TICKS = re.compile(
    r"[(\[]\s*[✓✔✗✘×]\s*[)\]]\s*$|[✓✔☑✅√🗸❌✗✘☒□■∎\U0001f300-\U0001faff][\ufe0e\ufe0f]?"
    r"|(?<=\s)(?:ok|tick|correct)\s*$",
    re.IGNORECASE,
)
LABEL = re.compile(
    r"""\s*(?:(?P<check>check(?:ing|ed)?|proof|test|sub(?:stitut(?:e|ing))?)
          | (?P<answer>(?:final\s+)?answer(?:\s+only)?|ans|a(?=\s*[:.)])|solution|sol|result)
          | (?:step|line|stage)\s*\d+ | working(?:\s+out)? | workings | notes? | lhs | rhs | method
          | rough(?:\s+work(?:ing)?)? | scrap | jottings?
          | (?:left|right)(?:[\s-]*hand)?\s*side | \(?\d\)(?=\s) | \([a-z]\)(?=\s))
        \s*(?P<sign>[:.=)–—-]*)\s*""",
    re.IGNORECASE | re.VERBOSE,
)
SIDES = re.compile(
    r"\s*\b(?:(?:on|from|to|off|by|of|at)\s+)*(?:both|each)(?:\s+sides?)?\b\s*|\s*\bboth\s+sides?\b\s*", re.IGNORECASE
)
OPERAND = r"(?:\(\s*[-−]\d+\s*\)|[-−]?\d+(?:[.,]\d+)?(?:\s?/\s?\d+)?(?:\s?[a-z](?![a-z]|\s?\d))?|[a-z](?![a-z]))"
NOTE = re.compile(rf"[([]?\s*(?P<sign>[-+*/×÷−–·:]|x(?=\s?\d))\s*(?P<operand>{OPERAND})\s*[)\]]?", re.IGNORECASE)
BESIDE = re.compile(r"^\s*(?:[|,;&]|\band\b)?\s*")
_NOTE = r"[(\[]?\s*(?:[-+*/×÷−–·:]|x(?=\s?\d))\s*" + OPERAND + r"\s*[)\]]?\s*"
AT_END = re.compile(rf"(?:\s{{2,}}|\s*\|\s*|\s*(?=[(\[]))(?:{_NOTE}\|?\s*)+(?:{SIDES.pattern})?$", re.IGNORECASE)
NOTE_BEFORE = re.compile(rf"^{_NOTE}(?<=\s\s)(?=.*=)", re.IGNORECASE)  # +3    x = 8
SUM_IN_BRACKETS = re.compile(r"^\s*\(([^()]*=[^()]*)\)\s*$")  # (24 ÷ 14 = 1.714)
COLON = re.compile(r"(?<=[\d)])\s*:\s*(?=[\d(])")  # x = 20 : 4, a division
WRITTEN_WORD = r"(?<![0-9A-Za-z])[A-Za-z]{2,}(?![A-Za-z])"
TAKEN_BACK = re.compile(
    r"\b(?:no(?!\s+(?:solution|answer|number|value))|oops|sorry|wait|crossed|scribbled|wrong|mistake|actually|ignore|rubbed)\b",
    re.IGNORECASE,
)
EITHER = re.compile(r"(?:\d|\)|\b[a-zA-Z])\s+or\b")  # x = 3 or 4
HOW_MANY = re.compile(
    r"\bno\s+(?:solutions?|answers?|numbers?|values?)\b.*|\b(?:all|any|every)\s+(?:numbers?|values?)\b.*"
    r"|\b(?:never|always)\b.*|\binfinite.*",
    re.IGNORECASE,
)
CROSSED_OUT = re.compile(  # struck out, typed so or told so; or typed again and then struck out
    r"(-?\d+)\s*~~\1~~|~~.*?~~|(?:[^=]\u0336)+|\[\s*(?:[a-z]+ )?[a-z]{2,}\s*:[^\]]*\]", re.IGNORECASE
)
RULE = re.compile(r"[-_=~.‾¯—–\s]{2,}|[-_—–]")
BULLET = re.compile(r"^\s*[-–—•*]\s*")
APART = re.compile(r"^\s*(?:[-–—]\s|[•*])\s*")  # a dash that touches a letter is its minus sign
TRAILING = re.compile(r"(?<=[\da-z)])\s+[-+*/×÷−–]\d+[a-z]?\s*$", re.IGNORECASE)  # 3x - 12 = 9 +12: what is done next
TOLD = re.compile(r"^[^=:]*[A-Za-z]{2,}[^=:]*:\s+(?=[^:]*=)")  # I added 10: 5x = 25
TIMES = re.compile(r"(?<=[\d)])\s*[xX]\s*(?=[\d(])")
OPERATIONS: dict[str, Operation] = {
    "-": "subtract", "−": "subtract", "–": "subtract", "+": "add", "*": "multiply", "×": "multiply", "·": "multiply",
    "x": "multiply", "/": "divide", "÷": "divide", ":": "divide",
}  # fmt: skip
DECIMALS = re.compile(r"\d*\.(\d+)")
LEADING = re.compile(r"\d+(?:\.\d+)?")
GOING_ON = re.compile(r"(?<=\d)\s*(?:\.{2,}|…|\u0307+|\brec(?:urring)?\b\.?)")
CREDIT = re.compile(
    r"(?:\s+(?:[MAB][0-3]|ft|oe|cao|isw|awrt))+\s*$"
)  # how UK mark schemes note marks (common practice)
UNDERLINED = re.compile(r"(?<=\w)\s*(?:/{2,}|[\\]{2,}|_{2,}|={2,})\s*$")  # strokes under or behind an answer
GIVEN_MARKS = re.compile(r"(?<==)(.*\S)\s+\[\s*\d{1,2}\s*(?:marks?|ft)?\s*\](?=\s|$)", re.IGNORECASE)  # x = 4   [3]
PLACES = re.compile(r"\(?\b(?:to\s+)?\d+\s*(?:d\.?\s?p\.?|s\.?\s?f\.?|decimal\s+places?)\)?", re.IGNORECASE)
SAID_BESIDE = re.compile(r"\s*[(\[][^()=\[\]]*[A-Za-z]{2,}[^()=\[\]]*[)\]]\s*$")
IN_WORDS = tuple(
    (re.compile(rf"(?<=[\w)])\s+(?:{words})\s+(?=[\d(a-z])", re.IGNORECASE), f" {sign} ")
    for words, sign in (
        (r"divided\s+by|shared\s+by|over", "/"), (r"times|multiplied\s+by|lots\s+of|of", "*"), ("plus|add", "+"),
        (r"minus|take\s+away|subtract|less", "-"), ("equals|makes", "="),
    )
)  # fmt: skip
PARTS = {"a half": "½", "a third": "⅓", "a quarter": "¼", "two thirds": "⅔", "three quarters": "¾"}
PART_IN_WORDS = re.compile(rf"(?<=\d)\s+and\s+({'|'.join(PARTS)})\b", re.IGNORECASE)  # 4 and a half
TRIED = re.compile(r"(?:try|tried|trying|trial|guess(?:ed)?)\b.*\d.*", re.IGNORECASE)
BRACKETED = re.compile(r"\s+\(\s*([-+−])\s*(\d+(?:\.\d+)?[a-z]?)\s*\)", re.IGNORECASE)
BEHIND = re.compile(r"\||\s{3,}")
POINTING = re.compile(r"<-|←")
OWN_UNIT = re.compile(r"^(\s*([ghlmps])\s*=\s*)([-−]?\d+(?:\.\d+)?)\s*\2$")  # p = 65p
CROSS_BEHIND = re.compile(r"^(\s*[a-zA-Z]\s*=\s*[-−]?\d+(?:[./]\d+)?)\s+[xX]$")  # x = 7 x, typed for a cross
OWN_AGAIN = re.compile(r"^(\s*([ghlmps])\s*=\s*[-−]?\d+(?:\.\d+)?)\s*=\s*\d+(?:\.\d+)?\s*\2$")  # p = 0.65 = 65p
SMALL_CROSS = re.compile(r"(?<=[\w)])\s+x\s+(?=[\w(])")  # 3 x X, where the unknown is written large
WIDE, LONG_LINE = re.compile(r"\s{5,}"), 500  # gaps of a line of so many characters are none of its sense
DEGREES = re.compile(r"(?<=\d)\s*[°º]")
LONG = re.compile(r"(\.\d{7})\d+")  # as a calculator shows it
REMAINDER = re.compile(r"(?:\b|(?<=\d))(?:r|rem|remainder)\.?\s*\d+\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Written:
    """A line without its ticks and labels; ``going_on``: its decimals were said to go on; ``remainder`` likewise."""

    text: str
    kind: NotationKind = "line"
    going_on: bool = False
    remainder: bool = False


def written(text: str) -> Written:
    """The line without what says nothing about the mathematics."""
    text = PART_IN_WORDS.sub(lambda found: PARTS[found[1].lower()], DEGREES.sub("", LONG.sub(r"\1", text)))
    text = CURRENCY.sub("", TICKS.sub(" ", CROSSED_OUT.sub(" ", text))).replace("≈", "=").replace("≃", "=").strip()
    text = WIDE.sub(" " * 4, text) if len(text) > LONG_LINE else text
    text = UNDERLINED.sub("", CREDIT.sub("", PLACES.sub("", text))).strip()
    if "=" in text:
        text = GIVEN_MARKS.sub(r"\1", text)
        text = SAID_BESIDE.sub("", text)
    kind: NotationKind = "line"
    for _ in range(3):
        text = re.sub(rf"^(?:{ARROWS.pattern})", "", text)
        label = LABEL.match(text)
        if label is None or (label["sign"] in {"", "="} and not (label["check"] or len(label[0].strip(" =")) > 1)):
            break
        kind = "check" if label["check"] else "answer" if label["answer"] else kind
        text = text[label.end() :]
    going_on = GOING_ON.search(text) is not None
    text = GOING_ON.sub("", text)
    remainder = REMAINDER.search(text)
    text = text[: remainder.start()] if remainder else text
    return Written(text.strip().rstrip(".!;,?").strip(), kind, going_on, remainder is not None)


def readings(text: str, letter: str, numbers_alone: bool = False) -> Iterator[tuple[str, ...]]:
    """The ways the line can be cut into pieces, the most literal first. ``numbers_alone``: two bare numbers, such as
    4 = 9, can be a line of the working, also among words."""
    end = AT_END.search(text)
    bare = text[: end.start()] if end is not None and "=" in text[: end.start()] else text
    beside = bare if end is not None and re.match(r"\s{3,}|\s*\|", end[0]) else ""  # a note, and no part of a sum
    changes: tuple[Callable[[str], str], ...] = (
        lambda each: beside,
        in_signs,
        lambda each: each,
        lambda each: bare,
        lambda each: TIMES.sub(" * ", bare),
        lambda each: SMALL_CROSS.sub(" * ", bare) if letter == "X" else bare,
        lambda each: NOTE_BEFORE.sub("", bare),
        lambda each: COLON.sub("/", bare),
        lambda each: APART.sub("", bare),
        lambda each: TOLD.sub("", bare),
        lambda each: TRAILING.sub("", bare),
        lambda each: re.sub(r"(?<=\d),(?=\d)", ".", bare),
        lambda each: BRACKETED.sub(r" \1 \2", each),
        lambda each: each if TAKEN_BACK.search(each) else _without_remark(each),
        lambda each: "; ".join(run_on(each)),
        lambda each: CROSS_BEHIND.sub(r"\1", each),
        lambda each: OWN_UNIT.sub(r"\1\3", OWN_AGAIN.sub(r"\1", each)),
    )
    seen: set[tuple[str, ...]] = set()
    for change in changes:
        cut = tuple(pieces(change(text), letter, numbers_alone))
        if cut and cut not in seen:
            seen.add(cut)
            yield cut


def _without_remark(text: str) -> str:
    """The line without what stands behind it: an arrow and words, a margin, words behind a gap."""
    text = POINTING.split(text, maxsplit=1)[0]
    first, *margin = text.split("|")
    if "=" in first and not re.search("[a-zA-Z]", "".join(margin)):
        text = first
    at = text.rfind("=") + 1
    behind = BEHIND.search(text, at) if text[at:].strip() else None
    return text[: behind.start()] if behind is not None and text[at : behind.start()].strip() else text


def in_signs(text: str) -> str:
    """With operations that are said in words, between numbers or letters, as signs."""
    for words, sign in IN_WORDS:
        text = words.sub(sign, text)
    return text


def pieces(text: str, letter: str, numbers_alone: bool) -> Iterator[str]:
    """The parts of a line that stand for themselves: parted by arrows, semicolons, wide gaps or words."""
    for part in ARROWS.sub("\n", text).split("\n"):
        for each in re.split(r"\s*[;&]\s*|\s*,\s+|,(?=[a-zA-Z])", part):
            yield from _without_words(each.strip(), letter, numbers_alone)


def _without_words(part: str, letter: str, numbers_alone: bool) -> Iterator[str]:
    if not part:
        return
    if "=" not in part or not re.search(WRITTEN_WORD, part):
        yield from _wide(part)
        return
    how_many = HOW_MANY.search(part)
    before = part[: how_many.start()] if how_many else part
    equations = [each.strip(" ,.:;") for each in _parted(before, letter) if "=" in each.strip(" =")]
    if not (numbers_alone or how_many):
        equations = [each for each in equations if re.search(r"[a-z]|\d\s*[-+*/×÷−(]", each, re.IGNORECASE)]
    if not equations or EITHER.search(part):
        yield part
    elif not TAKEN_BACK.search(part):
        yield from equations
    elif len(equations) > 1:
        yield equations[-1]
    if equations and how_many:
        yield how_many[0]


def _parted(part: str, letter: str) -> list[str]:
    """What is between the words; a lone I or a is a word where neither is the unknown."""
    lone = "".join(sorted({"I", "a", "A"} - {letter, letter.upper()}))
    return re.split(rf"{WRITTEN_WORD}|[?!.]\s+(?=\S)|\s{{3,}}|(?<![0-9A-Za-z])[{lone}](?=\s+[A-Za-z]{{2,}})", part)


def _wide(part: str) -> Iterator[str]:
    """Two equations side by side with a gap between them."""
    cut = re.split(r"\s{2,}|\t+|\s*\|\s*", part)
    sound = all(each.count("=") == 1 and all(side.strip() for side in each.split("=")) for each in cut)
    yield from cut if len(cut) > 1 and sound else [part]


def operations(text: str) -> tuple[tuple[Operation, str], ...]:
    """The operations at the side that are all a line says, as ``-6   -6``; none where it says anything else."""
    text = SIDES.sub(" ", text).strip().lstrip("| ")  # the bar that others draw before what is done
    found: list[tuple[Operation, str]] = []
    while text:
        note = NOTE.match(text)
        if note is None:
            return _divided_alone(text) if not found else ()
        operand = note["operand"].replace(" ", "").replace(",", ".")
        found.append((OPERATIONS[note["sign"].lower()], operand))
        text = BESIDE.sub("", text[note.end() :], count=1)
    return tuple(found)


def _divided_alone(text: str) -> tuple[tuple[Operation, str], ...]:
    """``3     3`` under two fraction bars."""
    same = re.fullmatch(r"([-−]?\d+(?:\.\d+)?)\s{2,}([-−]?\d+(?:\.\d+)?)", text)
    return (("divide", same[1]), ("divide", same[2])) if same and same[1] == same[2] else ()

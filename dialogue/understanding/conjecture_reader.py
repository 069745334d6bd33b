"""A guess that is put as a question, read exactly: that two expressions are the same ("is 3n three times n?"), what one
means, that one operation undoes another, or an own rule ("so it's always the last one first?").

What was guessed goes with the question as its ``about``: "same: 3n, 3 + n", "means: 3n", "undoes: add 4, subtract 4"
(the numbers may be unsaid), "balanced", and of an own rule the operations in it: "rule: divide", "rule: add, add",
"rule: opposite", "rule: last first", "rule: that" (what was done). Whether it is right is not decided here.
"""

import re
from collections.abc import Iterator
from functools import lru_cache

from dialogue.acts import Value
from dialogue.algebra.linear import linear
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import Expression, Number, Product, Quotient, has_unknown, walk
from dialogue.algebra.writing import write
from dialogue.understanding.certain import acts_as_said
from dialogue.understanding.grammar import read_data
from dialogue.understanding.normalise import in_lower_case
from dialogue.understanding.phrase_spotting import denies
from dialogue.understanding.question_topics import Spotted

MOST_WORDS = 6  # of an expression in words: what a sentence costs is bounded
MOST_JOINTS = 3
WORD = re.compile(r"[^\s,;:?!]+(?<!\.)")
ASKS = re.compile(
    r"\?|^\W*(?:(?:and|but|then|ok|oh|wait|sorry|please|i)\W+)*(?:is|are|does|do|did|so|would you|thought)\b"
)
AND = re.compile(r"\band\b")
INVERTED = re.compile(r"\b(?:is|are|if)\s+")
WHAT_IS = re.compile(
    r"\bwhat(?:'?s| is| does| do you mean by)\s+(?:a |the |this )?(?P<term>\S.*?)(?:\s+mean)?[\s.?!]*$"
)
NUMBER = r"(?:\d+(?:\.\d+)?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)(?![\w.])"
# "2 times x + 1" is two things
GOES_ON = re.compile(r"\W*?(?:[-+*/×÷=]|\s(?:plus|minus|times|over|take|divided|add|and|equals)\b)")
ONE_SIDE = re.compile(r"\b(?:only|one side|just the)\b")


def conjecture_in(sentence: str, letter: str) -> Spotted | None:
    """The guess in a sentence, and where it stands; None where there is none."""
    said = in_lower_case(sentence)
    if "=" in said:
        return None  # a line
    asked = _what_is(said, letter)
    if asked is not None or ASKS.search(said) is None:
        return asked
    return _undoing(said) or _same(said, letter) or _alike(said, letter) or _balanced(said) or _rule(said)


def _what_is(said: str, letter: str) -> Spotted | None:
    found = WHAT_IS.search(said)
    if found is None or len(found["term"].split()) > MOST_WORDS:
        return None
    term = _read(found["term"], letter)
    return None if term is None or not _is_notation(term) else Spotted(f"means: {write(term)}", *found.span())


def _same(said: str, letter: str) -> Spotted | None:
    for joint in [*_joints().finditer(said)][:MOST_JOINTS]:
        for left, start in _before(said, joint.start(), letter):
            if not _is_notation(left):
                continue
            for right, end in _after(said, joint.end(), letter):
                if has_unknown(right) and GOES_ON.match(said, end) is None:
                    return Spotted(_compared(left, right), start, end)
            if joint.lastgroup == "means":
                return Spotted(f"means: {write(left)}", start, len(said.rstrip()))
    for asked in [*INVERTED.finditer(said)][:MOST_JOINTS]:
        for left, middle in _after(said, asked.end(), letter):
            if not _is_notation(left):
                continue
            for right, end in _after(said, middle, letter):
                if GOES_ON.match(said, end) is not None:
                    break
                if has_unknown(right) and (_numbers(right) <= _numbers(left) or _is_equal(left, right)):
                    return Spotted(_compared(left, right), asked.start(), end)  # with other numbers it may be a line
    return None


def _alike(said: str, letter: str) -> Spotted | None:
    """ "(Is it because) 3(n + 11) and 3n + 33 are the same amount?" """
    for joint in [*AND.finditer(said)][:MOST_JOINTS]:
        for left, start in _before(said, joint.start(), letter):
            if not _is_notation(left):
                continue
            for right, end in _after(said, joint.end(), letter):
                if has_unknown(right) and re.match(read_data("conjectures")["alike"], said[end:]):
                    return Spotted(_compared(left, right).replace("same: ", "alike: "), start, len(said.rstrip()))
    return None


def _compared(left: Expression, right: Expression) -> str:
    """What is to be judged; of what cannot be worked out (4/n) only what the first means is to be told."""
    try:
        linear(left), linear(right)
    except Refusal:
        return f"means: {write(left)}"
    return f"same: {write(left)}, {write(right)}"


def _undoing(said: str) -> Spotted | None:
    for pattern in _undo_patterns():
        found = pattern.search(said)
        if found is not None:
            one, two = (_operation(found, place) for place in ("one", "two"))
            return Spotted(f"undoes: {one}, {two}", *found.span())
    return None


def _operation(found: re.Match[str], place: str) -> str:
    name = next(name for name in _operations() if found[f"{place}_{name}"])
    number = found[f"{place}_number"]
    read = None if number is None else _read(number, "x")
    return name if read is None else f"{name} {write(read)}"


def _balanced(said: str) -> Spotted | None:
    found = _balance().search(said) if "?" in said else None
    return None if found is None or denies(said) or ONE_SIDE.search(said) else Spotted("balanced", *found.span())


def _rule(said: str) -> Spotted | None:
    """An own rule in words alone: the operations it names, but for those it denies, at most two."""
    data = read_data("conjectures")["rule"]
    whole = (0, len(said.rstrip()))
    if re.search(r"\d", said):
        return None
    always, weakly, opposite = (
        re.search(rf"\b(?:{'|'.join(data[name])})\b", said) for name in ("always", "if", "opposite")
    )
    if re.search(data["last_first"], said):
        return Spotted("rule: last first", *whole)
    if re.search(data["of_order"], said):
        return None
    found = operations_named(said)
    if opposite and not found and "?" in said:
        return Spotted("rule: opposite", *whole)
    if always and not found and re.search(data["that"], said):
        return Spotted("rule: that", *whole)
    named = opposite and "?" in said
    if not found or not (always or named or (weakly and len(found) > 1)) or len(found) > 2:
        return None
    return Spotted(f"rule: {', '.join(found)}", *whole)


def operations_named(text: str) -> tuple[str, ...]:
    """The operations that words name, but for those that are denied, in order; none beside a number."""
    said = in_lower_case(text)
    denied = read_data("conjectures")["rule"]["denied"]
    named = [one.lastgroup for one in _named().finditer(said) if not re.search(denied, said[: one.start()])]
    return () if re.search(r"\d", said) else tuple(filter(None, named))


def _before(said: str, end: int, letter: str) -> Iterator[tuple[Expression, int]]:
    """The expressions that end there, longest first, and where each begins."""
    words = [word for word in WORD.finditer(said) if word.end() <= end][-MOST_WORDS:]
    for word in words:
        read = _read(said[word.start() : end], letter)
        if read is not None:
            yield read, word.start()


def _after(said: str, start: int, letter: str) -> Iterator[tuple[Expression, int]]:
    """The expressions that begin there, but for words that say nothing, longest first, and where each ends."""
    words = [word for word in WORD.finditer(said) if word.start() >= start][: 2 * MOST_WORDS]
    while words and words[0].group() in read_data("conjectures")["filler"]:
        words.pop(0)
    for word in reversed(words[:MOST_WORDS]):
        read = _read(said[words[0].start() : word.end()], letter)
        if read is not None:
            yield read, word.end()


def _read(text: str, letter: str) -> Expression | None:
    acts = acts_as_said(text.strip(" .,?!"), "value", letter)
    return acts[0].value if acts is not None and len(acts) == 1 and isinstance(acts[0], Value) else None


def _is_notation(side: Expression) -> bool:
    """Whether it is written without a word or a sign that would tell how its parts are joined: 3n, 2(x + 1), n/4."""
    return isinstance(side, Product | Quotient) and has_unknown(side)


def _numbers(side: Expression) -> set[Number]:
    return {piece for piece in walk(side) if isinstance(piece, Number)}


def _is_equal(left: Expression, right: Expression) -> bool:
    try:
        return linear(left) == linear(right)
    except Refusal:
        return False


@lru_cache(maxsize=1)
def _joints() -> re.Pattern[str]:
    data = read_data("conjectures")
    same, means = ("|".join(data[name]) for name in ("same", "means"))
    return re.compile(rf"\b(?:(?P<same>{same})|(?P<means>{means}))\b")


@lru_cache(maxsize=1)
def _operations() -> dict[str, str]:
    more = read_data("conjectures")["gerunds"]
    words = {name: [*more[name], *own] for name, own in read_data("undone")["operation"].items()}
    return {name: "|".join(sorted(own, key=len, reverse=True)) for name, own in words.items()}


@lru_cache(maxsize=1)
def _named() -> re.Pattern[str]:
    """An operation, in words."""
    named = "|".join(rf"(?P<{name}>{words})" for name, words in _operations().items())
    return re.compile(rf"(?<![\w'])(?:{named})(?![\w'])")


@lru_cache(maxsize=1)
def _undo_patterns() -> tuple[re.Pattern[str], ...]:
    """ "Adding 4 (always) undoes taking 4 away", and "the opposite of times is divide"."""
    data = read_data("conjectures")
    undoes, undone, between = ("|".join(data[name]) for name in ("undoes", "undone", "between"))

    def operation(place: str) -> str:
        named = "|".join(rf"(?P<{place}_{name}>{words})" for name, words in _operations().items())
        return (
            rf"(?<![\w])(?:{named})(?![a-z])(?: by| a| the)?(?:\s*(?P<{place}_number>{NUMBER}))?(?: (?:away|off|on))?"
        )

    first = rf"{operation('one')}\s+(?:(?:{between})\s+)*(?:{undoes})\s+(?:out |the |a )?{operation('two')}"
    second = rf"(?:{undone})\s+(?:a |the )?{operation('two')}\s+(?:(?:is|just|like)\s+)?(?:a |the )?{operation('one')}"
    return re.compile(first), re.compile(second)


@lru_cache(maxsize=1)
def _balance() -> re.Pattern[str]:
    ends = "|".join(read_data("conjectures")["balanced"])
    because = r"(?:cos|coz|cause|because|or|otherwise|else|so|to keep)"
    return re.compile(rf"\bboth (?:sides )?(?:[\w']+\W+){{0,3}}{because}\b(?:\W+[\w']+){{0,6}}?\W+(?:{ends})\b")

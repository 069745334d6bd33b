"""What is certain without a model: mathematics in symbols, and wordings that the grammar has word for word.

Nothing but sounds of hesitation is skipped here, so that nothing said beside it can be lost: one word more, and the
tagger reads the turn.
"""

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, cast

from dialogue.acts import (
    Act,
    Ask,
    AskFor,
    Control,
    ControlWhat,
    Describe,
    Expecting,
    PartMove,
    Refused,
    Say,
    Seen,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Action, Done
from dialogue.algebra.reading import SPACED
from dialogue.algebra.tree import Negative, Number, Product, Quotient, Sum, Unknown, has_unknown
from dialogue.understanding import normalise, spans
from dialogue.understanding.grammar import Matcher, load, read_data
from dialogue.understanding.semantics import build
from dialogue.understanding.symbolic import read_typed

MOST_TOKENS = 40  # nobody says a line in more
EDGES = " .!?"
DECIMAL_COMMA = re.compile(r"\d,\d")
POWER = re.compile(r"[\w)]\s*\^\s*[-+({]*\d|[\w)]\^[\w({]|[\w)]\*\*[\w(]|[a-z\d)][⁰¹²³⁴-⁹]", re.IGNORECASE)
NEXT_MOVE = re.compile(r"(?<=\d)\s+(?=[x*×÷/]\d)")  # "+7 x2" are two moves, "-4/3" is one
BETWEEN = re.compile(r"\s*(?:[,;\n]|[-=]+>|→|⇒|∴|\bso\b|\bthen\b|\band\b)\s*")
SIGNED = re.compile(r"([-+*/x])\s*(-?[\d./]+|\([^()]*\)|[a-z])")
SIGNED_ITEMS = re.compile(rf"(?:{SIGNED.pattern}[\s,;]*)+")
ON_EACH_SIDE = re.compile(r"([-+*/]\s*(?:\([^()]*\)|[\d./]*[a-z]?))\s+\1")  # "-6 -6", written under the two sides
COLON = re.compile(r"^:\s*(?=-?[\d(])")  # ": 5", as some countries write division
COMMA = re.compile(r"[,;]|(?<=[a-z\d])\.\s")
TICKED = re.compile(r"[✓✔☑]\W*$")
JOINTS = frozenset({"and", "then", "so"})
STEPS = (Move, Line, Rewrite)
ASKED_FOR: dict[Expecting, type] = {
    "balance": Seen, "operations": Describe, "term": Describe, "move": Move, "equation": Line,
}  # fmt: skip
WORDS = re.compile(r"[a-z]{2,}")
NEXT_LINE = re.compile(r"[\d)]\s*[,;]\s*[a-z]\s*=")  # "so 66/6, n = 11": not 66n
PAUSE = re.compile(r"[\d)]\s*(?:…|(?:\.\s?){2,})\s*[-+\d(]")  # "12 / -2 .... -6": two things said one after the other
SIGNS: dict[str, Action] = {"+": "add", "-": "subtract", "*": "multiply", "x": "multiply", "/": "divide"}


@lru_cache(maxsize=512)
def certain_acts(text: str, expecting: Expecting, letter: str) -> tuple[Act, ...] | None:
    """The acts, where they are certain; ``Unclear`` with a question where it is certain what to ask; else None."""
    found = acts_as_said(text, expecting, letter)
    if found is not None and any(map(_divides_by_zero, found)):
        return (Unclear("division by zero"),)
    return found


def acts_as_said(text: str, expecting: Expecting, letter: str) -> tuple[Act, ...] | None:
    """The same, also where they hold what divides by zero."""
    plain = normalise.cleaned(text).strip().rstrip(EDGES)
    if normalise.goes_on(text):
        return (Unclear("for ever"),)
    if DECIMAL_COMMA.search(plain):
        return (Unclear("decimal comma"),)
    if POWER.search(text):
        return (Unclear("not linear"),)
    if SPACED.search(plain):
        return (Unclear("spaces"),)
    if PAUSE.search(plain):
        return None
    bare = _courtesy().sub("", plain)
    if bare in bare_words():
        return (bare_words()[bare],)
    if expecting == "value" and bare in worth_the_same():
        return (Say("checked"),)
    if normalise.is_textspeak(plain):
        return None
    plain = COLON.sub("/", plain)
    if expecting == "move" and plain.startswith(("+", "-", "−")):
        plain = NEXT_MOVE.sub(" then ", plain)
    found = _in_symbols(plain, expecting, letter)
    if found is None and NEXT_LINE.search(plain):
        return None
    if found is None:
        found = _to_the_letter(plain, expecting, letter)
        if found is not None and _joins_two(plain, found, expecting, letter):
            return None
    if found is None or any(_is_a_sum_aside(act, expecting) for act in found):
        return None
    if expecting == "term":
        found = tuple(map(_as_a_term, found))
    return (*found, Say("checked")) if TICKED.search(text) else found


def _as_a_term(act: Act) -> Act:
    """ "The +3", said where a term was asked for, is that term."""
    match act:
        case Describe(operations=(Done(action="subtract", operand=Number() as operand),)):
            return Term(Number(-operand.value))
        case Describe(operations=(Done(action="subtract", operand=operand),)):
            return Term(Negative(operand))
        case Describe(operations=(Done(action="add" | "multiply" | "divide", operand=operand),)):
            return Term(operand)
    return act


def _divides_by_zero(act: Act) -> bool:
    """Whether it holds what is no number at all."""
    match act:
        case Refused(of):
            return _divides_by_zero(of)
        case Line(equation):
            said = [*equation.sides()]
        case Work(left, right):
            said = [left, right]
        case Describe(operations):
            said = [done.operand for done in operations]
        case Move(operand=one) | PartMove(operand=one) | Value(one) | Term(one) | Try(one):
            said = [] if one is None else [one]
        case _:
            return False
    return any(spans.is_undefined(one) for one in said)


def _joins_two(plain: str, found: tuple[Act, ...], expecting: Expecting, letter: str) -> bool:
    """Whether what stands before a comma means something else by itself: "over three, six" is not by thirty-six."""
    before = COMMA.split(plain)[0]
    if before == plain:
        return False
    alone = _in_symbols(before, expecting, letter) or _to_the_letter(before, expecting, letter)
    if alone is None:
        return False
    return [getattr(act, "operand", act) for act in alone] != [getattr(act, "operand", act) for act in found]


def _is_a_sum_aside(act: Act, expecting: Expecting) -> bool:
    """Whether it is a sum without its result where none was asked for: a reason, or a way to it."""
    if not isinstance(act, Value) or expecting in {"value", "equation", "yesno"}:
        return False
    return isinstance(act.value, Sum | Product | Quotient) and not has_unknown(act.value) and not _is_fraction(act)


def _is_fraction(act: Value) -> bool:
    quotient = act.value
    return isinstance(quotient, Quotient) and isinstance(quotient.top, Number) and isinstance(quotient.bottom, Number)


def has_words(text: str) -> bool:
    """Whether there are words in it: what is written in signs alone and is not read exactly is not guessed at."""
    return WORDS.search(text.lower()) is not None


def _in_symbols(plain: str, expecting: Expecting, letter: str) -> tuple[Act, ...] | None:
    pieces = [piece for piece in BETWEEN.split(plain) if piece]
    if not pieces or any(WORDS.search(piece) for piece in pieces):
        return None
    if expecting == "operations":
        return _described(plain, letter)
    acts = [_piece(piece, expecting, letter) for piece in pieces]
    if acts == [Unclear("another letter")]:
        return (Unclear("another letter"),)
    certain = tuple(act for act in acts if act is not None and not isinstance(act, Unclear))
    return certain if len(certain) == len(acts) else None


def _described(plain: str, letter: str) -> tuple[Act, ...] | None:
    """What is done to the unknown, in signs: "x4 +2", "+4; /3"."""
    if SIGNED_ITEMS.fullmatch(plain) is None:
        return None
    done: list[Done] = []
    for sign, said in SIGNED.findall(plain):
        operand = read_typed(said, "value", letter)
        if not isinstance(operand, Value):
            return None
        done.append(Done(SIGNS[sign], operand.value))
    return (Describe(tuple(done)),)


def _piece(piece: str, expecting: Expecting, letter: str) -> Act | None:
    twice, signed = ON_EACH_SIDE.fullmatch(piece), SIGNED.fullmatch(piece)
    if twice and expecting in {"move", "any", "yesno"}:
        move = read_typed(twice[1], "move", letter)
        return Move(move.operation, move.operand, "both") if isinstance(move, Move) else None
    if signed and expecting == "term":
        named = read_typed(signed[2], "term", letter)
        return Term(named.value) if isinstance(named, Value) else None
    if re.search(rf"{letter}\s*\d", piece):
        return None  # "k6": k is 6, or 6 lots of k?
    read = read_typed(piece, expecting, letter)
    if isinstance(read, Value) and isinstance(read.value, Sum) and expecting not in {"value", "equation"}:
        return None  # a part of a line, or a sum: the tagger sees what was asked
    return None if read is None else asked_for(read, expecting)


def asked_for(act: Act, expecting: Expecting) -> Act:
    """A sum in numbers alone is the value that was asked for, the line that was asked for, or work."""
    if not isinstance(act, Line) or any(map(has_unknown, act.equation.sides())):
        return act
    if expecting == "value" and act.equation.left != act.equation.right:
        return Value(act.equation.right)
    return act if expecting == "equation" else Work(*act.equation.sides())


def _to_the_letter(plain: str, expecting: Expecting, letter: str) -> tuple[Act, ...] | None:
    tokens = _from_its_beginning(normalise.tokens(plain, letter))
    if not tokens or len(tokens) > MOST_TOKENS:
        return None
    whole = _one(tokens, expecting, letter) or (_seen(tokens, letter) if expecting == "balance" else None)
    if whole is not None:
        return (whole,)
    corrected = _corrected(tokens, expecting, letter)
    if corrected is not None:
        return (corrected,)
    for start, joint in enumerate(tokens[:-1]):
        if joint in JOINTS and start:
            end = start + 1 + (tokens[start + 1] in JOINTS)
            first, second = _one(tokens[:start], expecting, letter), _one(tokens[end:], expecting, letter)
            if isinstance(first, STEPS) and isinstance(second, STEPS):
                return first, second  # "subtract four and divide by two", "take six off both so two x is ten"
    return None


def _from_its_beginning(tokens: Sequence[str]) -> Sequence[str]:
    """The tokens without the words that only begin a turn."""
    while len(tokens) > 1 and tokens[0] in beginnings():
        tokens = tokens[1:]
    return tokens


def _corrected(tokens: Sequence[str], expecting: Expecting, letter: str) -> Act | None:
    """ "Add two no take two from both sides": the last version, where both are certain; a number alone corrects
    the number of the move or of the line before it."""
    for start in range(1, len(tokens) - 1):
        for marker in markers():
            end = start + len(marker)
            if tuple(tokens[start:end]) == marker and end < len(tokens):
                first, last = _one(tokens[:start], expecting, letter), _one(tokens[end:], expecting, letter)
                number = _one(tokens[end:], "value", letter)
                corrected = _with_number(first, number) if isinstance(number, Value) else None
                if isinstance(first, STEPS) and isinstance(last, STEPS) and not (corrected and isinstance(first, Line)):
                    return last
                if corrected is not None:
                    return corrected
    return None


def _with_number(first: Act | None, number: Value) -> Act | None:
    match first:
        case Move(operation, _, sides):
            return Move(operation, number.value, sides)
        case Line(Equation(Unknown(letter), Number() | Negative())):
            return Line(Equation(Unknown(letter), number.value, letter))
        case Value():
            return number
    return None


def _seen(tokens: Sequence[str], letter: str) -> Act | None:
    """What the balance does, the longest that is told in the words: nothing in the opening scene is marked."""
    matcher = Matcher(load(), tokens, letter, build)
    found = [
        (end - start, -cost, meaning)
        for start in range(len(tokens))
        for end, meaning, cost in matcher.beginning("seen", start)
        if isinstance(meaning, Seen)
    ]
    return max(found, key=lambda one: one[:2])[2] if found else None


def _one(tokens: Sequence[str], expecting: Expecting, letter: str) -> Act | None:
    """The one act that all of the tokens are, by the grammar."""
    if not tokens:
        return None
    matcher = Matcher(load(), tokens, letter, build)
    least: dict[Act, int] = {}
    for name in contexts()[expecting]:
        for end, meaning, cost in matcher.beginning(name, 0):
            if end == len(tokens) and not isinstance(meaning, bool | str):
                least[meaning] = min(cost, least.get(meaning, cost))
    certain = [asked_for(act, expecting) for act, cost in least.items() if cost == min(least.values())]
    if len(certain) > 1:  # what was asked for settles a tie
        certain = [act for act in certain if isinstance(act, ASKED_FOR.get(expecting, ()))]
    if len(certain) != 1 or isinstance(certain[0], Unclear | Ask | Control):
        return None  # questions and commands are the tagger's, but for bare words
    act = certain[0]
    sided = isinstance(act, Move) and act.sides == "right" and tokens[0] == "right"  # "Right. Divide by two."
    return None if sided else act


@lru_cache(maxsize=1)
def bare_words() -> dict[str, Act]:
    """Questions and commands of one word, said alone or with a "please"."""
    data = read_data("contexts")
    asked: dict[str, Act] = {word: Ask(cast(AskFor, what)) for what, words in data["ask"].items() for word in words}
    told: dict[str, Act] = {
        word: Control(cast(ControlWhat, what)) for what, words in data["control"].items() for word in words
    }
    return asked | told


@lru_cache(maxsize=1)
def _courtesy() -> re.Pattern[str]:
    words = "|".join(read_data("contexts")["courtesy"]["words"])
    return re.compile(rf"^(?:{words})\b[\s,]*|[\s,]*\b(?:{words})$")


@lru_cache(maxsize=1)
def verdict_words() -> dict[str, Act]:
    """Words alone that answer "never or always?": elsewhere they are a no and a rule."""
    data = read_data("contexts")["count"]
    return {word: Verdict(cast(Any, kind)) for kind, words in data.items() for word in words}


@lru_cache(maxsize=1)
def worth_the_same() -> frozenset[str]:
    """Words alone that say, where a side's value was asked for, that it is that of the other side."""
    return frozenset(read_data("contexts")["worth_the_same"]["words"])


@lru_cache(maxsize=1)
def beginnings() -> frozenset[str]:
    """Words before a turn that add nothing to it."""
    return frozenset(read_data("contexts")["beginnings"]["words"])


@lru_cache(maxsize=1)
def markers() -> tuple[tuple[str, ...], ...]:
    """The words that mark a self-correction, longest first."""
    found = [tuple(marker.split()) for marker in read_data("repairs")["markers"]]
    return tuple(sorted(found, key=len, reverse=True))


@lru_cache(maxsize=1)
def contexts() -> dict[str, list[str]]:
    """Which sets of wordings count after which question."""
    found: dict[str, list[str]] = read_data("contexts")["contexts"]
    return found

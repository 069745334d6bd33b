"""Sayings to words: wordings are data, chosen among variants by the session's own seed so that replay is exact."""

import tomllib
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Literal, TypeAlias

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    PartMove,
    Refused,
    Say,
    Seen,
    Term,
    Try,
    Value,
    Work,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Done
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown, constant, walk
from dialogue.algebra.writing import BOARD, write
from dialogue.verbalising.sayings import Dialect, Filling, Reply, Saying
from dialogue.verbalising.speak import AMERICAN, BRITISH, SpokenStyle, say_equation, say_expression

Channel: TypeAlias = Literal["text"] | SpokenStyle  # a screen, or a voice with its classroom's words

TEXT_ONLY = ("picture",)  # and the other way round
SPOKEN_ONLY = ("digits",)  # places that are filled in speech and empty on a screen, where they can be seen
PARENTHESES = (("bracket's", "parentheses'"), ("brackets", "parentheses"), ("bracket", "parentheses"))
DIGITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]


@cache
def wordings() -> dict[str, tuple[str, ...]]:
    """Every wording by key, with its variants."""
    text = files("dialogue.verbalising").joinpath("en/wordings.toml").read_text(encoding="utf-8")
    return {key: tuple(variants) for key, variants in tomllib.loads(text).items()}


@cache
def phrases() -> dict[str, str]:
    """How an operation is named inside a sentence: ``3 off both sides``, ``multiplied by 3``."""
    text = files("dialogue.verbalising").joinpath("en/phrases.toml").read_text(encoding="utf-8")
    return dict(tomllib.loads(text))


def word(saying: Saying, choice: int, classroom: Dialect = "british") -> Reply:
    """The saying in words; ``choice`` picks the variant, ``classroom`` what a bracket is called and how lines are read
    aloud."""
    template = _template(saying, choice)
    voice = BRITISH
    if classroom == "american":
        voice = AMERICAN
        for british, american in PARENTHESES:
            template = template.replace(british, american)
    return Reply(saying.key, _filled(template, saying, "text"), _filled(template, saying, voice))


@cache
def glossary() -> dict[str, str]:
    """The words a learner may ask about, and what they mean: two sentences each."""
    text = files("dialogue.verbalising").joinpath("en/glossary.toml").read_text(encoding="utf-8")
    return dict(tomllib.loads(text))


def variants(key: str) -> int:
    """In how many ways a wording can be said."""
    return len(wordings()[key]) if key in wordings() else 1


def _template(saying: Saying, choice: int) -> str:
    """A wording's variant; for an error, its first, second or third question by how often it has been met; for a word
    of the glossary what it means."""
    error, entry = saying.values.get("error"), saying.values.get("entry")
    if isinstance(error, str):
        return error_table()[error].ask[min(int(str(saying.values["met"])), 2)]
    if saying.key == "glossary" and isinstance(entry, str):
        return glossary()[entry]
    found = wordings()[saying.key]
    return found[choice % len(found)]


class _InWords(dict[str, str]):
    """What fills the places of a wording, each put into words when it is asked for: most are not in it."""

    def __init__(self, saying: Saying, channel: Channel) -> None:
        super().__init__(dict.fromkeys(SPOKEN_ONLY if channel == "text" else TEXT_ONLY, ""))
        self._values, self._channel = saying.values, channel

    def __missing__(self, name: str) -> str:
        return _in_words(self._values[name], self._channel)


def _filled(template: str, saying: Saying, channel: Channel) -> str:
    if channel == "text":
        shown = template.format_map(_InWords(saying, channel))
        words = any(
            isinstance(value, Move) and template.startswith(f"{{{name}}}") for name, value in saying.values.items()
        )
        return shown[:1].upper() + shown[1:] if words else shown  # a line or a letter keeps its own
    sentence = template.format_map(_InWords(saying, channel))
    return sentence[:1].upper() + sentence[1:]


def digits(acts: tuple[Act, ...]) -> str:
    """The digits of the numbers in a read-back, said one by one, for fifty and fifteen sound alike (rule 28)."""
    found = [piece for act in acts for expression in _expressions(act) for piece in walk(expression)]
    numbers = [piece.value for piece in found if isinstance(piece, Number) and piece.value.denominator == 1]
    spelt = [" ".join(DIGITS[int(digit)] for digit in str(abs(number))) for number in numbers if abs(number) > 9]
    return f", that is {', and '.join(spelt)}" if spelt else ""


def _expressions(act: Act) -> tuple[Expression, ...]:
    match act:
        case Move():
            return (act.operand,)
        case PartMove(operand=operand) if operand is not None:
            return (operand,)
        case Value() | Try():
            return (act.value,)
        case Term():
            return (act.term,)
        case Work():
            return act.left, act.right
        case Line():
            return act.equation.sides()
        case Describe():
            return tuple(done.operand for done in act.operations)
    return ()


def _in_words(value: Filling, channel: Channel) -> str:
    match value:
        case Equation():
            return value.text(BOARD) if channel == "text" else say_equation(value, channel)
        case Fraction():
            return _in_words(constant(value), channel)
        case str() | int():
            return str(value)
        case tuple():
            said = (
                _done_phrase(one, channel) if isinstance(one, Done) else _act_in_words(one, channel) for one in value
            )
            return ", then ".join(filter(None, said))
        case Number() | Unknown() | Negative() | Sum() | Product() | Quotient():
            return write(value, BOARD) if channel == "text" else say_expression(value, channel)
    return _act_in_words(value, channel)


def _act_in_words(act: Act, channel: Channel) -> str:
    """What was understood, as it is read back."""
    match act:
        case Line(equation):
            return _in_words(equation, channel)
        case Move():
            return move_phrase(act, channel)
        case PartMove(operation, operand, sides):
            number = "" if operand is None else _in_words(operand, channel)
            template = phrases()[operation or "part"]
            return template.format(operand=number or phrases()["some number"], sides=phrases()[f"sides {sides}"])
        case Rewrite(how):
            return phrases()[f"rewrite {how}"]
        case Verdict(kind):
            return phrases()[f"verdict {kind}"]
        case Value(expression) | Term(expression):
            return _in_words(expression, channel)
        case Try(expression):
            return phrases()["try"].format(operand=_in_words(expression, channel))
        case Work(left, right):
            return phrases()["work"].format(left=_in_words(left, channel), right=_in_words(right, channel))
        case Describe(operations):
            return _in_words(operations, channel)
        case Refused(of):
            return phrases()["refused"].format(act=_act_in_words(of, channel))
        case Ask(what):
            return phrases()[f"ask {what}"]
        case Say(what):
            return phrases()[f"say {what}"]
        case Control(what):
            return phrases()[f"control {what}"]
        case Comment(kind):
            return phrases()[f"comment {kind}"]
        case Seen(what):
            return phrases()[f"seen {what}"]
    return ""


def as_read_back(act: Act) -> str:
    """The act as it would be read back on a screen; empty where it cannot be."""
    return _act_in_words(act, "text")


def move_phrase(move: Move, channel: Channel) -> str:
    """``3 off both sides``; the side named where only one was."""
    template = phrases()[move.operation]
    return template.format(operand=_in_words(move.operand, channel), sides=phrases()[f"sides {move.sides}"])


def _done_phrase(done: Done, channel: Channel) -> str:
    return phrases()[f"done {done.action}"].format(operand=_in_words(done.operand, channel))

"""Sayings to words: wordings are data, chosen among variants by the session's own seed so that replay is exact."""

import tomllib
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Literal, TypeAlias

from dialogue.acts import Ask, Control, Describe, Meaning, Say, Seen, Unclear, Value
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Action, Done
from dialogue.algebra.tree import Expression, Number, constant, walk
from dialogue.algebra.writing import BOARD, write
from dialogue.verbalising.sayings import Classroom, Filling, Reply, Saying
from dialogue.verbalising.speak import AMERICAN, BRITISH, Voice, say_equation, say_expression

Channel: TypeAlias = Literal["text"] | Voice  # a screen, or a voice with its classroom's words

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


def word(saying: Saying, choice: int, classroom: Classroom = "british") -> Reply:
    """The saying in words; ``choice`` picks the variant, ``classroom`` what a bracket is called and how lines are read
    aloud."""
    template = _template(saying, choice)
    voice = BRITISH
    if classroom == "american":
        voice = AMERICAN
        for british, american in PARENTHESES:
            template = template.replace(british, american)
    return Reply(saying.key, _filled(template, saying, "text"), _filled(template, saying, voice))


def _template(saying: Saying, choice: int) -> str:
    """A wording's variant; for an error, its first, second or third question by how often it has been met."""
    error = saying.values.get("error")
    if isinstance(error, str):
        return error_table()[error].ask[min(int(str(saying.values["met"])), 2)]
    variants = wordings()[saying.key]
    return variants[choice % len(variants)]


def _filled(template: str, saying: Saying, channel: Channel) -> str:
    values = {name: _in_words(value, channel) for name, value in saying.values.items()}
    if channel == "text":
        return template.format(**{**values, **dict.fromkeys(SPOKEN_ONLY, "")})
    sentence = template.format(**{**values, **dict.fromkeys(TEXT_ONLY, "")})
    return sentence[:1].upper() + sentence[1:]


def digits(meaning: Meaning) -> str:
    """The digits of the numbers in a read-back, said one by one, for fifty and fifteen sound alike (rule 28)."""
    found = [piece for expression in _expressions(meaning) for piece in walk(expression)]
    numbers = [piece.value for piece in found if isinstance(piece, Number) and piece.value.denominator == 1]
    spelt = [" ".join(DIGITS[int(digit)] for digit in str(abs(number))) for number in numbers if abs(number) > 9]
    return f", that is {', and '.join(spelt)}" if spelt else ""


def _expressions(meaning: Meaning) -> tuple[Expression, ...]:
    match meaning:
        case Move():
            return (meaning.operand,)
        case Value():
            return (meaning.value,)
        case Line():
            return meaning.equation.sides()
        case Describe():
            return tuple(move.operand for move in meaning.operations)
    return ()


def _in_words(value: Filling, channel: Channel) -> str:
    match value:
        case Equation() | Line():
            line = value.equation if isinstance(value, Line) else value
            return line.text(BOARD) if channel == "text" else say_equation(line, channel)
        case Move():
            return move_phrase(value, channel)
        case Rewrite(how):
            return phrases()[f"rewrite {how}"]
        case Verdict(kind):
            return phrases()[f"verdict {kind}"]
        case Fraction():
            return _in_words(constant(value), channel)
        case Value(expression):
            return _in_words(expression, channel)
        case Describe(operations):
            return ", then ".join(_done_phrase(Done(_action(move), move.operand), channel) for move in operations)
        case Ask(what) | Say(what) | Control(what):
            return str(what)
        case Seen(what):
            return phrases()[f"seen {what}"]
        case Unclear():
            return ""
        case str() | int():
            return str(value)
        case tuple():
            return ", then ".join(_done_phrase(done, channel) for done in value)
    return write(value, BOARD) if channel == "text" else say_expression(value, channel)


def _action(move: Move) -> Action:
    return "add" if move.operation == "transfer" else move.operation


def move_phrase(move: Move, channel: Channel) -> str:
    """``3 off both sides``; the side named where only one was."""
    sides = {"both": "both sides", "unsaid": "both sides", "left": "the left side", "right": "the right side"}
    template = phrases()[move.operation]
    return template.format(operand=_in_words(move.operand, channel), sides=sides[move.sides])


def _done_phrase(done: Done, channel: Channel) -> str:
    return phrases()[f"done {done.action}"].format(operand=_in_words(done.operand, channel))

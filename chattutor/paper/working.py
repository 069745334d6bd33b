"""The lines of one piece of working, each judged from the line above it.

What can be read in several ways is read as the pupil most likely meant it: the first reading in which everything is
right, else the most literal one that can be read. So nothing right is crossed; what is wrong in every reading stays so.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Literal, TypeAlias

from chattutor.common.steps import step_meant
from chattutor.paper.notation import (
    BULLET,
    DECIMALS,
    LEADING,
    RULE,
    SUM_IN_BRACKETS,
    TAKEN_BACK,
    TRIED,
    WRITTEN_WORD,
    Written,
    operations,
    readings,
    written,
)
from chattutor.paper.rounded import close, fits_rounded, near
from chattutor.paper.stated import is_signed_number
from dialogue.acts import Interpretation, Unclear, Work
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Step
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Negative, Number, Quotient, Unknown, constant, has_unknown
from dialogue.algebra.writing import BOARD, write
from dialogue.judgement import Judgement, judge
from dialogue.understanding.interpret import first_that_counts, interpret, understand

WorkLineKind: TypeAlias = Literal["step", "beside", "sum", "check", "close", "unread", "distress"]

MOST_WORDS = 3  # beside an answer that is a number alone
SO = re.compile(r"\b(?:so|therefore)\s", re.IGNORECASE)
LIKELY = 0.8  # the certainty from which a note that keeps the balance is taken for what it says
DISTRESS = "This may be a message of distress; please read it."
UNREAD = "This is neither a line of working nor a move."
TWO_SIDES = "Not the same on both sides."
COMMA = "Read with a decimal point."
NO_LETTER = "The answer, without the unknown's letter."
OF_ITS_OWN = "Rounded."
TRIAL = "A number tried: not judged."
MENDED = "Put right."
NOT_FOLLOWED = "A line above it was not read, so it is not judged."
WITHDRAWN = "Taken back by the learner: not judged."
NUMBER_ALONE = "A number alone: not judged."
CHAIN = "These are not all equal: a new line for each step keeps the equals sign true."
CLOSE = "Close, but rounded: ask for the fraction."
REMAINDER = "Close, but a remainder is left: ask for the fraction."


@dataclass(frozen=True, slots=True)
class MarkedLine:
    """One part of a line of working: the line above it, what it is, the step (None where it is none) and its judgement;
    ``problem``: why it is not judged; ``remark``: what else there is to say."""

    line: int
    text: str
    before: Equation
    step: Step | None = None
    judgement: Judgement | None = None
    problem: str = ""
    kind: WorkLineKind = "step"
    remark: str = ""

    @property
    def distress(self) -> bool:
        """Whether it may be a message of distress."""
        return self.kind == "distress"

    @property
    def wrong(self) -> bool:
        """Whether it breaks the balance."""
        return self.judgement is not None and self.judgement.balanced is False

    @property
    def sound(self) -> bool:
        """Whether nothing in it is wrong."""
        return not self.wrong and not self.problem and not (self.kind in {"sum", "check"} and self.remark)

    def as_json(self) -> dict[str, Any]:
        """The line's part of the output; the judgement has the keys of ``chattutor judge``."""
        shown: dict[str, Any] = {"line": self.line, "text": self.text}
        if self.problem:
            return shown | {"error": self.problem}
        if self.judgement is None:
            return shown | {"kind": self.kind, "remark": self.remark}
        judged = self.judgement
        return shown | {"balanced": judged.balanced, "closer": judged.closer, "errors": list(judged.errors)}


def marked_lines(equation: Equation, lines: Sequence[tuple[int, str]]) -> Iterator[MarkedLine]:
    """Every line of the working, cut where it holds several; lines that only underline are left out."""
    reader = _WorkReader(equation, equation)
    ruled = {number + 1 for number, text in lines if RULE.fullmatch(text.strip())}
    typed = [each for each in lines if each[0] + 1 not in ruled]
    reader.bullets = len(typed) > 1 and all(BULLET.match(text.strip()) for _, text in typed)
    for place, (number, text) in enumerate(typed):
        reader.last, reader.alone = place == len(typed) - 1, len(typed) == 1
        reader.under_rule, reader.numbers = number in ruled, place > 0 and _number(typed[place - 1][1]) is not None
        for each in map(reader.after_unread, reader.read(number, text)):
            yield each
            if isinstance(each.step, Line) and (each.kind == "step" or each.problem == NOT_FOLLOWED):
                reader.above = each.step.equation


@dataclass(slots=True)
class _WorkReader:
    """Reads one line after another; ``above`` is the last line stated."""

    equation: Equation
    above: Equation
    last: bool = False  # whether the line being read is the last
    alone: bool = False  # or the only one
    under_rule: bool = False  # whether a line is drawn above it, as above what a sum comes to
    numbers: bool = False  # whether the line above it is a number alone
    unread: bool = False  # whether a line that may be one of the working was not read since the last that was judged
    bullets: bool = False  # whether a dash stands before every line

    def after_unread(self, each: MarkedLine) -> MarkedLine:
        """The line as it is; not crossed where one that may have led to it could not be read."""
        if each.problem:
            self.unread |= re.search(r"[\d=]", each.text) is not None
        elif each.wrong and self.unread:
            self.unread = False
            return replace(each, judgement=None, kind="unread", problem=NOT_FOLLOWED)
        elif each.judgement is not None:
            self.unread = False
        return each

    def read(self, number: int, text: str) -> list[MarkedLine]:
        if "=" not in text and understand(text, "any", self.equation.letter) == Unclear("distress"):
            return [MarkedLine(number, text, self.above, problem=DISTRESS, kind="distress")]
        bare = written(text)
        if not bare.text:
            return []
        if TRIED.fullmatch(bare.text):
            return [MarkedLine(number, text, self.above, kind="beside", remark=TRIAL)]
        beside = self._beside(number, text, bare)
        if beside is not None:
            return [beside]
        cuts = readings(bare.text, self.equation.letter, self.equation.solution().kind != "one")
        tried = [self._pieces(number, cut, bare) for cut in cuts]
        tried = [each for each in tried if each] or [[]]
        sound = [each for each in tried if all(one.sound for one in each)]
        if self.bullets and not sound:  # a dash before every line is none of the mathematics
            listed = readings(BULLET.sub("", bare.text), self.equation.letter)
            tried = [each for cut in listed if (each := self._pieces(number, cut, bare))] or tried
        readable = [each for each in tried if not any(one.problem for one in each)]
        best = (sound or readable or tried)[0]
        if not best and TAKEN_BACK.search(bare.text):
            return [MarkedLine(number, text, self.above, kind="beside", remark=WITHDRAWN)]
        if re.search(r"\d,\d", bare.text) and best in readable:
            best = [replace(each, remark=each.remark or COMMA) for each in best]
        if best and all(each.problem for each in best):  # quoted as it was typed
            return [replace(best[0], text=text)]
        said = " ".join(each.text for each in best)
        whole = len(best) == 1 or bare.remainder or any(word not in said for word in re.findall(r"[A-Za-z]{2,}", text))
        return [replace(best[0], text=text), *best[1:]] if whole and best else best

    def _beside(self, number: int, text: str, bare: Written) -> MarkedLine | None:
        """An operation written at the side; a negative number at the end is rather an answer."""
        found = () if "=" in bare.text else operations(bare.text)
        if not found:
            return None
        value = _number(bare.text)
        if (
            len(found) == 1
            and value is not None
            and (self.alone or (self.last and value == self.equation.solution().value))
        ):
            return None
        if len(set(found)) > 1 or len(found) > 2:
            return MarkedLine(number, text, self.above, kind="beside", remark=TWO_SIDES)
        operation, operand = found[0]
        try:
            move = Move(
                operation, read_expression(operand, self.equation.letter), "both" if len(found) > 1 else "unsaid"
            )
            judgement = judge(self.above, move)
        except Refusal as refusal:
            return MarkedLine(number, text, self.above, problem=refusal.sentence, kind="unread")
        return MarkedLine(number, text, self.above, move, judgement, kind="beside")

    def _pieces(self, number: int, cut: tuple[str, ...], bare: Written) -> list[MarkedLine]:
        out: list[MarkedLine] = []
        above = self.above
        for piece in cut:
            for each in self._piece(number, piece, bare, above):
                out.append(each)
                if isinstance(each.step, Line) and each.kind == "step":
                    above = each.step.equation
        return out

    def _piece(self, number: int, piece: str, bare: Written, above: Equation) -> list[MarkedLine]:
        sides = [each.strip() for each in SUM_IN_BRACKETS.sub(r"\1", piece).split("=")]
        try:
            if len(sides) == 1:
                return self._words(number, piece, bare, above)
            if not sides[0]:
                left = write(above.left, BOARD) if bare.kind == "line" else ""
                sides = [left, *sides[1:]] if left else sides[1:]
            if len(sides) == 1:
                return []
            if len(sides) > 2:
                return self._chain(number, piece, sides, bare, above)
            stated = read_equation(" = ".join(sides), self.equation.letter)
        except Refusal as refusal:
            return [MarkedLine(number, piece, above, problem=refusal.sentence, kind="unread")]
        return [self._stated(number, piece, stated, bare, above)]

    def _words(self, number: int, piece: str, bare: Written, above: Equation) -> list[MarkedLine]:
        value = _number(piece)
        if value is not None:
            if bare.kind == "check":
                return []
            exact = self.equation.solution().value
            decimals = DECIMALS.findall(piece)
            matches = exact is not None and (value == exact or (decimals and close(exact, value, len(decimals[-1]))))
            done = is_solved(above) and (self.under_rule or any(map(is_signed_number, above.sides())))
            if not matches and (done or self.numbers):  # a mark given, a sum in the margin: which number is it?
                return [MarkedLine(number, piece, above, kind="beside", remark=NUMBER_ALONE)]
            if (
                not (self.last or (bare.kind == "answer" and matches))
                or len(re.findall(WRITTEN_WORD, bare.text)) > MOST_WORDS
            ):
                return [MarkedLine(number, piece, above, kind="beside", remark=NUMBER_ALONE)]
            stated = Equation(Unknown(self.equation.letter), read_expression(piece), self.equation.letter)
            return [self._stated(number, piece, stated, bare, above)]
        found = interpret(piece, "any", self.equation.letter)
        if not found.sure and (concluded := SO.split(piece)[-1]) != piece:  # they are the same so any x works
            found = interpret(concluded, "any", self.equation.letter)
        meaning = first_that_counts(found)
        match found.acts:
            case (Work(left, right), *_) if found.sure and isinstance(meaning, Unclear):
                meaning = Line(Equation(left, right, self.equation.letter))  # a sum in words is a line on paper
        step = step_meant(meaning, self.equation.letter) or self._likely(found, above)
        if step is None:
            return [] if bare.kind == "check" else [MarkedLine(number, piece, above, problem=UNREAD, kind="unread")]
        if isinstance(step, Line):
            line = self._stated(number, piece, step.equation, bare, above)
            # a word alone, such as half, says rather what was done; a number under an answer may be anything
            told = not line.wrong or (" " in piece and not (is_solved(above) and not has_unknown(step.equation.right)))
            return [line if told else MarkedLine(number, piece, above, problem=UNREAD, kind="unread")]
        return [MarkedLine(number, piece, above, step, judge(above, step))]

    def _likely(self, found: Interpretation, above: Equation) -> Step | None:
        """What a note beside the work says though that is not sure, where it keeps the balance: it crosses nothing."""
        if found.certainty < LIKELY or len(found.acts) != 1:
            return None
        step = step_meant(first_that_counts(replace(found, sure=True)), self.equation.letter)
        return step if step is not None and judge(above, step).balanced else None

    def _stated(self, number: int, piece: str, stated: Equation, bare: Written, above: Equation) -> MarkedLine:
        """A line that was stated: a sum, a check, a rounded answer, or the next line of the working."""
        if not has_unknown(stated.left) and not has_unknown(stated.right):
            beside = self._sum(number, piece, stated, bare, above)
            if beside is not None:
                return beside
        rounded = self._rounded(piece, stated, bare)
        if rounded == "exact":
            exact = constant(self.equation.solution().value or Fraction(0))
            stated = Equation(Unknown(self.equation.letter), exact, self.equation.letter)
        elif rounded:
            return MarkedLine(number, piece, above, Line(stated), kind="close", remark=rounded)
        if bare.kind == "check" and not is_solved(stated) and stated.solution() == self.equation.solution():
            return MarkedLine(number, piece, above, kind="check")
        step = Line(stated)
        theirs, value = above.solution().value, stated.solution().value
        decimals = DECIMALS.findall(piece)
        if (
            theirs is not None
            and value is not None
            and value != theirs
            and (fits_rounded(stated, theirs, decimals) if decimals else bare.remainder and 0 < theirs - value < 1)
        ):
            return MarkedLine(number, piece, above, step, remark=OF_ITS_OWN)
        solution = self.equation.solution()
        if stated.solution().kind == "every" and "every" not in {solution.kind, above.solution().kind}:
            return MarkedLine(number, piece, above, kind="sum")  # 5x - 2x = 3x, worked out beside the line
        mended = above.solution() != solution == stated.solution() and (is_solved(above) or not is_solved(stated))
        if mended:  # under a wrong line comes the right one: no step from it, and not to be crossed
            return MarkedLine(number, piece, above, step, judge(self.equation, step), remark=MENDED)
        return MarkedLine(number, piece, above, step, judge(above, step))

    def _sum(self, number: int, piece: str, stated: Equation, bare: Written, above: Equation) -> MarkedLine | None:
        """A sum in the margin or a check; None where the line is one of the working, such as 4 = 9 or 7 = 7."""
        left, right = (linear(side).constant for side in stated.sides())
        worked = not all(map(is_signed_number, stated.sides()))
        if not worked and self.equation.solution().kind != "one":
            return None
        if not worked and left != right and bare.kind != "check":
            return None
        kind: WorkLineKind = "check" if bare.kind == "check" or not worked else "sum"
        if left == right or near(piece, left, right) or (bare.remainder and 0 <= left - right < 1):
            return self._result(number, piece, Fraction(right), above) or MarkedLine(number, piece, above, kind=kind)
        if kind == "check":
            remark = f"This check does not work out: {_shown(left)} is not {_shown(right)}."
        else:
            remark = f"This sum is not right: the sides are {_shown(left)} and {_shown(right)}."
        return MarkedLine(number, piece, above, kind=kind, remark=remark)

    def _result(self, number: int, piece: str, value: Fraction, above: Equation) -> MarkedLine | None:
        """A sum that ends the work with the right answer, left without the unknown's name."""
        if not self.last or value != self.equation.solution().value:
            return None
        step = Line(Equation(Unknown(self.equation.letter), constant(value), self.equation.letter))
        return MarkedLine(number, piece, above, step, judge(above, step), remark=NO_LETTER)

    def _rounded(self, piece: str, stated: Equation, bare: Written) -> str:
        """What to say of an answer that is close; ``exact`` where its decimals are said to go on; else nothing."""
        exact = self.equation.solution().value
        value = stated.solution().value
        if exact is None or value is None or value == exact or not is_solved(stated):
            return ""
        if bare.remainder:
            return REMAINDER if value.denominator == 1 and 0 < exact - value < 1 else ""
        decimals = DECIMALS.findall(piece)
        if not decimals or not close(exact, value, len(decimals[-1])):
            return ""
        return "exact" if bare.going_on else CLOSE

    def _chain(self, number: int, piece: str, sides: list[str], bare: Written, above: Equation) -> list[MarkedLine]:
        """``3x = 14 - 2 = 12``; or one that runs on, ``14 - 2 = 12 / 3 = 4``, each result taken further."""
        letter = self.equation.letter
        read = [read_expression(side, letter) for side in sides]
        first, *rest = read
        if any(map(has_unknown, rest)):
            pairs = zip(read, rest, strict=False)
            return [self._stated(number, piece, Equation(*pair, letter), bare, above) for pair in pairs]
        told = list(zip(read, sides, strict=True))[has_unknown(first) :]
        values = [linear(side).constant for side, _ in told]
        runs_on = all(_leading(text) == value for (_, text), value in zip(told[1:], values, strict=False))
        if len(set(values)) > 1 and runs_on and not near(piece, values[-2], values[-1]):
            shown = [MarkedLine(number, piece, above, kind="beside", remark=CHAIN)]
            answer_line = None if has_unknown(first) else self._result(number, sides[-1], Fraction(values[-1]), above)
            shown += [answer_line] if answer_line is not None else []
            if has_unknown(first):
                answer = Equation(Unknown(letter), rest[-1], letter)
                shown.append(self._stated(number, f"{letter} = {sides[-1]}", answer, bare, above))
            return shown
        out = []
        for side, text in zip(rest, sides[1:], strict=True):
            stated = Equation(first, side, letter)
            out.append(self._stated(number, f"{sides[0]} = {text}", stated, bare, above))
            above = stated if has_unknown(first) else above
        return out


def _number(text: str) -> Fraction | None:
    """The one number that a text is, with a sign or a fraction bar or without."""
    try:
        read = read_expression(text)
        match read.body if isinstance(read, Negative) else read:
            case Number() | Quotient(Number(), Number()):
                return Fraction(linear(read).constant)
    except Refusal:
        pass
    return None


def _leading(side: str) -> Fraction | None:
    """The number a side begins with."""
    match = LEADING.match(side.strip())
    return Fraction(match[0]) if match else None


def _shown(value: Fraction | int) -> str:
    return write(constant(Fraction(value)), BOARD)

"""What a wrong step brings: its likeliest error remembered, and the question or the model that this error asks for."""

from dataclasses import replace
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Move
from dialogue.algebra.solver import next_step, value_at
from dialogue.algebra.tree import Expression, Number, Product, Sum, Unknown, constant, has_unknown, scaled
from dialogue.tutor.core.state import State
from dialogue.verbalising.sayings import Filling, Saying

PATTERN = 2  # equations that show an error before it is more than an error of one line (Payne & Squibb 1990)
ABOUT_COEFFICIENT = frozenset({"inverse", "collecting"})  # ideas whose questions look at 3x as a whole
PICTURE = 2  # the third question of an error: the picture of a balance
TRIALS = (Fraction(2), Fraction(3))  # to try two lines with: never the answer
AMOUNTS = tuple(map(Fraction, (5, 6, 7, 8, 9)))  # for what a term would be worth: 2x with x as 2 is also 2 + 2
NO_MODEL = frozenset({"arithmetic"})  # a slip in a sum needs no model of what an equation is


def with_errors(state: State, errors: tuple[str, ...]) -> State:
    """The state with the first-listed error remembered, if there is one."""
    return replace(state, seen=(*state.seen, (state.place, errors[0]))) if errors else state


def with_signs(state: State, signs: tuple[str, ...]) -> State:
    """The state with a sign remembered; a second one of an idea is an error of it, and is counted from anew."""
    for sign in signs:
        if sign in state.signs:
            left = tuple(one for one in state.signs if one != sign)
            state = with_errors(replace(state, signs=left), (sign,))
        else:
            state = replace(state, signs=(*state.signs, sign))
    return state


def last_error(state: State) -> str | None:
    """The likeliest error of the last wrong step on this equation."""
    return next((error for place, error in reversed(state.seen) if place == state.place), None)


def is_pattern(state: State) -> str | None:
    """The latest error, if it has now been seen on two equations (one instance is never a label)."""
    if not state.seen:
        return None
    latest = state.seen[-1][1]
    return latest if len({place for place, error in state.seen if error == latest}) >= PATTERN else None


def model(before: State, after: State) -> Saying | None:
    """The model to go back to, when an error has just been met on a further equation (rule 22)."""
    if len(after.seen) == len(before.seen) or is_pattern(after) is None or after.seen[-1] in before.seen:
        return None
    idea = error_table()[after.seen[-1][1]].idea
    return None if idea in NO_MODEL else Saying(f"model {idea}", {"unknown": after.letter})


def question_about(before: State, after: State) -> Saying:
    """The question that the latest error asks for: its first one, and a further one each time it is met again."""
    if len(after.seen) == len(before.seen):
        return Saying("line breaks")
    error = after.seen[-1][1]
    met = sum(one == error for _, one in before.seen) + (before.guess is not None)  # a guess is not "your line"
    return question_on(before, error, met)


def question_on(before: State, error: str, met: int) -> Saying:
    """The question of an error about the line in hand: its first, second or third."""
    left, right = before.equation.sides()
    trial, amount = trial_number(before.equation), trial_number(before.equation, AMOUNTS)
    values: dict[str, Filling] = {
        "error": error, "met": met, "left": left, "right": right, "trial": trial, "amount": amount
    }  # fmt: skip
    return Saying("error", {**values, "term": term_in_question(before.equation, error_table()[error].idea)})


def trial_number(line: Equation, numbers: tuple[Fraction, ...] = TRIALS) -> Fraction:
    """A number to try a line with that is not its answer."""
    answer = line.solution().value
    return next(each for each in numbers if each != answer)


def amount_for(line: Equation, by: Fraction) -> Fraction:
    """A number to show what ``by`` times the unknown comes to, and what ``by`` with it added or taken off: none of them
    the answer."""
    answer = line.solution().value
    return next(each for each in AMOUNTS if answer not in {each, by * each, by + each, each - by})


def term_in_question(line: Equation, idea: str) -> Expression:
    """The term a question is about: what is to be undone, or the unknown with its coefficient where it stands once."""
    step = next_step(line)
    if isinstance(step, Move) and step.operation in {"add", "subtract"} and idea not in ABOUT_COEFFICIENT:
        return step.operand
    whole = next((side for side in line.sides() if isinstance(side, Product) and has_unknown(side)), None)
    if whole is not None:  # 6(n + 5) as it stands, and not the 6n in it
        return whole
    once = next((side for side in line.sides() if isinstance(side, Sum) and _has_some(side)), None)
    if once is not None:  # x/2 of x/2 + x/3, and not the 5x/6 that they come to
        return next(term.body for term in once.terms if has_unknown(term.body))
    coefficients = (linear(side).coefficient for side in line.sides())
    return scaled(next((each for each in coefficients if each), Fraction(1)), Unknown(line.letter))


def _has_some(side: Sum) -> bool:
    """Whether the unknown stands in more terms than one."""
    return sum(has_unknown(term.body) for term in side.terms) > 1


def about(before: State, errors: tuple[str, ...]) -> tuple[State, Saying]:
    """The state with the error remembered, and what to say about it."""
    after = with_errors(before, errors)
    return after, model(before, after) or question_about(before, after)


def what_it_comes_to(equation: Equation, guess: Fraction) -> Saying:
    """What the sides come to with an answer that does not fit."""
    left, right = (value_at(side, guess) for side in equation.sides())
    values: dict[str, Filling] = {"guess": guess, "left": constant(left), "right": constant(right)}
    return (out_by(values) if has_unknown(equation.left) else None) or Saying("answer fails", values)


def out_by(values: dict[str, Filling]) -> Saying | None:
    """How far out the left side was, where the right one is a number to be reached."""
    left, right = values["left"], values["right"]
    if not isinstance(left, Number) or not isinstance(right, Number):
        return None
    return Saying("answer too big" if left.value > right.value else "answer too small", values)

"""Draw equations of a stage: reproducible by seed, never the same twice, with numbers that reveal thinking.

The first five of a drawing are the stage's deliberate variation: one feature changes from each to the next, so
that a learner sees what the feature does. From the sixth on the families are mixed. The first ``n`` of a drawing
do not depend on how many are drawn, so the next equation for a learner is simply the next of the drawing.

Numbers stay within the classroom ranges of ``stages.toml``; once a family's have all been used, its ranges
grow, so that any count can be drawn. Every documented wrong rule is tried and no two may give one answer (see
``diagnostic``): of the first 100, and of one in two hundred after them, on every line that right steps reach; of the
others on the ways that led to an answer in those, so that thousands can be drawn in seconds.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import islice
from random import Random
from types import MappingProxyType

from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.exact import Exact, exact, over, size
from dialogue.learner.diagnostic import clashes
from dialogue.learner.forms import form
from dialogue.learner.stages import Family, Range, Stage, letters, stage
from dialogue.learner.wrong_answer_paths import UsualWays

PATIENCE = 40  # draws in vain, in a row, before something is let go: a range, a number held, a telling answer
HOPELESS = 50_000  # draws in vain that can only mean a family without equations
MOST_SETS = 200  # begun in vain: can only mean a set that cannot be
PROVED = 100  # equations of a drawing of which every wrong rule is tried on every line
AGAIN = 200  # and after those, of one in so many
MIXED, ANOTHER_LETTER = "mixed", "another letter"


@dataclass(frozen=True, slots=True)
class DrawnTask:
    """An equation to solve. ``variation`` says what changed from the one before it in its set of five (empty
    for the first), or "mixed"; ``numbers`` are the family's letters with their values, ``x`` the answer."""

    equation: Equation
    stage: int
    solution: Solution
    family: str
    variation: str
    numbers: MappingProxyType[str, Fraction]

    @property
    def is_variation(self) -> bool:
        """Whether it differs from the stage's first in more than its numbers: in its form or, for a stage of one
        form, in its letter. The check that a learner did not merely copy a pattern."""
        families = stage(self.stage).families
        if len(families) == 1:
            return self.equation.letter != letters()[0]
        return self.family != families[0].name

    def contrast(self) -> Equation | None:
        """The equation with the same numbers to put beside this one (n + 4 = 52 beside 4n = 52), if it has one."""
        contrast = stage(self.stage).contrast
        return form(contrast).equation(self.numbers, self.equation.letter) if contrast else None


def draw(number: int, seed: int, count: int) -> list[DrawnTask]:
    """``count`` different equations of stage ``number``; ValueError for a stage that does not exist."""
    return list(islice(drawing(number, seed), count))


def drawing(number: int, seed: int) -> Iterator[DrawnTask]:
    """The endless drawing whose first equations ``draw`` gives."""
    chosen = stage(number)
    return _Drawing(chosen, Random(f"stage {number}, seed {seed}")).tasks()  # noqa: S311 - no secret


@dataclass(slots=True)
class _Drawing:
    """One drawing in progress: what has been tried, and how far each family's ranges have grown."""

    stage: Stage
    random: Random
    tried: set[tuple[object, ...]] = field(default_factory=set)
    grown: dict[str, int] = field(default_factory=dict)
    ways: dict[str, UsualWays] = field(default_factory=dict)
    drawn: int = 0
    refused: int = 0

    def tasks(self) -> Iterator[DrawnTask]:
        yield from self._set()
        while True:
            family = self.random.choice(self.stage.families)
            yield self._next(family, self.random.choice(letters()), MIXED, {})

    def _set(self) -> list[DrawnTask]:
        """The stage's set of five. Begun again where one number alone cannot change."""
        for _ in range(MOST_SETS):
            letter, five = letters()[0], list[DrawnTask]()
            for name, change in self.stage.set:
                family, last = self.stage.family(name), five[-1] if five else None
                if change == "letter":
                    letter = self.random.choice([each for each in letters() if each != letter])
                held = self._held(family, change, last)
                task = self._next(family, letter, self._variation(family, change, last), held)
                if change and any(task.numbers[each] != number for each, number in held.items()):
                    break
                five.append(task)
            else:
                return five
        raise RuntimeError(f"stages.toml: no set of five for stage {self.stage.number}")

    @staticmethod
    def _variation(family: Family, change: str, last: DrawnTask | None) -> str:
        if last is None:
            return ""
        if change == "letter":
            return ANOTHER_LETTER
        if change:
            return "another answer" if change == "x" else f"another number {change}"
        return family.feature

    @staticmethod
    def _held(family: Family, change: str, last: DrawnTask | None) -> dict[str, Exact]:
        """The numbers to keep from the equation before: all but the one that changes."""
        if last is None:
            return {}
        return {name: exact(last.numbers[name]) for name in family.choose if name in last.numbers and name != change}

    def _next(self, family: Family, letter: str, variation: str, held: dict[str, Exact]) -> DrawnTask:
        again = 0
        for attempt in range(1, HOPELESS):
            if held and attempt % PATIENCE == 0:  # numbers of the form before that do not suit this one
                held = dict(list(held.items())[:-1])
            elif again == PATIENCE:
                self.grown[family.name] = self.grown.get(family.name, 0) + 1
                again = 0
            numbers = self._chosen(family, held)
            key = (letter if variation == ANOTHER_LETTER else "", family.form, *numbers.values())
            if key in self.tried:
                again += 1
                continue
            self.tried.add(key)
            if not self._complete(family, numbers):
                continue
            equation = form(family.form).equation(numbers, letter)
            answer = numbers.get("x")
            solution = equation.solution() if answer is None or family.any_answer else Solution("one", Fraction(answer))
            if self._reveals(family, equation, solution):
                self.drawn += 1
                found = MappingProxyType({name: Fraction(number) for name, number in numbers.items()})
                return DrawnTask(equation, self.stage.number, solution, family.name, variation, found)
        raise RuntimeError(f"stages.toml: no equations of the family {family.name!r} of stage {self.stage.number}")

    def _reveals(self, family: Family, equation: Equation, solution: Solution) -> bool:
        """Whether each wrong rule gives a wrong answer of its own, as far as the form lets it."""
        ways = self.ways.setdefault(family.name, UsualWays())
        in_full = self.drawn < PROVED or self.drawn % AGAIN == 0
        answers = ways.learn(equation) if in_full else ways.answers(equation)
        if not clashes(equation, solution, family.hides, family.coincide, answers):
            self.refused = 0
            return True
        self.refused += 1
        return self.refused % PATIENCE == 0  # a lesson goes on with a less telling equation rather than none

    def _chosen(self, family: Family, held: dict[str, Exact]) -> dict[str, Exact]:
        """One choice of the numbers left free, an answer that is not whole being some halves, quarters or fifths."""
        grown = self.grown.get(family.name, 0)
        numbers: dict[str, Exact] = {}
        for name, bounds in family.choose.items():
            low, high = bounds if family.fixed(name) else _wider(bounds, grown)
            if name in held and low <= held[name] <= high:
                numbers[name] = held[name]
            else:
                parts = self.random.choice(family.over) if name == "x" and family.over else 1
                number = self.random.randint(low * parts, high * parts)
                numbers[name] = number if parts == 1 else over(number, parts)
        return numbers

    def _complete(self, family: Family, numbers: dict[str, Exact]) -> bool:
        """Find the last number, and say whether they all meet the family's conditions."""
        if (family.over and numbers["x"].denominator == 1) or not _suitable(family, numbers):
            return False
        if not family.find:
            return True
        found = form(family.form).missing(family.find, numbers)
        if found is None or found.denominator != 1:
            return False
        if family.find in family.between:
            low, high = _wider(family.between[family.find], self.grown.get(family.name, 0))
            if not low <= found <= high:
                return False
        numbers[family.find] = found
        return _suitable(family, numbers)


def _wider(bounds: Range, grown: int) -> Range:
    low, high = bounds
    more = grown * (high - low + 1) // 2
    return (low - more if low < 0 else low), (high + more if high > 0 else high)


def _suitable(family: Family, numbers: dict[str, Exact]) -> bool:
    """Whether the numbers there are differ in size, but for those the form needs equal, and meet the conditions."""
    shown = [name for name in numbers if name != "x" or not family.any_answer]
    sizes = {size(numbers[name]) for name in shown}
    return len(sizes) >= len(shown) - len(family.alike) and all(each.holds(numbers) for each in family.where)

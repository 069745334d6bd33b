"""Draw equations of a stage: reproducible by seed, never the same twice, with numbers that reveal thinking.

The first five of a drawing are the stage's deliberate variation: one feature changes from each to the next, so
that a learner sees what the feature does. From the sixth on the families are mixed. No two that follow each other have
one answer: whoever gives the last answer again is never right. The first ``n`` of a drawing
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
from dialogue.learner.stages import Family, Range, Stage, stage, unknown_letters
from dialogue.learner.wrong_answer_paths import UsualWays

PATIENCE = 40  # useless draws in a row before something is let go: a range, a number held, a telling answer
HOPELESS = 50_000  # useless draws that can only mean a family without equations
MOST_SETS = 200  # useless beginnings that can only mean a set that cannot be
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
            return self.equation.letter != unknown_letters()[0]
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
    last: Solution | None = None  # of the equation before
    family: str = ""  # of that equation
    drawn: int = 0
    refused: int = 0

    def tasks(self) -> Iterator[DrawnTask]:
        for task in self._set():
            self.last = task.solution
            yield task
        while True:
            task = self._next(self._mixed(), self.random.choice(unknown_letters()), MIXED, {})
            self.last = task.solution
            yield task

    def _mixed(self) -> Family:
        """Any family, but not again one whose equations all have the answer just had."""
        weights = [each.weight for each in self.stage.families]
        while True:
            (family,) = self.random.choices(self.stage.families, weights)
            if not (family.one_answer and family.name == self.family):
                return family

    def _set(self) -> list[DrawnTask]:
        """The stage's set of five. Begun again where one number alone cannot change within the classroom ranges."""
        for _ in range(MOST_SETS):
            letter, five = unknown_letters()[0], list[DrawnTask]()
            for names, change in self.stage.set:
                name = names[0] if len(names) == 1 else self.random.choice(names)
                family, last = self.stage.family(name), five[-1] if five else None
                self.last = last.solution if last else None
                if change == "letter":
                    letter = self.random.choice([each for each in unknown_letters() if each != letter])
                held = self._held(family, change, last)
                task = self._next(family, letter, self._variation(family, change, last), held)
                if self.grown or (change and any(task.numbers[each] != number for each, number in held.items())):
                    if self.grown:  # tried too often to stay within them
                        self.grown.clear()
                        self.tried.clear()
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
            return f"another number {family.find if change == 'x' else change}"
        return family.feature

    @staticmethod
    def _held(family: Family, change: str, last: DrawnTask | None) -> dict[str, Exact]:
        """The numbers to keep from the equation before: all that are written but the one that changes, and the one
        that follows from a change of form or letter. The answer is never kept."""
        if last is None:
            return {}
        kept = [name for name in family.choose if name in last.numbers and name not in {change, "x"}]
        if change == "letter" and family.find == "x":
            kept = kept[:-1]
        if change in family.choose and change != "x" and _finds_answer(family, family.find):
            kept.append(family.find)
        return {name: exact(last.numbers[name]) for name in kept}

    def _next(self, family: Family, letter: str, variation: str, held: dict[str, Exact]) -> DrawnTask:
        again = 0
        for attempt in range(1, HOPELESS):
            if held and attempt % PATIENCE == 0:  # numbers of the form before that do not suit this one
                held = dict(list(held.items())[:-1])
            elif again == PATIENCE:
                self.grown[family.name] = self.grown.get(family.name, 0) + 1
                again = 0
            numbers = self._chosen(family, held)
            if self._again(family, numbers):
                again += 1
                continue
            chosen = set(numbers)
            if not self._complete(family, numbers) or (chosen != family.choose.keys() and self._again(family, numbers)):
                continue
            equation = form(family.form).equation(numbers, letter)
            answer = numbers.get("x")
            solution = equation.solution() if answer is None or family.any_answer else Solution("one", Fraction(answer))
            if solution == self.last:
                self.tried.discard(self._key(family, numbers))
                continue
            if self._reveals(family, equation, solution):
                self.drawn += 1
                self.family = family.name
                found = MappingProxyType({name: Fraction(number) for name, number in numbers.items()})
                return DrawnTask(equation, self.stage.number, solution, family.name, variation, found)
        raise RuntimeError(f"stages.toml: no equations of the family {family.name!r} of stage {self.stage.number}")

    @staticmethod
    def _key(family: Family, numbers: dict[str, Exact]) -> tuple[object, ...]:
        return family.form, *(numbers.get(name) for name in family.choose)

    def _again(self, family: Family, numbers: dict[str, Exact]) -> bool:
        """Whether this choice has been tried; it has been now."""
        key = self._key(family, numbers) if numbers.keys() >= family.choose.keys() else (family.form, *numbers.items())
        known = key in self.tried
        self.tried.add(key)
        return known

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
        """One choice of the numbers left free, an answer that is not whole being some halves, quarters or fifths. Where
        the number usually found is held, the answer is what is found."""
        grown = self.grown.get(family.name, 0)
        numbers: dict[str, Exact] = {}
        for name, bounds in family.choose.items():
            low, high = bounds if family.fixed(name) else _wider(bounds, grown)
            if name == "x" and family.find in held:
                continue
            if name in held and low <= held[name] <= high:
                numbers[name] = held[name]
            else:
                parts = self.random.choice(family.over) if name == "x" and family.over else 1
                number = self.random.randint(low * parts, high * parts)
                numbers[name] = number if parts == 1 else over(number, parts)
        return numbers | ({family.find: held[family.find]} if family.find in held else {})

    def _complete(self, family: Family, numbers: dict[str, Exact]) -> bool:
        """Find the last number, and say whether they all meet the family's conditions."""
        if (family.over and numbers["x"].denominator == 1) or not _suitable(family, numbers):
            return False
        find = "x" if family.find in numbers else family.find
        if not find:
            return True
        found = form(family.form).missing(find, numbers)
        if found is None or found.denominator != 1:
            return False
        bounds = family.between.get(find) or family.choose.get(find)
        if bounds is not None:
            low, high = _wider(bounds, self.grown.get(family.name, 0))
            if not low <= found <= high:
                return False
        numbers[find] = found
        return _suitable(family, numbers)


def _finds_answer(family: Family, find: str) -> bool:
    """Whether the answer can be found from the other numbers, in place of the number that usually is."""
    return find not in {"", "x"} and not family.over and "x" in family.choose and not family.fixed("x")


def _wider(bounds: Range, grown: int) -> Range:
    low, high = bounds
    more = grown * (high - low + 1) // 2
    return (low - more if low < 0 else low), (high + more if high > 0 else high)


def _suitable(family: Family, numbers: dict[str, Exact]) -> bool:
    """Whether the numbers there are differ in size, but for those the form needs equal, and meet the conditions."""
    shown = [name for name in numbers if name != "x" or not family.any_answer]
    sizes = {size(numbers[name]) for name in shown}
    return len(sizes) >= len(shown) - len(family.alike) and all(each.holds(numbers) for each in family.where)

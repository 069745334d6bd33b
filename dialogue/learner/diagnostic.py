"""Whether an equation's numbers reveal thinking: every wrong rule gives a wrong answer of its own.

An equation whose right answer also comes out of a wrong rule hides that error; one where two rules give the same
wrong answer cannot tell them apart by the answer. Some forms leave no choice (in ``x + b = c`` a number moved with
its sign and an operation done again both give ``c + b``): ``stages.toml`` lists those, family by family.

Only the most direct way of each documented rule is compared: with every way of every rule, hardly an equation
would be left.
"""

from collections.abc import Collection, Mapping
from fractions import Fraction
from itertools import combinations

from dialogue.algebra.equation import Equation, Solution
from dialogue.learner.wrong_answer_paths import first_answers


def clashes(
    equation: Equation,
    right: Solution,
    hidden: Collection[str] = (),
    coincide: Collection[frozenset[str]] = (),
    answers: Mapping[str, Fraction] | None = None,
) -> tuple[tuple[str, ...], ...]:
    """What the answer would not show: ``(error,)`` for one that gives the right answer, ``(one, other)`` for two
    that give the same. Those the form forces, ``hidden`` and within a group of ``coincide``, are left out.
    ``answers`` are the equation's first answers, where they are known already."""
    known = first_answers(equation) if answers is None else answers
    found = {error: value for error, value in known.items() if error not in hidden}
    alone = [(error,) for error, value in found.items() if value == right.value]
    alike: dict[tuple[int, int], list[str]] = {}
    for error in sorted(found):
        alike.setdefault(found[error].as_integer_ratio(), []).append(error)
    pairs = [
        (one, other)
        for errors in alike.values()
        if len(errors) > 1 and not any(group.issuperset(errors) for group in coincide)
        for one, other in combinations(errors, 2)
        if not any({one, other} <= group for group in coincide)
    ]
    return (*alone, *pairs)

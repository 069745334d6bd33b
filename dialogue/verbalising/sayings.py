"""What is to be said, before it is words: a wording's key and the things to put into it; and the words it becomes."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.acts import Act
from dialogue.algebra.equation import Equation
from dialogue.algebra.operations import Done
from dialogue.algebra.tree import Expression

Dialect: TypeAlias = Literal["british", "american"]
Filling: TypeAlias = Equation | Expression | Fraction | str | int | tuple[Done, ...] | tuple[Act, ...] | Act


@dataclass(frozen=True, slots=True)
class Saying:
    """A wording to be said; ``values`` fill its places."""

    key: str
    values: Mapping[str, Filling] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reply:
    """One thing the tutor says: the key of its wording, as text for a screen, and as words for a voice."""

    key: str
    text: str
    spoken: str

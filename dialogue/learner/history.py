"""What a learner has done, as the choice of the next equation needs it: plain data, taken from session logs."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from dialogue.acts import KindOfEquation

Help: TypeAlias = Literal["independent", "prompted", "shown"]
ChosenFor: TypeAlias = Literal["place", "practice", "earlier", "return", "model", "last", "exit"]
Purpose: TypeAlias = Literal["asked", ChosenFor]
Wish: TypeAlias = Literal["easier", "harder", KindOfEquation]  # the next equation, in the words of the learner
WishedFor: TypeAlias = Literal[Wish, "next"]  # and by the tutor: the kind after this one


@dataclass(frozen=True, slots=True)
class Attempt:
    """One equation, as it went on the first try. ``purpose`` is why it was chosen, "asked" where a person chose it.

    ``right``: no wrong step and a right answer; ``help``: whose work it was; ``ideas``: for each idea that was
    tested, whether it held; ``day``: days since any fixed day; ``lesson``: counts up from 1; ``equation``: as text.
    """

    stage: int
    right: bool
    help: Help = "independent"
    variation: bool = False
    purpose: Purpose = "practice"
    lesson: int = 1
    day: int = 0
    ideas: tuple[tuple[str, bool], ...] = ()
    equation: str = ""

    @property
    def success(self) -> bool:
        """Right, and the learner's own work."""
        return self.right and self.help == "independent"


History: TypeAlias = tuple[Attempt, ...]

"""A piece of paper work as it was typed, and a line that belongs to none."""

from dataclasses import dataclass, field

HEADING = "Taken for a heading, not for work."
REMARK = "Taken for a question with a remark beside it."
NO_WORK = "This line belongs to no piece of work: each starts with a code, a colon and the equation."


@dataclass(slots=True)
class PaperWork:
    """One learner's work on one equation, all as typed; ``lines`` with their line numbers in the file.

    ``asked``: more than its place says that the equation is a question; ``lettered``: all that says whose it is is a
    letter; ``number``: that of the question, where it is known by its number alone; ``named``: what says on its line
    whose it is.
    """

    line: int
    code: str
    equation: str
    lines: list[tuple[int, str]] = field(default_factory=list)
    asked: bool = True
    lettered: bool = False
    number: int = 0
    named: str = ""

    @property
    def typed(self) -> str:
        """All of it in quotation marks, line by line."""
        return '"' + '" / "'.join(filter(None, [self.named, self.equation, *(text for _, text in self.lines)])) + '"'


@dataclass(frozen=True, slots=True)
class Stray:
    """A line that belongs to no work, and why."""

    line: int
    text: str
    problem: str = NO_WORK

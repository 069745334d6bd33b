"""Work in a talk, each line with its time and who wrote it: ``[19:03] Noor: 5x = 25``.

A question is only what somebody asks by its number with its equation, on that line or as another's next one; that one
may be a line of the other's working, so it counts only where somebody else's line follows from it. From then on each
one's lines are their own work on it; nothing is marked while no question is known.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from chattutor.paper.mended import equations_in
from chattutor.paper.notation import WRITTEN_WORD
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.stated import answers
from chattutor.paper.whose import as_code
from dialogue.algebra.equation import read_equation

SPOKEN = re.compile(
    r"\W*(?:\d{1,4}[/.-]\d{1,2}[/.-]\d{1,4},?\s+)?\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?:\s?[ap]m)?\b\W*?\s"
    r"(?P<who>[A-Za-z][\w.'’-]*(?: [A-Z][\w.'’-]*)?):\s+(?P<said>.*)",
    re.IGNORECASE,
)
ASKED = re.compile(r"\bq(?:uestion)?\.?\s*(\d{1,2})\b[.:)]*", re.IGNORECASE)
MOST_WORDS = 3  # beside an answer that is a number alone
NO_QUESTION = "Nobody has said what was asked, so this is not marked."
TALK = "This line of the talk is no working."


def is_talk(lines: Sequence[str]) -> bool:
    """Whether most lines begin with a time and a name."""
    typed = [line for line in lines if line.strip()]
    return 2 * sum(SPOKEN.fullmatch(line) is not None for line in typed) > len(typed) > 1


def talk_works(lines: Sequence[tuple[int, str]]) -> Iterator[PaperWork | Stray]:
    """Every piece of work of a talk, by questions and in each by who began first."""
    talk = _Talk()
    for number, line in lines:
        yield from talk.line(number, line.strip())
    yield from talk.done()


@dataclass(slots=True)
class _Talk:
    who: str = ""
    asked: str = ""  # the equation that is being worked on
    number: int = 0  # of its question
    asking: str = ""  # who has just asked for a question without its equation
    giver: str = ""  # who gave it to the one who asked
    known: dict[int, str] = field(default_factory=dict)  # the equation of each number
    works: dict[str, PaperWork] = field(default_factory=dict)  # of each one, on the question at hand

    def line(self, number: int, typed: str) -> Iterator[PaperWork | Stray]:
        whole, spoken = typed, SPOKEN.fullmatch(typed)
        if spoken is not None:
            self.who, typed = as_code(spoken["who"]), spoken["said"].strip()
        if not typed:
            return
        asked = ASKED.search(typed)
        asking, self.asking = self.asking, ""
        if asked is not None and int(asked[1]) != self.number:
            yield from self._asked(number, int(asked[1]), whole, ASKED.sub(" ", typed))
        elif asking and asking != self.who and self._begins(typed):
            self.giver = self.who
            self._add(number, typed)
        elif "=" not in typed and (typed.endswith("?") or not _is_number(typed)):
            yield Stray(number, whole, TALK)
        elif not self.asked:
            yield Stray(number, whole, NO_QUESTION)
        else:
            self._add(number, typed)

    def done(self) -> Iterator[PaperWork | Stray]:
        """All that was done on the question at hand, where it is sure what that was."""
        if not self.giver or any(self._follows(work) for who, work in self.works.items() if who != self.giver):
            yield from self.works.values()
            return
        self.known.pop(self.number, None)
        for work in self.works.values():
            yield from (Stray(number, text, NO_QUESTION) for number, text in work.lines)

    def _follows(self, work: PaperWork) -> bool:
        """Whether a line of somebody's work, and no answer, has the solution of what is being worked on."""
        asked = read_equation(self.asked).solution()
        found = [each for _, text in work.lines for each in equations_in(text) if not answers(each)]
        return any(read_equation(each).solution() == asked for each in found)

    def _asked(self, number: int, which: int, typed: str, rest: str) -> Iterator[PaperWork | Stray]:
        """A line with the number of another question: what was done on the last is complete."""
        yield from self.done()
        self.works, self.number, self.asked, self.giver = {}, which, self.known.get(which, ""), ""
        if self.asked:
            if "=" in rest:
                self._add(number, rest)
        elif not self._begins(rest):
            self.asking = self.who
            yield Stray(number, typed, TALK)
        else:
            for each in equations_in(rest)[1:]:
                self._add(number, each)

    def _begins(self, text: str) -> bool:
        """Whether a text holds the equation that was asked, which is then known."""
        found = equations_in(text)
        if not found or answers(found[0]):
            return False
        self.asked = self.known[self.number] = found[0]
        return True

    def _add(self, number: int, text: str) -> None:
        self.works.setdefault(self.who, PaperWork(number, self.who, self.asked)).lines.append((number, text))


def _is_number(text: str) -> bool:
    """Whether a line without an equation is an answer: a number, and hardly a word."""
    return re.search(r"\d", text) is not None and len(re.findall(WRITTEN_WORD, text)) <= MOST_WORDS

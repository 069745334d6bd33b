"""Typed-in paper work: whose it is, the equation, and the lines under it.

A plain file has pieces of work: ``CODE: equation`` and then a line of working a line; or a code or a name on a line of
its own, and under it questions, numbered or parted by empty lines. A table has a row for each piece of work: the code,
the equation, and a cell for each line of working; or, with the sheet's equations at hand, a row for each learner and a
column for each question, headed by its number.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from chattutor.paper.layout import laid_out
from chattutor.paper.line_shapes import (
    ALONE,
    BEFORE_NUMBER,
    BLANK,
    DASHED,
    GIVEN,
    LISTED,
    LONG_RULE,
    NUMBERED_STEP,
    PAGE_NUMBER,
    PART,
    PART_ALONE,
    PART_NAMES,
    QUESTION,
    RULED,
    in_digits,
)
from chattutor.paper.mended import mended_text
from chattutor.paper.notation import CROSSED_OUT, written
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.piece_of_work import HEADING, REMARK, PaperWork, Stray
from chattutor.paper.question_text import is_instruction, question_text, says_asked, says_solve, without_markup
from chattutor.paper.same_question import Numbered, asked_of_all, with_name
from chattutor.paper.scans import FROM_A_SCAN, in_ones_and_noughts, scanned_line
from chattutor.paper.sheet_above import sheet_above
from chattutor.paper.so_far import begins_anew, goes_on, is_answered, is_next_question
from chattutor.paper.stacked import unstacked
from chattutor.paper.stated import (
    answers,
    common_equation,
    meant_without,
    stated_equation,
    told_in_words,
)
from chattutor.paper.table_work import in_lines, of_table
from chattutor.paper.talk import is_talk, talk_works
from chattutor.paper.textfile import delimiter, lines_of, rows
from chattutor.paper.typed_question import typed_question
from chattutor.paper.whose import (
    HEADER,
    NO_CODE,
    OPENING,
    as_code,
    is_full_name,
    is_heading,
    name_alone,
    name_on_heading,
    name_said,
    says_more,
    short_code,
)
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.refusals import Refusal

NO_QUESTION = "This question has no equation under it, so nothing is marked."
IN_WORDS = "This question is told in words: the equation under it is the learner's own, and only its solving is marked."
NEW_OR_NOT = (
    "Is this a new question or the next line of the last? "
    "If it is new, put its number before it; if not, leave no empty line."
)
UNREAD_ABOVE = "The line above it was not read, so this is not marked."
NO_SHEET = "This is an answer without its equation; --sheet FILE names the file with the equations."
NOT_ON_SHEET = "The sheet has no question with this number."


def works(text: str, sheet: Mapping[int, Equation] | None = None, learner: str = "") -> Iterator[PaperWork | Stray]:
    """Every piece of work in a file, in order. ``sheet``: the equation of each question's number, where the file gives
    the numbers alone; ``learner``: whose work comes before any code or name."""
    if scanned := scanned_line(text):
        yield Stray(*scanned, FROM_A_SCAN)
        text = in_ones_and_noughts(text)
    plain = unstacked(lines_of(text))
    parted = delimiter(plain)
    if parted and not in_lines(text):
        yield from of_table(rows(text, table=True), sheet or {}, learner, comma=parted == ";")
    elif is_talk(plain):
        yield from talk_works(list(enumerate(plain, 1)))
    else:
        lines = [(number, part) for number, line in laid_out(plain) for part in with_name(line)]
        above, taken = ({}, set[int]()) if sheet or learner else sheet_above(lines)
        blocks = _Blocks(sheet or above, learner, names=not learner, own_sheet=bool(above))
        yield from blocks.works([each for each in lines if each[0] not in taken])


@dataclass(slots=True)
class _Blocks:
    """Reads a plain file line by line; ``learner`` is whose work comes, ``work`` the piece being read."""

    sheet: Mapping[int, Equation]
    learner: str = ""
    work: PaperWork | None = None
    gap: bool = True
    names: bool = True  # whether a line that seems to be a name is one; else only one that says so
    own_sheet: bool = False  # whether the sheet stands in the file itself: other questions have their own equations
    question: Stray | None = None  # a question's number whose equation has not come yet
    title: Stray | None = None  # the first line of a file that begins with no code
    asked: int = 0  # the number of the question being read, where it has one
    listed: int = 0  # the number of the last answer of a list without its equations
    below: str = ""  # the next line that is not empty
    under: str = ""  # and the one after it
    unread: bool = False  # whether the lines being read stand under one that was not read
    prefixed: bool = False  # whether each line of the work so far has the code before it
    idle: Stray | None = None  # a code or a name under which no work has come yet
    bare: bool = False  # whether questions' numbers stand with nothing but a gap behind them
    shared: str = ""  # the equation that everybody has, where it stands above the names
    given: dict[str, str] = field(default_factory=dict)  # those that stand above the names with a letter each
    numbered: Numbered = field(default_factory=Numbered)

    def works(self, lines: list[tuple[int, str]]) -> Iterator[PaperWork | Stray]:
        for place, (number, line) in enumerate(lines, 1):
            coming = (text.strip() for at in range(place, len(lines)) if (text := lines[at][1]).strip())
            self.below, self.under = next(coming, ""), next(coming, "")
            line = "" if BLANK.fullmatch(line) else line
            typed = without_markup(re.sub(r"(?:^|\s)#(?!\d).*", "", line).strip())
            if not typed and re.search(r"#.*\w\w", line):
                yield Stray(number, line.strip(), HEADING)
            if LONG_RULE.fullmatch(typed):
                yield from self._finished()
                self.gap = True
            elif typed and RULED.fullmatch(typed) and self.work is not None and is_answered(self.work):
                self.work.lines.append((number, typed))
                self.gap = True  # a line drawn under a question that is done, or a sum in the margin
            elif typed:
                yield from self._line(number, typed)
                self.gap = False
            elif not line.strip():
                self.gap = True
        yield from (*self._finished(), *self._left())
        if self.title is not None:
            yield replace(self.title, problem=HEADING) if self.learner else self.title

    def _finished(self) -> Iterator[PaperWork | Stray]:
        left = self.work, self.question
        self.work = self.question = None
        yield from filter(None, left)

    def _left(self) -> Iterator[PaperWork | Stray]:
        """A code or a name under which nothing came."""
        idle, self.idle = self.idle, None
        if idle is not None:
            yield idle

    def _line(self, number: int, typed: str) -> Iterator[PaperWork | Stray]:
        name = self._name(typed)
        opening = OPENING.fullmatch(typed)
        if name:
            yield from (*self._finished(), *self._left())
            self.learner, self.asked, self.idle = as_code(name), 0, Stray(number, typed)
            if name == name_on_heading(typed) != name_alone(typed) or says_more(typed, name):
                yield Stray(number, typed, HEADING)
        elif (self.work is None or self.gap) and (common := common_equation(typed))[1]:
            yield from (*self._finished(), *self._left())
            self.learner, self.asked, self.shared = "", 0, common[1]
            self.given |= {common[0]: common[1]}
        elif (
            (self.work is None or self.gap)
            and (self.shared or not self.learner)  # the last question of somebody who left it undone is nobody else's
            and (asked_all := asked_of_all(typed, self.below, self.under))
        ):
            yield from (*self._finished(), *self._left())
            self.learner, self.asked, self.shared = "", 0, asked_all
        elif HEADER.fullmatch(typed) or (CROSSED_OUT.fullmatch(typed) and (self.work is None or self.gap)):
            yield Stray(number, typed, HEADING)
        elif opening is not None and not NO_CODE.fullmatch(opening[1]) and self._opens(opening[2]):
            yield from self._opened(number, opening[1], opening[2])
        elif self.learner and (lettered := GIVEN.fullmatch(typed)) and lettered[1] in self.given:
            yield from self._finished()
            self.work, self.idle = PaperWork(number, self.learner, self.given[lettered[1]]), None
            self.work.lines += [(number, each) for each in steps_on_line(lettered[2])]
        elif (asked := self._question(typed)) is not None:
            yield from self._finished()
            yield from self._asked(number, typed, *asked)
        elif self.question is not None and "=" in typed:
            if self.question.problem == IN_WORDS:
                yield self.question
            self.question = None
            yield from self._begun(number, typed)
        elif self.unread and not self.gap:
            yield Stray(number, typed, UNREAD_ABOVE)
        elif self.shared and self.learner and self.idle is not None:
            shown = [(number, each) for each in steps_on_line(typed)]
            self.work, self.idle = PaperWork(number, self.learner, self.shared, shown), None
        elif self.work is None or (self.gap and "=" in typed):
            self.unread = False
            yield from self._after_gap(number, typed)
        elif self.gap and is_answered(self.work) and (is_heading(typed) or PAGE_NUMBER.fullmatch(typed)):
            yield from self._finished()
            yield Stray(number, typed)
        elif "=" in typed and is_answered(self.work) and (new := is_next_question(self.work, typed)) is not False:
            yield from self._finished()
            yield from self._begun(number, typed, asked=says_asked(typed)) if new else self._asked_about(number, typed)
        elif begins_anew(self.work, typed):
            yield from self._finished()
            yield from self._begun(number, typed, asked=says_asked(typed))
        else:
            self.prefixed = False
            self.work.lines.append((number, typed))

    def _one_for_all(self) -> bool:
        """Whether one equation stands above the names, and not several with a letter each."""
        return self.shared != "" and len(self.given) < 2

    def _opens(self, rest: str) -> bool:
        """Whether work begins behind a code and a colon: an equation, the working of what all were asked, or nothing
        yet; words alone are none (To: all)."""
        return self._one_for_all() or "=" in rest or (self.work is None and not rest)

    def _asked_about(self, number: int, typed: str) -> Iterator[Stray]:
        """A line that may be a new question or not: neither it nor what follows is marked."""
        self.unread = True
        yield Stray(number, typed, NEW_OR_NOT)

    def _opened(self, number: int, code: str, rest: str) -> Iterator[PaperWork | Stray]:
        """A line that begins with a code: a new piece of work, or the next line where all lines have it."""
        if (
            self.work is not None
            and self.prefixed
            and not self.gap
            and code == self.learner
            and not is_answered(self.work)
        ):
            if self.work.lines or goes_on(self.work, rest):
                self.work.lines.append((number, rest))
            else:
                yield Stray(number, rest, NEW_OR_NOT)
            return
        yield from self._finished()
        self.learner, self.asked, self.prefixed = code, 0, True
        if self._one_for_all() and rest:
            self.work, self.idle = PaperWork(number, code, self.shared, named=code), None
            self.work.lines += [(number, each) for each in steps_on_line(rest)]
            return
        yield from self._begun(number, rest)
        if self.work is not None:
            self.work.named = code

    def _name(self, typed: str) -> str:
        """The code or name that a line is, if it is nothing else."""
        if said := name_said(typed):
            return said
        if not self.names:
            return ""
        code = short_code(typed)
        if code and not (self.work and code.lower() == self._letter()):
            return code
        done = self.work is not None and is_answered(self.work)
        free = self.work is None or self.gap or (done and (self._begins_again() or is_full_name(typed)))
        return name_alone(typed) or name_on_heading(typed) if free else ""

    def _begins_again(self) -> bool:
        """Whether the next line is a question that comes no later than the one being read: somebody else's."""
        below = QUESTION.fullmatch(self.below)
        return below is not None and below["end"].strip() != "" and int(below["number"]) <= self.asked

    def _letter(self) -> str:
        try:
            return read_equation(self.work.equation).letter if self.work else ""
        except Refusal:
            return ""

    def _question(self, typed: str) -> tuple[int, str] | None:
        """(number, the rest) of a line that begins a question; a numbered line of working begins none."""
        part = PART.fullmatch(typed) or PART_ALONE.fullmatch(typed)
        if part is not None and self.learner and not self.sheet:
            numbers = [1 + names.index(part[1]) for names in PART_NAMES if part[1] in names]
            return next(((each, part[2]) for each in numbers if self.work is None or each == self.asked + 1), None)
        dashed = DASHED.fullmatch(typed)
        if (
            dashed is not None
            and self.learner
            and int(dashed[1]) == self.asked + 1
            and meant_without(dashed[2], typed, self.below)
        ):
            return int(dashed[1]), dashed[2]
        match = QUESTION.fullmatch(in_digits(BEFORE_NUMBER.sub("", typed)))
        if match is None or not self.learner:
            return None
        bare = not match["word"] and not match["end"].strip(" ")
        if bare and not self._is_next_answer(match):
            if not self._is_next_bare(match):
                return None
            self.bare = True
            return int(match["number"]), match["rest"].strip()
        number, rest = int(match["number"]), match["rest"].strip()
        if match["word"] or self.sheet or self.work is None:
            return number, rest
        if number == self.asked + 1 and not answers(rest):
            return number, rest
        alone = is_answered(self.work) and len(self.work.lines) == 1
        if number == self.asked + 1 and alone and answers(written(rest).text):
            return number, rest
        stepped = any(NUMBERED_STEP.match(text) for _, text in self.work.lines)
        if self.gap and number > self.asked + 1 > 1 and answers(rest) and not stepped:
            return number, rest  # an answer alone; the questions between were left out
        return None if not rest or goes_on(self.work, rest) else (number, rest)

    def _is_next_answer(self, match: re.Match[str]) -> bool:
        """Whether a bare number is that of the sheet's next question, and its answer all that follows: ``2 x = -3``."""
        done = self.work is None or len(self.work.lines) < 2
        is_next = done and int(match["number"]) == self.asked + 1
        return bool(self.sheet) and is_next and ALONE.fullmatch(match["rest"]) is not None

    def _is_next_bare(self, match: re.Match[str]) -> bool:
        """Whether a bare number is that of the next question, and its equation all that follows: ``2 2x+1=15 x=7``."""
        done = self.work is None or is_answered(self.work) or says_solve(match["rest"])
        first = question_text(steps_on_line(match["rest"])[0]).equation if "=" in match["rest"] else ""
        is_one = first and not answers(first) and (stated_equation(first) is not None or mended_text(first) != "")
        number = int(match["number"])
        follows = number == self.asked + 1 or (self.bare and number > self.asked)
        return bool(done and follows and is_one)

    def _asked(self, number: int, typed: str, asked: int, rest: str) -> Iterator[PaperWork | Stray]:
        equation = self.sheet.get(asked)
        self.asked, self.unread = asked, False
        if equation is not None:
            self.work, self.idle = PaperWork(number, self.learner, equation.text()), None
            if rest:
                self.work.lines.append((number, rest))
        elif self.sheet and not self.own_sheet:
            yield Stray(number, typed, NOT_ON_SHEET)
        elif rest and told_in_words(rest):
            self.question = Stray(number, typed, IN_WORDS)
            self.numbered.told.add(asked)
        elif rest:
            yield from self._begun(number, rest)
        else:
            self.question = Stray(number, typed, NO_QUESTION)

    def _begun(self, number: int, rest: str, asked: bool | None = None) -> Iterator[PaperWork | Stray]:
        """A piece of work whose equation is typed here; with nothing typed, the learner's work comes below."""
        rest = rest.strip()
        steps = steps_on_line(rest)
        first = written(question_text(steps[0]).equation).text
        known, doubt = ("", "") if self.sheet else self.numbered.meant(self.asked, self.learner, first)
        if known or doubt:
            self.idle, self.unread = None, bool(doubt)
            self.work = PaperWork(number, self.learner, known, [(number, each) for each in steps]) if known else None
            self.numbered.keep(self.asked, self.learner, known, copied=False)
            yield from [Stray(number, rest, doubt)] if doubt else []
            return
        listed = LISTED.fullmatch(rest)
        if not self.sheet and ALONE.fullmatch(rest):
            yield Stray(number, rest, NO_SHEET)
            return
        if listed is not None and not self.sheet and (int(listed[1]) == 1 or 0 < self.listed < int(listed[1])):
            self.listed = int(listed[1])
            yield Stray(number, rest, NO_SHEET)
            return
        under = self._question(rest) if rest else None
        if under is not None and self.sheet:
            yield from self._asked(number, rest, *under)
        elif rest and not is_instruction(rest):
            equation, more, remarks = typed_question(rest, self.below)
            yield from (Stray(number, each, REMARK) for each in remarks)
            self.work = PaperWork(number, self.learner, equation, [(number, each) for each in more], asked is not False)
            own = asked is not None or self.asked in self.numbered.told  # no number, or a question in words
            self.work.number, self.idle = 0 if own else self.asked, None
            self.work.lettered = self.names and len(self.learner) == 1
            self.numbered.keep(self.asked, self.learner, equation)

    def _after_gap(self, number: int, typed: str) -> Iterator[PaperWork | Stray]:
        """The first line after an empty one: the next question, or the work goes on."""
        if is_instruction(typed):
            yield from [Stray(number, typed, HEADING)] if re.search(r"\w\w", typed) else []
            return
        if self.work is not None:
            follows = goes_on(self.work, typed)
            if follows and not is_answered(self.work):
                self.work.lines.append((number, typed))
                return
            if not follows and not is_answered(self.work):
                yield from (*self._finished(), *self._asked_about(number, typed))
                return
            yield from self._finished()
        if self.learner and "=" in typed:
            yield from self._begun(number, typed, asked=says_asked(typed))
        elif not self.learner and self.title is None and "=" not in typed:
            self.title = Stray(number, typed)
        else:
            yield Stray(number, typed)

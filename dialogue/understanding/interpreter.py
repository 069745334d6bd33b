"""Of the readings that the grammar allows, the one that is meant; Unclear where two differ."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from dialogue.acts import Ask, Control, Describe, Expecting, Meaning, Say, Seen, Unclear, Value
from dialogue.algebra.moves import INVERSE, Line, Move, Verdict
from dialogue.algebra.tree import has_unknown
from dialogue.understanding.grammar import Matcher, load, read_data
from dialogue.understanding.intents import topic
from dialogue.understanding.letter_names import forms
from dialogue.understanding.normalise import hesitations
from dialogue.understanding.numbers import NUMBER_WORDS, UNITS, is_number
from dialogue.understanding.phrase_spotting import gist, harmless
from dialogue.understanding.repairs import corrected, only_right
from dialogue.understanding.segmentation import Clauses, calmed, unrepeated
from dialogue.understanding.semantics import build

MOST_WORK = 700  # names looked for in one utterance (10 to 15 ms); after that no more parts of it are tried
MOST_MENDED = 24  # tokens; in more than these no correction or explanation is looked for
REASONS = (("because",), ("since",))
LEFT_WITH = frozenset(  # "you'd be left with seven", "you'd have seven"
    [(one, "with") for one in ("left", "us", "me", "you", "up")]
    + [(one, "have") for one in ("you'd", "i'd", "we'd", "would")]
)
NOT_WORDS = re.compile(r"[^a-z']+")
YES_BECAUSE = frozenset(["because", "cause", "since", "as", "they", "it", "both", "that"])
FOLLOWS = (" you get ", " we get ", " i get ", " it cancels ", " that cancels ", " it leaves ", " that leaves ")
PURPOSE = {"to", "since", "because", "as", "if", "when", "for", "in"}

Pieces = Callable[[], Sequence[tuple[str, ...]]]


@dataclass(frozen=True, slots=True)
class _Around:
    contexts: dict[str, list[str]]
    asking: tuple[str, ...]
    distress: re.Pattern[str]
    explanation_words: frozenset[str]
    reporting: frozenset[str]
    not_before_an_answer: frozenset[str]


@lru_cache(maxsize=1)
def _around() -> _Around:
    data = read_data("around")
    lists = data["lists"]
    distress = "|".join(phrase.replace("'", "'?") for phrase in lists["distress"])
    return _Around(
        data["contexts"],
        tuple(f" {phrase} " for phrase in lists["asking"]),
        re.compile(rf"\b(?:{distress})\b"),
        *(frozenset(lists[name]) for name in ("explanation_words", "reporting", "not_before_an_answer")),
    )


class Interpreter:
    """Reads the tokens of one utterance in one context."""

    def __init__(self, expecting: Expecting, letter: str) -> None:
        self.around = _around()
        self.names = self.around.contexts[expecting]
        self.expecting, self.letter = expecting, letter
        self.work = 0  # names looked for so far
        self._known_already: dict[tuple[str, ...], Meaning | None] = {}

    def distressed(self, text: str) -> bool:
        """Whether a phrase in it may be a disclosure, which only a person can answer."""
        return self.around.distress.search(NOT_WORDS.sub(" ", text)) is not None

    def read(self, tokens: tuple[str, ...], pieces: Pieces = tuple) -> Meaning:
        """The meaning: as it stands, as corrected, then with asides left out, then of the one clause that has one.

        ``pieces`` gives the tokens between marks of punctuation, if there are any; few utterances need them.
        """
        meaning = self._attempt(tokens)
        if self.expecting == "equation" and isinstance(meaning, Move):  # "took the five off so that's 3x = 12"
            concluded = self._clauses(tokens, pieces)
            return concluded if isinstance(concluded, Line) else meaning
        if meaning is None:
            meaning = next((found for fewer in self._fewer(tokens) if (found := self._attempt(fewer))), None)
        if meaning is not None:
            return meaning
        why_not = self._why_not(tokens)
        if why_not.question:
            return why_not
        meaning = gist(tokens, self.whole, self.expecting, frozenset(forms(self.letter)))
        meaning = meaning or topic(tokens, harmless(), self.letter)
        if meaning is None and not self._asks(tokens):
            meaning = self._clauses(tokens, pieces)
        return meaning or self._answered(tokens) or why_not

    def _clauses(self, tokens: tuple[str, ...], pieces: Pieces) -> Meaning | None:
        """The meaning of the one clause that has one."""
        apart = [calm for piece in pieces() or (tokens,) if (calm := calmed(piece))]
        return Clauses(apart, self.whole, self.expecting).main()

    def _fewer(self, tokens: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        """The tokens without what was said twice, without asides, without phrases that change nothing."""
        _, asides = hesitations()
        known = {tokens, ()}
        for fewer in (unrepeated(tokens), tuple(one for one in tokens if one not in asides), calmed(tokens)):
            if fewer not in known:
                known.add(fewer)
                yield fewer

    def _answered(self, tokens: Sequence[str]) -> Say | None:
        """ "No because it's bigger", after a question to be answered with yes or no: the reason is not looked at."""
        said = self.whole(tokens[:1])
        if self.expecting != "yesno" or not isinstance(said, Say) or said.what == "stuck":
            return None
        reasoned = tokens[1:2] and tokens[1] in YES_BECAUSE
        plain = all(token.isalpha() or "'" in token for token in tokens) and NUMBER_WORDS.isdisjoint(tokens)
        return said if reasoned and plain and self._known(tokens) and not _contradicts(said, tokens) else None

    def _attempt(self, tokens: tuple[str, ...]) -> Meaning | None:
        whole = self.whole(tokens)
        if isinstance(whole, Line) and self.expecting == "value" and not any(map(has_unknown, whole.equation.sides())):
            return Value(whole.equation.right)  # "eight times five is forty"
        if isinstance(whole, Line) and "so" in tokens:  # "zero equals five so it can't be done", "… so x is three"
            concluded = self.whole(tokens[len(tokens) - tokens[::-1].index("so") :])
            return concluded if isinstance(concluded, Verdict | Line) else whole
        if whole is not None or len(tokens) > MOST_MENDED:
            return whole
        return corrected(tokens, self.whole) or self._explained(tokens) or self._said_twice(tokens)

    def _said_twice(self, tokens: Sequence[str]) -> Meaning | None:
        """ "I wasn't listening, can you say it again": two ways of saying one thing; "I'm stuck, help me" asks."""
        for at in range(1, len(tokens)):
            second = self.whole(tokens[at:])
            if isinstance(second, Verdict) and isinstance(self.whole(tokens[:at]), Line):
                return second  # "8 = 8 always true"
            if not isinstance(second, Ask | Say | Control):
                continue
            first = self.whole(tokens[:at])
            if first == Say("no") and second == Control("undo"):
                return second
            if first == second or (first == Say("stuck") and isinstance(second, Ask)):
                return second
            if second == Say("stuck") and isinstance(first, Ask):
                return first
        return None

    def whole(self, tokens: Sequence[str]) -> Meaning | None:
        """The meaning of all of the tokens; None where there is none, Unclear where there are two."""
        key = tuple(tokens)
        if key not in self._known_already:
            self._known_already[key] = self._whole(key) if key else None
        return self._known_already[key]

    def _whole(self, tokens: tuple[str, ...]) -> Meaning | None:
        if self.work > MOST_WORK:
            return None
        return self._one(tokens, self.readings(tokens))

    def readings(self, tokens: Sequence[str]) -> dict[Meaning, tuple[int, int]]:
        """Every meaning that the grammar gives to all of the tokens, each with how doubtful it is (least first)."""
        matcher = Matcher(load(), tokens, self.letter, build)
        ends = _Closings(matcher)
        found: dict[Meaning, tuple[int, int]] = {}
        for start, opened in _reach(matcher, 0).items():
            if start and tokens[start - 1] == self.letter:
                continue  # "k plus three": not an opening, but the unknown
            for name in self.names:
                for end, meaning, cost in matcher.beginning(name, start):
                    if isinstance(meaning, Value) and not self._answers(tokens, start, end):
                        continue
                    explained = isinstance(meaning, Move | Line | Seen | Verdict) or self._reasoned(
                        meaning, tokens, end
                    )
                    if isinstance(meaning, bool | str) or not ends.closes(end, explained):
                        continue
                    rank = (cost + opened + len(tokens) - end, cost)
                    found[meaning] = min(rank, found.get(meaning, rank))
        self.work += matcher.work
        return found

    def _reasoned(self, meaning: Meaning | bool | str, tokens: Sequence[str], end: int) -> bool:
        """Whether a reason follows the answer that was asked for: "it would be twelve because …"."""
        return self.expecting == "value" and isinstance(meaning, Value) and tokens[end : end + 1] in REASONS

    def _answers(self, tokens: Sequence[str], start: int, end: int) -> bool:
        """Whether a number said here can be an answer: not after "I am", and not counting "one two three"."""
        if self.expecting not in {"value", "term"} and tokens[start] in {"the", "that", "those"}:
            return False  # "the five" is a term, not an answer
        if start and tokens[start - 1] in {"and", "a"} and not NUMBER_WORDS.isdisjoint(tokens[:start]):
            return False  # "one and a quarter" is not a quarter
        if any(is_number(word) and word != "one" for word in tokens[:start]):
            return False  # "could be two, could be three"
        if start and tokens[start - 1] in self.around.not_before_an_answer:
            return start > 1 and (tokens[start - 2], tokens[start - 1]) in LEFT_WITH
        counted = end - start > 1 and all(token in UNITS for token in tokens[start:end])
        return not counted or self.expecting == "value"

    def _one(self, tokens: Sequence[str], found: dict[Meaning, tuple[int, int]]) -> Meaning | None:
        if not found:
            return None
        ranked = sorted(found.items(), key=lambda item: item[1])
        best, rank = ranked[0]
        tied = [meaning for meaning, other in ranked if other == rank]
        told = [meaning for meaning in tied if isinstance(meaning, Describe)]
        if len(told) == 1 and self.expecting in {"operations", "term"}:
            best, tied = told[0], [told[0]]  # what was asked for
        asked = {"move": Move, "equation": Line, "balance": Seen}.get(self.expecting)
        doubted = any(isinstance(one, Unclear) for one in tied)
        if len(tied) > 1 and asked is not None and not doubted and sum(isinstance(one, asked) for one in tied) == 1:
            best = next(one for one in tied if isinstance(one, asked))
            tied = [best]
        if len(tied) > 1:
            moved = [one for one in tied if isinstance(one, Move) and one.operation == "transfer"]
            if len(moved) != 1:  # "take six to the right": a transfer says more than "take six"
                return Unclear()
            best = moved[0]
        if isinstance(best, Say) and best.what != "stuck" and _contradicts(best, tokens):
            return Unclear()
        if isinstance(best, Move) and self._asks(tokens):
            return Unclear()
        return best

    def _asks(self, tokens: Sequence[str]) -> bool:
        """Whether it is a question about a move, not the move."""
        said = f" {' '.join(tokens)} ".replace(" what if ", " ")
        if tokens[:1] == ("if",) and any(phrase in said for phrase in FOLLOWS):
            return False  # "if you take four from both you get x on its own"
        return any(phrase in said for phrase in self.around.asking)

    def _explained(self, tokens: Sequence[str]) -> Meaning | None:
        """ "We want x alone so take six off both sides": an explanation, then "so" or "which is", then the meaning."""
        if tokens[0] in PURPOSE:  # "to get rid of the plus six take six off both sides"
            for at in range(3, len(tokens) - 1):
                meaning = self.whole(tokens[at:])
                if isinstance(meaning, Move) and self._known(tokens[:at]):
                    return meaning
        for at in range(len(tokens) - 1, 0, -1):
            if tokens[at] == "and":
                first, last = self.whole(tokens[:at]), self.whole(tokens[at + 1 :])
                if isinstance(first, Line) and isinstance(last, Line):
                    return last  # a line of reasoning counts by its last equation
            if tokens[at] not in {"so", "is", "therefore", "hence", "thus", "means", "then", "makes", "gives"}:
                continue
            if (
                tokens[at] == "is"
                and tokens[at - 1] != "which"
                and {"opposite", "inverse", "reverse"}.isdisjoint(tokens)
            ):
                continue
            meaning = self.whole(tokens[at + 1 :])
            if isinstance(meaning, Move) and tokens[at] == "then":
                continue
            if isinstance(meaning, Value) and self._worked_out(tokens[:at], tokens[at]):
                return meaning
            if isinstance(meaning, Verdict) and isinstance(self.whole(tokens[:at]), Line | Verdict):
                return meaning  # "zero equals five so it can't be done"
            if isinstance(meaning, Move | Line) and self._explains(tokens[:at], meaning):
                return self._fuller(tokens[:at], meaning)
        return None

    def _worked_out(self, before: Sequence[str], joint: str) -> bool:
        """Whether an answer that was asked for follows its working: "eight plus six makes fourteen"."""
        if self.expecting != "value" or joint not in {"makes", "therefore"}:
            return False
        return self._known(before) and not isinstance(self.whole(before), Move | Line)

    def _fuller(self, tokens: Sequence[str], meaning: Move | Line) -> Move | Line:
        """The sides, where the explanation has the same move with its sides: "both go down by six so minus six"."""
        said = self.whole(tokens)
        if isinstance(meaning, Move) and isinstance(said, Move) and meaning.sides == "unsaid":
            return (
                Move(meaning.operation, meaning.operand, said.sides) if said.operation == meaning.operation else meaning
            )
        return meaning

    def _explains(self, tokens: Sequence[str], meaning: Move | Line) -> bool:
        """Whether these words only explain: all known, and no move of their own."""
        # "it says add four", "since it's divided by seven", "the opposite of plus four"
        reports = not self.around.reporting.isdisjoint(tokens)
        if not self._known(tokens):
            return False
        said = self.whole(tokens)
        if isinstance(said, Move) and isinstance(meaning, Move):  # "plus four so minus four"
            related = {said.operation, INVERSE.get(said.operation)}  # "get the four off so minus four" says it again
            return reports or (said.operand == meaning.operand and meaning.operation in related)
        return reports or not isinstance(said, Move)

    def _known(self, tokens: Sequence[str]) -> bool:
        """Whether these are all words that explanations are made of."""
        return all(
            token in self.around.explanation_words or token in NUMBER_WORDS or token in load().vocabulary
            or token in forms(self.letter) or not token[0].isalpha()
            for token in tokens
        )  # fmt: skip

    def _why_not(self, tokens: Sequence[str]) -> Unclear:
        """What to ask back, where that is known."""
        if len(tokens) > MOST_MENDED:
            return Unclear()
        for joint in ("and", "then"):
            for at, token in enumerate(tokens):
                if token == joint and 0 < at < len(tokens) - 1:
                    first, second = self.whole(tokens[:at]), self.whole(tokens[at + 1 :])
                    if isinstance(first, Move) and isinstance(second, Move):
                        return Unclear("two moves")
        if only_right(tokens):
            return Unclear("which side")
        return self._another_letter(tokens)

    def _another_letter(self, tokens: Sequence[str]) -> Unclear:
        others = {token for token in tokens if len(token) == 1 and token.isalpha() and token not in {"a", "i", "u"}}
        for other in others - {self.letter.lower()}:
            read = Interpreter(self.expecting, other).whole(tokens)
            if isinstance(read, Move | Line):
                return Unclear("another letter")
        return Unclear()


def contexts() -> dict[str, list[str]]:
    """Which sets of wordings count after which question."""
    return _around().contexts


def names_used() -> set[str]:
    """The names of wordings that are looked for directly."""
    heard = {one.name for one in load().wordings if one.name.startswith("heard_")}  # the short forms, for recognisers
    return {"opening", "closing", "explaining", *heard, *(name for names in contexts().values() for name in names)}


def _contradicts(said: Say, tokens: Sequence[str]) -> bool:
    """ "Yes and no"."""
    other = {"yes": {"no", "nope", "nah", "not"}, "no": {"yes", "yeah", "yep", "yup", "yh"}}[said.what]
    return not other.isdisjoint(tokens) and {"mean", "meant"}.isdisjoint(tokens) and not {"no", "not"} <= set(tokens)


def _reach(matcher: Matcher, start: int) -> dict[int, int]:
    """Where openings said one after the other can end, each with how many tokens they took."""
    reached = {start: 0}
    waiting = [start]
    while waiting:
        here = waiting.pop()
        for end, _, _ in matcher.beginning("opening", here):
            if end not in reached:
                reached[end] = end - start
                waiting.append(end)
    return reached


class _Closings:
    """Which ends can be followed by closings, or by an explanation, up to the end of the utterance."""

    def __init__(self, matcher: Matcher) -> None:
        self.matcher = matcher
        self.known: dict[tuple[int, bool], bool] = {}

    def _concludes(self, end: int) -> bool:
        """ "There's a plus six so the opposite is minus six": what follows is the meaning, not a reason."""
        rest = self.matcher.tokens[end:]
        return rest[0] == "so" and not {"opposite", "inverse", "reverse"}.isdisjoint(rest[:4])

    def closes(self, end: int, explained: bool) -> bool:
        """``explained``: whether an explanation may follow (a move or an equation is explained, an answer is not)."""
        if end == len(self.matcher.tokens):
            return True
        key = (end, explained)
        if key not in self.known:
            self.known[key] = False
            self.known[key] = bool(
                explained and self.matcher.beginning("explaining", end) and not self._concludes(end)
            ) or any(self.closes(after, explained) for after, _, _ in self.matcher.beginning("closing", end))
        return self.known[key]

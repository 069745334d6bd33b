"""From words to dialogue acts: the one place where what a learner typed or said becomes what it means.

In order: what is certain (``certain``: mathematics in symbols, wordings word for word), else the learned tagger
(``readings``), whose numbers are read exactly; then one scored decision (``decision``): act on it, ask back with the
guess, or ask again. Of the equation only the letter is known here, so that nothing can lean towards the right answer.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import islice
from typing import NamedTuple, cast, get_args

from dialogue.acts import (
    Act,
    Control,
    Describe,
    Disclosure,
    Expecting,
    Interpretation,
    Meaning,
    PartMove,
    Refused,
    Term,
    Unclear,
    Value,
)
from dialogue.algebra.moves import INVERSE, Line, Move, Operation, Rewrite
from dialogue.understanding import decision, learned_disclosures, learned_topics, tagger
from dialogue.understanding.certain import certain_acts, has_words
from dialogue.understanding.phrase_spotting import (
    before_a_correction,
    denies,
    operation_that_undoes,
    tells_of_distress,
    undoes_or_is_undone,
)
from dialogue.understanding.plain_questions import parted
from dialogue.understanding.readings import Reading, TaggedTurn, WordDoubts, key_of
from dialogue.understanding.running_sums import with_running_sums
from dialogue.understanding.seen_turn import SeenTurn, see

MOST_RIVALS = 3
MOST_CORRECTIONS = 3  # words of correction in one turn that are looked before: what a turn costs is bounded
WORTH_OFFERING = 0.04  # the least probability of a rival reading
DISCLOSED = 0.3  # the share of readings with a disclosure from which one is believed: a miss is the worse
DONE_AT_ONCE = (Move, PartMove, Control, Rewrite)
ANSWERS = (Move, Line, Rewrite, Value, Describe)


@lru_cache(maxsize=2048)
def interpret(text: str, expecting: Expecting = "any", letter: str = "x", tutor: str = "") -> Interpretation:
    """The acts of a turn in the order said, and whether they are sure enough to be acted on.

    Total and pure. ``tutor`` is the tutor's last sentence, where there is one.
    """
    return interpreted(see(text, expecting, letter, tutor), expecting)


def interpreted(turn: SeenTurn, expecting: Expecting) -> Interpretation:
    """The same of an utterance that was seen, or of a part of one."""
    text, letter = turn.text, turn.letter
    found = _interpreted(turn, expecting)
    found = replace(found, acts=with_running_sums(found.acts, text, letter, expecting))
    if (named := operation_that_undoes(text)) is not None:
        acts = _as_named(found.acts, cast(Operation, named))
        found = replace(found, acts=acts, sure=found.sure or (len(acts) == 1 and _has(acts, named)))
    if found.sure and any(isinstance(act, DONE_AT_ONCE) for act in found.acts) and denies(text):
        found = replace(found, sure=any(isinstance(act, Refused) for act in found.acts))  # nothing refused is done
    if found.sure and any(isinstance(act, Move) for act in found.acts) and undoes_or_is_undone(text):
        found = replace(found, sure=False)
    if found.sure and _names_and_states(found.acts):
        found = replace(found, sure=False)  # "I added 5 and got 2n = 12": a term named, or a move claimed?
    if not any(isinstance(act, ANSWERS) for act in found.acts):
        return found
    for end in islice(before_a_correction(text), MOST_CORRECTIONS):
        before = _interpreted(turn.part((0, end)), expecting).acts
        if (corrected := _last_of_two(before[-1], found.acts)) is not None:
            return replace(found, acts=corrected)
        first = before[0]
        if isinstance(first, ANSWERS) and first not in found.acts:
            return replace(found, acts=_completed(first, found.acts), taken_back=first)
    return found


def _as_named(acts: tuple[Act, ...], operation: Operation) -> tuple[Act, ...]:
    """The moves with the operation that was named to undo something, never with its opposite; and no part of a move
    made of the word of undoing itself."""
    done: list[Act] = []
    for act in acts:
        match act:
            case Move(other, operand, sides) if other == INVERSE[operation] and not _has(acts, operation):
                done.append(Move(operation, operand, sides))
            case Term(operand) if not any(isinstance(one, Move) for one in acts):
                done.append(Move(operation, operand, "unsaid"))
            case PartMove(_, None, "unsaid") if any(isinstance(one, Move) for one in acts):
                continue
            case _:
                done.append(act)
    return tuple(dict.fromkeys(done))


def _has(acts: tuple[Act, ...], operation: str) -> bool:
    return any(isinstance(act, Move) and act.operation == operation for act in acts)


def _last_of_two(first: Act, acts: tuple[Act, ...]) -> tuple[Act, ...] | None:
    """ "Is it 04, I mean 40": of two numbers with a correction between them the last."""
    at = acts.index(first) if first in acts else len(acts)
    after = acts[at + 1] if at + 1 < len(acts) else None
    return (*acts[:at], *acts[at + 1 :]) if isinstance(first, Value) and isinstance(after, Value) else None


def _completed(first: Act, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """ "Add two no wait three": a number alone corrects the number of the move before it."""
    match first, acts:
        case Move(operation, _, sides), (Value(value),):
            return (Move(operation, value, sides),)
    return acts


def _names_and_states(acts: tuple[Act, ...]) -> bool:
    sides = {key_of(Value(side)) for act in acts if isinstance(act, Line) for side in act.equation.sides()}
    aside = [act for act in acts if isinstance(act, Value) and key_of(act) not in sides]
    return bool(sides) and (bool(aside) or any(isinstance(act, Term | PartMove | Describe) for act in acts))


def warm() -> None:
    """Reads the grammar and the network before the first turn needs them (about 0.4 s)."""
    tagged(see("so"))
    learned_topics.packaged()
    learned_topics.packaged(learned_disclosures.FILE)
    certain_acts("so", "any", "x")
    parted("so", "x")


def _interpreted(turn: SeenTurn, expecting: Expecting) -> Interpretation:
    text = turn.text
    if tells_of_distress(text):
        return Interpretation((Disclosure(),), sure=True)
    certain = certain_acts(text, expecting, turn.letter)
    asked = certain is not None and isinstance(certain[0], Unclear)  # what is not clear in it is certain
    if certain is not None and len(certain) == 1 and not asked:
        return Interpretation(certain, sure=True)
    seen = tagged(turn) if not asked or has_words(text) else Tagged([], 0)
    if seen.readings and (_disclosed(seen.readings) or learned_disclosures.lets_out(turn.words, turn.view.states)):
        return Interpretation((Disclosure(),), sure=True)
    if certain is not None and asked:
        return Interpretation(certain, sure=False, certainty=0.0)
    if certain is not None:
        seen = seen._replace(readings=with_certain(certain, seen.readings))
    if not seen.readings:
        return Interpretation((Unclear(),), sure=False, certainty=0.0)
    return _decided(seen, expecting, certain is not None)


class Tagged(NamedTuple):
    """The tagger's readings, best first, how many words there are, and how sure it was of each."""

    readings: list[Reading]
    words: int
    doubts: WordDoubts = WordDoubts()


def tagged(turn: SeenTurn) -> Tagged:
    """What the tagger makes of an utterance, or of a part of one: nothing of noise."""
    network, shown = tagger.packaged(), turn.shown
    if network is None or all(map(network.is_noise, shown)) or not turn.words:
        return Tagged([], len(shown))
    found = TaggedTurn(turn.text, turn.words, turn.letter, turn.view.scores)
    return Tagged(found.readings(), len(shown), found.doubts())


def _disclosed(readings: Sequence[Reading]) -> bool:
    told = sum(one.probability for one in readings if any(isinstance(act, Disclosure) for act in one.acts))
    return told >= DISCLOSED


def with_certain(certain: tuple[Act, ...], readings: Sequence[Reading]) -> list[Reading]:
    """What is certain first, with the tagger's opinion of it; then what else the tagger thinks."""
    wanted, same, others = tuple(map(key_of, certain)), 0.0, []
    for one in readings:
        if tuple(map(key_of, one.acts)) == wanted:
            same += one.probability
        else:
            others.append(one)
    return [Reading(max(same, 1e-6), certain), *others]


def _decided(seen: Tagged, expecting: Expecting, certain: bool) -> Interpretation:
    decided, readings = decision.packaged(), seen.readings
    certainty = decided.certainty(decision.evidence(readings, seen.words, seen.doubts, expecting, certain))
    acts = readings[0].acts
    rivals = tuple(one.acts for one in readings[1:] if one.probability >= WORTH_OFFERING and one.acts)[:MOST_RIVALS]
    if not acts or certainty < decided.ask_back:
        return Interpretation(
            acts or (Unclear(),), sure=False, certainty=min(certainty, decided.ask_back), rivals=rivals
        )
    return Interpretation(acts, sure=decided.believes(acts, certainty), certainty=certainty, rivals=rivals)


def understand(text: str, expecting: Expecting = "any", letter: str = "x") -> Meaning:
    """The first act that counts, where the turn is sure; else ``Unclear``, whose ``question`` may name what to ask."""
    return first_that_counts(interpret(text, expecting, letter))


def first_that_counts(interpretation: Interpretation) -> Meaning:
    """The first act of a sure interpretation that is a meaning of its own, beside talk."""
    for act in interpretation.acts:
        if isinstance(act, Disclosure):
            return Unclear("distress")
        if isinstance(act, get_args(Meaning)) and (interpretation.sure or isinstance(act, Unclear)):
            return cast(Meaning, act)
    return Unclear()

"""When to believe a hearing: one number from all the evidence, and two thresholds by what a second one makes of it.

It knows nothing of what was said or of what would be right, and cannot: it is given agreements and scores.
The figures were chosen on the dev half of tests/bench/spoken_set.py on 28 November 2026 (fit_acceptance.py), so that of
all that is said at most one in a hundred is wrongly accepted; the totals of two other sets were in view when the first
threshold was set. Children's speech may need others, and they can be passed in. Figures: speech/EXPERIMENTS.md.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from speech.hearings import Decision


class SecondOpinion(Enum):
    """What a second recogniser makes of it."""

    AGREES = "the second recogniser agrees"
    DIFFERS = "the second recogniser differs"
    NOTHING = "the second recogniser understood nothing"
    ABSENT = "there is no second recogniser"


@dataclass(frozen=True, slots=True)
class Threshold:
    """Least beliefs, 0 to 1, to accept and to read back; above 1 is never. Below both: ask again.

    Accepting also needs a `confidence` of the first recogniser, and both the `fit`s of the second."""

    accept: float
    read_back: float
    confidence: float = 0.0
    accept_fit: float = 0.0
    read_back_fit: float = 0.0


NEVER = 2.0
Thresholds = Mapping[SecondOpinion, Threshold]
# leads further out count as these; the highest where no sentence of another meaning comes near
LOWEST_LEAD, HIGHEST_LEAD = -50.0, 100.0
MOST_WORDS = 8  # longer sentences count as this long
SURE = 5.0  # log-odds; confidences closer to 0 or 1 count as these


@dataclass(frozen=True, slots=True)
class HearingEvidence:
    """What is known about one hearing that was understood; shares and confidences from 0 to 1."""

    second: SecondOpinion
    agreeing: float = 1.0  # share of the decodings that mean the same
    # over the closest sentence of another meaning, in the engine's measure: the decodings' mean
    lead: float = HIGHEST_LEAD
    confidence: float = 1.0  # the first recogniser's
    covered: float = 1.0  # share of the sound that the words account for
    words: int = MOST_WORDS  # how many
    narrow: bool = False  # whether the language holds fewer than `NARROW` words
    fit: float = 0.0  # the second recogniser's confidence, where it understood something

    def __str__(self) -> str:
        parts = [self.second.value, f"{self.agreeing:.0%} of the decodings agree", f"lead {self.lead:.0f}"]
        parts += [f"confidence {self.confidence:.2f}", f"{self.covered:.0%} covered", f"belief {belief(self):.2f}"]
        parts += [f"fit {self.fit:.2f}"] if self.fit else []
        return ", ".join(parts)


# Log-odds of being right, for each of what is known: a logistic regression (L2 penalty 1) on 840 sounds drawn from the
# dev half, speech about other things among them, those that are not `solid` counting for 0.3. Area under the curve,
# each voice judged by the others: 0.92. fit_acceptance.py fits another draw: its weights differ, its curve hardly.
WEIGHTS = {
    "always": -2.51, "agreeing": 2.91, "lead": 0.0154, "confidence": 0.58, "covered": 1.32,
    "words": -0.11, "single": -0.2,
}  # fmt: skip
# In a language of fewer than NARROW words, or of a single word, all decodings easily fall on the same wrong word, so
# that accepting also needs NARROW_CONFIDENCE (of one recogniser in the smaller language NARROW_ALONE, set in view of
# the digits of six people); a single word in a wide language is also taken at SINGLE_BELIEF with SINGLE_CONFIDENCE,
# which took none of 155 such hearings wrongly.
NARROW = 30
NARROW_CONFIDENCE, NARROW_ALONE = 0.9, 0.95
SINGLE_BELIEF, SINGLE_CONFIDENCE = 0.97, 0.75
AGREEING_ENOUGH = 0.5
COVERED_ENOUGH = 0.8  # of 5 sentences about other things that every decoding took for one answer, 4 were below it

# The second recogniser's own confidence tells speech about other things, which no sentence of the language fits.
THRESHOLDS: Thresholds = {
    SecondOpinion.ABSENT: Threshold(0.89, 0.38, confidence=0.6),
    SecondOpinion.AGREES: Threshold(0.50, 0.0, accept_fit=0.5, read_back_fit=0.4),
    SecondOpinion.DIFFERS: Threshold(NEVER, 0.0, read_back_fit=0.6),
    SecondOpinion.NOTHING: Threshold(NEVER, NEVER),
}
CLOSE = 15.0  # a lead below this is a rival that might have been meant
CLEAR = 0.90  # of the first recogniser alone, from which it counts for more than a second recogniser that differs


def known(evidence: HearingEvidence) -> tuple[float, ...]:
    """What is weighed, in the order of `WEIGHTS`."""
    confidence = min(max(evidence.confidence, 1e-9), 1 - 1e-9)
    return (
        1.0,
        evidence.agreeing,
        min(max(evidence.lead, LOWEST_LEAD), HIGHEST_LEAD),
        min(max(math.log(confidence / (1 - confidence)), -SURE), SURE),
        evidence.covered,
        min(evidence.words, MOST_WORDS),
        float(evidence.words == 1),
    )


def belief(evidence: HearingEvidence) -> float:
    """How likely it is that the first recogniser heard what was meant, 0 to 1."""
    odds = sum(weight * one for weight, one in zip(WEIGHTS.values(), known(evidence), strict=True))
    return 1 / (1 + math.exp(-odds))


def solid(evidence: HearingEvidence) -> bool:
    """Whether most decodings agree and the words account for the sound: nothing else is ever accepted."""
    if evidence.agreeing <= AGREEING_ENOUGH or evidence.covered < COVERED_ENOUGH:
        return False
    if evidence.narrow:
        alone = evidence.second is SecondOpinion.ABSENT
        return evidence.confidence >= (NARROW_ALONE if alone else NARROW_CONFIDENCE)
    if evidence.words > 1 or evidence.confidence >= NARROW_CONFIDENCE:
        return True
    return evidence.confidence >= SINGLE_CONFIDENCE and belief(evidence) >= SINGLE_BELIEF


def decision_on(evidence: HearingEvidence, doubt: Thresholds = THRESHOLDS) -> Decision:
    """What to do with it."""
    least, believed = doubt[evidence.second], belief(evidence)
    sure = evidence.confidence >= least.confidence and evidence.fit >= least.accept_fit
    if believed >= least.accept and sure and solid(evidence):
        return Decision.ACCEPT
    meant = believed >= least.read_back and evidence.fit >= least.read_back_fit
    return Decision.READ_BACK if meant else Decision.ASK_AGAIN

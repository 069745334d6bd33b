"""When to believe a hearing: a table of thresholds, by how the decodings and the second ear agree in meaning.

It knows nothing of what was said or of what would be right, and cannot: it is given agreements and scores.
The figures were chosen on the dev half of tests/bench/spoken_set.py on 25 November 2026, so that of what is accepted
at most one in a hundred is wrong; children's speech may need others, and they can be passed in. What they give on
voices and sentences not looked at: tests/bench/bench_speech.py, and the figures in DEVELOPERS.md.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from speech.events import Decision


class Witnesses(Enum):
    """How the other decodings of the same sound agree in meaning with the answer."""

    ALL = "every decoding agrees"
    SOME = "some decodings agree"
    NONE = "no other decoding agrees"


class SecondEar(Enum):
    """What a second recogniser makes of it."""

    AGREES = "the second ear agrees"
    DIFFERS = "the second ear differs"
    NOTHING = "the second ear understood nothing"
    ABSENT = "there is no second ear"


@dataclass(frozen=True, slots=True)
class Threshold:
    """Least confidences, 0 to 1, to accept and to read back; above 1 is never. Below both: ask again."""

    accept: float
    read_back: float


NEVER = 2.0
Doubt = Mapping[tuple[SecondEar, Witnesses], Threshold]

DOUBT: Doubt = {
    (SecondEar.AGREES, Witnesses.ALL): Threshold(0.60, 0.50),
    (SecondEar.AGREES, Witnesses.SOME): Threshold(NEVER, 0.50),
    (SecondEar.AGREES, Witnesses.NONE): Threshold(NEVER, 0.50),
    (SecondEar.DIFFERS, Witnesses.ALL): Threshold(NEVER, 0.70),
    (SecondEar.DIFFERS, Witnesses.SOME): Threshold(NEVER, 0.70),
    (SecondEar.DIFFERS, Witnesses.NONE): Threshold(NEVER, 0.70),
    (SecondEar.NOTHING, Witnesses.ALL): Threshold(NEVER, 0.80),
    (SecondEar.NOTHING, Witnesses.SOME): Threshold(NEVER, 0.90),
    (SecondEar.NOTHING, Witnesses.NONE): Threshold(NEVER, NEVER),
    (SecondEar.ABSENT, Witnesses.ALL): Threshold(0.65, 0.05),
    (SecondEar.ABSENT, Witnesses.SOME): Threshold(NEVER, 0.20),
    (SecondEar.ABSENT, Witnesses.NONE): Threshold(NEVER, NEVER),
}
NARROW = 30  # words: in a smaller language, or of a single word, all easily fall on the same wrong word ...
NARROW_ACCEPT = 0.85  # ... so that accepting also needs this confidence of the first ear
CLEAR = 0.85  # of the first ear, from which its unanimous decodings count for more than a second ear that differs


@dataclass(frozen=True, slots=True)
class Evidence:
    """What is known about one hearing that was understood. `confidence` is the second ear's where that understood
    something (what does not fit it is nearly always off the subject), else the first's."""

    second: SecondEar
    witnesses: Witnesses
    confidence: float
    first: float = 1.0  # the first ear's own confidence
    narrow: bool = False  # whether it is a single word, or the language holds fewer than `NARROW`

    def __str__(self) -> str:
        return f"{self.second.value}, {self.witnesses.value}, confidence {self.confidence:.2f}"


def decide(evidence: Evidence, doubt: Doubt = DOUBT) -> Decision:
    """What to do with it."""
    least = doubt[evidence.second, evidence.witnesses]
    safe = not evidence.narrow or evidence.first >= NARROW_ACCEPT
    if safe and evidence.confidence >= least.accept:
        return Decision.ACCEPT
    return Decision.READ_BACK if evidence.confidence >= least.read_back else Decision.ASK_AGAIN

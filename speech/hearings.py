"""What a listener can report. Frozen, and valid by construction."""

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word: when it was said (seconds from the start of the sound) and how sure the engine was, 0 to 1."""

    text: str
    start: float
    end: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Decoding:
    """What one search makes of a sound, and other sentences that fit it nearly as well, each with how much worse (in
    the engine's own measure)."""

    text: str
    rivals: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A text that a sound may be: its score, and how well the sound alone fits it (natural logarithms). `scores` are
    those for several versions of the sound, faster and slower ones, and `score` is their mean."""

    text: str
    score: float
    sound: float
    scores: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Heard:
    """Words were heard.

    `confidence` (0 to 1) is comparable within one engine only. `decodings` holds what several searches of the same
    sound gave, the first that of `text`: their agreement is evidence. `covered` is the share of the sound that the
    words account for; the rest was taken for breath or noise. Typed text has confidence 1. A recogniser that
    writes whatever it hears gives `hypotheses` instead, best first, the first that of `text`; and in `dictation`
    what it writes unguided. `seconds` is how long the speech in the sound is.
    """

    text: str
    confidence: float = 1.0
    decodings: tuple[Decoding, ...] = ()
    words: tuple[HeardWord, ...] = ()
    covered: float = 1.0
    hypotheses: tuple[Hypothesis, ...] = ()
    dictation: Hypothesis | None = None
    seconds: float = 0.0

    def __post_init__(self) -> None:
        if not self.text.strip():
            raise ValueError("nothing was heard: that is Silence")
        if not 0 <= self.confidence <= 1:
            raise ValueError(f"a confidence lies between 0 and 1: {self.confidence}")
        if self.decodings and self.decodings[0].text != self.text:
            raise ValueError("the first decoding is that of the text")


@dataclass(frozen=True, slots=True)
class Silence:
    """Nothing was said for `seconds`, or the sound held no speech."""

    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class Failed:
    """Listening did not work; `reason` is one line for the learner: what happened and what to do."""

    reason: str

    def __post_init__(self) -> None:
        if not self.reason or "\n" in self.reason:
            raise ValueError("a failure is told in one line")


HearingResult: TypeAlias = Heard | Silence | Failed


class Decision(Enum):
    """What to do with something heard; it depends on doubt in the hearing, never on what was said."""

    ACCEPT = "accept"
    READ_BACK = "read back"
    ASK_AGAIN = "ask again"


@dataclass(frozen=True, slots=True)
class Hearing:
    """An event, what to do with it, and the evidence in words for whoever looks into a mishearing.

    `unanimous`: every decoding, and the second recogniser where there is one, agree in meaning. `others` are texts of
    other meanings that it may have been, likeliest first. `whole` is false where more is likely to follow.
    """

    event: HearingResult
    decision: Decision
    evidence: str = ""
    engine: str = ""
    unanimous: bool = False
    others: tuple[str, ...] = ()
    whole: bool = True

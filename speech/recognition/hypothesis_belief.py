"""When to believe a recogniser that gives hypotheses: one number from what they and its free dictation say.

It knows nothing of what would be right, and cannot: it is given scores, and which texts mean the same. A logistic
regression (tests/bench/fit_hypothesis_belief.py fits it anew). What it gives is in DEVELOPERS.md.
"""

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import NamedTuple

from speech.hearings import Decision, Heard, Hypothesis

MeaningOf = Callable[[str], Hashable | None]
MOST_GAP, MOST_LEAD, MOST_BEHIND = 15.0, 10.0, 10.0  # natural logarithms; what is further off counts as this far
MOST_WORDS = 10
PACE = (9.0, 18.0)  # letters a second between which people talk; fewer: the text is cut short; more: too long for it
WEIGHTS = {
    "always": 0.76, "gap": -0.36, "lead": 0.18, "behind": -0.44, "dictation agrees": 0.65, "dictation differs": -1.82,
    "single": 1.95, "words": 0.23, "slow": -0.68, "fast": -2.55,
}  # fmt: skip
ACCEPT, READ_BACK = 0.93, 0.15


@dataclass(frozen=True, slots=True)
class HypothesisEvidence:
    """What is known about one hearing that was understood."""

    gap: float = 0.0  # by how much free dictation fits the sound better than any hypothesis of this meaning
    lead: float = MOST_LEAD  # over the best hypothesis of another meaning, in score
    behind: float = 0.0  # by how much a hypothesis that is not understood scores better
    agrees: bool = True  # whether the dictation is understood in the same way
    differs: bool = False  # whether it is understood in another
    words: int = 4
    pace: float = 12.0  # letters of the text a second of speech

    def known(self) -> tuple[float, ...]:
        """What is weighed, in the order of `WEIGHTS`."""
        return (
            1.0,
            min(max(self.gap, 0.0), MOST_GAP),
            min(max(self.lead, -MOST_LEAD), MOST_LEAD),
            min(max(self.behind, 0.0), MOST_BEHIND),
            float(self.agrees),
            float(self.differs),
            float(self.words == 1),
            min(self.words, MOST_WORDS),
            max(0.0, PACE[0] - self.pace),
            max(0.0, self.pace - PACE[1]),
        )

    def belief(self) -> float:
        """How likely it is that this was meant, 0 to 1."""
        odds = sum(weight * one for weight, one in zip(WEIGHTS.values(), self.known(), strict=True))
        return 1 / (1 + math.exp(-odds))

    def decision(self, certainty: float = 1.0) -> Decision:
        """What to do with it; `certainty` is that of its meaning, had it been typed."""
        belief = self.belief() * certainty
        if belief >= ACCEPT:
            return Decision.ACCEPT
        return Decision.READ_BACK if belief >= READ_BACK else Decision.ASK_AGAIN

    def __str__(self) -> str:
        dictation = "agrees" if self.agrees else "differs" if self.differs else "is not understood"
        return (
            f"dictation {dictation}, gap {self.gap:.1f}, lead {self.lead:.1f}, behind {self.behind:.1f},"
            f" {self.pace:.0f} letters a second, belief {self.belief():.2f}"
        )


class Understood(NamedTuple):
    """The best hypothesis that is understood, what speaks for it, and the best of each other meaning, best first."""

    hypothesis: Hypothesis
    evidence: HypothesisEvidence
    others: tuple[str, ...]


def understood(heard: Heard, meaning: MeaningOf) -> Understood | None:
    """Choose among the hypotheses; None where none is understood."""
    meant = [meaning(one.text) for one in heard.hypotheses]
    place = next((place for place, one in enumerate(meant) if one is not None), None)
    if place is None:
        return None
    chosen, best = meant[place], heard.hypotheses[place]
    written = heard.dictation or best
    dictated = meaning(written.text)
    others: dict[Hashable, Hypothesis] = {}
    for one, kind in zip(heard.hypotheses, meant, strict=True):
        if kind is not None and kind != chosen:
            others.setdefault(kind, one)
    fitting = max(one.sound for one, kind in zip(heard.hypotheses, meant, strict=True) if kind == chosen)
    evidence = HypothesisEvidence(
        gap=written.sound - fitting,
        lead=best.score - max((one.score for one in others.values()), default=best.score - MOST_LEAD),
        behind=heard.hypotheses[0].score - best.score,
        agrees=dictated == chosen,
        differs=dictated not in (None, chosen),
        words=len(best.text.split()),
        pace=len(best.text) / max(heard.seconds, 0.1),
    )
    return Understood(best, evidence, tuple(one.text for one in others.values()))

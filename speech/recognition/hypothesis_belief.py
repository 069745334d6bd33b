"""When to believe a recogniser that gives hypotheses: one number from what they and its free dictation say.

It knows nothing of what would be right, and cannot: it is given scores, and which texts mean the same. A logistic
regression (tests/bench/fit_hypothesis_belief.py fits it anew). What it gives is in speech/EXPERIMENTS.md.
"""

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import NamedTuple

from speech.hearings import Decision, Heard, Hypothesis

MeaningOf = Callable[[str], Hashable | None]  # the same value for texts that mean the same; None: not understood
TextShare = Callable[[str], float]  # of a text, 0 to 1
MOST_GAP, MOST_LEAD, MOST_BEHIND = 15.0, 10.0, 10.0  # natural logarithms; what is further off counts as this far
SLOW = 9.0  # letters a second below which nobody talks: a text that has fewer is cut short
# Fitted on 30 November 2026 on 714 sounds of the dev half of tests/bench/spoken_set.py, of fillers and corrections, and
# of lessons' turns; "dictation differs" is held at -0.3, since a contradiction never speaks for a text (free: 0.31).
WEIGHTS = {
    "always": 2.55, "gap": -0.35, "lead": 0.25, "behind": -0.24, "dictation differs": -0.3, "single": 1.49,
    "slow": -0.3, "versions": 1.73, "unsure": -6.41, "odd": -2.0,
}  # fmt: skip
ACCEPT, READ_BACK = 0.9, 0.2
SINGLE_LEAD = 1.0  # least lead of a single word that is accepted; set in view of the digits of six people
USUAL, LEAST_USUAL = 2.0, 0.05  # weight of how usual a text is; the least it counts


@dataclass(frozen=True, slots=True)
class HypothesisEvidence:
    """What is known about one hearing that was understood; leads, gaps and the like in natural logarithms."""

    gap: float = 0.0  # by how much free dictation fits the sound better than any hypothesis of this meaning
    lead: float = MOST_LEAD  # over the best hypothesis of another meaning
    least_lead: float = MOST_LEAD  # the same in the version of the sound where it is smallest
    behind: float = 0.0  # by how much a hypothesis that is not understood scores better
    agrees: bool = True  # whether the dictation is understood in the same way
    differs: bool = False  # whether it is understood in another
    single: bool = False  # whether it is one word
    pace: float = 12.0  # letters of the text a second of speech
    versions: float = 1.0  # share of the versions of the sound in which it leads
    certainty: float = 1.0  # of the meaning, had the text been typed; 1 where it would have been acted on
    odd: float = 1.0  # how little is expected of its words: the guide's share of the score, a word

    def known(self) -> tuple[float, ...]:
        """What is weighed, in the order of `WEIGHTS`."""
        return (
            1.0,
            min(max(self.gap, 0.0), MOST_GAP),
            min(max(self.lead, -MOST_LEAD), MOST_LEAD),
            min(max(self.behind, 0.0), MOST_BEHIND),
            float(self.differs),
            float(self.single),
            max(0.0, SLOW - self.pace),
            self.versions,
            1.0 - self.certainty,
            self.odd,
        )

    def belief(self) -> float:
        """How likely it is that this was meant, 0 to 1."""
        odds = sum(weight * one for weight, one in zip(WEIGHTS.values(), self.known(), strict=True))
        return 1 / (1 + math.exp(-odds))

    def decision(self) -> Decision:
        """What to do with it."""
        belief = self.belief()
        if belief >= ACCEPT and not (self.single and self.least_lead < SINGLE_LEAD):
            return Decision.ACCEPT
        return Decision.READ_BACK if belief >= READ_BACK else Decision.ASK_AGAIN

    def __str__(self) -> str:
        dictation = "agrees" if self.agrees else "differs" if self.differs else "is not understood"
        return (
            f"dictation {dictation}, gap {self.gap:.1f}, lead {self.lead:.1f}, at least {self.least_lead:.1f}, behind"
            f" {self.behind:.1f}, {self.pace:.0f} letters a second, belief {self.belief():.2f}"
        )


class Understood(NamedTuple):
    """The best hypothesis that is understood, what speaks for it, and the best of each other meaning, best first."""

    hypothesis: Hypothesis
    evidence: HypothesisEvidence
    others: tuple[str, ...]


def understood(
    heard: Heard, meaning: MeaningOf, usual: TextShare | None = None, certainty: TextShare | None = None
) -> Understood | None:
    """Choose among the hypotheses; None where none is understood. `usual` (above 0, to 1) is how usual a text is as an
    answer: among texts that fit about as well the more usual one is meant. `certainty` is that of a text's meaning."""
    meant = [(one, meaning(one.text)) for one in heard.hypotheses]
    known = [(one, kind) for one, kind in meant if kind is not None]
    if not known:
        return None
    share = usual or (lambda text: 1.0)
    best, chosen = max(known, key=lambda pair: pair[0].score + USUAL * math.log(max(share(pair[0].text), LEAST_USUAL)))
    same = [one for one, kind in meant if kind == chosen]
    others: dict[Hashable, Hypothesis] = {}
    for one, kind in meant:
        if kind is not None and kind != chosen:
            others.setdefault(kind, one)
    rivals = [one for one, kind in meant if kind not in (None, chosen)]
    leads = [
        max(one.scores[version] for one in same) - max(one.scores[version] for one in rivals) if rivals else MOST_LEAD
        for version in range(len(best.scores))
    ] or [MOST_LEAD]
    words = len(best.text.split())
    dictated = meaning(heard.dictation.text) if heard.dictation else chosen
    evidence = HypothesisEvidence(
        gap=(heard.dictation.sound if heard.dictation else best.sound) - max(one.sound for one in same),
        lead=best.score - max((one.score for one in rivals), default=best.score - MOST_LEAD),
        least_lead=min(leads),
        behind=heard.hypotheses[0].score - best.score,
        agrees=dictated == chosen,
        differs=dictated not in (None, chosen),
        single=words == 1,
        pace=len(best.text) / max(heard.seconds, 0.1),
        versions=sum(one > 0 for one in leads) / len(leads),
        certainty=certainty(best.text) if certainty else 1.0,
        odd=(best.sound + words - best.score) / (words + 1),
    )
    return Understood(best, evidence, tuple(one.text for one in others.values()))

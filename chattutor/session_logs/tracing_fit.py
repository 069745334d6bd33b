"""Refitting the parameters of the knowledge tracing from session logs (``chattutor logs fit``)."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from itertools import groupby
from math import exp
from pathlib import Path
from typing import Any

from chattutor.common.exits import FINE, CannotGoOn
from chattutor.session_logs.folder import sessions
from chattutor.session_logs.learner_history import past
from dialogue.learner.fitting import LEAST_ANSWERS, best_fit, first_tries, log_likelihood
from dialogue.learner.history import Attempt
from dialogue.learner.tracing import Parameters, ideas_of, usual

EVERYTHING = "everything"
NAMES = ("start", "learn", "guess", "slip")


@dataclass(frozen=True, slots=True)
class Fitted:
    """What was fitted (everything, a stage, an idea), from how many first tries of how many learners. ``better``:
    how much likelier the fitted parameters make one first try than the usual ones, on average, as a factor."""

    what: str
    learners: int
    tries: int
    found: Parameters | None
    better: float = 1.0

    def as_json(self) -> dict[str, Any]:
        """A line of the output; without parameters where there were too few tries."""
        fitted = {} if self.found is None else {**asdict(self.found), "better": round(self.better, 6)}
        return {"what": self.what, "learners": self.learners, "tries": self.tries, **fitted}


def run(folder: Path, by: str, as_json: bool) -> int:
    """Print the fits. Raises CannotGoOn where not even everything together is enough."""
    rows = list(fits(folder, by))
    if as_json:
        print("\n".join(json.dumps(row.as_json()) for row in rows))
    else:
        print("\n".join(_table(rows)))
    return FINE


def fits(folder: Path, by: str) -> Iterator[Fitted]:
    """The fit of everything together, then of each stage or idea if asked. Raises CannotGoOn."""
    histories = dict(_histories(folder))
    whole = _fitted(EVERYTHING, ((learner, tries) for (learner, _), tries in _sequences(histories, "stage")))
    if whole.found is None:
        raise CannotGoOn(
            f"There are {whole.tries} unaided first tries on equations of a stage in {folder}; "
            f"a fit needs at least {LEAST_ANSWERS}."
        )
    yield whole
    if by == EVERYTHING:
        return
    parts: dict[str, list[tuple[str, list[bool]]]] = {}
    for (learner, what), tries in _sequences(histories, by):
        parts.setdefault(what, []).append((learner, tries))
    for what in sorted(parts, key=lambda each: (len(each), each) if by == "stage" else (0, each)):
        yield _fitted(what, parts[what])


def _histories(folder: Path) -> Iterator[tuple[str, list[Attempt]]]:
    """Each learner's attempts, a folder at a time; one learner's from several folders are put in order of day."""
    found: dict[str, list[Attempt]] = {}
    for _, some in groupby(sessions(folder), key=lambda session: session.path.parent):
        by_learner: dict[str, list[Any]] = {}
        for session in some:
            if session.header is not None:
                by_learner.setdefault(session.header.learner, []).append(session)
        for learner, own in by_learner.items():
            found.setdefault(learner, []).extend(past(own).history)
    for learner, attempts in found.items():
        yield learner, sorted(attempts, key=lambda attempt: attempt.day)


def _sequences(histories: dict[str, list[Attempt]], by: str) -> Iterator[tuple[tuple[str, str], list[bool]]]:
    """((learner, stage or idea), first tries in order)."""
    for learner, attempts in histories.items():
        if by == "stage":
            for number in sorted({attempt.stage for attempt in attempts}):
                tries = first_tries([attempt for attempt in attempts if attempt.stage == number])
                yield (learner, f"stage {number}"), tries
        else:
            held: dict[str, list[bool]] = {}
            for attempt in attempts:
                if attempt.help == "independent" or not attempt.right:
                    for idea, right in attempt.ideas or ideas_of(attempt):
                        held.setdefault(idea, []).append(right)
            yield from (((learner, idea), tries) for idea, tries in held.items())


def _fitted(what: str, parts: Iterable[tuple[str, list[bool]]]) -> Fitted:
    own = [(learner, tries) for learner, tries in parts if tries]
    sequences = [tries for _, tries in own]
    learners, count = len({learner for learner, _ in own}), sum(map(len, sequences))
    if count < LEAST_ANSWERS:
        return Fitted(what, learners, count, None)
    found = best_fit(sequences)
    gained = log_likelihood(sequences, found) - log_likelihood(sequences, usual())
    return Fitted(what, learners, count, found, exp(gained / count))


def _table(rows: list[Fitted]) -> Iterator[str]:
    yield f"{'':<12}{'learners':>9}{'tries':>8}" + "".join(f"{name:>8}" for name in NAMES) + f"{'better':>9}"
    used = asdict(usual())
    yield f"{'in use':<12}{'':>9}{'':>8}" + "".join(f"{used[name]:>8.3f}" for name in NAMES)
    for row in rows:
        numbers = f"   fewer than {LEAST_ANSWERS} first tries: not fitted"
        if row.found is not None:
            values = asdict(row.found)
            numbers = "".join(f"{values[name]:>8.3f}" for name in NAMES) + f"{row.better:>9.4f}"
        yield f"{row.what:<12}{row.learners:>9}{row.tries:>8}{numbers}"
    yield ""
    yield "start: known before the first equation; learn: learnt by one; guess: right without knowing; slip: wrong"
    yield "though known; better: how much more likely the fitted figures make one first try than those in use do."
    yield "To put them to use, write them into dialogue/learner/tracing.toml; a few hundred tries are too few."

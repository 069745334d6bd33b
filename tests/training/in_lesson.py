"""How the blind turns are read where they were said, in a lesson, and how often the network runs for one.

    PYTHONPATH=.:tests:tests/tutor python -m training.in_lesson

Printed: how many turns are right, how many are acted on (for sure, or because it leads on) rightly and wrongly, and how
many turns cost how many runs; then the same in answer to "You mean ...?", for turns that were no answer to yes or no.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from talking import Talk

from dialogue.algebra.moves import Move
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import next_step
from dialogue.tutor.core.state import Phase, State, Utterance
from dialogue.tutor.interpret_in_lesson import interpret_in_lesson
from dialogue.understanding.tagger import Network, NetworkView
from dialogue.verbalising.replies import as_read_back
from dialogue.verbalising.sayings import Reply
from training.reading import LabelledTurn, blind, blind_names, decided_names
from training.scoring import is_right

PHASES: dict[str, Phase] = {
    "operations": "operations", "term": "first", "move": "move", "value": "left", "equation": "line",
    "yesno": "offer stop", "why": "reason", "any": "between",
}  # fmt: skip
GOES_ON = ("operations", "term", "move", "value", "equation")  # what may be said in place of a yes


def state_of(turn: LabelledTurn) -> State:
    """A lesson that waits for what this turn answers."""
    try:
        state = Talk(turn.equation, "5n + 2 = 17", fresh=True).state
    except Refusal:  # "no solution"
        state = Talk("3x + 2 = 14", "5n + 2 = 17", fresh=True).state
    said = (Reply("question", turn.tutor, turn.tutor),) if turn.tutor else state.last
    state, step, phase = replace(state, last=said), next_step(state.equation), PHASES[turn.expecting]
    if phase == "reason" or (phase == "offer stop" and "mean" in turn.tutor):
        return held(state, "reason" if phase == "reason" else "confirm", "move")
    if phase in {"left", "line"} and not isinstance(step, Move):
        guess = state.task.equation.solution().value
        return replace(state, phase="move" if guess is None else "check left", guess=guess)
    return replace(state, phase=phase, pending=step if phase in {"left", "line"} else None)


def held(state: State, phase: Phase, back: Phase) -> State:
    """The lesson with its next step held, until it is confirmed or told why."""
    step = next_step(state.equation)
    acts = (step,) if isinstance(step, Move) else ()
    return replace(state, phase=phase, held=acts, back=back, by_ear=False)


def read_back(turn: LabelledTurn) -> State | None:
    """The same, just after "You mean ...?"; None for an answer to yes or no, or where no move is next."""
    state = state_of(turn)
    step = next_step(state.equation)
    if turn.expecting not in GOES_ON or not isinstance(step, Move):
        return None
    told = f"You mean {as_read_back(step)}?"
    return held(replace(state, last=(Reply("unsure", told, told),)), "confirm", state.phase)


class Runs:
    """Counts the network's runs."""

    def __init__(self) -> None:
        self.count = 0
        self._run = Network.seen

    def watched(self, network: Network, words: Sequence[str], asked: str, context: Sequence[str]) -> NetworkView:
        """One run."""
        self.count += 1
        return self._run(network, words, asked, context)


def asked(turns: Sequence[LabelledTurn], again: bool) -> Iterator[tuple[LabelledTurn, State]]:
    """The turns with the lesson each is said in."""
    for turn in turns:
        state = read_back(turn) if again else state_of(turn)
        if state is not None:
            yield turn, state


def main() -> None:
    """Prints the figures."""
    runs = Runs()
    Network.seen = lambda *given: runs.watched(*given)  # type: ignore[method-assign]
    for name, names in (("the decided sets", decided_names()), ("the last set", blind_names())):
        turns = [turn for each in names for turn in blind(each)]
        for again in (False, True):
            counted, right, taken = Counter[int](), 0, Counter[bool]()
            for turn, state in asked(turns, again):
                before = runs.count
                found = interpret_in_lesson(state, Utterance(turn.text)).found
                counted[runs.count - before] += 1
                good = found is not None and is_right(turn, found.acts)
                right += good
                taken[good] += found is not None and found.sure
            print(f"{name}{', after You mean ...?' if again else ''}: n {counted.total()}, right {right}, "
                  f"taken {taken[True]} right, {taken[False]} wrong; runs {dict(sorted(counted.items()))}")  # fmt: skip


if __name__ == "__main__":
    main()

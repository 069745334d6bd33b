"""How long one turn takes to be understood: median, 99th in a hundred, worst, and the worst of inputs made to be slow.

Run: ``python tests/bench/bench_understand.py``. Printed, never asserted. How much is understood:
``python -m training.fit_decision`` (DEVELOPERS.md).
"""

import sys
import time
from pathlib import Path

from rows import row

from dialogue.algebra.reading import MAX_LENGTH
from dialogue.understanding.interpret import interpret, warm
from dialogue.understanding.seen_turn import see

sys.path.insert(0, str(Path(__file__).parents[1]))
from training.reading import blind, blind_names, seen_names

PIECES = (
    "minus ", "x plus ", "two lots of x ", "no add six ", "i think ", "add six and ", "six off both sides ", "bracket ",
    "so ", "three over ", "the left ", "half of ", "x equals ", "don't ", "a ", "one ", "and then times three ", "to ",
    "of x ", "- ", "3x+", "(", "get rid of the plus six by ",
)  # fmt: skip


def milliseconds(text: str, expecting: str, letter: str, tutor: str = "") -> float:
    """Processor time of one call that was not made before."""
    interpret.cache_clear()
    see.cache_clear()
    start = time.process_time_ns()
    interpret(text, expecting, letter, tutor)  # type: ignore[arg-type]
    return (time.process_time_ns() - start) / 1e6


def main() -> None:
    """Print the figures."""
    start = time.perf_counter()
    warm()
    print(f"grammar and network read: {time.perf_counter() - start:.2f} s")
    turns = [turn for name in (*blind_names(), *seen_names()) for turn in blind(name)]
    times = sorted(milliseconds(turn.text, turn.expecting, turn.letter, turn.tutor) for turn in turns)
    size = len(times)
    print(f"n={size} median {times[size // 2]:.2f} ms, p99 {times[int(size * 0.99)]:.2f} ms, worst {times[-1]:.2f} ms")
    row("a turn understood", times, "ms", limit=15, limit_is="aim", note="processor time")
    made = {piece: (piece * MAX_LENGTH)[:MAX_LENGTH] for piece in PIECES}
    slowest = sorted(((min(milliseconds(text, "move", "x") for _ in range(2)), piece) for piece, text in made.items()))
    for spent, piece in slowest[-5:]:
        print(f"made to be slow: {spent:7.2f} ms  {piece!r} repeated to {MAX_LENGTH} characters")
    row("the slowest that could be made", [spent for spent, _ in slowest[-1:]], "ms", limit=100, limit_is="of any")


if __name__ == "__main__":
    main()

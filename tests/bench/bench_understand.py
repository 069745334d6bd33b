"""How long one utterance takes: median, 99th in a hundred, worst; and the worst of inputs made to be slow. And how
much is understood, by act and by channel, in each file of utterances.

Run: ``python tests/bench/bench_understand.py``. Printed, never asserted.
"""

import json
import sys
import time
from pathlib import Path

from rows import row

from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import MAX_LENGTH
from dialogue.understanding.understand import understand

sys.path.insert(0, str(Path(__file__).parents[1]))
from understanding.scoring import score

DATA = Path(__file__).parents[1] / "understanding" / "data" / "utterances_dev.jsonl"
PIECES = (
    "minus ", "x plus ", "two lots of x ", "no add six ", "i think ", "add six and ", "six off both sides ", "bracket ",
    "so ", "three over ", "the left ", "half of ", "x equals ", "don't ", "a ", "one ", "and then times three ", "to ",
    "of x ", "- ", "3x+", "(", "get rid of the plus six by ",
)  # fmt: skip


def milliseconds(text: str, expecting: str, letter: str) -> float:
    """Processor time of one call."""
    start = time.process_time_ns()
    understand(text, expecting, letter)  # type: ignore[arg-type]
    return (time.process_time_ns() - start) / 1e6


def main() -> None:
    """Print the figures."""
    start = time.perf_counter()
    understand("six off both sides")
    print(f"first call, with the grammar read: {time.perf_counter() - start:.2f} s")
    items = [json.loads(line) for line in DATA.read_text("utf-8").splitlines()]
    said = [(one["text"], one["expecting"], read_equation(one["equation"]).letter) for one in items]
    for one in said:
        understand(*one)
    times = sorted(milliseconds(*one) for one in said)
    size = len(times)
    print(f"n={size} median {times[size // 2]:.3f} ms, p99 {times[int(size * 0.99)]:.2f} ms, worst {times[-1]:.2f} ms")
    row("an utterance understood", times, "ms", limit=0.2, limit_is="aim", note="processor time")
    made = {piece: (piece * MAX_LENGTH)[:MAX_LENGTH] for piece in PIECES}
    slowest = sorted(((min(milliseconds(text, "move", "x") for _ in range(2)), piece) for piece, text in made.items()))
    for spent, piece in slowest[-5:]:
        print(f"made to be slow: {spent:7.2f} ms  {piece!r} repeated to {MAX_LENGTH} characters")
    row("the slowest that could be made", [spent for spent, _ in slowest[-1:]], "ms", limit=100, limit_is="of any")
    for name in ("dev", "dev_more", "first_sight", "second_sight", "held"):  # of the last, only the totals
        scored = score(DATA.with_name(f"utterances_{name}.jsonl"))
        print(f"\nutterances_{name}\n{scored.report()}")
    note = f"n = {scored.of['all']}"
    row("understood, never looked at", [100 * scored.share()], "%", limit=95, limit_is="aim", most=False, note=note)
    row("wrong and confident, never looked at", [100 * scored.wrong()], "%", limit=1, limit_is="aim", note=note)


if __name__ == "__main__":
    main()

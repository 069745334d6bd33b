"""Thousands of equations of every family: does each wrong rule give a wrong answer of its own?

    python tests/bench/bench_families.py [EACH] [SEEDS]

Every documented wrong rule is tried on every line that right steps reach, on every equation drawn, whatever the drawing
itself tried. Printed, family by family: how many were drawn and in how many an error hides or two give one answer:
among the first 100 of a drawing, the next, and among the last of 10,000 (``dialogue/learner/families.py`` says what
is tried where). Then the seconds that 10,000 of each stage take.
"""

import sys
import time
from collections import Counter
from itertools import islice

from dialogue.learner.diagnostic import clashes
from dialogue.learner.families import PROVED, DrawnTask, draw, drawing
from dialogue.learner.stages import stage, stages

FAR = 10_000
LAST = 400  # of those, looked at


def clash(task: DrawnTask) -> bool:
    """Whether its answer would not tell the wrong rules apart, beyond what its form forces."""
    family = stage(task.stage).family(task.family)
    return bool(clashes(task.equation, task.solution, family.hides, family.coincide))


def main(each: int, seeds: int) -> None:
    """Print the table."""
    most = each
    zones = (f"first {PROVED}", f"to {most}", f"last of {FAR}")
    print(f"{seeds} drawings a stage; equations that tell too little, of those drawn")
    print(f"{'stage and family':<30}" + "".join(f"{zone:>18}" for zone in zones))
    total: Counter[tuple[str, str]] = Counter()
    took = {}
    for each_stage in stages():
        number = each_stage.number
        drawn: Counter[tuple[str, str]] = Counter()
        bad: Counter[tuple[str, str]] = Counter()
        for seed in range(1, seeds + 1):
            for place, task in enumerate(draw(number, seed, most)):
                key = (task.family, zones[0] if place < PROVED else zones[1])
                drawn[key] += 1
                bad[key] += clash(task)
        began = time.process_time()
        far = list(islice(drawing(number, 1), FAR))
        took[number] = time.process_time() - began
        for task in far[-LAST:]:
            drawn[task.family, zones[2]] += 1
            bad[task.family, zones[2]] += clash(task)
        for family in each_stage.families:
            cells = [f"{bad[family.name, zone]} of {drawn[family.name, zone]}" for zone in zones]
            print(f"{number:>2} {family.name:<27}" + "".join(f"{cell:>18}" for cell in cells), flush=True)
        for zone in zones:
            total["drawn", zone] += sum(count for (_, where), count in drawn.items() if where == zone)
            total["bad", zone] += sum(count for (_, where), count in bad.items() if where == zone)
    cells = [f"{total['bad', zone]} of {total['drawn', zone]}" for zone in zones]
    print(f"{'all':<30}" + "".join(f"{cell:>18}" for cell in cells))
    print(f"seconds of processor for {FAR}: " + " ".join(f"{number}: {each:.1f}" for number, each in took.items()))


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], *("2000", "2")[len(sys.argv) - 1 :])[:2]))

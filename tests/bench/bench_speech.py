"""How well the ears hear, by engine and speaker; how fast, and what they cost.

    python tests/bench/bench_speech.py FOLDER [--meaning MODULE:FUNCTION | --exact] [--language MODULE:FUNCTION]
        [--engines pocketsphinx,pocketsphinx+hama,vosk,vosk+pocketsphinx] [--noise 20] [--list]

FOLDER holds audio files and manifest.jsonl: a line an utterance, {"file", "text", "speaker", "meaning"?}. A line
whose text means nothing is speech about other things: accepting it is wrong. Meanings are those of a lesson
unless --meaning names another function; with --exact the very words count. --language gives a phrase, by
default all of tests/speech/spoken_moves.py.
"""

import argparse
import importlib
import json
import os
import resource
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "speech")]

import numpy as np  # noqa: E402 - only after the path is set

from dialogue.language.understand import understand  # noqa: E402
from dialogue.meaning import Expecting, Unclear, to_json  # noqa: E402
from speech.audio.loading import read_audio  # noqa: E402
from speech.audio.sound import Sound  # noqa: E402
from speech.ears import Ears  # noqa: E402
from speech.events import Decision, Heard  # noqa: E402
from speech.language import compiled  # noqa: E402
from speech.ports import Recogniser  # noqa: E402
from speech.recognisers.hama import HamaRecogniser  # noqa: E402
from speech.recognisers.pocketsphinx import PocketsphinxRecogniser  # noqa: E402
from speech.recognisers.vosk import VoskRecogniser  # noqa: E402

ENGINES: dict[str, Callable[[], Recogniser]] = {
    "pocketsphinx": PocketsphinxRecogniser,
    "hama": HamaRecogniser,
    "vosk": lambda: VoskRecogniser(environment=os.environ),
}
COLUMNS = ("n", "right", "wrong", "right read back", "wrong read back", "asked again", "right after one")


@dataclass
class Tally:
    """Counts of one speaker."""

    counts: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def row(self) -> str:
        total = self.counts["n"]
        within = self.counts["right"] + self.counts["right read back"]
        shares = [self.counts[name] / total for name in COLUMNS[1:-1]] + [within / total]
        return f"{total:6}" + "".join(f"{share:17.3f}" for share in shares)


def named(dotted: str) -> Any:
    """The object at MODULE:NAME."""
    module, _, name = dotted.partition(":")
    return getattr(importlib.import_module(module), name)


def understood(text: str) -> str | None:
    """The meaning a lesson takes from a text, after whatever question makes it clear; None when none does."""
    after: tuple[Expecting, ...] = ("any", "value", "move")
    meanings = (understand(text, expecting) for expecting in after)
    clear = next((meaning for meaning in meanings if not isinstance(meaning, Unclear)), None)
    return None if clear is None else json.dumps(to_json(clear), sort_keys=True)


def with_noise(sound: Sound, decibels: float | None) -> Sound:
    """The sound with white noise that many decibels below it."""
    if decibels is None or not len(sound.samples):
        return sound
    loud = float(np.sqrt(np.mean(sound.samples**2))) * 10 ** (-decibels / 20)
    noise = np.random.default_rng(5).standard_normal(len(sound.samples)) * loud
    return Sound((sound.samples + noise).astype(np.float32))


def memory() -> float:
    """Most memory held so far, megabytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def heard(ears: Ears, lines: list[dict[str, Any]], given: argparse.Namespace, meaning: Any) -> None:
    """Hear every line and print the table."""
    tallies: dict[str, Tally] = defaultdict(Tally)
    spent, seconds, slowest = 0.0, 0.0, []
    for line in lines:
        sound = with_noise(read_audio(given.folder / line["file"]), given.noise)
        started = time.process_time()  # of a processor, so that other work on the machine does not count
        hearing = ears.hear(sound)
        slowest.append(time.process_time() - started)
        spent, seconds = spent + slowest[-1], seconds + sound.seconds
        meant: Hashable = meaning(line["text"])
        right = isinstance(hearing.event, Heard) and meant is not None and meaning(hearing.event.text) == meant
        name = {
            Decision.ACCEPT: "right" if right else "wrong",
            Decision.READ_BACK: "right read back" if right else "wrong read back",
            Decision.ASK_AGAIN: "asked again",
        }[hearing.decision]
        for who in (line.get("speaker", "?"), "all"):
            tallies[who].counts[name] += 1
            tallies[who].counts["n"] += 1
        if given.list and name not in ("right", "right read back"):
            text = getattr(hearing.event, "text", "-")
            print(f"  {name}: {line['file']} {line['text']!r} heard {text!r} ({hearing.evidence})")
    print(f"{'':14}" + f"{COLUMNS[0]:>6}" + "".join(f"{name:>17}" for name in COLUMNS[1:]))
    for who in sorted(tallies, key=lambda one: (one == "all", one)):
        print(f"{who:14}{tallies[who].row()}")
    slowest.sort()
    middle, late = slowest[len(slowest) // 2], slowest[int(len(slowest) * 0.95)]
    print(f"{spent / max(seconds, 1e-9):.3f} of real time on one processor; a hearing takes {middle:.2f} s at the")
    print(f"median, {late:.2f} s at the 95th percentile; {memory():.0f} MB at most")


def main() -> None:
    """Read the arguments and print a table for each set of ears."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--meaning", type=named, default=understood)
    parser.add_argument("--exact", dest="meaning", action="store_const", const=str.strip)
    parser.add_argument("--language", type=named, default="spoken_moves:anything")
    parser.add_argument("--engines", default="pocketsphinx,pocketsphinx+hama,vosk,vosk+pocketsphinx")
    parser.add_argument("--noise", type=float, help="white noise, decibels below the speech")
    parser.add_argument("--list", action="store_true", help="print every line not heard right")
    given = parser.parse_args()
    lines = [json.loads(line) for line in (given.folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines()]
    language = compiled(given.language())
    for names in given.engines.split(","):
        engines = [ENGINES[name]() for name in names.split("+")]
        absent = [f"{one.name}: {one.availability().reason}" for one in engines if not one.availability().ok]
        print(f"\n{names}" + (f" is passed over ({'; '.join(absent)})" if absent else ""))
        if absent:
            continue
        before, started = memory(), time.perf_counter()
        ears = Ears(engines[0], given.meaning, engines[1] if len(engines) > 1 else None)
        ears.listen_for(language)
        print(f"loaded in {time.perf_counter() - started:.1f} s, {memory() - before:+.0f} MB")
        heard(ears, lines, given, given.meaning)


if __name__ == "__main__":
    main()

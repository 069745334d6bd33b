"""How well the recognisers of a lesson hear: right, wrongly accepted, asked again, by engine, speaker and noise.

    python tests/bench/bench_speech.py              # short: some 40 invented sounds, made on the spot
    python tests/bench/bench_speech.py --full       # all of the held half (spoken_set.py)
    python tests/bench/bench_speech.py FOLDER...    # sounds of your own, each folder with a manifest.jsonl
        [--engines moonshine,pocketsphinx] [--expecting any] [--noise 20] [--raised 1.2] [--apart] [--list]

A line of a manifest is {"file", "text", "speaker", "noise"?, "expecting"?, "letter"?}; a "meaning" tells what was asked
where "expecting" does not. A line without meaning is talk about other things: accepting it is wrong.

What is listened for is the lesson's own language after what was asked (language_after), and what is done with it is the
lesson's own decision; what is right is compared after understanding, as in a lesson. "right" is accepted at once,
"+ read back" adds what a read-back shows rightly, which the learner confirms with a yes. As in a lesson the recognisers
get used to a speaker, sound by sound in the order of the manifest; with --apart each is heard as if it were the first.
"""

import argparse
import json
import math
import os
import resource
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "bench"), str(ROOT / "tests" / "speech")]

import numpy as np  # noqa: E402 - only after the path is set
import spoken_moves  # noqa: E402
import spoken_set  # noqa: E402
from rows import cannot  # noqa: E402
from rows import row as told  # noqa: E402
from training.reading import LabelledTurn  # noqa: E402
from training.scoring import is_right  # noqa: E402

from chattutor.lesson.voice.hearing import Attention, meaning_of  # noqa: E402
from chattutor.lesson.voice.lesson_acceptance import doubt_of  # noqa: E402
from dialogue.acts import EXPECTING, Comment, Expecting, Unclear  # noqa: E402
from dialogue.understanding.interpret import interpret  # noqa: E402
from speech.audio.sound import Sound, read_audio  # noqa: E402
from speech.hearings import Heard, Hearing, HearingResult  # noqa: E402
from speech.language import compiled, only  # noqa: E402
from speech.recognition.ensemble import Ensemble  # noqa: E402
from speech.recognition.moonshine.moonshine import MoonshineRecogniser  # noqa: E402
from speech.recognition.pocketsphinx import PocketsphinxRecogniser  # noqa: E402
from speech.recognition.recogniser import Recogniser  # noqa: E402
from speech.recognition.vosk import VoskRecogniser  # noqa: E402


class Dictation(MoonshineRecogniser):
    """What the network writes unguided, taken as it is: to compare with."""

    def hear(self, sound: Sound) -> HearingResult:
        """The dictation as the one hypothesis."""
        heard = super().hear(sound)
        if not isinstance(heard, Heard) or heard.dictation is None or not heard.dictation.text:
            return heard
        return replace(heard, text=heard.dictation.text, hypotheses=(heard.dictation,))


ENGINES: dict[str, Callable[[bool], Recogniser]] = {
    "pocketsphinx": PocketsphinxRecogniser,
    "moonshine": lambda one_speaker: MoonshineRecogniser(),
    "dictation": lambda one_speaker: Dictation(),
    "vosk": lambda one_speaker: VoskRecogniser(environment=os.environ),
}
ASKED: dict[str, Expecting] = {"value": "value", "state": "equation", "say": "yesno"}  # by the act of a meaning
ASIDE: tuple[Expecting, ...] = ("move", "value", "equation")  # what was asked before talk about other things, in turn
COLUMNS = ("n", "right", "+ read back", "wrong accepted", "wrong read back", "asked again")
SHORT = 12  # sentences, three voices each


def asked_before(line: dict[str, Any], place: int) -> Expecting:
    """What was asked before this line was said."""
    if line.get("expecting") in EXPECTING:
        return EXPECTING[EXPECTING.index(line["expecting"])]
    meaning = line.get("meaning") or {}
    if not meaning or meaning.get("act") == "unclear":
        return ASIDE[place % len(ASIDE)]
    return ASKED.get(meaning["act"], "move")


def with_noise(sound: Sound, decibels: float | None) -> Sound:
    """The sound with white noise that many decibels below it."""
    if decibels is None or not len(sound.samples):
        return sound
    loud = float(np.sqrt(np.mean(sound.samples**2))) * 10 ** (-decibels / 20)
    noise = np.random.default_rng(5).standard_normal(len(sound.samples)) * loud
    return Sound((sound.samples + noise).astype(np.float32))


def raised(sound: Sound, factor: float | None) -> Sound:
    """The sound with every frequency so many times as high, as from a child's shorter vocal tract, and as long."""
    if factor is None or not len(sound.samples):
        return sound
    cents = f"{1200 * math.log2(factor):.0f}"
    return Sound(spoken_set.by_sox(sound.samples, "pitch", cents).astype(np.float32))


def is_aside(line: dict[str, Any]) -> bool:
    """Whether it is talk about other things."""
    return not line.get("expecting") and (line.get("meaning") or {"act": "unclear"})["act"] == "unclear"


def is_rightly_heard(text: str, line: dict[str, Any], expecting: Expecting) -> bool:
    """Whether a text means what was said: as the text in the manifest does, in lessons as a labeller heard it, and of
    talk about other things talk."""
    letter = line.get("letter", "x")
    tutor = line.get("tutor", "")
    acts = [act for act in interpret(text, expecting, letter, tutor).acts if not isinstance(act, Unclear)]
    if is_aside(line):
        return bool(acts) and all(isinstance(act, Comment) for act in acts)
    if labels := line.get("labels"):
        turn = LabelledTurn("", expecting, letter, line["tutor"], line["text"], *labels)
        return bool(acts) and is_right(turn, interpret(text, expecting, letter, tutor).acts)
    meant = meaning_of(interpret(line["text"], expecting, letter))
    return meant is not None and meaning_of(interpret(text, expecting, letter)) == meant


def outcome(hearing: Hearing, line: dict[str, Any], expecting: Expecting) -> str:
    """What became of a line, as the lesson decides; "aside" in front for talk about other things."""
    aside = is_aside(line)
    event = hearing.event
    if not isinstance(event, Heard):
        name = "asked again"
    else:
        right = is_rightly_heard(event.text, line, expecting)
        found = interpret(event.text, expecting, line.get("letter", "x"), line.get("tutor", ""))
        name = {
            "none": "right" if right else "wrong accepted",
            "read back": "right read back" if right else "wrong read back",
            "ask again": "asked again",
        }[doubt_of(hearing, event, expecting, found)]
    return f"aside {name}" if aside else name


def row(counts: Counter[str]) -> str:
    """One line of the table: shares of what was meant for the tutor."""
    said = {name: count for name, count in counts.items() if not name.startswith("aside")}
    total = sum(said.values())
    names = {"+ read back": ("right", "right read back")}
    shares = [sum(said.get(one, 0) for one in names.get(name, (name,))) / max(1, total) for name in COLUMNS[1:]]
    return f"{total:6}" + "".join(f"{share:17.3f}" for share in shares)


def memory() -> float:
    """Memory of this process now, megabytes (the most so far where the system does not tell)."""
    try:
        for line in Path("/proc/self/status").read_text().splitlines():
            if line.startswith("VmRSS"):
                return int(line.split()[1]) / 1024
    except OSError:
        pass
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def lines_of(folder: Path, forced: Expecting | None) -> Iterator[tuple[Expecting, Path, dict[str, Any]]]:
    """What was asked, the sound and the line, for every line of a folder."""
    for place, text in enumerate((folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines()):
        line = json.loads(text)
        yield forced or asked_before(line, place), folder / line["file"], line


def lesson_of(one: tuple[Expecting, Path, dict[str, Any]]) -> tuple[str, str]:
    """Whose voice it is, and where: as in a lesson of its own."""
    return str(one[2].get("speaker")), str(one[2].get("noise") or "")


def engines_for(names: str, one_speaker: bool = False) -> list[Recogniser]:
    """New ones."""
    return [ENGINES[name](one_speaker) for name in names.split("+")]


def measure(names: str, folders: list[Path], given: argparse.Namespace) -> None:
    """Hear every line with these engines, and print the tables."""
    engines = engines_for(names)
    absent = [f"{one.name}: {one.availability().reason}" for one in engines if not one.availability().ok]
    print(f"\n{names}" + (f" is passed over ({'; '.join(absent)})" if absent else ""))
    if absent:
        cannot(f"heard by {names}", "; ".join(absent))
        return
    attention, before, started = Attention(), memory(), time.perf_counter()
    ensemble, lesson = Ensemble(engines[0], attention.meaning, *engines[1:]), ("", "")
    loading, spent, seconds, slowest = 0.0, 0.0, 0.0, list[float]()
    tables: dict[str, dict[str, Counter[str]]] = defaultdict(lambda: defaultdict(Counter))
    lines = sorted((one for folder in folders for one in lines_of(folder, given.expecting)), key=lesson_of)
    for expecting, path, line in lines:
        letter, begins = line.get("letter", "x"), lesson != lesson_of((expecting, path, line))
        if begins and not given.apart:
            first, *second = engines_for(names, one_speaker=True)
            ensemble = Ensemble(first, attention.meaning, *second)
        if begins or (attention.expecting, attention.letter) != (expecting, letter):
            lesson = lesson_of((expecting, path, line))
            attention.expecting, attention.letter = expecting, letter
            tell = lambda told: print(told, file=sys.stderr)  # noqa: E731
            language = only(compiled(spoken_moves.single_digit())) if given.digits else attention.language(tell)
            started = time.perf_counter()
            ensemble.listen_for(language)
            loading = max(loading, time.perf_counter() - started)
        attention.tutor = line.get("tutor", "")
        sound = with_noise(raised(read_audio(path), given.raised), given.noise)
        began = time.process_time()  # of a processor, so that other work on the machine does not count
        hearing = ensemble.hear(sound)
        slowest.append(time.process_time() - began)
        spent, seconds = spent + slowest[-1], seconds + sound.seconds
        name = outcome(hearing, line, expecting)
        for table, key in (("speaker", line.get("speaker")), ("noise", line.get("noise")), ("after", expecting)):
            tables[table][str(key or "none")][name] += 1
        tables["all"]["all"][name] += 1
        if given.list and name not in ("right", "right read back", "aside asked again"):
            text = getattr(hearing.event, "text", "-")
            print(f"  {name}: {path.name} {line['text']!r} after {expecting} heard {text!r} ({hearing.evidence})")
    for table, rows in tables.items():
        print(f"{'by ' + table if table != 'all' else '':18}{COLUMNS[0]:>6}" + "".join(f"{n:>17}" for n in COLUMNS[1:]))
        for who in sorted(rows):
            print(f"{who:18}{row(rows[who])}")
    asides = {name: count for name, count in tables["all"]["all"].items() if name.startswith("aside")}
    if asides:
        print(f"talk about other things: {json.dumps(asides)}")
    slowest.sort()
    counts = tables["all"]["all"]
    meant = max(1, sum(count for name, count in counts.items() if not name.startswith("aside")))
    shares = {name: 100 * counts[name] / meant for name in ("right", "right read back", "wrong accepted")}
    note = f"n = {meant}"
    told(
        f"heard rightly by {names}, at once or read back", [shares["right"] + shares["right read back"]], "%", note=note
    )
    told(f"wrongly accepted by {names}", [shares["wrong accepted"]], "%", limit=1, limit_is="aim", note=note)
    print(
        f"{spent / max(seconds, 1e-9):.3f} of real time on one processor; a hearing {slowest[len(slowest) // 2]:.2f} s"
        f" at the median, {slowest[int(len(slowest) * 0.95)]:.2f} s at the 95th percentile; the slowest language loaded"
        f" in {loading:.1f} s; {memory() - before:+.0f} MB, {memory():.0f} MB in all"
    )


def main() -> None:
    """Read the arguments, make sounds where none are given, and measure."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", metavar="FOLDER", nargs="*", type=Path)
    parser.add_argument("--full", action="store_true", help="all of the held half, not 12 sentences of it")
    parser.add_argument("--engines", default="moonshine,dictation,pocketsphinx,vosk+pocketsphinx")
    parser.add_argument("--expecting", choices=EXPECTING, help="listen for this, whatever the manifests say")
    parser.add_argument("--digits", action="store_true", help="listen for a single digit and nothing else")
    parser.add_argument("--apart", action="store_true", help="hear each sound as if it were the speaker's first")
    parser.add_argument("--noise", type=float, help="add white noise, decibels below the speech")
    parser.add_argument("--raised", type=float, help="raise all frequencies by this factor, as a child's (needs sox)")
    parser.add_argument("--list", action="store_true", help="print every line not heard right")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as made:
        if not given.folders:
            folder = Path(made)
            print(f"{spoken_set.make(folder, 'held', most=None if given.full else SHORT)} sounds made")
            given.folders = [folder]
        for names in given.engines.split(","):
            measure(names, given.folders, given)


if __name__ == "__main__":
    main()

"""What the compiled languages of a lesson are worth: the same recogniser with its stock model, on the same sounds.

    python tests/bench/bench_stock_model.py [--voices slt,rms] [--list]

Our own invented sentences, spoken by flite's recorded voices, heard by pocketsphinx twice: as a lesson hears them after
its question, and with the model of general US English that comes in its wheel, its own settings, decoded once. What
counts is the meaning: right or wrong, believed at once or read back first; the stock model has no doubt, so all it
hears is believed. The last sentences are about other things: hearing any meaning in them is wrong. The first run builds
the languages of a lesson (minutes).
"""

import argparse
import os
import shutil
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Hashable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from rows import cannot, row

from chattutor.lesson.voice.hearing import Attention
from chattutor.lesson.voice.languages import language_after
from dialogue.acts import Expecting
from speech.audio.sound import Sound, read_audio
from speech.hearings import Decision, Heard
from speech.recognition.ensemble import Ensemble
from speech.recognition.pocketsphinx import PocketsphinxRecogniser

SAID: tuple[tuple[Expecting, str], ...] = (
    ("move", "subtract seven from both sides"),
    ("move", "take away twelve from each side"),
    ("move", "divide both sides by four"),
    ("move", "add fifteen to both sides"),
    ("move", "multiply both sides by three"),
    ("move", "minus six on both sides"),
    ("move", "give me a hint"),
    ("move", "i don't know"),
    ("equation", "x equals five"),
    ("equation", "three x equals eighteen"),
    ("equation", "x is minus eight"),
    ("equation", "two x plus nine equals thirty one"),
    ("equation", "where are we"),
    ("value", "twenty four"),
    ("value", "minus thirteen"),
    ("value", "say that again please"),
)
ASIDE: tuple[tuple[Expecting, str], ...] = (
    ("move", "what are we having for lunch"),
    ("equation", "my pencil is broken"),
    ("value", "did you see the match last night"),
)
OUTCOMES = ("right", "right, read back", "wrong", "wrong, read back", "none")
Hearing = tuple[str | None, bool]  # what is heard, and whether it is believed without asking


class Stock:
    """pocketsphinx as it comes."""

    def __init__(self) -> None:
        import pocketsphinx

        self._decoder: Any = pocketsphinx.Decoder(pocketsphinx.Config(loglevel="FATAL"))

    def ready(self) -> None:
        """It listens for the same whatever was asked."""

    def hear(self, sound: Sound) -> Hearing:
        self._decoder.start_utt()
        self._decoder.process_raw(sound.pcm(), False, True)
        self._decoder.end_utt()
        best = self._decoder.hyp()
        return (None if best is None else str(best.hypstr)), True


class Lesson:
    """What a lesson hears with, with one recogniser."""

    def __init__(self, attention: Attention) -> None:
        self._attention = attention
        self._ears = Ensemble(PocketsphinxRecogniser(), attention.meaning)

    def ready(self) -> None:
        """In a lesson this is done while the question is said."""
        self._ears.listen_for(language_after(self._attention.expecting))

    def hear(self, sound: Sound) -> Hearing:
        hearing = self._ears.hear(sound)
        heard = isinstance(hearing.event, Heard) and hearing.decision is not Decision.ASK_AGAIN
        return (hearing.event.text if heard else None), hearing.decision is Decision.ACCEPT


def outcome(hearing: Hearing, wanted: Hashable | None, attention: Attention) -> str:
    """One of OUTCOMES."""
    heard, sure = hearing
    meant = None if heard is None else attention.meaning(heard)
    if meant is None:
        return "none"
    return ("right" if meant == wanted else "wrong") + ("" if sure else ", read back")


def heard_all(
    recogniser: Stock | Lesson, sounds: list[tuple[str, Expecting, Sound]], attention: Attention, listed: bool
) -> tuple[Counter[str], list[float]]:
    """The outcomes, and the processor time of each, in parts of real time."""
    counts: Counter[str] = Counter()
    times = []
    for text, attention.expecting, sound in sounds:
        recogniser.ready()
        began = time.process_time()
        hearing = recogniser.hear(sound)
        times.append((time.process_time() - began) / sound.seconds)
        wanted = None if (attention.expecting, text) in ASIDE else attention.meaning(text)
        counts[found := outcome(hearing, wanted, attention)] += 1
        if listed and found != "right":
            print(f"  {found}: {text!r} heard {hearing[0]!r}")
    return counts, times


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--voices", default="slt,rms", help="of flite, with commas between")
    parser.add_argument("--list", action="store_true", help="print what was not right at once")
    given = parser.parse_args()
    here = PocketsphinxRecogniser().availability()
    if shutil.which("flite") is None or not here.ok:
        why = here.reason if not here.ok else "flite is not installed"
        cannot("spoken sentences, against a stock language model", why)
        print(why)
        return 0
    attention, voices = Attention(), given.voices.split(",")
    with TemporaryDirectory() as folder:
        sounds = []
        for expecting, text in sorted((*SAID, *ASIDE)):
            for voice in voices:
                path = Path(folder) / f"{voice}.wav"
                subprocess.run(["flite", "-voice", voice, "-t", text, "-o", str(path)], check=True)
                sounds.append((text, expecting, read_audio(path)))
    ours, our_times = heard_all(Lesson(attention), sounds, attention, given.list)
    theirs, their_times = heard_all(Stock(), sounds, attention, given.list)
    everything, to_lesson = len(sounds), len(SAID) * len(voices)
    print(f"{to_lesson} sentences to the lesson, {everything - to_lesson} about other things; "
          f"load {os.getloadavg()[0]:.1f}")  # fmt: skip
    print(f"{'':12}" + "".join(f"{name:>18}" for name in OUTCOMES) + f"{'of real time':>14}")
    for name, counts, times in (("a lesson", ours, our_times), ("stock model", theirs, their_times)):
        counted = "".join(f"{counts[each]:18}" for each in OUTCOMES)
        print(f"{name:12}{counted}{sorted(times)[len(times) // 2]:14.2f}")

    def compared(what: str, names: tuple[str, ...], of: int, note: str) -> None:
        shares = [100 * sum(counts[name] for name in names) / of for counts in (ours, theirs)]
        row(what, shares[:1], "%", peer="its stock language model", theirs=shares[1:], note=f"n = {of}; {note}")

    compared("spoken: right, at once or read back", OUTCOMES[:2], to_lesson, "two recorded voices, one recogniser")
    compared("spoken: wrong and believed at once", OUTCOMES[2:3], everything, "some about other things")
    row("hearing, in parts of real time", our_times, "", peer="its stock language model", theirs=their_times, limit=1,
        limit_is="real time", note="ours decodes each sound four times")  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main())

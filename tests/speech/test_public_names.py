"""The names other packages may build on, pinned; and what importing them may load."""

import subprocess
import sys

import speech.audio.devices
import speech.audio.endpoint
import speech.hearings
import speech.language
import speech.recognition.acceptance
import speech.recognition.ensemble
import speech.recognition.hands_free
import speech.recognition.recogniser
import speech.registry
import speech.synthesis.speakers

PINNED = {
    speech.hearings: {
        "Decision",
        "Decoding",
        "Failed",
        "Heard",
        "HeardWord",
        "Hearing",
        "HearingResult",
        "Hypothesis",
        "Silence",
    },
    speech.recognition.recogniser: {"Recogniser"},
    speech.registry: {"Availability", "Chosen", "Engine", "choose_engine"},
    speech.recognition.acceptance: {
        "HearingEvidence",
        "SecondOpinion",
        "THRESHOLDS",
        "Threshold",
        "Thresholds",
        "belief",
        "decision_on",
        "solid",
    },
    speech.recognition.ensemble: {"Ensemble", "FirstVote", "MeaningOf", "weighed"},
    speech.recognition.hands_free: {"HandsFree"},
    speech.synthesis.speakers: {"Speaker", "speakers"},
    speech.audio.endpoint: {"Endpointer", "Heed", "Pauses"},
    speech.audio.devices: {"Microphone", "loudspeaker_availability", "microphone_availability", "play"},
}
LANGUAGE = {
    "Arc", "Automaton", "Choice", "Corpus", "Language", "Phrase", "Sayings", "Sequence", "Word", "choice", "compiled",
    "kept_in", "load_or_compile", "only", "optional", "phrase", "phrase_hash", "repeated", "sayings", "sequence",
    "weighted",
}  # fmt: skip


def test_public_names_are_there() -> None:
    for module, names in PINNED.items():
        assert names <= set(vars(module)), module.__name__
    assert set(speech.language.__all__) == LANGUAGE


def test_adapters_load_no_engine_until_used() -> None:
    code = (
        "import sys\n"
        "import speech.recognition.hands_free, speech.registry\n"
        "from speech.recognition import engines, pocketsphinx, vosk\n"
        "from speech.synthesis import espeak, pyttsx3, speakers\n"
        "from speech.audio import sound\n"
        "for engine in (*engines.recognisers(environment={}), espeak.EspeakSpeaker(), pyttsx3.Pyttsx3Speaker()):\n"
        "    engine.availability()\n"
        "heavy = {'vosk', 'pocketsphinx', 'pyttsx3', 'miniaudio', 'onnxruntime', 'moonshine_voice'}\n"
        "heavy &= set(sys.modules)\n"
        "print(sorted(heavy))"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert result.stdout == "[]\n"


def test_ports_events_and_language_need_no_numpy() -> None:
    code = (
        "import sys, speech.errors, speech.hearings, speech.registry, speech.language\n"
        "import speech.recognition.recogniser, speech.recognition.acceptance\n"
        "print('numpy' in sys.modules)"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert result.stdout == "False\n"

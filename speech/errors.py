"""Everything that can go wrong in listening and speaking.

SpeechError
├── LanguageError       what could be said was described wrongly, or a stored automaton is damaged
├── AudioError          sound could not be read, captured or played
│   ├── UnreadableAudio     a file that is no WAV or FLAC, or an empty one
│   ├── NoMicrophone        none connected, it is in use elsewhere, or it was unplugged
│   └── NoLoudspeaker       none connected, or it is in use elsewhere
├── EngineUnavailable   a recogniser or a voice cannot work here
│   ├── EngineMissing       its package or library is not installed
│   └── ModelMissing        its model is not where it was looked for, or is only half there
└── EngineFailed        a recogniser or a voice stopped working while in use

The message of each is one line for the learner or teacher: what happened, and what to do.
"""


class SpeechError(Exception):
    """The root of this tree."""


class LanguageError(SpeechError):
    """What could be said was described wrongly, or a stored automaton is damaged."""


class AudioError(SpeechError):
    """Sound could not be read, captured or played."""


class UnreadableAudio(AudioError):
    """A file that is no WAV or FLAC, or one without sound."""


class NoMicrophone(AudioError):
    """No microphone is connected, it is in use elsewhere, or it was unplugged."""


class NoLoudspeaker(AudioError):
    """No loudspeaker is connected, or it is in use elsewhere."""


class EngineUnavailable(SpeechError):
    """A recogniser or a voice cannot work here."""


class EngineMissing(EngineUnavailable):
    """The package or library of an engine is not installed."""


class ModelMissing(EngineUnavailable):
    """The model of an engine is not where it was looked for, or is only half there."""


class EngineFailed(SpeechError):
    """A recogniser or a voice stopped working while in use."""

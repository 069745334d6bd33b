"""The recognisers of a lesson: those that work here, voting on the meaning after what was asked."""

import json
import os
from collections.abc import Hashable
from pathlib import Path

from chattutor.common.exits import CannotGoOn
from chattutor.lesson.ports import TellLine
from chattutor.lesson.voice.languages import language_after
from chattutor.lesson.voice.lesson_acceptance import is_whole
from dialogue.acts import Comment, Expecting, Interpretation, Say, Unclear, Work, to_json
from dialogue.understanding.interpret import interpret
from dialogue.understanding.phrase_spotting import tells_of_distress
from speech.errors import SpeechError
from speech.language import Language
from speech.recognition.engines import recognisers, second_recogniser
from speech.recognition.ensemble import Ensemble
from speech.recognition.recogniser import Recogniser
from speech.registry import choose_engine

SOMETHING_SAID: tuple[Expecting, ...] = ("value", "equation", "term", "operations")  # questions that no "no" answers
EXCLAIMED = ("oh",)  # a digit as well, but hardly by itself
TALK = 0.3  # of what is said beside mathematics, over an answer that fits the sound about as well


class Attention:
    """What was asked last, which the votes on the meaning depend on."""

    def __init__(self) -> None:
        self.expecting: Expecting = "any"
        self.letter = "x"
        self.tutor = ""  # the last sentence said

    def meaning(self, text: str) -> Hashable | None:
        """The meaning after what was asked last."""
        return meaning_of(self.found(text))

    def certainty(self, text: str) -> float:
        """How certain the meaning is where it would be asked back, had the text been typed; 1 where it would not."""
        found = self.found(text)
        return 1.0 if found.sure else found.certainty

    def usual(self, text: str) -> float:
        """How usual the text is as an answer: mathematics, a question or a command is far more so than talk, or than a
        yes or no where neither was asked for ("no" for "nine")."""
        acts = self.found(text).acts
        talk = all(isinstance(act, Comment) for act in acts) or text in EXCLAIMED
        if self.expecting in SOMETHING_SAID:
            talk = talk or any(isinstance(act, Say) and act.what in {"yes", "no"} for act in acts)
        return self.certainty(text) * (TALK if talk else 1.0)

    def found(self, text: str) -> Interpretation:
        """What a text is taken for after what was asked last."""
        return interpret(text, self.expecting, self.letter, self.tutor)

    def whole(self, text: str) -> bool:
        """Whether the text is all of an answer to what was asked last."""
        return is_whole(text, self.found(text).acts, self.expecting)

    def language(self, tell: TellLine | None = None) -> Language:
        """What can be heard after what was asked."""
        return language_after(self.expecting, self.letter, tell)


def meaning_of(found: Interpretation) -> str | None:
    """The meaning as JSON, equal for texts that mean the same; None where it is unclear."""
    acts = [act for act in found.acts if not isinstance(act, Unclear)]
    # with a reason beside it or without, a move is the same
    counting = [act for act in acts if not isinstance(act, Comment | Work)] or acts
    return json.dumps([to_json(act) for act in counting], sort_keys=True) if counting else None


def ensemble_here(attention: Attention, model: Path | None = None, one_speaker: bool = False) -> tuple[Ensemble, str]:
    """The recognisers, and the choice in one line; for `one_speaker` they get used to that voice. Raises CannotGoOn
    where none works."""
    try:
        chosen = choose_engine(recognisers(model, os.environ, one_speaker=one_speaker))
    except SpeechError as error:
        raise CannotGoOn(f"Nothing here can listen: {error}.") from error
    second = second_recogniser(chosen.engine, one_speaker)
    return ensemble_of(attention, chosen.engine, second), str(chosen)


def ensemble_of(attention: Attention, first: Recogniser, second: Recogniser | None = None) -> Ensemble:
    """These recognisers, voting on the meaning after what was asked."""
    return Ensemble(
        first,
        attention.meaning,
        second,
        whole=attention.whole,
        certainty=attention.certainty,
        usual=attention.usual,
        urgent=tells_of_distress,
    )

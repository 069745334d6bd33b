"""A person is heard better the longer they are known: their mean, and the length of their vocal tract."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from speech.audio.shaping import at_speed
from speech.audio.sound import Sound
from speech.hearings import Heard
from speech.language import Language
from speech.recognition.pocketsphinx import PocketsphinxRecogniser
from speech.recognition.speaker_adaptation import GROWN_UP, HEAD_START, MEMORY, PRIOR, SpeakerAdaptation

Say = Callable[[str], Sound]
features = st.lists(st.floats(-60, 60), min_size=3, max_size=3).map(np.array)
frames = st.integers(1, 400)


def test_a_sound_of_nobody_known_keeps_its_own_mean() -> None:
    own = np.array([40.0, 1.0, -2.0])
    assert not SpeakerAdaptation().known
    assert SpeakerAdaptation().estimate(own, 50) is own


def test_what_is_known_counts_as_so_many_frames_and_never_for_loudness() -> None:
    speaker = SpeakerAdaptation()
    speaker.add(np.array([50.0, 4.0, 0.0]), 300)
    # by hand: (100 frames of 1 and PRIOR = 100 of 4) / 200 = 2.5
    assert speaker.estimate(np.array([40.0, 1.0, -2.0]), 100) == pytest.approx([40.0, 2.5, -1.0])
    # less is known than PRIOR: (100 of 1 and 25 of 4) / 125 = 1.6
    other = SpeakerAdaptation()
    other.add(np.array([50.0, 4.0, 0.0]), 25)
    assert other.estimate(np.array([40.0, 1.0, -2.0]), 100) == pytest.approx([40.0, 1.6, -1.6])


@given(st.lists(st.tuples(features, frames), min_size=1, max_size=6), features, frames)
def test_the_estimate_is_the_weighted_mean_of_all_frames(
    sounds: list[tuple[np.ndarray, int]], own: np.ndarray, size: int
) -> None:
    """Against numpy's own weighted average, as long as nothing was forgotten."""
    speaker = SpeakerAdaptation()
    for mean, length in sounds:
        speaker.add(mean, length)
    known = sum(length for _, length in sounds)
    if known > MEMORY:
        return
    mean = np.average([each for each, _ in sounds], axis=0, weights=[length for _, length in sounds])
    wanted = np.average([own, mean], axis=0, weights=[size, min(known, PRIOR)])
    assert speaker.estimate(own, size)[1:] == pytest.approx(wanted[1:], abs=1e-9)


def test_another_person_takes_over() -> None:
    speaker, one, other = SpeakerAdaptation(), np.array([0.0, 0.0]), np.array([0.0, 10.0])
    speaker.add(one, 100_000)
    for _ in range(8):
        speaker.add(other, 500)
    assert speaker.estimate(one, 1)[1] > 8


def test_the_factor_that_fits_worst_goes_until_one_is_left() -> None:
    asked: list[float] = []

    def fit(factor: float) -> float:
        asked.append(factor)
        return -abs(factor - 1.25)

    speaker = SpeakerAdaptation()
    speaker.add(np.array([0.0, 9.0]), 100)
    for _ in range(10):
        speaker.try_factors(fit)
    assert speaker.factor == 1.25
    assert len(asked) == 4 + 3 + 2  # and nothing once it is settled
    assert speaker.estimate(np.array([0.0, 1.0]), 100)[1] == 1.0  # the mean was that of other frequencies


def test_who_fits_as_they_are_stays_as_they_are() -> None:
    speaker = SpeakerAdaptation()
    for _ in range(4):
        speaker.try_factors(lambda factor: 0.9 * HEAD_START * (factor != GROWN_UP))  # another is better, but hardly
    assert speaker.factor == GROWN_UP


def test_a_small_childs_resonances_are_found_and_brought_down(anything: Language, say: Say) -> None:
    """Played a quarter faster, the voice has all its resonances a quarter higher, as from a shorter vocal tract."""
    recogniser, stranger = PocketsphinxRecogniser(one_speaker=True), PocketsphinxRecogniser()
    said = ["divide both sides by three", "add four to both sides", "multiply both sides by six",
            "subtract nine from both sides", "divide both sides by five", "add seven to both sides",
            "multiply both sides by four", "add nine to both sides"]  # fmt: skip
    right = {recogniser: 0, stranger: 0}
    for text in said:
        raised = at_speed(say(text), 1.25)
        for each in right:
            each.listen_for(anything)
            event = each.hear(raised)
            right[each] += isinstance(event, Heard) and event.text == text
    assert recogniser._speaker.factor > 1.0
    assert right[recogniser] >= right[stranger] + 3, right


def test_without_being_told_so_no_person_is_known(anything: Language, say: Say) -> None:
    recogniser = PocketsphinxRecogniser()
    recogniser.listen_for(anything)
    sound = say("add nine to both sides")
    first = recogniser.hear(sound)
    for text in ("divide both sides by three", "add four to both sides", "multiply by six"):
        recogniser.hear(at_speed(say(text), 1.25))
    assert recogniser.hear(sound) == first

"""Fits the layer that tells what a learner asks (``en/learned_topics.npz``) on the sentences in ``topics/``.

    PYTHONPATH=.:tests python -m training.fit_topics [leave]    # leave: only tells each author by the others

The sentences (``topic | sentence``) are by authors who saw ``topics/definitions.md`` and nothing else. Steps and
answers of the training lessons stand beside them as no question. Needs scikit-learn, for fitting alone; minutes, on
one core.
"""

import re
import sys
from importlib.resources import files
from pathlib import Path
from random import Random

import numpy as np
import numpy.typing as npt
from scipy import sparse
from sklearn.linear_model import LogisticRegression

from dialogue.understanding import surface, tagger
from dialogue.understanding.learned_topics import ASKED, NONE, grams_of
from dialogue.understanding.question_topics import SENTENCES
from training.asked import ASKING, TOPICS, Sentence, sentences
from training.reading import LESSONS, lessons

OUT = Path(str(files("dialogue.understanding").joinpath("en/learned_topics.npz")))
GRAMS = 2048
STRENGTH = 8.0  # of the fit: the inverse of its ridge (a choice, by leaving an author out)
STEPS = 3500  # sentences of the lessons in which nothing is asked


def steps() -> list[Sentence]:
    """Sentences of the training lessons' turns in which nothing is asked and nothing told of a person."""
    found = {
        sentence.strip(): turn.letter
        for path in LESSONS
        for turn in lessons(path)
        if not ASKING & {act["act"] for act in turn.acts} and "why" not in turn.text.lower()
        for sentence in SENTENCES.findall(turn.text)
        if re.search(r"\w", sentence)
    }
    return [Sentence("lessons", NONE, *one) for one in Random(1).sample(sorted(found.items()), STEPS)]


def rows(said: list[Sentence]) -> tuple[npt.NDArray[np.float32], sparse.csr_matrix]:
    """Of each sentence the mean of its words' states, and its grams."""
    network = tagger.packaged()
    assert network is not None, "onnxruntime is needed"
    states, grams = [], sparse.lil_matrix((len(said), GRAMS), dtype=np.float32)
    for at, one in enumerate(said):
        shown = [word.shown for word in surface.words(one.text, one.letter)]
        states.append(network.seen(shown, "any", ()).states.mean(0))
        places, shares = grams_of(shown, GRAMS)
        grams[at, places] = shares
    return np.array(states), grams.tocsr()


def fitted(
    states: npt.NDArray[np.float32],
    grams: sparse.csr_matrix,
    topics: npt.NDArray[np.str_],
    strength: float = STRENGTH,
) -> tuple[LogisticRegression, npt.NDArray[np.float32], npt.NDArray[np.float32]]:
    """The fit, and what the states are shifted and scaled by before it."""
    middle, spread = states.mean(0), states.std(0) * np.sqrt(states.shape[1])
    whole = sparse.hstack([sparse.csr_matrix((states - middle) / spread), grams]).tocsr()
    return LogisticRegression(C=strength, max_iter=300).fit(whole, topics), middle, spread


def leave_one_out(said: list[Sentence]) -> None:
    """Prints, of each author by a fit on the others: right, and of those at least ``ASKED`` the share and right."""
    states, grams = rows(said)
    topics, authors = np.array([one.topic for one in said]), np.array([one.author for one in said])
    for author in sorted(set(authors) - {"lessons"}):
        others = authors != author
        fit, middle, spread = fitted(states[others], grams[others], topics[others])
        held = sparse.hstack([sparse.csr_matrix((states[~others] - middle) / spread), grams[~others]]).tocsr()
        found, right = fit.predict_proba(held), fit.predict(held) == topics[~others]
        asked = (found.max(1) >= ASKED) & (fit.predict(held) != NONE)
        told = f"asked {asked.mean():.3f}, right {right[asked].mean():.3f}"
        print(f"{author}: n {len(right)}, right {right.mean():.3f}; {told}")


def write(said: list[Sentence]) -> None:
    """Fits on everything and writes the layer, weights in 8 bits with a scale a topic."""
    states, grams = rows(said)
    save(OUT, states, grams, np.array([one.topic for one in said]))


def save(
    path: Path,
    states: npt.NDArray[np.float32],
    grams: sparse.csr_matrix,
    topics: npt.NDArray[np.str_],
    strength: float = STRENGTH,
) -> None:
    """Fits, and writes the layer."""
    fit, middle, spread = fitted(states, grams, topics, strength)
    two = len(fit.classes_) == 2  # then scikit-learn gives one row of weights, for the second
    weights, bias = (np.concatenate([-each, each]) / 2 if two else each for each in (fit.coef_, fit.intercept_))
    of_states, of_grams = weights[:, : states.shape[1]].T, weights[:, states.shape[1] :].T
    of_states = of_states / spread[:, None]
    layer = {"names": fit.classes_, "bias": (bias - middle @ of_states).astype(np.float32)}
    for name, weights in (("states", of_states), ("grams", of_grams)):
        scale = np.abs(weights).max(0) / 127
        layer[name] = np.rint(weights / scale).astype(np.int8)
        layer[f"{name}_scale"] = scale.astype(np.float32)
    np.savez_compressed(path, **layer)
    print(path.name, path.stat().st_size, "bytes,", len(fit.classes_), "classes,", len(topics), "rows")


if __name__ == "__main__":
    everything = [one for path in TOPICS for one in sentences(path)] + steps()
    leave_one_out(everything) if sys.argv[1:] == ["leave"] else write(everything)

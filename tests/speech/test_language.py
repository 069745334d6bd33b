"""A phrase and its automaton hold the same sentences with the same weights."""

import itertools
from pathlib import Path

import pytest
import spoken_moves
from hypothesis import given, settings
from hypothesis import strategies as st
from number_phrases import TEENS, TENS, UNITS, cardinal, number

from speech.errors import LanguageError
from speech.language import (
    Arc,
    Automaton,
    Choice,
    Language,
    Phrase,
    Sequence,
    Word,
    choice,
    compiled,
    load_or_compile,
    optional,
    phrase,
    phrase_hash,
    repeated,
    sequence,
    weighted,
)

WORDS = st.sampled_from(["a", "b", "c"]).map(Word)
PHRASES: st.SearchStrategy[Phrase] = st.recursive(
    WORDS,
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=3).map(lambda parts: Sequence(tuple(parts))),
        st.lists(st.tuples(inner, st.sampled_from([1.0, 2.0, 5.0])), min_size=1, max_size=3).map(
            lambda branches: Choice(tuple(branches))
        ),
    ),
    max_leaves=7,
)


def spelled_out(tree: Phrase) -> dict[tuple[str, ...], float]:
    """Every sentence of a phrase with its probability, by the definition."""
    match tree:
        case Word(text):
            return {(text,): 1.0}
        case Sequence(parts):
            result: dict[tuple[str, ...], float] = {(): 1.0}
            for part in parts:
                after = spelled_out(part)
                joined: dict[tuple[str, ...], float] = {}
                for (one, p), (two, q) in itertools.product(result.items(), after.items()):
                    joined[one + two] = joined.get(one + two, 0.0) + p * q
                result = joined
            return result
        case Choice(branches):
            total = sum(weight for _, weight in branches)
            mixed: dict[tuple[str, ...], float] = {}
            for part, weight in branches:
                for words, p in spelled_out(part).items():
                    mixed[words] = mixed.get(words, 0.0) + p * weight / total
            return mixed


def all_sentences(automaton: Automaton) -> set[tuple[str, ...]]:
    ends = {state for state, _ in automaton.stop}
    found, waiting = set(), [(0, ())]
    while waiting:
        state, words = waiting.pop()
        if state in ends:
            found.add(words)
        waiting += [(arc.target, (*words, arc.word)) for arc in automaton.arcs if arc.source == state]
    return found


@settings(deadline=None)
@given(PHRASES)
def test_the_automaton_accepts_exactly_the_sentences_of_the_phrase(tree: Phrase) -> None:
    assert all_sentences(compiled(tree)) == set(spelled_out(tree))


@settings(deadline=None)
@given(PHRASES)
def test_first_words_keep_their_probabilities(tree: Phrase) -> None:
    sentences = spelled_out(tree)
    for arc in compiled(tree).arcs:
        if arc.source == 0:
            expected = sum(p for words, p in sentences.items() if words[0] == arc.word)
            assert arc.probability == pytest.approx(expected)


@settings(deadline=None)
@given(PHRASES)
def test_probabilities_of_all_sentences_sum_to_one(tree: Phrase) -> None:
    automaton = compiled(tree)
    assert sum(automaton.probability(words) for words in all_sentences(automaton)) == pytest.approx(1)


@settings(deadline=None)
@given(PHRASES)
def test_no_two_states_have_the_same_future(tree: Phrase) -> None:
    automaton = compiled(tree)
    ends = {state for state, _ in automaton.stop}
    futures = [
        (state in ends, frozenset((arc.word, arc.target) for arc in automaton.arcs if arc.source == state))
        for state in range(automaton.states)
    ]
    assert len(set(futures)) == automaton.states


@settings(deadline=None)
@given(PHRASES)
def test_a_stored_automaton_is_read_back_the_same(tree: Phrase) -> None:
    automaton = compiled(tree)
    assert Automaton.from_json(automaton.to_json()) == automaton


@settings(deadline=None)
@given(PHRASES, st.sampled_from("abc"))
def test_leaving_a_word_out_leaves_every_other_sentence(tree: Phrase, word: str) -> None:
    rest = {words for words in spelled_out(tree) if word not in words}
    if rest:
        assert all_sentences(compiled(tree).without(frozenset(word))) == rest
    else:
        with pytest.raises(LanguageError):
            compiled(tree).without(frozenset(word))


def test_combinators() -> None:
    tree = sequence(choice("add", "take away"), optional("on", 0.25), weighted(("one", 3), ("two", 1)))
    automaton = compiled(tree)
    assert automaton.probability(["take", "away", "on", "one"]) == pytest.approx(0.5 * 0.25 * 0.75)
    assert automaton.probability(["add", "two"])
    assert not automaton.probability(["add"])
    assert not automaton.probability(["away", "one"])
    assert automaton.vocabulary == {"add", "take", "away", "on", "one", "two"}
    assert compiled(repeated("go", 1, 2)).probability(["go", "go"])


def test_samples_are_sentences_and_the_same_for_a_seed(anything: Language) -> None:
    automaton = anything.sentences()
    samples = automaton.sentences(200, seed=3)
    assert all(automaton.probability(one.split()) for one in samples)
    assert samples == automaton.sentences(200, seed=3)
    assert samples != automaton.sentences(200, seed=4)


def test_every_cardinal_to_999_can_be_said() -> None:
    # how English says cardinals: common practice; "two hundred and five" and "two hundred five" both
    units, teens, tens = UNITS, TEENS, TENS
    below = [*units, *teens, *(f"{t} {u}".strip() for t in tens for u in ("", *units))]
    said = [*below, *(f"{u} hundred{rest}" for u in units for rest in ("", *(f" and {b}" for b in below)))]
    automaton = compiled(cardinal())
    assert len(said) == 999
    assert [one for one in said if not automaton.probability(one.split())] == []


def test_decimals_fractions_and_signs() -> None:
    automaton = compiled(number())
    for said in ("minus two point five", "point seven five", "negative three quarters", "two and a half", "nought"):
        assert automaton.probability(said.split()), said
    assert not automaton.probability(["twenty", "eleven"])


def test_the_whole_language_of_moves_stays_small(anything: Language) -> None:
    assert anything.sentences().states < 1000
    assert len(anything.sentences().arcs) < 15_000


def test_the_hash_is_of_the_content() -> None:
    assert phrase_hash(spoken_moves.anything()) == phrase_hash(spoken_moves.anything())
    assert phrase_hash(choice("a", "b")) != phrase_hash(choice("b", "a"))
    assert phrase_hash(sequence("a b")) != phrase_hash(sequence("a", "b", "c"))
    # fixed, so that a cache file made on one machine is found on another
    assert phrase_hash(phrase("both sides")) == "b68bc7209b99dc37c48b79cb75d0f78822c5e26f44e2be667e737e59bb83cc0c"


@pytest.mark.parametrize(
    "make",
    [
        lambda: Word("Two"),
        lambda: Word("two words"),
        lambda: choice(),
        lambda: weighted(("a", 0)),
        lambda: weighted(("a", -1)),
        lambda: optional("a", 1),
        lambda: repeated("a", 2, 1),
        lambda: compiled(optional("a", 0.5)),
        lambda: Automaton(2, (Arc(0, 1, "a", 0.5),), ((1, 1.0),)),
        lambda: Automaton(2, (Arc(1, 0, "a", 1.0),), ((0, 1.0),)),
        lambda: Automaton(2, (Arc(0, 1, "a", 0.5), Arc(0, 1, "a", 0.5)), ((1, 1.0),)),
        lambda: Automaton.from_json("{}"),
        lambda: Automaton.from_json("[1, 2"),
        lambda: Automaton.from_json('{"states": 2, "arcs": [[0, 5, "a", 1]], "stop": [[1, 1]]}'),
        lambda: Automaton.from_json('{"states": 2, "arcs": [[0, 1, "a", NaN]], "stop": [[1, 1]]}'),
    ],
)
def test_what_is_no_language_is_refused(make: object) -> None:
    assert callable(make)
    with pytest.raises(LanguageError):
        make()


def test_cache_is_used_and_a_damaged_file_is_compiled_over(tmp_path: Path) -> None:
    told: list[float] = []
    tree = spoken_moves.answer()
    first = load_or_compile(tree, tmp_path / "new", told.append)
    assert told[-1] == 1.0
    assert told == sorted(told)
    (file,) = (tmp_path / "new").iterdir()
    told.clear()
    assert load_or_compile(tree, tmp_path / "new", told.append) == first
    assert told == []
    for damage in ("", file.read_text()[:-20], "\x00", '{"states": 1, "arcs": [], "stop": []}'):
        file.write_text(damage)
        assert load_or_compile(tree, tmp_path / "new") == first
        assert Automaton.from_json(file.read_text()) == first


def test_a_folder_that_cannot_be_written_to_costs_only_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert load_or_compile(phrase("yes"), tmp_path / "file").probability(["yes"])
    assert load_or_compile(phrase("yes"), None).probability(["yes"])

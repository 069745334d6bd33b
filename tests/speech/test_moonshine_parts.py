"""The parts of the dictating recogniser that are pure: pieces, forms, word model, guide and search, each by itself."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speech.errors import EngineFailed
from speech.language import Corpus, Sayings, sayings
from speech.recognition.moonshine import model_files
from speech.recognition.moonshine.beam_search import Dictation, SearchSettings, dictated, search
from speech.recognition.moonshine.guide import Guide
from speech.recognition.moonshine.model_files import PIECES, SHA256, altered, model_folder
from speech.recognition.moonshine.network import EncoderDecoder, Floats
from speech.recognition.moonshine.piece_tree import EMPTY, Node, grown
from speech.recognition.moonshine.pieces import BEGIN, END, Pieces
from speech.recognition.moonshine.word_counts import START, STOP, counts_of
from speech.recognition.moonshine.word_model import WordModel
from speech.recognition.moonshine.written_forms import SPOKEN_NUMBERS, written_forms

UNITS = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine"})
SAYINGS = sayings((("add six to both sides", 3.0), ("add x", 1.0), ("x equals two", 1.0)), (UNITS,))


@pytest.fixture(scope="module")
def pieces() -> Pieces:
    folder = model_folder()
    assert folder is not None
    return Pieces((folder / PIECES).read_bytes())


@pytest.fixture(scope="module")
def guide(pieces: Pieces) -> Guide:
    return Guide(SAYINGS, pieces)


class Written:
    """A network that hears these texts, each as likely as its share; anything else hardly."""

    def __init__(self, pieces: Pieces, **shares: float) -> None:
        self._known = [((BEGIN, *pieces.numbers(text.replace("_", " ")), END), share) for text, share in shares.items()]
        self._size, self._rows = len(pieces), [[()]]

    def advance(self, rows: Sequence[int], numbers: Sequence[int]) -> Floats:
        before = self._rows[-1]
        after = [(*before[row], number) for row, number in zip(rows, numbers, strict=True)]
        self._rows.append(after)
        result = np.full((len(after), self._size), 1e-6, np.float32)
        for row, text in enumerate(after):
            going_on = [
                (known[len(text)], share) for known, share in self._known if known[: len(text)] == text != known
            ]
            for piece, share in going_on:
                result[row, piece] += share / sum(share for _, share in going_on)
        return np.log(result)


def test_the_files_are_the_ones_measured_with() -> None:
    folder = model_folder()
    assert folder is not None
    assert altered(folder) == ""


def test_a_damaged_file_is_named(tmp_path: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(SHA256, PIECES, "0" * 64)
    folder = model_folder()
    assert folder is not None
    assert model_files.altered.__wrapped__(folder) == PIECES


@settings(deadline=None)
@given(st.text(st.sampled_from("abcxyz XY0123456789.,-'"), max_size=30))
def test_pieces_give_back_the_text(text: str) -> None:
    folder = model_folder()
    assert folder is not None
    table = _TABLE.setdefault("pieces", Pieces((folder / PIECES).read_bytes()))
    assert table.text(table.numbers(text)) == text.strip()


_TABLE: dict[str, Pieces] = {}


def test_a_list_of_pieces_that_is_cut_short_is_refused() -> None:
    with pytest.raises(EngineFailed, match="damaged"):
        Pieces(bytes([3, 65, 66]))


def test_numbers_may_be_written_in_digits_and_mean_their_words() -> None:
    forms = {(form.written, form.hanging): form.words for form in written_forms(["x", "three"])}
    assert forms[" Three", False] == ("three",)
    assert forms[" 3", False] == ("three",)
    assert forms["x", True] == ("x",)
    assert forms[" 120", False] == ("one", "hundred", "twenty")
    assert forms[" -7", False] == ("minus", "seven")
    assert forms[".5", True] == ("point", "five")
    assert forms[".05", True] == ("point", "zero", "five")
    assert forms[" 3/4", False] == ("three", "quarters")
    assert forms[" twenty-one", False] == ("twenty", "one")


def test_words_that_count_as_one_another_are_equally_likely_everywhere() -> None:
    model = WordModel(SAYINGS)
    for before in (
        (START, START),
        (START, "add"),
        ("add", "six"),
        ("x", "equals"),
        ("never", "heard"),
    ):
        after = model.after(model.then(before, ()))
        assert len({float(after[model.place(unit)]) for unit in UNITS}) == 1
    assert model.score("add two to both sides") == model.score("add nine to both sides") > model.score("add to two")


def test_probabilities_sum_to_one() -> None:
    model = WordModel(SAYINGS)
    words = [*model.words, STOP]
    for history in (
        (START, START),
        (START, "add"),
        model.then((START, "add"), ("six",)),
    ):
        assert sum(np.exp(float(model.after(history)[model.place(word)])) for word in words) == pytest.approx(
            1, abs=1e-9
        )


IN_X = (("add six to both sides", 3.0), ("two x equals two", 1.0))
IN_WORDS = (("add x erm then add six", 2.0), ("no it is x", 0.5), ("add six to both sides", 1.0))
EACH = ("add six to both sides", "no it is x", "two x equals six", "sides x x to")


@settings(deadline=None)
@given(st.tuples(st.floats(0.1, 10), st.floats(0.1, 10)), st.sampled_from("xnqe"))
def test_groups_counted_once_are_as_good_as_counted_together(shares: tuple[float, float], letter: str) -> None:
    corpus = Corpus(lambda: (IN_X, IN_WORDS), (UNITS,))
    here = Sayings(corpus, shares, ("x", letter))
    model, whole = WordModel(here, UNITS), WordModel(sayings(here.texts(), (UNITS,)), UNITS)
    assert model.words == whole.words
    for text in EACH:
        said = " ".join(letter if word == "x" else word for word in text.split())
        assert model.score(said) == pytest.approx(whole.score(said), abs=1e-9)


def test_what_a_corpus_holds_is_counted_once_for_all_questions_and_letters(pieces: Pieces) -> None:
    asked = []
    corpus = Corpus(lambda: (asked.append(1), (IN_X, IN_WORDS))[1])
    guides = [Guide(Sayings(corpus, shares, ("x", letter)), pieces) for shares in ((1, 6), (6, 1)) for letter in "xn"]
    assert len(asked) == 1
    assert counts_of(corpus, SPOKEN_NUMBERS).words >= {"x", "sides"}
    assert guides[0].words is guides[2].words
    shared = set(map(id, guides[0].words.following)) & set(map(id, guides[1].words.following))
    assert len(shared) > len(guides[0].words.following) / 2


def test_a_guide_can_write_the_letter_of_the_lesson_and_no_other(pieces: Pieces) -> None:
    corpus = Corpus(lambda: (IN_X, IN_WORDS))
    for letter, other in ("xn", "nx"):
        guide = Guide(Sayings(corpus, (1.0, 1.0), ("x", letter)), pieces)
        assert search(Written(pieces, **{f"_Two_{letter}": 0.9}), guide)[0].text == f"two {letter}"
        assert {form.words for form in guide.forms}.isdisjoint({(other,)})


@given(st.lists(st.lists(st.integers(1, 4), min_size=1, max_size=5).map(tuple), max_size=12), st.integers(0, 12))
def test_a_tree_may_grow_in_two_steps_and_leaves_the_first_as_it_was(texts: list[tuple[int, ...]], cut: int) -> None:
    forms = [(text, number) for number, text in enumerate(texts)]
    first = grown(EMPTY, forms[:cut])
    assert ended(grown(first, forms[cut:])) == ended(grown(EMPTY, forms)) == sorted(forms)
    assert ended(first) == sorted(forms[:cut])
    tree = grown(EMPTY, forms)
    if tree.following:
        best = [max(ends for _, ends in ended(node)) for node in tree.following]
        assert tree.best(np.arange(len(forms), dtype=np.float64)).tolist() == best


def ended(node: Node, before: tuple[int, ...] = ()) -> list[tuple[tuple[int, ...], int]]:
    """Every form of a tree with its pieces."""
    below = [ended(one, (*before, piece)) for piece, one in zip(node.pieces.tolist(), node.following, strict=True)]
    return sorted([*((before, number) for number in node.ends), *(form for part in below for form in part)])


def test_the_search_finds_what_the_network_and_the_guide_agree_on(pieces: Pieces, guide: Guide) -> None:
    found = search(Written(pieces, _Add_six_to_both_sides=0.4, _Had_six_to_both_sides=0.6), guide)
    assert found[0].text == "add six to both sides"
    assert [one.score for one in found] == sorted((one.score for one in found), reverse=True)


def test_digits_and_words_are_the_same_text(pieces: Pieces, guide: Guide) -> None:
    texts = [search(Written(pieces, **{text: 0.9}), guide)[0].text for text in ("_X_equals_2", "_x_equals_two")]
    assert texts == ["x equals two", "x equals two"]
    assert search(Written(pieces, **{"_Add_6x.": 0.9}), guide)[0].text == "add six x"


def test_what_stands_in_no_saying_can_be_found_too(pieces: Pieces, guide: Guide) -> None:
    assert search(Written(pieces, _six_sides_equals_x=0.9), guide)[0].text == "six sides equals x"


def test_a_wider_search_never_finds_a_worse_text(pieces: Pieces, guide: Guide) -> None:
    shares = {"_Add_six": 0.3, "_Add_x": 0.3, "_x_equals_two": 0.2, "_sides": 0.2}
    best = [search(Written(pieces, **shares), guide, SearchSettings(width=width))[0].score for width in (1, 4, 16)]
    assert all(one <= other for one, other in pairwise(best))


def test_unguided_the_likeliest_piece_is_written(pieces: Pieces) -> None:
    written, total = dictated(Written(pieces, _Good_morning=0.6, _add_six=0.4))
    assert pieces.text(written) == "Good morning"
    assert total == pytest.approx(np.log(0.6), abs=0.01)


def test_dictated_beside_the_search_is_what_is_dictated_alone(pieces: Pieces, guide: Guide) -> None:
    shares = {"_Good_morning_to_you_all": 0.6, "_add_six": 0.4}
    dictation = Dictation()
    found = search(Written(pieces, **shares), guide, dictation=dictation)
    assert (dictation.written(), dictation.sound) == dictated(Written(pieces, **shares))
    assert found == search(Written(pieces, **shares), guide)


def test_texts_are_scored_alike_at_once_and_piece_by_piece(pieces: Pieces) -> None:
    folder = model_folder()
    assert folder is not None
    network = EncoderDecoder(folder)
    encoded = network.encoded(np.random.default_rng(1).standard_normal(16_000).astype(np.float32) * 0.05)
    text = (BEGIN, *pieces.numbers(" Add six."), END)
    writing, total = network.writing(encoded), 0.0
    for before, after in pairwise(text):
        rows = writing.advance([0], [before])
        total += float(rows[0, after])
    alone, *several = network.scores(encoded, [text]) + network.scores(encoded, [text] * 3)
    assert alone == pytest.approx(total, abs=1.0)  # the network's numbers are rounded by what stands beside them
    assert several == pytest.approx([several[0]] * 3, abs=1e-4)
    several_rows = writing.advance([0] * 4, [END] * 4)
    assert np.array_equal(several_rows, np.repeat(several_rows[:1], 4, 0))

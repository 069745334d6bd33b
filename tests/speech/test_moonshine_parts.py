"""The parts of the dictating recogniser that are pure: pieces, forms, word model, guide and search, each by itself."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speech.errors import EngineFailed
from speech.language import Sayings
from speech.recognition.moonshine import model_files
from speech.recognition.moonshine.beam_search import SearchSettings, dictated, search
from speech.recognition.moonshine.guide import Guide
from speech.recognition.moonshine.model_files import PIECES, SHA256, altered, model_folder
from speech.recognition.moonshine.network import Floats
from speech.recognition.moonshine.pieces import BEGIN, END, Pieces
from speech.recognition.moonshine.word_model import START, STOP, WordModel
from speech.recognition.moonshine.written_forms import written_forms

UNITS = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine"})
SAYINGS = Sayings((("add six to both sides", 3.0), ("add x", 1.0), ("x equals two", 1.0)), (UNITS,))


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

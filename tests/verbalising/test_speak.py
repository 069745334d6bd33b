"""What the voice says, exactly; and the round trip: understanding what is said gives the same equation back."""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from strategies import equations, spoken_alike

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Line
from dialogue.algebra.reading import MAX_LENGTH, read_expression
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.tree import constant
from dialogue.learner.families import draw
from dialogue.understanding.interpret import understand
from dialogue.verbalising.number_words import over_words
from dialogue.verbalising.speak import AMERICAN, BRITISH, SpokenStyle, say_equation, say_expression

SPOKEN = Path(__file__).with_name("spoken.txt")  # an expression, as a British voice says it, as an American one does
VOICES = [
    BRITISH,
    AMERICAN,
    SpokenStyle("parentheses"),
    SpokenStyle(times="multiplied by", lots="times", hundreds="plain"),
]


def words(text: str) -> str:
    """Without the pauses."""
    return text.replace(",", "")


@pytest.mark.parametrize(
    ("text", "said"),
    [  # common practice in classrooms, no source: how the trade says groupings so that they are heard
        ("4n + 9 = 37", "four n, plus nine, equals thirty-seven"),
        ("n/4 + 6 = 11", "n over four, then plus six, equals eleven"),
        ("(n + 6)/4 = 5", "n plus six, all over four, equals five"),
        ("3*(x + 4) = 27", "three lots of, bracket, x plus four, close bracket, equals twenty-seven"),
        ("5(n - 2) = 3n + 8", "five lots of, bracket, n minus two, close bracket, equals three n, plus eight"),
        ("19 - 4n = 7", "nineteen, minus four n, equals seven"),
        ("2(x - 1)/3 = x", "two lots of, bracket, x minus one, close bracket, all over three, equals x"),
        ("3 + n/4 = 5", "three, plus bracket, n over four, close bracket, equals five"),
        ("x/3 + x/4 = 14", "x over three, then plus bracket, x over four, close bracket, equals fourteen"),
        ("(x + 6)/4 + 2 = 3", "bracket, x plus six, close bracket over four, then plus two, equals three"),
        ("-(w - 12) = 30", "negative bracket, w minus twelve, close bracket, equals thirty"),
        ("x = 3", "x, equals three"),
    ],
)
def test_an_equation(text: str, said: str) -> None:
    assert say_equation(read_equation(text)) == said


def test_both_sides_of_an_equation_are_said_by_one_voice() -> None:
    said = "seven, equals two times, open parenthesis, x plus one, close parenthesis"
    assert say_equation(read_equation("7 = 2(x + 1)"), AMERICAN) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # MathSpeak core specification, rule 1.2: (3 - -2), (-y), (-32)
        ("3 - -2", "three minus negative two"),
        ("-y", "negative y"),
        ("-32", "negative thirty-two"),
        # MathSpeak core specification, rule 1.1: digit by digit after the point, "zero" and not "oh"
        ("3.14", "three point one four"),
        ("2.05", "two point zero five"),
        # ClearSpeak (Brownstein, Soiffer and Frankel, ETS 2015), as read in MathCAT's open rule files and tests
        ("2 + (-2)", "two plus negative two"),
        ("-2x + 1", "negative two x plus one"),
        ("2x", "two x"),
        ("1/2", "one half"),
        ("2/3", "two thirds"),
        ("17/10", "seventeen tenths"),
        ("3 1/2", "three and one half"),
        ("3 7/83", "three and seven over eighty-three"),
    ],
)
def test_a_published_reading(text: str, said: str) -> None:
    assert words(say_expression(read_expression(text))) == said


def test_every_kind_of_expression() -> None:
    for line in SPOKEN.read_text("utf-8").splitlines():
        text, *wanted = line.split(" | ")
        side = read_expression(text)
        assert [say_expression(side, voice) for voice in (BRITISH, AMERICAN)] == wanted, text


def test_times_and_parentheses_where_a_classroom_says_so() -> None:
    """ "f times, open paren x plus y, close paren": ClearSpeak, as read in MathCAT's rule files."""
    side = read_expression("3(x + 4)")
    assert say_expression(side, AMERICAN) == "three times, open parenthesis, x plus four, close parenthesis"
    assert say_expression(read_expression("x*3"), AMERICAN) == "x multiplied by three"
    assert say_expression(read_expression("x*3"), BRITISH) == "x times three"


@pytest.mark.parametrize(
    ("number", "british", "american"),
    [  # English numerals: "and" before a part below a hundred is British, without it American (common practice)
        (105, "one hundred and five", "one hundred five"),
        (2010, "two thousand and ten", "two thousand ten"),
        (1234, "one thousand two hundred and thirty-four", "one thousand two hundred thirty-four"),
        (21, "twenty-one", "twenty-one"),
        (40, "forty", "forty"),
        (0, "zero", "zero"),
    ],
)
def test_whole_numbers(number: int, british: str, american: str) -> None:
    assert say_expression(constant(Fraction(number))) == british
    assert say_expression(constant(Fraction(number)), AMERICAN) == american


@pytest.mark.parametrize(
    ("value", "british", "american"),
    [
        (Fraction(-2, 3), "negative two thirds", "negative two thirds"),
        (Fraction(3, 4), "three quarters", "three fourths"),  # MathCAT lists "fourths"
        (Fraction(3, 2), "three halves", "three halves"),
        (Fraction(7, 25), "seven over twenty-five", "seven over twenty-five"),
    ],
)
def test_a_value(value: Fraction, british: str, american: str) -> None:
    assert say_expression(constant(value)) == british
    assert say_expression(constant(value), AMERICAN) == american


@pytest.mark.parametrize(("voice", "count"), [(VOICES[0], 100), (VOICES[1], 50), (VOICES[2], 25), (VOICES[3], 25)])
def test_understanding_what_is_said_gives_the_same_equation(voice: SpokenStyle, count: int) -> None:
    """Grouping included, from the words alone; other equations at each run."""

    @settings(max_examples=count, deadline=None, suppress_health_check=list(HealthCheck))
    @given(equations())
    def returns(equation: Equation) -> None:
        said = say_equation(equation, voice)
        if len(said) <= MAX_LENGTH:  # more is no classroom equation, and is refused as a whole
            meaning = understand(words(said), "equation", equation.letter)
            assert isinstance(meaning, Line), said
            assert spoken_alike(meaning.equation) == spoken_alike(equation), said

    returns()


@pytest.mark.parametrize("stage", range(1, 16))
def test_every_line_of_a_lesson_is_understood_as_it_is_said(stage: int) -> None:
    """The equations of a stage and each line of their working, in both voices: thousands of sayings in all."""
    drawn = [task.equation for task in draw(stage, 5, 40)]
    lines = {*drawn, *(worked.equation for equation in drawn for worked in solve_by_steps(equation))}
    for line in lines:
        for voice in (BRITISH, AMERICAN):
            said = say_equation(line, voice)
            meaning = understand(words(said), "equation", line.letter)
            assert isinstance(meaning, Line), said
            assert spoken_alike(meaning.equation) == spoken_alike(line), said


def test_one_over_another_by_hand() -> None:
    assert over_words(3, 4) == "three quarters"
    assert over_words(105, 207) == "one hundred and five over two hundred and seven"
    assert over_words(105, 207, " ") == "one hundred five over two hundred seven"

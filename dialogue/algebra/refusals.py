"""What the algebra refuses, and the one clear sentence it says.

::

    Refusal                      anything below; has .sentence and .at (a place in the text, or None)
    +-- Unreadable               the text is not an equation or expression
    |   +-- TooMuch              longer, deeper or bigger than a classroom equation
    |   +-- DecimalComma         3,5: asked about, never guessed
    +-- OutOfScope               readable mathematics that this tutor does not teach
        +-- SeveralUnknowns
        +-- NotLinear
        +-- UnknownBelow
        +-- NotAnEquation        an inequality, no equals sign, several equals signs
        +-- DivisionByZero
"""


class Refusal(ValueError):
    """Outside text that is not used; ``sentence`` is fit to be shown to a learner as it stands."""

    def __init__(self, sentence: str, at: int | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.at = at


class Unreadable(Refusal):
    """The text is not an equation or expression."""


class TooMuch(Unreadable):
    """Longer, deeper or bigger than a classroom equation."""


class DecimalComma(Unreadable):
    """A comma in a number."""


class OutOfScope(Refusal):
    """Readable mathematics that this tutor does not teach."""


class SeveralUnknowns(OutOfScope):
    """More than one letter."""

    def __init__(self, letters: tuple[str, ...], at: int | None = None) -> None:
        named = " and ".join(letters[:3])
        super().__init__(f"I can work with one unknown at a time, and this has {named}.", at)
        self.letters = letters


class NotLinear(OutOfScope):
    """A power of the unknown, or the unknown multiplied by itself."""

    def __init__(self, at: int | None = None) -> None:
        super().__init__("The unknown is multiplied by itself here, and I only work with linear equations.", at)


class UnknownBelow(OutOfScope):
    """The unknown below the line of a fraction."""

    def __init__(self) -> None:
        super().__init__("The unknown is below the line of a fraction here, and I only work with linear equations.")


class NotAnEquation(OutOfScope):
    """Not exactly one equals sign, or an inequality."""


class DivisionByZero(OutOfScope):
    """A division by zero inside the text."""

    def __init__(self) -> None:
        super().__init__("This divides by zero, and nothing can be divided by zero.")

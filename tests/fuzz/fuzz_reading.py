"""Reading equations: whatever is typed is read, or refused in one sentence with a place inside the text.

What is read is written in every style, and the typed style is read back as the same line.
"""

from harness import instrumented, run

with instrumented("dialogue.algebra"):
    from dialogue.algebra.equation import read_equation
    from dialogue.algebra.reading import OWN, read_expression
    from dialogue.algebra.refusals import Refusal
    from dialogue.algebra.solver import solve_by_steps
    from dialogue.algebra.writing import ASCII, BOARD, TYPED

TEXTS = ("3x + 2 = 11", "2(x-3)/4 = 1.5x", "½n = 2 1/2", "-y/3 + 4 = 7 - 2y", "0.5(4a − 1) = .75", "x = 3,5", "2x²=8")


def one(data: bytes) -> None:
    """One text, with or without the lesson's letter."""
    if not data:
        return
    text = data[1:].decode("utf-8", "surrogateescape" if data[0] & 128 else "ignore")
    letter = "x" if data[0] & 1 else None
    try:
        read_expression(text, letter)
    except Refusal as refusal:
        _sound(refusal, text)
    try:
        equation = read_equation(text, letter)
    except Refusal as refusal:
        _sound(refusal, text)
        return
    for style in (ASCII, BOARD, TYPED):
        equation.text(style)
    back = read_equation(equation.text(TYPED), equation.letter, OWN)
    assert back.linear() == equation.linear(), f"{equation.text(TYPED)} is read back as {back.text()}"
    if worked := solve_by_steps(equation):
        assert worked[-1].equation.solution() == equation.solution(), "solving changed the solution"


def _sound(refusal: Refusal, text: str) -> None:
    assert refusal.at is None or 0 <= refusal.at <= len(text), f"{refusal.at} is no place in {text!r}"
    assert refusal.sentence and "\n" not in refusal.sentence, "a refusal is one sentence on one line"
    refusal.sentence.encode("utf-8", "surrogateescape")


def seeds() -> list[bytes]:
    """Sound inputs."""
    return [bytes([number]) + text.encode() for number, text in enumerate(TEXTS)]


if __name__ == "__main__":
    run(one, seeds())

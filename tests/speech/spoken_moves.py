"""A language of moves, equations and answers to measure the recognisers with: every number, operation and side open.

Common practice in speaking algebra, written from memory. The lesson itself generates its languages from the
grammar that understands them; this one keeps the tests and figures of the recognisers apart from that.
"""

from number_phrases import UNITS, below_hundred, cardinal, decimal, digit_by_digit, fraction, number, sign

from speech.language import Phrase, choice, optional, sequence, weighted

COMMANDS = (
    "hint",
    "hint please",
    "a hint",
    "give me a hint",
    "can i have a hint",
    "help",
    "help me",
    "repeat",
    "repeat that",
    "repeat that please",
    "say that again",
    "say it again",
    "pardon",
    "slower",
    "again",
    "why",
    "how",
    "where are we",
    "check",
    "check it",
    "check that",
    "show me an example",
    "give me an example",
    "i don't know",
    "don't know",
    "not sure",
    "i'm not sure",
    "i'm stuck",
    "stuck",
    "no idea",
    "undo",
    "undo that",
    "go back",
    "next",
    "next question",
    "next one",
    "skip",
    "skip this one",
    "skip it",
    "stop",
    "wait",
    "pause",
    "hang on",
    "let me think",
    "thinking",
    "carry on",
    "go on",
)
YES_NO = (
    "yes",
    "yeah",
    "yep",
    "yes please",
    "that's right",
    "correct",
    "right",
    "no",
    "nope",
    "no thanks",
    "wrong",
    "that's wrong",
    "not that",
    "no i said",
)
REWRITES = (
    "expand", "expand the brackets", "expand the bracket", "multiply out", "multiply out the brackets",
    "multiply out the bracket", "open the brackets", "remove the brackets", "collect like terms",
    "collect the like terms", "collect terms", "combine like terms", "combine the like terms", "simplify",
    "simplify both sides", "simplify the left side", "simplify the right side", "swap sides", "swap the sides",
    "swap the sides over", "add the like terms", "tidy up",
)  # fmt: skip
SIDES = ("both sides", "each side", "both", "everything", "the left side", "the right side", "the left", "the right",
         "the left hand side", "the right hand side")  # fmt: skip


def term() -> Phrase:
    """A number of unknowns: "x", "three x", "half x", "x over four"."""
    several = sequence(weighted((below_hundred(), 8), (decimal(), 1), (fraction(), 1)), "x")
    over = sequence(optional(below_hundred(), 0.3), "x", "over", below_hundred())
    return weighted(("x", 3), (several, 6), (over, 1))


def operand() -> Phrase:
    """What a move moves: a number or a term, signed or not."""
    return weighted((number(), 3), (sequence(optional(sign(), 0.15), term()), 1))


def move() -> Phrase:
    """An operation, its operand and the sides, in the orders that English has."""
    sides = weighted((SIDES[0], 8), *((one, 1) for one in SIDES[1:]))
    from_both = optional(sequence(choice("from", "off", "on"), sides), 0.7)
    to_both = optional(sequence(choice("to", "on"), sides), 0.7)
    less, more = operand(), operand()
    by = operand()
    scale = weighted(("divide", 4), ("multiply", 4), ("times", 2), ("share", 1))
    return weighted(
        (sequence(weighted(("subtract", 4), ("take away", 2), ("take", 2), ("minus", 2), ("take off", 1)),
                  less, from_both), 4),
        (sequence(weighted(("add", 4), ("plus", 2), ("add on", 1)), more, to_both), 4),
        (sequence(scale, optional(sides, 0.7), "by", by), 4),
        (sequence("times", optional(sides, 0.5), by), 1),
        (sequence(choice("times", "multiply"), sides, "by", by), 1),
        (sequence(choice("halve", "double"), sides), 0.5),
        (sequence(choice("move", "get rid of"), "the", optional(choice("plus", "minus"), 0.5), less), 0.5),
        (sequence("undo", choice("the", "times", "plus", "minus"), by), 0.3),
    )  # fmt: skip


def side() -> Phrase:
    """One side of an equation: at most two terms, brackets said."""
    plus = choice("plus", "minus")
    one = sequence(optional(sign(), 0.15), term())
    bracket = sequence(below_hundred(), weighted(("times", 1), ("brackets", 1), ("open brackets", 1), ("lots of", 1)),
                       "x", plus, cardinal(), optional("close brackets", 0.4))  # fmt: skip
    return weighted(
        (number(), 4), (one, 4), (sequence(one, plus, number()), 3), (sequence(number(), plus, term()), 1),
        (bracket, 0.5),
    )  # fmt: skip


def equation() -> Phrase:
    """A whole line; the unknown alone on the left is likeliest."""
    equals = weighted(("equals", 4), ("is", 3), ("is equal to", 1))
    return weighted((sequence("x", equals, number()), 1), (sequence(side(), equals, side()), 1))


def anything() -> Phrase:
    """All that can be said in a lesson."""
    return weighted(
        (move(), 8), (equation(), 5), (number(), 3), (term(), 0.5), (choice(*COMMANDS), 2), (choice(*YES_NO), 1),
        (choice(*REWRITES), 1),
    )  # fmt: skip


def answer() -> Phrase:
    """A number was asked for; the commands stay open."""
    return weighted((number(), 8), (choice(*COMMANDS), 1))


def digits() -> Phrase:
    """A number was asked for digit by digit."""
    return weighted((digit_by_digit(), 8), (choice(*COMMANDS), 1))


def single_digit() -> Phrase:
    """Zero to nine and nothing else: the narrowest language, for recordings of single digits."""

    return choice("zero", *UNITS)

"""What stops the tutor's voice when it is said over it. It only stops the voice: whoever wants to stop the lesson says
so when it is their turn."""

from speech.language import Automaton, choice, compiled, phrase

WORD = "stop"  # in all of them; where the tutor says it itself, it is not waited for
SAID = ("stop", "stop it", "stop please", "please stop", "stop stop", "stop now", "stop there", "okay stop")


def stopping() -> Automaton:
    """The language of it."""
    return compiled(choice(*(phrase(each) for each in SAID)))

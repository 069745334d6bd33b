"""How far what was heard is believed in a lesson: by the recogniser's decision, and by two rules of its own."""

from chattutor.lesson.voice.completeness import leads_on
from chattutor.lesson.voice.misheard import is_easily_misheard
from chattutor.lesson.voice.yes_or_no import is_plain_answer
from dialogue.acts import Expecting
from dialogue.tutor.core.state import Doubt
from speech.hearings import Decision, Heard, Hearing

DOUBTS: dict[Decision, Doubt] = {
    Decision.ACCEPT: "none",
    Decision.READ_BACK: "read back",
    Decision.ASK_AGAIN: "ask again",
}


def doubt_of(hearing: Hearing, event: Heard, expecting: Expecting) -> Doubt:
    """A plain yes or no is believed where one was asked for; numbers that sound like others are always read back, and
    so is what breaks off ("... no wait"), of which the end was not heard."""
    if expecting == "yesno" and is_plain_answer(hearing, event):
        return "none"
    doubt = DOUBTS[hearing.decision]
    return "read back" if doubt == "none" and (is_easily_misheard(event.text) or leads_on(event.text)) else doubt

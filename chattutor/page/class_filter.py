"""Which learners and days a teacher's page is of: read from its address, and the form that asks for them.

Names come from key files given to the command; they are shown, and stand in no address and in no log.
"""

import re
from collections.abc import Mapping
from datetime import date

from chattutor.exchange.name_list import names_in
from chattutor.page.reviewing import Wanted
from chattutor.page.server_state import Service
from chattutor.page.teacher_frame import options

DAY = re.compile(r"\d{4}-\d\d-\d\d")


def wanted(service: Service, asked: Mapping[str, str]) -> tuple[Wanted, str]:
    """What was asked for, and the number of the class in it. What is no day is no bound."""
    since, until = (day if DAY.fullmatch(day := asked.get(name, "")) else "" for name in ("since", "until"))
    chosen = asked.get("class", "")
    place = int(chosen) if chosen.isascii() and chosen.isdecimal() and len(chosen) < 4 else -1
    if not 0 <= place < len(service.options.key):
        return Wanted(None, since, until), ""
    return Wanted(tuple(names_in(service.options.key[place]).names), since, until), chosen


def known_names(service: Service) -> dict[str, str]:
    """Code to name, from every key."""
    return {code: name for key in service.options.key for code, name in names_in(key).names.items()}


def address(to: str, of: Wanted, chosen: str) -> str:
    """The address of another page of the same learners and days, for an attribute."""
    return f"{to}?class={chosen}&amp;since={of.since}&amp;until={of.until}"


def filters(service: Service, of: Wanted, chosen: str, classes: bool = True) -> str:
    """The fields of a form; a learner has no ``classes`` to choose from."""
    named = [("", "everybody"), *((str(place), key.stem) for place, key in enumerate(service.options.key))]
    asked = classes and len(named) > 1
    which = f"<label>Class <select name=class>{options(named, chosen)}</select></label>" if asked else ""
    today = date.today().isoformat()
    return (
        f'{which}<label>From <input type=date name=since value="{of.since}" max="{today}"></label>'
        f'<label>To <input type=date name=until value="{of.until}" max="{today}"></label>'
    )

"""A class list in, and the key that says whose code is whose.

The list is the users.csv of OneRoster (1EdTech, CSV binding 1.1 and 1.2): of it only sourcedId, givenName and
familyName are used, and role and status where they stand. Codes are drawn by chance, so that nothing of a name is in
one. Names are kept in the key file alone, for its owner's eyes; no command ever needs it.
"""

import csv
import io
import os
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from chattutor.common.exits import CONTROLS, LogTrouble, reason
from chattutor.common.files import opened
from chattutor.exchange.name_list import names_in
from chattutor.session_logs.learner_code import CODE
from chattutor.session_logs.spreadsheet import as_it_was, harmless
from chattutor.session_logs.writer import FILE_MODE

NEEDED = ("sourcedId", "givenName", "familyName")
KEY = ("code", "givenName", "familyName", "sourcedId")
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is easily taken for another
LENGTH = 5
MOST = 100_000  # learners in one list
LARGEST = 50_000_000  # bytes of one


@dataclass(frozen=True, slots=True)
class Person:
    """One learner of a class list, with a code once there is one."""

    source: str
    given: str
    family: str
    code: str = ""

    @property
    def name(self) -> str:
        """Given name, then family name."""
        return " ".join(each for each in (self.given, self.family) if each)


def read_users(path: Path) -> list[Person]:
    """The learners of a OneRoster users.csv. Raises LogTrouble."""
    found: dict[str, Person] = {}
    for row in _rows(path, NEEDED, "a OneRoster users.csv", "Export it again, separated by commas."):
        leaves = row.get("status", "") == "tobedeleted" or row.get("role", "") not in {"", "student"}
        if row["sourcedId"] and not leaves:
            found[row["sourcedId"]] = Person(row["sourcedId"], row["givenName"], row["familyName"])
    return list(found.values())


def read_key(path: Path) -> list[Person]:
    """Everybody in a key file. Raises LogTrouble."""
    rows = _rows(path, KEY, "a key file", "'chattutor logs roster' makes one; save it separated by commas.")
    people = [Person(row["sourcedId"], row["givenName"], row["familyName"], row["code"]) for row in rows]
    return [person for person in people if CODE.fullmatch(person.code)]


def make_codes(users: Path, key: Path) -> tuple[list[Person], int]:
    """Give a code to each learner who has none, and write the key anew; all of them, and how many are new. Raises
    LogTrouble."""
    known = read_key(key) if key.exists() else []
    by_source = {person.source: person for person in known}
    used = {person.code.lower() for person in known}
    new = [person for person in read_users(users) if person.source not in by_source]
    for person in new:
        code = _drawn(used)
        used.add(code)
        known.append(Person(person.source, person.given, person.family, code))
    _write(key, known)
    return known, len(new)


def names(key: Path) -> dict[str, str]:
    """Code to name, of a key or of any table with both. Raises LogTrouble."""
    return names_in(key).names


def with_names(page: Any, known: dict[str, str]) -> Any:
    """A class page with each code beside its name, wherever one is shown."""
    match page:
        case dict():
            return {key: _named(key, value, known) for key, value in page.items()}
        case list():
            return [with_names(each, known) for each in page]
    return page


def _named(key: str, value: Any, known: dict[str, str]) -> Any:
    match key, value:
        case "code", str(code) if known.get(code):
            return f"{known[code]} ({code})"
        case "learners" | "others", [str(), *_]:
            return [_named("code", code, known) for code in value]
    return with_names(value, known)


def _drawn(used: set[str]) -> str:
    while (code := "".join(secrets.choice(LETTERS) for _ in range(LENGTH))) in used:
        pass
    return code


def _rows(path: Path, needed: Iterable[str], what: str, mend: str) -> list[dict[str, str]]:
    try:
        with io.TextIOWrapper(opened(path, LARGEST), encoding="utf-8-sig", newline="") as source:
            reader = csv.DictReader(source)
            missing = [head for head in needed if head not in (reader.fieldnames or ())]
            if missing:
                raise LogTrouble(f"{path} is not {what}: its first line has no {', '.join(missing)}. {mend}")
            rows = []
            for row in reader:
                rows.append({head: _plain(row.get(head)) for head in reader.fieldnames or () if head})
                if len(rows) > MOST:
                    raise LogTrouble(f"{path} has more than {MOST:,} people.")
            return rows
    except OSError as error:
        raise LogTrouble(f"{path} cannot be read: {reason(error)}.") from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise LogTrouble(f"{path} cannot be read: it is not CSV in UTF-8.") from error


def _plain(text: str | None) -> str:
    """A cell, on one line, as it was before it was made harmless."""
    return as_it_was(" ".join(CONTROLS.sub(" ", text or "").split())).strip()


def _write(key: Path, people: list[Person]) -> None:
    beside = key.with_name(f"{key.name}.{secrets.token_hex(4)}")
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE)
        with open(handle, "w", encoding="utf-8", newline="") as out:
            rows = csv.writer(out)
            rows.writerow(KEY)
            for person in people:
                rows.writerow(map(harmless, (person.code, person.given, person.family, person.source)))
            out.flush()
            os.fsync(handle)
        os.replace(beside, key)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise LogTrouble(f"The key {key} cannot be written: {reason(error)}.") from error

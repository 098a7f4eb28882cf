"""Names of people, told by their form: an initial or a title before a surname."""

import re
from functools import lru_cache

from schedule2sign.model.flag import Flag
from schedule2sign.model.named import NamedRow
from schedule2sign.signlist.phrases import plain

_SURNAME = r"[A-Z][A-Z'-]+"
_FORMS = (
    re.compile(rf"(?:MR|MRS|MS|MISS|DR|PROF|REV)\.? (?:[A-Z]\.? )*{_SURNAME}"),
    re.compile(rf"(?:[A-Z]\. ?)+{_SURNAME}"),
    re.compile(rf"{_SURNAME}, ?[A-Z]\.(?: ?[A-Z]\.)?"),
)


def is_person(row: NamedRow) -> bool:
    """True when the name cell is a person's name, by its form or by a flag of the naming stage."""
    if any(is_person_flag(flag) for flag in row.flags):
        return True
    return _reads_as_person(row.name, row.name_as_given)


@lru_cache(maxsize=4096)  # a building has a few hundred names for its thousands of doors
def _reads_as_person(name: str, given: str) -> bool:
    return any(form.fullmatch(text) for form in _FORMS for text in (name, plain(given)))


def is_person_flag(flag: Flag) -> bool:
    """True when an earlier stage said that the text is a person's name."""
    return "person" in flag.code.partition("/")[2].split("-")

"""Level cell to a plain form: LEVEL 2, BASEMENT, MEZZANINE; what is not known stays as given."""

import re
from functools import cache

from schedule2sign.naming.tables import read_table

_WORD = r"(?:LEVEL|LVL|LEV|FLOOR|FLR|FL|STOREY|STORY|L|F)"
_AFTER = re.compile(rf"{_WORD}[\s.#:-]*(?:NO\.?\s*)?0*(\d+)(?!\d)(?:\s*-\s*.*)?")
_BEFORE = re.compile(rf"0*(\d+)(?:ST|ND|RD|TH)?[\s.-]*{_WORD}?\.?(?:\s+(?:LEVEL|PLAN))?")
_NAMED_AFTER = re.compile(r"0*(\d+)\s*-\s*.*\b(?:LEVEL|FLOOR)")
_BASEMENT = re.compile(r"(?:BASEMENT|BSMT|B)[\s.#-]*0*(\d+)")
_PARKING = re.compile(r"(?:PARKING(?: LEVEL)?|P)[\s.#-]*0*(\d+)")


@cache
def clean_level(text: str) -> str:
    """The level in plain capitals.

    A level that is known only by a name ("GROUND", "ROOF") keeps that name: which number it is differs by building.
    """
    plain = " ".join(text.replace("\u00a0", " ").upper().strip(" -:.").split())
    named, ordinals = _names()
    bare = plain.replace(".", "")
    if bare in named:
        return named[bare]
    for word, number in ordinals.items():
        bare = re.sub(rf"\b{word}\b", str(number), bare)
    for pattern, form in ((_BASEMENT, "BASEMENT {}"), (_PARKING, "LEVEL P{}")):
        if found := pattern.fullmatch(bare):
            return form.format(found[1])
    for pattern in (_AFTER, _BEFORE, _NAMED_AFTER):
        if found := pattern.fullmatch(bare):
            return f"LEVEL {found[1]}"
    return plain


@cache
def _names() -> tuple[dict[str, str], dict[str, int]]:
    data = read_table("levels.toml")
    named = {form: name for name, forms in data["named"].items() for form in forms}
    return named, dict(data["ordinals"])

"""What texts look like: numbers of rooms, words, levels, totals, notes."""

import functools
import re

from schedule2sign.intake.grid import MOST_TEXTS, load_table, squeeze

_CODE_LENGTH = 14
_SHORT_MARK = 4
_HEADING_LENGTH = 60
_SENTENCE_LENGTH = 60
_LONG_WORD = re.compile(r"[^\W\d_]{4,}")
_LETTER_RUN, _DIGIT = re.compile(r"[^\W\d_]+"), re.compile(r"\d")
_LETTERS = re.compile(r"[^\W\d_]{2,}")
_SHORT_LEVEL = re.compile(r"[a-z]{0,2}[ -]?\d{1,2}[a-z]?|[bglmpr]{1,2}|t/\w+", re.IGNORECASE)
_NUMBERS_ONLY = re.compile(r"[\d.,]+( ?(sf|m2|m\u00b2|sq ft|ea|doors?|rooms?|signs?))?", re.IGNORECASE)
_COUNT = re.compile(r"\d+")
_COUNT_LENGTH = 9  # no building has more digits of anything
_ENUMERATED = re.compile(r"(\(?\d{1,2}[.):]|\*+|\u2022|-)\s*[^\W\d_]{2}")


@functools.lru_cache(maxsize=MOST_TEXTS)
def is_code(text: str) -> bool:
    """True for what looks like the number of a door or room: short, with a digit, without a long word."""
    plain = squeeze(text)
    return (
        len(plain) <= _CODE_LENGTH
        and any(map(str.isdigit, plain))
        and len(plain.split()) <= 2
        and not _LONG_WORD.search(plain)
    )


def is_wordy(text: str) -> bool:
    """True for what looks like a name: two letters in a row, and no mere number."""
    plain = squeeze(text)
    return bool(_LETTERS.search(plain)) and not is_code(plain)


def shape_of(text: str) -> str:
    """ "101A" is "999A": digits and runs of letters, to compare numbers by their build."""
    return _LETTER_RUN.sub("A", _DIGIT.sub("9", squeeze(text)))


def is_mark(text: str) -> bool:
    """True for what may mark a door: a number, or a few letters."""
    return is_code(text) or len(squeeze(text)) <= _SHORT_MARK


@functools.cache
def _level_pattern() -> re.Pattern[str]:
    table = load_table("rows.toml")["level"]
    words, ordinals, alone = ("|".join(map(re.escape, table[key])) for key in ("words", "ordinals", "alone"))
    mark = r"(?:[a-z]{0,2}-?\d{1,3}[a-z]?|[a-z]{1,2})"
    tail = r"(?: ?[-:/,(].*| plan| continued| cont'?d\.?)?"
    ways = (
        rf"(?:the )?(?:{ordinals}|\d{{1,2}} ?(?:st|nd|rd|th))[ -](?:{words}){tail}",
        rf"(?:{words})[ .:#-]*(?:no\.? ?)?{mark}{tail}",
        rf"(?:{words})[ .:#-]+(?:{'|'.join(table['ordinals'][:10])}|one|two|three|four|five|six){tail}",
        rf"\d{{1,2}} ?[-:.] ?(?:[a-z]+ )?(?:{words}|{alone})(?: [a-z0-9]+)?",
        rf"(?:{alone})(?: (?:{words}))?(?: ?{mark})?{tail}",
    )
    return re.compile("|".join(ways))


def is_level_heading(text: str) -> bool:
    """True for the text of a heading row such as "SECOND FLOOR", "LEVEL 2" or "01 - Entry Level"."""
    plain = squeeze(text).lower()
    return len(plain) <= _HEADING_LENGTH and bool(_level_pattern().fullmatch(plain))


def is_bare_level(text: str) -> bool:
    """True for a word such as "ROOF" or "BASEMENT", which names a level or a room."""
    return squeeze(text).lower() in load_table("rows.toml")["level"]["alone"]


def is_level_value(text: str) -> bool:
    """True for what a level column may hold; shorter marks such as "2", "B1" or "P" are enough there."""
    plain = squeeze(text)
    words = plain.lower().split()
    table = load_table("rows.toml")["level"]
    return (
        is_level_heading(plain)
        or bool(_SHORT_LEVEL.fullmatch(plain))
        or any(word.strip(".,:") in (*table["words"], *table["ordinals"], *table["alone"]) for word in words)
    )


def level_in_title(text: str) -> str:
    """The level a title or sheet name speaks of ("DOOR SCHEDULE - SECOND FLOOR" is "SECOND FLOOR"), or ""."""
    plain = squeeze(text)
    if is_level_heading(plain):
        return plain
    for piece in re.split(r"\s+-\s+|[,:;()\u2013\u2014|_]", plain):
        if is_level_heading(piece):
            return piece.strip()
    table = load_table("rows.toml")["level"]
    words, ordinals = ("|".join(map(re.escape, table[key])) for key in ("words", "ordinals"))
    found = re.search(
        rf"\b(?:(?:{ordinals}|\d{{1,2}} ?(?:st|nd|rd|th)) (?:{words})|(?:{words}) [a-z]?\d{{1,2}})\b",
        plain,
        re.IGNORECASE,
    )
    return found[0] if found else ""


def is_subtotal(texts: tuple[str, ...], level: str) -> bool:
    """True for a row of sums: "TOTAL FIRST FLOOR | 61", "Grand total: 22", "Level 1: 12"."""
    first, *rest = (squeeze(text) for text in texts)
    lower = first.lower()
    starts = load_table("rows.toml")["subtotal"]["starts"]
    # "TOTAL BODY SCAN" is a room: a sum has nothing but numbers beside it.
    if not all(map(is_count, rest)):
        return False
    plain = lower.rstrip(": ")
    if any(plain == start or re.match(rf"{re.escape(start)}\b", lower) for start in starts):
        return bool(rest) or any(char.isdigit() for char in first) or plain in starts
    if re.fullmatch(r".+ (?:sub-?)?totals?:?(?: ?\d+)?", lower):
        return bool(rest) or lower[-1].isdigit() or lower.endswith(("total", "totals", "total:"))
    return bool(level) and not rest and bool(re.fullmatch(re.escape(squeeze(level).lower()) + r": ?\d+", lower))


def is_count(text: str) -> bool:
    """True for a number with nothing but a unit: "12", "12 DOORS", "1,204 SF"."""
    return bool(_NUMBERS_ONLY.fullmatch(squeeze(text)))


def count_in(texts: tuple[str, ...]) -> int | None:
    """The last whole number of a sums row, or None."""
    for text in reversed(texts):
        if (found := _COUNT.findall(text)) and len(found[-1]) <= _COUNT_LENGTH:
            return int(found[-1])
    return None


def starts_legend(texts: tuple[str, ...]) -> bool:
    """True for the heading of notes, a legend, or a revision box."""
    lower = squeeze(texts[0]).lower()
    starts = load_table("rows.toml")["legend"]["starts"]
    if len(texts) == 1:
        return any(re.match(rf"{re.escape(start)}(?:$|[:. ])", lower) for start in starts)
    if lower.rstrip(":. ") not in starts:
        return False
    words = {squeeze(text).lower().rstrip(".:") for text in texts}
    return bool(words & {"date", "description", "by", "issue", "symbol", "meaning"})


def is_remark(text: str) -> bool:
    """True for a sentence that is no cell of a table: enumerated, or long."""
    plain = squeeze(text)
    return bool(_ENUMERATED.match(plain)) or len(plain) > _SENTENCE_LENGTH

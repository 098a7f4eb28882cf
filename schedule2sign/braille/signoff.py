"""What a transcriber signed: read from the returned sheets, and put into the job's lexicon."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError
from zipfile import BadZipFile

from schedule2sign.braille.codes import find_code
from schedule2sign.braille.parts import name_case
from schedule2sign.errors import InputError
from schedule2sign.geometry.brailleascii import read_ascii
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.settings import CheckedTerm, Lexicon

LINE = "line"
LISTS = ("names", "spelled", "spoken", "words")
_MOST_HEADER_ROWS = 5
_COLUMNS = {
    "term": "as raised",
    "written": "written as",
    "take_as": "take as",
    "stands_in": "stands in",
    "braille": "ASCII braille",
    "code": "braille code",
    "by": "initials",
    "on": "date",
}


def take_signed(lexicon: Lexicon) -> Lexicon:
    """The lexicon with every signed term in its list.

    Raises:
        InputError: a sheet cannot be read, or a sign-off makes no sense or contradicts another.
    """
    checked = [*lexicon.checked]
    for path in lexicon.signed:
        checked += read_signed(Path(path))
    kept = _refuse_contradictions(map(_fill_in, checked))
    lists: dict[str, tuple[str, ...]] = {name: getattr(lexicon, name) for name in LISTS}
    for term in kept:
        if term.take_as in LISTS:
            given = term.term if term.take_as == "words" else term.written or term.term
            lists[term.take_as] = tuple(dict.fromkeys((*lists[term.take_as], given)))
    return replace(
        lexicon,
        checked=kept,
        signed=(),
        names=lists["names"],
        spelled=lists["spelled"],
        spoken=lists["spoken"],
        words=lists["words"],
    )


def read_signed(path: Path) -> tuple[CheckedTerm, ...]:
    """Every row of a braille-check sheet that has both initials and date.

    Raises:
        InputError: the file cannot be read, has not the sheet's columns, or a row is half signed.
    """
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, data_only=True)
    except (OSError, InvalidFileException, KeyError, ValueError, TypeError, BadZipFile, ParseError) as error:
        raise InputError(f"The signed sheet {path.name} cannot be read as an xlsx workbook: {error}.") from error
    signed: list[CheckedTerm] = []
    found = False
    for page in book.worksheets:
        rows = [tuple(_text(value) for value in row) for row in page.iter_rows(values_only=True)]
        header = next(
            ((at, places) for at, row in enumerate(rows[:_MOST_HEADER_ROWS]) if (places := _places(row))), None
        )
        if header is None:
            continue
        found = True
        at, places = header
        signed += _signed_rows(rows[at + 1 :], places, f"{path.name} [{page.title}]", at + 2)
    if not found:
        needed = ", ".join(map(repr, _COLUMNS.values()))
        raise InputError(f"{path.name} has no sheet with the columns {needed}: give a signed braille-check.xlsx.")
    return tuple(signed)


def _places(row: Sequence[str]) -> Mapping[str, int]:
    found = {text.casefold(): at for at, text in reversed(list(enumerate(row))) if text}
    places = {key: found[name.casefold()] for key, name in _COLUMNS.items() if name.casefold() in found}
    return places if len(places) == len(_COLUMNS) else {}


def _signed_rows(
    rows: Sequence[tuple[str, ...]], places: Mapping[str, int], sheet: str, first: int
) -> Iterator[CheckedTerm]:
    for number, row in enumerate(rows, start=first):
        said = {key: row[place] if place < len(row) else "" for key, place in places.items()}
        if not said["by"] and not said["on"]:
            continue
        where = f"{sheet} row {number}"
        if missing := [_COLUMNS[key] for key in ("term", "take_as", "braille", "by", "on") if not said[key]]:
            raise InputError(
                f"{where}: {said['term']!r} is signed but lacks {', '.join(missing)}. Fill it in or clear it."
            )
        yield CheckedTerm(**said)


def _refuse_contradictions(checked: Iterable[CheckedTerm]) -> tuple[CheckedTerm, ...]:
    kept: dict[tuple[str, bool, str], CheckedTerm] = {}
    for term in checked:
        _check(term)
        key = (term.term.upper(), term.take_as == LINE, term.code)
        old = kept.setdefault(key, term)
        if (old.take_as, old.written, read_ascii(old.braille)) != (
            term.take_as,
            term.written,
            read_ascii(term.braille),
        ):
            raise InputError(
                f"{term.term!r} is signed twice and not alike: {old.take_as} {old.written} {old.braille} "
                f"({old.by}, {old.on}) and {term.take_as} {term.written} {term.braille} ({term.by}, {term.on}). "
                "Take one of them out of the job's lexicon."
            )
    return tuple(kept.values())


def _fill_in(term: CheckedTerm) -> CheckedTerm:
    """The capitals the lexicon would give the term, where nobody wrote them."""
    if term.written or term.take_as == LINE:
        return term
    plain = term.term.replace("\u2019", "'")
    if term.take_as == "words":
        plain = plain.lower()
    elif term.take_as == "names":
        plain = " ".join(name_case(word) for word in plain.split())
    return replace(term, written=plain)


def _check(term: CheckedTerm) -> None:
    if term.take_as not in (*LISTS, LINE):
        raise InputError(f"{term.term!r} is signed as {term.take_as!r}; it must be one of {', '.join((*LISTS, LINE))}.")
    if term.code:
        find_code(term.code)
    try:
        cells = read_ascii(term.braille)
    except ValueError:
        raise InputError(f"The signed braille of {term.term!r}, {term.braille!r}, is no ASCII braille.") from None
    covered = term.term if term.take_as == LINE else term.stands_in or term.written or term.term
    if len(cells.split(BLANK)) != len(covered.split()):
        raise InputError(
            f"The signed braille of {term.term!r}, {term.braille!r}, does not have one group of cells for each word."
        )
    if term.take_as != LINE and term.written and _letters(term.written) != _letters(term.term):
        raise InputError(f"{term.term!r} is signed as {term.written!r}: other letters, not only other capitals.")


def _letters(text: str) -> str:
    return text.upper().replace("\u2019", "'")


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, date):
        return value.isoformat()[:10]
    return " ".join(str(value).split())

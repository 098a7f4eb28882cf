"""Text files: encoding, delimiter and quotes found out, not assumed."""

import codecs
import csv
import io
from collections import Counter
from dataclasses import dataclass

from schedule2sign.errors import InputError
from schedule2sign.intake.cells import make_cell
from schedule2sign.intake.grid import Grid, GridRow, load_table
from schedule2sign.intake.headers import is_known_header
from schedule2sign.model.flag import Flag, Severity

_DELIMITERS = {",": "comma", "\t": "tab", ";": "semicolon", "|": "bar"}
_NEVER = "\x1f"  # the unit separator: in no schedule
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8 with byte-order mark"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decoded:
    text: str
    encoding: str
    guessed: bool


def read_delimited(name: str, data: bytes) -> Grid:
    """Read comma, tab, semicolon or bar separated text as one grid.

    Raises:
        InputError: the bytes are no text, or some characters are already lost.
    """
    decoded = _decode(name, data)
    if "\ufffd" in decoded.text:
        line = decoded.text[: decoded.text.index("\ufffd")].count("\n") + 1
        raise InputError(
            f"{name} line {line} holds the replacement character U+FFFD {decoded.text.count(chr(0xFFFD))} times:"
            f" letters were lost when the file was saved. Export it again as UTF-8."
        )
    _check_extent(name, decoded.text)
    delimiter, records, broken = _split(decoded.text)
    limits = load_table("limits.toml")
    if len(records) > limits["rows"] or max(map(len, records), default=0) > limits["columns"]:
        raise InputError(
            f"{name} has {len(records)} rows and up to {max(map(len, records))} columns;"
            f" at most {limits['rows']} rows and {limits['columns']} columns are read. Split the file."
        )
    rows = []
    for number, record in enumerate(records, start=1):
        cells = {index: cell for index, text in enumerate(record) if (cell := make_cell(text)) is not None}
        rows.append(GridRow(number=number, cells=cells))
    flags = []
    if decoded.guessed:
        flags.append(
            Flag(
                code="intake/encoding-guessed",
                severity=Severity.ASK,
                message=f"{name} is not UTF-8; it was read as {decoded.encoding}, which is a guess.",
                fix="Check names with accents or typographic quotes, or export the file again as UTF-8.",
            )
        )
    if broken:
        flags.append(
            Flag(
                code="intake/unbalanced-quote",
                severity=Severity.ASK,
                message=f"{name} has a quotation mark that is never closed; each line was read as one row.",
                fix="Check the rows around it, or export the file again.",
            )
        )
    return Grid(
        file=name,
        sheet="",
        rows=tuple(rows),
        notes=f"{decoded.encoding}, " + (f"{_DELIMITERS[delimiter]} between cells" if delimiter else "one cell a line"),
        flags=tuple(flags),
        blind=f"{name} is plain text",
    )


def _check_extent(name: str, text: str) -> None:
    """Refuse, before it is split, a text that could not be split within reason.

    Raises:
        InputError: zero characters, too many lines or cells, or a line that is too long.
    """
    limits = load_table("limits.toml")
    if zeros := text.count("\0"):
        line = text[: text.index("\0")].count("\n") + 1
        raise InputError(f"{name} is no text: it holds {zeros} zero bytes, the first in line {line}. Export it again.")
    lines = text.count("\n") or text.count("\r")
    cells = max(text.count(mark) for mark in _DELIMITERS)
    if lines > limits["lines"] or cells > limits["cells"]:
        raise InputError(
            f"{name} has {lines} lines and {cells} marks between cells; at most {limits['lines']} lines and"
            f" {limits['cells']} marks are read. Split the file."
        )
    longest = max(map(len, text.splitlines()), default=0)
    if longest > limits["line_characters"]:
        raise InputError(
            f"{name} has a line of {longest} characters; at most {limits['line_characters']} are read. Export it again,"
            " one record a line."
        )


def _decode(name: str, data: bytes) -> _Decoded:
    for mark, codec, title in _BOMS:
        if data.startswith(mark):
            return _Decoded(text=_strictly(name, data, codec, title), encoding=title, guessed=False)
    zeros = data[:4096].count(0)
    if zeros:
        # Text of mostly Latin letters in UTF-16 has a zero in every second byte.
        sample = data[:4096]
        for codec, offset in (("utf-16-le", 1), ("utf-16-be", 0)):
            if sample[offset::2].count(0) > 0.4 * len(sample[offset::2]) and not sample[1 - offset :: 2].count(0):
                text = _strictly(name, data, codec, "UTF-16 without byte-order mark")
                return _Decoded(text=text, encoding="UTF-16 without byte-order mark", guessed=True)
        raise InputError(f"{name} is no text: it holds {zeros} zero bytes in its first {len(data[:4096])}.")
    try:
        return _Decoded(text=data.decode("utf-8"), encoding="UTF-8", guessed=False)
    except UnicodeDecodeError:
        text = _strictly(name, data, "cp1252", "UTF-8 or Windows-1252")
        return _Decoded(text=text, encoding="Windows-1252", guessed=True)


def _strictly(name: str, data: bytes, codec: str, title: str) -> str:
    try:
        return data.decode(codec)
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(
            f"{name} cannot be read as {title}: byte 0x{data[error.start]:02X} in line {line}."
            f" Export it again as UTF-8."
        ) from error


def _split(text: str) -> tuple[str, list[list[str]], bool]:
    """Delimiter ("" for none), records, and whether a quotation mark stays open."""
    first, _, rest = text.partition("\n")
    told = first.strip().lower().removeprefix("sep=") if first.strip().lower().startswith("sep=") else ""
    if told in _DELIMITERS:
        records, broken = _parse(rest, told)
        return told, [[first.strip()], *records], broken
    best = max(_DELIMITERS, key=lambda mark: _regularity(text, mark))
    if _is_prose(text, best):
        return "", _parse(text, _NEVER)[0], False
    return (best, *_parse(text, best))


def _is_prose(text: str, delimiter: str) -> bool:
    """True for a list of names with commas in them: a blank follows each, and no header says otherwise."""
    count = text.count(delimiter)
    if delimiter not in ",;" or not count:
        return count == 0
    share, width = _regularity(text, delimiter)
    first = next((record for record in _parse(text[:4000], delimiter)[0] if any(record)), [])
    headed = len(first) > 1 and all(is_known_header(cell) for cell in first)
    return text.count(delimiter + " ") > 0.8 * count and (share < 0.95 or width <= 2) and not headed


def _regularity(text: str, delimiter: str) -> tuple[float, int]:
    """How well a delimiter explains the text: rows that have the most common number of cells, times cells."""
    lengths = Counter(len(record) for record in _parse(text[:200_000], delimiter)[0] if record)
    wide = {length: count for length, count in lengths.items() if length > 1}
    if not wide:
        return 0.0, 0
    length, count = max(wide.items(), key=lambda item: (item[1], item[0]))
    return count / sum(lengths.values()), length


def _parse(text: str, delimiter: str) -> tuple[list[list[str]], bool]:
    lines = io.StringIO(text, newline=None).readlines()
    try:
        records = list(csv.reader(lines, delimiter=delimiter))
    except csv.Error:
        records, broken = [], True
    else:
        # A cell that swallowed whole rows: its quotation mark was an inch mark, or was never closed.
        commas = _usual_delimiters(records)
        broken = any(_swallowed(cell, delimiter, commas) for record in records for cell in record if "\n" in cell)
    if broken:
        records = [
            next(csv.reader([line.rstrip("\r\n")], delimiter=delimiter, quoting=csv.QUOTE_NONE), []) for line in lines
        ]
    return records, broken


def _usual_delimiters(records: list[list[str]]) -> int:
    """Delimiters in a record of the most common length, at least one."""
    usual = Counter(len(record) for record in records if len(record) > 1).most_common(1)
    return max(usual[0][0] - 1, 1) if usual else 1


def _swallowed(cell: str, delimiter: str, commas: int) -> bool:
    return sum(line.count(delimiter) >= commas for line in cell.split("\n")[1:]) >= 2

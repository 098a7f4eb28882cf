"""One value of a file to one grid cell, with what is odd about it."""

import functools
import re
from datetime import date, datetime, time, timedelta

from schedule2sign.intake.grid import GridCell, Mark, load_table
from schedule2sign.model.flag import Severity

_RESAVED = "The file was probably opened and re-saved in a spreadsheet program"
_RETYPE = "Ask for the value as the architect wrote it, or format the column as text and type it again."
_ZEROS = re.compile(r"0+")
_DECIMALS = re.compile(r"#?,?#*0*\.(0+)")
# What a spreadsheet program makes of room numbers when it saves text: 5-Feb, Mar-01, 2/5/2026, 1.00E+10.
_DATE_TEXT = re.compile(
    r"\d{1,2}-(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)(-\d{2,4})?"
    r"|(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)-\d{1,4}"
    r"|\d{1,2}/\d{1,2}/\d{4}|\d{4}-\d{2}-\d{2}([ t]\d{2}:\d{2}(:\d{2})?)?",
    re.IGNORECASE,
)
_SCIENTIFIC = re.compile(r"[+-]?\d+(\.\d+)?e[+-]\d+|[+-]?\d+\.\d+e\d+", re.IGNORECASE)
# ="007" in a text file keeps a spreadsheet program from dropping the zeros.
_KEPT_AS_TEXT = re.compile(r'="([^"]*)"')
# Letters that a number format shows around the number: "A-"000.
_SHOWN_LETTERS = re.compile(r'"[^"]*[^"\s][^"]*"|\\[a-z]', re.IGNORECASE)
_LARGE = 1e9
# Controls that are no white space, and code points that are no characters.
_CONTROL = re.compile("[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f\ufffe\uffff]")
# Overrides, embeddings and isolates of the reading direction (UAX 9, 2.1 to 2.5).
_TURNED = re.compile("[\u202a-\u202e\u2066-\u2069]")

Value = object


def make_cell(
    value: Value, *, number_format: str = "General", formula: str = "", comment: str = "", struck: bool = False
) -> GridCell | None:
    """A grid cell, or None for an empty one.

    Args:
        value: what the file holds (for a formula its last calculated value, None where there is none).
        formula: the formula's own text, "" where the cell holds a plain value.
    """
    if isinstance(value, str) and not (formula or comment or struck):
        return _text_cell(value)
    if formula and (value is None or value == ""):
        mark = Mark(
            code="intake/formula-without-value",
            severity=Severity.HOLD,
            message=f"the cell is a formula ({_short(formula)}) whose result is not stored in the file",
            fix="Open the workbook in a spreadsheet program, let it calculate, and save it again.",
        )
        return GridCell(text="", given=formula, marks=(mark,), comment=comment, struck=struck)
    if value is None or (isinstance(value, str) and not value.strip("\ufeff")):
        return None
    text, numeric, marks = _read_value(value, number_format)
    if formula:
        marks = (
            *marks,
            Mark(
                code="intake/formula-value",
                severity=Severity.NOTE,
                message="the text is the stored result of a formula; it may be older than what it was made from",
            ),
        )
    if not text.strip() and not marks:
        return None
    error = any(mark.code == "intake/error-value" for mark in marks)
    live = "" if struck or error else text
    return GridCell(text=live, given=text, marks=marks, numeric=numeric, comment=comment, struck=struck)


@functools.lru_cache(maxsize=1024)  # rows say much the same, and one cell stands for all that are alike
def _text_cell(text: str) -> GridCell | None:
    """A cell with text and nothing else, as nearly all of them are."""
    if text.isascii() and text.replace(" ", "").isalnum():
        return GridCell(text=text, given=text)  # whatever is odd about a text has another sign in it
    if not text.strip("\ufeff"):
        return None
    live, _, marks = _read_value(text, "")
    if not live.strip() and not marks:
        return None
    error = any(mark.code == "intake/error-value" for mark in marks)
    return GridCell(text="" if error else live, given=live, marks=marks)


def _read_value(value: Value, number_format: str) -> tuple[str, bool, tuple[Mark, ...]]:
    if isinstance(value, str):
        if kept := _KEPT_AS_TEXT.fullmatch(value.strip()):
            return kept[1], False, text_marks(kept[1])
        return value, False, text_marks(value)
    if isinstance(value, bool):
        shown = "TRUE" if value else "FALSE"
        return shown, False, (_mangled("intake/true-or-false", f"the cell holds the logical value {shown}, no text"),)
    if isinstance(value, (datetime, date, time, timedelta)):
        shown = _show_date(value)
        return shown, False, (_mangled("intake/date-value", f"the cell holds the date or time {shown}, no text"),)
    if isinstance(value, (int, float)):
        return _read_number(value, number_format)
    return str(value), False, ()


def text_marks(text: str) -> tuple[Mark, ...]:
    """Marks for text that a spreadsheet program has spoilt."""
    plain = text.strip()
    if turned := _TURNED.search(text):
        return (
            Mark(
                code="intake/turned-text",
                severity=Severity.HOLD,
                message=f"the text holds the character U+{ord(turned[0]):04X}, which turns the order it is shown in:"
                " what a person saw is not what is stored",
                fix="Ask for the text, and type it again.",
            ),
        )
    if unseen := _CONTROL.search(text):
        return (
            Mark(
                code="intake/control-character",
                severity=Severity.HOLD,
                message=f"the text holds the control character U+{ord(unseen[0]):04X}; what stood there may be lost",
                fix="Ask for the text, and type it again.",
            ),
        )
    if plain.lower() in load_table("rows.toml")["errors"]:
        return (
            Mark(
                code="intake/error-value",
                severity=Severity.HOLD,
                message=f"the cell holds the spreadsheet error {plain}, no value",
                fix="Repair the formula in the schedule; an error is never a name or a number.",
            ),
        )
    if _SCIENTIFIC.fullmatch(plain):
        return (_mangled("intake/scientific-number", f"{plain} is a number in scientific notation"),)
    if _DATE_TEXT.fullmatch(plain):
        return (_mangled("intake/date-value", f"{plain} reads as a date"),)
    return ()


def _read_number(value: int | float, number_format: str) -> tuple[str, bool, tuple[Mark, ...]]:
    if value != value or value in (float("inf"), float("-inf")):
        return str(value), True, (_mangled("intake/scientific-number", f"{value} is no number"),)
    whole = float(value).is_integer()
    if abs(value) >= _LARGE or "E+" in number_format.upper():
        shown = str(int(value)) if whole else repr(value)
        return shown, True, (_mangled("intake/scientific-number", f"the cell holds the very large number {shown}"),)
    if _SHOWN_LETTERS.search(number_format):
        shown = str(int(value)) if whole else repr(float(value))
        mark = Mark(
            code="intake/number-format",
            severity=Severity.HOLD,
            message=f"the cell holds {shown}, but the sheet shows it with the text of its format {number_format}",
            fix=_RETYPE,
        )
        return shown, True, (mark,)
    decimals = _DECIMALS.fullmatch(number_format)
    if whole:
        shown = str(int(value))
        if _ZEROS.fullmatch(number_format) and value >= 0:
            shown = shown.zfill(len(number_format))
        if decimals:
            printed = f"{value:.{len(decimals[1])}f}"
            mark = Mark(
                code="intake/decimals-dropped",
                severity=Severity.ASK,
                message=f"the sheet shows {printed}; read as {shown}",
                fix=_RETYPE,
            )
            return shown, True, (mark,)
        return shown, True, ()
    shown = f"{value:.{len(decimals[1])}f}" if decimals and len(decimals[1]) <= 3 else repr(float(value))
    return shown, True, ()


def _show_date(value: datetime | date | time | timedelta) -> str:
    if isinstance(value, datetime) and value.time() == time(0):
        return value.date().isoformat()
    return value.isoformat(sep=" ") if isinstance(value, datetime) else str(value)


def _mangled(code: str, what: str) -> Mark:
    message = f"{what}. {_RESAVED}, which turned a number such as 1-2, MAR1 or 1E10 into it"
    return Mark(code=code, severity=Severity.HOLD, message=message, fix=_RETYPE)


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."

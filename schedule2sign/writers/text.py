"""Text that is safe in a spreadsheet, a CSV and an XML file."""

import unicodedata

_CELL_LENGTH = 32_767  # most characters of a spreadsheet cell
# A spreadsheet program may read a CSV field that starts with one of these as a formula, full-width twins included.
_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def clean_text(text: str) -> str:
    """The text without control characters; a tab becomes a space, line breaks become one kind."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ")
    return "".join(c for c in text if c == "\n" or not _is_forbidden(c))


def _is_forbidden(character: str) -> bool:
    # Controls and lone surrogates cannot stand in XML 1.0; U+xxFFFE and U+xxFFFF are no characters.
    return unicodedata.category(character) in ("Cc", "Cs") or ord(character) & 0xFFFE == 0xFFFE


def cell_text(text: str) -> str:
    """Text for a spreadsheet cell: clean, and not longer than a cell may be."""
    text = clean_text(text)
    return text if len(text) <= _CELL_LENGTH else text[: _CELL_LENGTH - 6] + " (cut)"


def csv_text(text: str) -> str:
    """Text for a CSV field: an apostrophe in front keeps what looks like a formula from running."""
    text = cell_text(text)
    return "'" + text if text.lstrip().startswith(_FORMULA_STARTS) else text

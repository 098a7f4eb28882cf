"""Text that is safe in a spreadsheet, a CSV and an XML file."""

import unicodedata

_CELL_LENGTH = 32_767  # most characters of a spreadsheet cell
# A spreadsheet program may read a CSV field that starts with one of these as a formula, full-width twins included.
_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


# What turns the reading direction of the text after it (UAX 9), and so can make one name look like another.
_TURNING = {
    code: f"[U+{code:04X}]" for code in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))
}


def clean_text(text: str) -> str:
    """The text without control characters; a tab becomes a space, line breaks become one kind.

    A character that would turn the text around is named instead: [U+202E].
    """
    if text.replace("\n", "").isprintable():
        return text  # all that is taken out or named below is not printable
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ").translate(_TURNING)
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

"""North American ASCII braille and dot numbers of cells."""

from schedule2sign.geometry.dotgrid import cell_dots

# Position is the cell's dot pattern: bit 0 is dot 1 (North American Braille ASCII; from memory, checked by the
# examples of the tests).
_ASCII = " A1B'K2L@CIF/MSP\"E3H9O6R^DJG>NTQ,*5<-U8V.%[$+X!&;:4\\0Z7(_?W]#Y)="


def ascii_braille(cells: str) -> str:
    """Cells as North American ASCII braille, in capitals.

    Raises:
        ValueError: a character is no six-dot pattern.
    """
    return "".join(_ASCII[_pattern(cell)] for cell in cells)


def read_ascii(text: str) -> str:
    """Cells of ASCII braille in either case, or of Unicode patterns as they stand.

    Raises:
        ValueError: a character is neither.
    """
    # The small-letter twins of the five signs behind Z.
    plain = text.upper().translate(str.maketrans("`{|}~", "@[\\]^"))
    return "".join(char if 0x2800 <= ord(char) < 0x2840 else chr(0x2800 + _ASCII.index(char)) for char in plain)


def dot_numbers(cells: str) -> str:
    """Cells as dot numbers, "6 1345"; a blank cell is "0"."""
    return " ".join("".join(map(str, cell_dots(cell))) or "0" for cell in cells)


def _pattern(cell: str) -> int:
    return sum(1 << (number - 1) for number in cell_dots(cell))

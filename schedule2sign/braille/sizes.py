"""Named braille sizes: a job may draw with another than its standard's own."""

import tomllib
from functools import cache

from schedule2sign.braille.lexicon import read_data
from schedule2sign.errors import InputError
from schedule2sign.model.braille import CellSize
from schedule2sign.model.measure import parse_length


def find_size(name: str) -> CellSize:
    """The size of that name.

    Raises:
        InputError: there is no such size.
    """
    sizes = load_sizes()
    if name not in sizes:
        raise InputError(f"There is no braille size {name!r}. Choose one of: {', '.join(sizes)}.")
    return sizes[name]


@cache
def load_sizes() -> dict[str, CellSize]:
    """Every size by name, in the order of the data file."""
    return {
        name: CellSize(
            name=name,
            dot_pitch_mm=parse_length(entry["dot_pitch"]).mm,
            cell_pitch_mm=parse_length(entry["cell_pitch"]).mm,
            line_pitch_mm=parse_length(entry["line_pitch"]).mm,
            base_mm=parse_length(entry["base"]).mm,
            height_mm=parse_length(entry["height"]).mm,
        )
        for name, entry in load_table().items()
    }


@cache
def load_table() -> dict[str, dict[str, str]]:
    """The data file: title, printed lengths and source of every size."""
    return tomllib.loads(read_data("sizes.toml"))

"""Screen colors of the materials a job names."""

import functools
import re
import tomllib
from importlib.resources import files

from schedule2sign.model.shape import Build

_HEX = re.compile(r"#[0-9a-f]{6}")


def find_colors(build: Build) -> tuple[str, str, tuple[str, ...]]:
    """Base and letter as "#rrggbb", and the names that are not known and are shown as a gray of that lightness."""
    table = _table()
    shown, unknown = [], []
    for part, name, reflectance in (
        ("base", build.base_color, build.base_reflectance),
        ("letter", build.letter_color, build.letter_reflectance),
    ):
        key = " ".join(name.lower().replace("-", " ").split())
        if _HEX.fullmatch(name.strip().lower()):
            shown.append(name.strip().lower())
        elif key in table["colors"]:
            shown.append(table["colors"][key])
        else:
            unknown.append(name)
            shown.append(table["unknown"][part] if reflectance is None else _gray(reflectance))
    return shown[0], shown[1], tuple(unknown)


def mix(color: str, other: str, share: float) -> str:
    """`color` with a share (0 to 1) of `other` in it."""
    pairs = ((int(color[i : i + 2], 16), int(other[i : i + 2], 16)) for i in (1, 3, 5))
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def _gray(reflectance: float) -> str:
    """The sRGB gray that reflects this percentage (IEC 61966-2-1 transfer curve)."""
    linear = min(max(reflectance / 100, 0.0), 1.0)
    level = 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return "#" + f"{round(level * 255):02x}" * 3


@functools.cache
def _table() -> dict[str, dict[str, str]]:
    return tomllib.loads(files(__package__).joinpath("colors.toml").read_text(encoding="utf-8"))

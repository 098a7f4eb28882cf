"""Whether a font may be cut as raised characters: yes or no, with every measured number."""

import tomllib
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

from schedule2sign.geometry.rings import fill_contours, polygons_of
from schedule2sign.lettering.fontfile import FontFile, open_font
from schedule2sign.lettering.measure import measure_font
from schedule2sign.lettering.strokes import smallest_counter, thinnest_stroke
from schedule2sign.model.measure import inches, parse_length
from schedule2sign.model.shape import FontFacts

_ERROR = 0.0005  # chord error while measuring, as a share of the height
_DEFAULT_HEIGHT_MM = 15.875  # 5/8 in, the least height of ADA 703.2.5: everything is thinnest there


@dataclass(frozen=True, slots=True, kw_only=True)
class FontCheck:
    """One thing measured on a font. `where` names the characters that decided it."""

    id: str
    title: str
    measured: str
    required: str
    clause: str
    met: bool
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FontReport:
    """Every check of a font at one character height."""

    facts: FontFacts
    height_mm: float
    checks: tuple[FontCheck, ...]

    @property
    def accepted(self) -> bool:
        """True when every check is met."""
        return all(check.met for check in self.checks)


def accept_font(path: Path, *, height_mm: float = _DEFAULT_HEIGHT_MM, cut_width_mm: float = 0.0) -> FontReport:
    """Measure a font file.

    Args:
        path: the font.
        height_mm: character height at which strokes and counters are judged.
        cut_width_mm: width of the cutter's cut at the surface; 0 where no cutter is known.

    Raises:
        InputError: the file is not a font that can be read.
    """
    font = open_font(path)
    facts = measure_font(font)
    checks = (
        _characters(font),
        _even_height(font),
        *_stroke(facts),
        *_proportion(facts),
        _serifs(facts),
        _slant(facts),
        _embedding(font),
        _thinnest(font, height_mm),
        _counters(font, height_mm, cut_width_mm),
        _slits(font, height_mm, cut_width_mm),
    )
    return FontReport(facts=facts, height_mm=height_mm, checks=checks)


@cache
def _limits() -> dict[str, Any]:
    with (Path(__file__).parent / "fontlimits.toml").open("rb") as file:
        return tomllib.load(file)


def _characters(font: FontFile) -> FontCheck:
    wanted = _limits()["characters"]
    missing = [char for char in wanted if not font.has(char) or fill_contours(font.contours(char, _ERROR)).is_empty]
    return FontCheck(
        id="characters",
        title="Characters",
        measured=f"{len(missing)} missing of {len(wanted)}",
        required="none missing",
        clause="house rule",
        met=not missing,
        where=" ".join(missing),
    )


def _even_height(font: FontFile) -> FontCheck:
    tops = {}
    for char in _limits()["flat"]:
        if font.has(char):
            bounds = fill_contours(font.contours(char, _ERROR)).bounds
            tops[char] = bounds[3] - bounds[1]
    worst = max(tops, key=lambda char: (abs(tops[char] - 1), char), default="")
    spread = abs(tops[worst] - 1) if worst else 0.0
    limit = _limits()["height"]["most_spread"]
    return FontCheck(
        id="height",
        title="Flat capitals as high as I",
        measured=_percent(spread),
        required=f"{_percent(limit)} max.",
        clause=_limits()["height"]["clause"],
        met=spread <= limit,
        where=worst,
    )


def _stroke(facts: FontFacts) -> tuple[FontCheck, FontCheck]:
    return _window("stroke", "Stroke of I", facts.stroke_ratio, "I")


def _proportion(facts: FontFacts) -> tuple[FontCheck, FontCheck]:
    return _window("proportion", "Width of O to height of I", facts.o_ratio, "O")


def _window(key: str, title: str, value: float, where: str) -> tuple[FontCheck, FontCheck]:
    limit = _limits()[key]
    return (
        FontCheck(
            id=f"{key}-least",
            title=title,
            measured=_percent(value),
            required=f"{_percent(limit['low'])} min.",
            clause=limit["low_clause"],
            met=value >= limit["low"],
            where=where,
        ),
        FontCheck(
            id=f"{key}-most",
            title=title,
            measured=_percent(value),
            required=f"{_percent(limit['high'])} max.",
            clause=limit["high_clause"],
            met=value <= limit["high"],
            where=where,
        ),
    )


def _serifs(facts: FontFacts) -> FontCheck:
    return FontCheck(
        id="serifs",
        title="Bars on the capital I",
        measured="bars" if facts.i_has_serifs else "none",
        required="none",
        clause=_limits()["style"]["clause"],
        met=not facts.i_has_serifs,
        where="I",
    )


def _slant(facts: FontFacts) -> FontCheck:
    limit = _limits()["style"]["most_slant_deg"]
    return FontCheck(
        id="slant",
        title="Slant of the capital I",
        measured=f"{abs(facts.slant_deg):.1f} deg",
        required=f"{limit:g} deg max.",
        clause=_limits()["style"]["clause"],
        met=abs(facts.slant_deg) <= limit,
        where="I",
    )


def _embedding(font: FontFile) -> FontCheck:
    refused = _limits()["embedding"]["refused_bits"]
    return FontCheck(
        id="embedding",
        title="Embedding permission",
        measured=f"fsType 0x{font.embedding:04X}",
        required=f"none of the bits 0x{refused:04X}",
        clause=_limits()["embedding"]["clause"],
        met=not font.embedding & refused,
    )


def _thinnest(font: FontFile, height_mm: float) -> FontCheck:
    widths = {char: thinnest_stroke(fill_contours(font.contours(char, _ERROR))) for char in _measured(font)}
    thinnest = min(widths, key=lambda char: (widths[char], char), default="")
    value_mm = widths[thinnest] * height_mm if thinnest else 0.0
    limit_mm = parse_length(_limits()["bench"]["least_stroke"]).mm
    return FontCheck(
        id="thinnest-stroke",
        title=f"Thinnest stroke at {inches(height_mm):.3f} in",
        measured=f"{inches(value_mm):.4f} in",
        required=f"{inches(limit_mm):.4f} in min.",
        clause=_limits()["bench"]["clause"],
        met=value_mm >= limit_mm,
        where=thinnest,
    )


def _counters(font: FontFile, height_mm: float, cut_width_mm: float) -> FontCheck:
    sizes = {}
    for char in _measured(font):
        size = smallest_counter(fill_contours(font.contours(char, _ERROR)))
        if size is not None:
            sizes[char] = size
    tightest = min(sizes, key=lambda char: (sizes[char], char), default="")
    value_mm = sizes[tightest] * height_mm if tightest else 0.0
    return FontCheck(
        id="smallest-counter",
        title=f"Smallest counter at {inches(height_mm):.3f} in",
        measured=f"{inches(value_mm):.4f} in",
        required=f"{inches(cut_width_mm):.4f} in min." if cut_width_mm else "no cutter given",
        clause="the cutter's own cut width",
        met=not tightest or value_mm >= cut_width_mm,
        where=tightest,
    )


def _slits(font: FontFile, height_mm: float, cut_width_mm: float) -> FontCheck:
    """Gaps between the parts of one character: an accent over its letter, a K whose arms stand off its stem."""
    gaps = {}
    for char in _limits()["characters"]:
        if font.has(char):
            parts = polygons_of(fill_contours(font.contours(char, _ERROR)))
            if len(parts) > 1:
                gaps[char] = min(a.distance(b) for a, b in combinations(parts, 2))
    tightest = min(gaps, key=lambda char: (gaps[char], char), default="")
    value_mm = gaps[tightest] * height_mm if tightest else 0.0
    return FontCheck(
        id="inner-gap",
        title=f"Smallest gap inside a character at {inches(height_mm):.3f} in",
        measured=f"{inches(value_mm):.4f} in" if tightest else "none",
        required=f"{inches(cut_width_mm):.4f} in min." if cut_width_mm else "no cutter given",
        clause="the cutter's own cut width",
        met=not tightest or value_mm >= cut_width_mm,
        where=tightest,
    )


def _measured(font: FontFile) -> list[str]:
    return [char for char in _limits()["measured"] if font.has(char)]


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"

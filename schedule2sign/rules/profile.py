"""Standard profiles: limits and requirements as data, with the clause of each and how it was read."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.braille import CellSize
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.job import Standard
from schedule2sign.model.measure import parse_length
from schedule2sign.model.rule import Basis, Limit, Requirement

_FOLDER = Path(__file__).resolve().parent / "profiles"
_UNITS = frozenset({"in", "mm", "percent", "strokes", "deg"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """A standard as the rules see it.

    Attributes:
        limits, requirements: in force, by key.
        waived: key -> why this standard has no such limit or requirement. A key that is nowhere is an error: the
            rules that need it are not checked, which holds the sign.
        extends: id of the profile it is built on, "" for none.
    """

    standard: Standard
    limits: Mapping[str, Limit]
    requirements: Mapping[str, Requirement]
    waived: Mapping[str, str]
    drawing: DrawingRules
    extends: str = ""


def profile_ids() -> tuple[str, ...]:
    """Profiles that ship, by id."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


@lru_cache(maxsize=16)
def load_profile(profile_id: str) -> Profile:
    """Read a profile, with what it extends.

    Raises:
        InputError: no such profile.
    """
    if profile_id not in profile_ids():
        known = ", ".join(profile_ids())
        raise InputError(f"There is no standard profile {profile_id!r}. Known: {known}. Choose one of them.")
    return make_profile(profile_id, _merged(profile_id))


def make_profile(profile_id: str, data: Mapping[str, Any]) -> Profile:
    """Build a profile from its merged tables.

    Raises:
        ValueError: an entry is incomplete or contradicts itself (a fault of the data file).
    """
    limits: dict[str, Limit] = {}
    requirements: dict[str, Requirement] = {}
    waived: dict[str, str] = {}
    for key, entry in data["limit"].items():
        if "none" in entry:
            waived[key] = entry["none"]
        else:
            limits[key] = _limit(key, entry)
    for key, entry in data["require"].items():
        if "none" in entry:
            waived[key] = entry["none"]
        else:
            requirements[key] = Requirement(
                key=key,
                allowed=tuple(entry["allowed"]),
                clause=entry["clause"],
                basis=Basis(entry["basis"]),
            )
    return Profile(
        standard=Standard(
            id=profile_id,
            title=data["title"],
            edition=data["edition"],
            table_date=data["table_date"],
            experimental=data["experimental"],
        ),
        limits=MappingProxyType(limits),
        requirements=MappingProxyType(requirements),
        waived=MappingProxyType(waived),
        drawing=_drawing(profile_id, data["drawing"], limits, requirements),
        extends=data.get("extends", ""),
    )


def _merged(profile_id: str) -> dict[str, Any]:
    """The profile's tables over those it extends; a limit is replaced whole, never in part."""
    data = tomllib.loads((_FOLDER / f"{profile_id}.toml").read_text(encoding="utf-8"))
    if "extends" not in data:
        return data
    below = _merged(data["extends"])
    for table in ("limit", "require", "drawing"):
        data[table] = {**below[table], **data.get(table, {})}
    return {**below, **data}


def _limit(key: str, entry: Mapping[str, Any]) -> Limit:
    unknown = set(entry) - {"low", "high", "unit", "clause", "basis", "part_of_range"}
    if unknown or entry["unit"] not in _UNITS:
        raise ValueError(f"limit {key}: {sorted(unknown) or entry['unit']} means nothing")
    limit = Limit(
        key=key,
        low=entry.get("low"),
        high=entry.get("high"),
        unit=entry["unit"],
        clause=entry["clause"],
        basis=Basis(entry["basis"]),
        part_of_range=entry.get("part_of_range", False),
    )
    low, high = limit.low_value, limit.high_value
    if (low is None and high is None) or (low is not None and high is not None and low > high):
        raise ValueError(f"limit {key}: nothing lies between {limit.low} and {limit.high}")
    return limit


def _drawing(
    profile_id: str,
    table: Mapping[str, str],
    limits: Mapping[str, Limit],
    requirements: Mapping[str, Requirement],
) -> DrawingRules:
    """Windows come from the limits, so that layout cannot draw to other numbers than it is judged by; aims are ours."""

    def low(key: str) -> float:
        return _end(limits, key, "low_value", table)

    def high(key: str) -> float:
        return _end(limits, key, "high_value", table)

    def aim(key: str) -> float:
        return parse_length(table[key]).mm

    return DrawingRules(
        least_gap_mm=low("gap_face"),
        aim_gap_mm=aim("aim_gap"),
        most_gap_strokes=high("gap_face_strokes"),
        least_pitch_ratio=low("line_pitch") / 100,
        aim_pitch_ratio=float(table["aim_line_pitch_percent"]) / 100,
        most_pitch_ratio=high("line_pitch") / 100,
        least_height_mm=low("character_height"),
        most_height_mm=high("character_height"),
        braille_gap_least_mm=aim("braille_gap_least"),
        braille_gap_aim_mm=aim("braille_gap_aim"),
        braille_gap_most_mm=aim("braille_gap_most"),
        border_clear_mm=aim("border_clear"),
        pictogram_field_mm=aim("pictogram_field"),
        cell_size=CellSize(
            name=profile_id,
            dot_pitch_mm=aim("dot_pitch"),
            cell_pitch_mm=aim("cell_pitch"),
            line_pitch_mm=aim("braille_line_pitch"),
            base_mm=aim("dot_base"),
            height_mm=aim("dot_height"),
        ),
        braille_align=table["braille_align"],
        braille_code=requirements["braille_code"].allowed[0],
    )


def _end(limits: Mapping[str, Limit], key: str, end: str, table: Mapping[str, str]) -> float:
    value = getattr(limits[key], end) if key in limits else None
    if value is not None:
        return float(value)
    # A standard without this limit still needs a number to draw to: a house value, in the limit's own unit.
    return float(table[f"{key}_{end.removesuffix('_value')}"])

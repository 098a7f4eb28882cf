"""Process profiles: TOML and the job's own numbers to a Process, with every missing or impossible value named."""

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from enum import StrEnum
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar, get_type_hints

from schedule2sign.errors import InputError
from schedule2sign.model.measure import parse_length
from schedule2sign.model.process import (
    Accuracy,
    Clearing,
    Dial,
    DotForm,
    Drill,
    Drilling,
    HandWork,
    LetterCut,
    LetterCutter,
    Material,
    Method,
    PatchStock,
    Process,
    Spares,
    Sphere,
    Stock,
)
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutwidth import least_letter_depth_mm
from schedule2sign.production.dome import depth_for_dome
from schedule2sign.production.keys import leaf_keys, merge_tables
from schedule2sign.tomltext import parse_toml

DEFAULT_PROCESS = "applique-rotary"

_COMMON = {
    "letter_cutter": LetterCutter,
    "letter_cut": LetterCut,
    "material": Material,
    "stock": Stock,
    "hand_work": HandWork,
    "spares": Spares,
}
_OF_METHOD: dict[Method, dict[str, type]] = {
    Method.APPLIQUE: {
        "patch_stock": PatchStock,
        "drill": Drill,
        "sphere": Sphere,
        "drilling": Drilling,
        "accuracy": Accuracy,
    },
    Method.SOLID: {"dot_form": DotForm, "clearing": Clearing},
}
_OPTIONAL: dict[str, type] = {"dial": Dial}
_SOLVE = "solve"
_ROUTER_STEP_MM = 0.0127  # 0.0005 in: a depth typed on a control, rounded to what can be kept
# What is worth asking for in words when it is missing: these decide whether a dot or a letter is right.
_WHY = {
    "letter_cutter.included_angle_deg": "it decides how wide the cutter cuts; read it off the cutter's packet",
    "drill.point_angle_deg": "it decides dome height; read it off the drill's packet (180 is a flat bottom)",
    "sphere.diameter": "it decides dome height; measure ten balls of the lot",
}
# What cannot be 0, besides every speed; the rest may (a film, an overcut, a spare).
_LENGTHS = {"depth_mm", "usable_depth_mm", "lift_mm", "diameter_mm", "click_mm", "dome_mm", "base_mm", "aim_dome_mm"}
_SIZES = {"plate_cutter_mm", "width_mm", "height_mm", "point_angle_deg", "stepover_share"}
_COUNTS = {"passes", "clicks_per_turn", "plate_passes", "sphere_pack"}
_NEVER_ZERO = frozenset(_LENGTHS | _SIZES | _COUNTS)
_SECONDS = {"s": 1.0, "ms": 0.001, "min": 60.0}
_QUANTITY = re.compile(r"\s*(.+?)\s*/\s*(s|min)\s*|\s*([0-9.]+)\s*(s|ms|min)\s*")
_Value = TypeVar("_Value")


def list_processes() -> tuple[str, ...]:
    """Names of the shipped profiles."""
    folder = files("schedule2sign.production") / "profiles"
    return tuple(sorted(entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml")))


def load_process(name_or_path: str = DEFAULT_PROCESS, overrides: Mapping[str, Any] | None = None) -> Process:
    """Read a shipped profile or a profile file, with the job's own values over it.

    Args:
        name_or_path: a shipped profile's name, or the path of a TOML file.
        overrides: tables as in a profile, e.g. {"drill": {"point_angle_deg": 110}}; what is given here counts as said
            by the shop and is no longer an assumption.

    Raises:
        InputError: no such profile, a missing, unknown or impossible value.
    """
    name, data = _read_profile(name_or_path)
    given = overrides or {}
    return _Reader(name, merge_tables(data, given), tuple(leaf_keys(given))).process()


def _read_profile(name_or_path: str) -> tuple[str, dict[str, Any]]:
    shipped = list_processes()
    if name_or_path in shipped:
        text = (files("schedule2sign.production") / "profiles" / f"{name_or_path}.toml").read_text(encoding="utf-8")
        return name_or_path, tomllib.loads(text)
    path = Path(name_or_path)
    try:
        return path.stem, parse_toml(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            f"There is no process profile {name_or_path!r}. Shipped: {', '.join(shipped)}; "
            "or give the path of a TOML file of your own."
        ) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"The process profile {path.name} is not valid TOML: {error}.") from error


class _Reader:
    """Fills the frozen values from the tables; a field's unit is the end of its name."""

    def __init__(self, name: str, data: Mapping[str, Any], stated: tuple[str, ...]) -> None:
        self._name = name
        self._data = data
        self._stated = stated

    def process(self) -> Process:
        title = self._typed(self._data.get("title"), str, "title")
        method = self._choice(Method, self._data.get("method"), "method")
        unit = self._typed(self._data.get("unit"), str, "unit")
        if unit not in ("in", "mm"):
            raise self._mistake(f"unit is {unit!r}; write 'in' or 'mm'")
        kinds = _COMMON | _OF_METHOD[method]
        kinds |= {key: kind for key, kind in _OPTIONAL.items() if key in self._data and method is Method.APPLIQUE}
        self._refuse_unknown(self._data, {"title", "method", "unit", "assumed", *kinds}, "the top level")
        values: dict[str, Any] = {key: self._section(key, kind) for key, kind in kinds.items()}
        assumed = self._data.get("assumed", [])
        self._check_assumed(assumed)
        process = Process(
            id=self._name,
            title=title,
            method=method,
            unit=unit,
            assumed=tuple(key for key in assumed if key not in self._stated),
            stated=self._stated,
            **values,
        )
        self._check_together(process)
        return _solve_depth(process)

    def _section(self, key: str, kind: type[_Value]) -> _Value:
        table = self._data.get(key)
        if not isinstance(table, Mapping):
            table = {}
        hints = get_type_hints(kind)
        names = {key_of(field.name): field.name for field in fields(kind)}  # type: ignore[arg-type]
        if kind is Drilling:
            del names["depth_solved"]
        self._refuse_unknown(table, set(names), f"[{key}]")
        values: dict[str, Any] = {}
        for short, field_name in names.items():
            where = f"{key}.{short}"
            if short not in table:
                why = _WHY.get(where)
                raise self._mistake(f"{where} is missing" + (f": {why}" if why else ""))
            if where == "drilling.depth":
                values["depth_solved"] = table[short] == _SOLVE
                if table[short] == _SOLVE:
                    values[field_name] = 0.0
                    continue
            values[field_name] = self._value(table[short], field_name, hints[field_name], where)
        return kind(**values)

    def _value(self, given: object, field_name: str, kind: type, where: str) -> object:
        if kind is bool:
            return self._typed(given, bool, where)
        if issubclass(kind, StrEnum):
            return self._choice(kind, given, where)
        if field_name.endswith(("_mm_s", "_mm", "_s")):
            number = self._quantity(self._typed(given, str, where), field_name, where)
        elif isinstance(given, bool) or not isinstance(given, int if kind is int else int | float):
            raise self._mistake(f"{where} must be a {'whole number' if kind is int else 'number'}, not {given!r}")
        else:
            number = float(given)
        if (
            not math.isfinite(number)
            or number < 0
            or (number == 0 and (field_name in _NEVER_ZERO or field_name.endswith("_mm_s")))
        ):
            raise self._mistake(f"{where} is {given!r}; it must be more than 0")
        if field_name.endswith("_deg") and number > 180:
            raise self._mistake(f"{where} is {number:g}; an included angle is at most 180 degrees")
        if field_name.endswith("_share") and number > 1:
            raise self._mistake(f"{where} is {number:g}; a share is at most 1")
        return int(number) if kind is int else number

    def _quantity(self, text: str, field_name: str, where: str) -> float:
        """A length, a speed or a time with its unit, in mm and seconds."""
        match = _QUANTITY.fullmatch(text)
        try:
            if field_name.endswith("_mm_s"):
                if not match or not match[2]:
                    raise self._mistake(f"{where} is {text!r}; write a speed such as '1.5 in/s' or '2000 mm/min'")
                return parse_length(match[1]).mm / _SECONDS[match[2]]
            if field_name.endswith("_mm"):
                return parse_length(text).mm
            if not match or not match[4]:
                raise self._mistake(f"{where} is {text!r}; write a time with its unit, such as '0.070 s' or '70 ms'")
            return float(match[3]) * _SECONDS[match[4]]
        except ValueError as error:
            raise self._mistake(f"{where}: {error}") from None

    def _check_together(self, process: Process) -> None:
        cutter, cut, stock = process.letter_cutter, process.letter_cut, process.stock
        if cutter.included_angle_deg >= 180:
            raise self._mistake("letter_cutter.included_angle_deg must be less than 180")
        if cutter.tip_mm == 0 and cutter.included_angle_deg == 0:
            raise self._mistake("the letter cutter has neither a tip width nor an angle")
        if cut.depth_mm > cutter.usable_depth_mm:
            raise self._mistake(
                f"letter_cut.depth {length_text(cut.depth_mm, process.unit)} is more than the cutter's usable depth "
                f"{length_text(cutter.usable_depth_mm, process.unit)}"
            )
        for key, sheet in (("stock", stock), ("patch_stock", process.patch_stock)):
            if sheet is not None and min(sheet.width_mm, sheet.height_mm) <= 2 * sheet.margin_mm:
                raise self._mistake(f"{key}.margin leaves nothing of the stock sheet")
        if stock.gap_mm < stock.plate_cutter_mm:
            raise self._mistake(
                "stock.gap is less than the plate cutter's diameter; neighboring plates would be cut into"
            )
        if process.method is Method.APPLIQUE and least_letter_depth_mm(process.material) <= 0:
            raise self._mistake("material.sheet is 0; say how thick the raised sheet is")

    def _check_assumed(self, assumed: object) -> None:
        if not isinstance(assumed, list):
            raise self._mistake(f"assumed must be a list of keys, not {assumed!r}")
        if wrong := sorted(set(assumed) - set(leaf_keys(self._data))):
            raise self._mistake(f"assumed names {wrong[0]!r}, which the profile does not set")

    def _typed(self, value: object, kind: type[_Value], where: str) -> _Value:
        if value is None:
            raise self._mistake(f"{where} is missing")
        if not isinstance(value, kind):
            words = {"str": "text in quotes, with its unit where it has one", "bool": "true or false"}
            raise self._mistake(f"{where} must be {words[kind.__name__]}, not {value!r}")
        return value

    def _choice(self, kind: type[_Value], value: object, where: str) -> _Value:
        text = self._typed(value, str, where)
        try:
            return kind(text)  # type: ignore[call-arg]
        except ValueError:
            known = ", ".join(repr(str(choice)) for choice in kind)  # type: ignore[attr-defined]
            raise self._mistake(f"{where} is {text!r}; it must be one of {known}") from None

    def _refuse_unknown(self, table: Mapping[str, Any], known: set[str], where: str) -> None:
        unknown = sorted(set(table) - known)
        if unknown:
            raise self._mistake(
                f"{where} has {unknown[0]!r}, which means nothing here; known: {', '.join(sorted(known))}"
            )

    def _mistake(self, text: str) -> InputError:
        return InputError(f"Process profile {self._name}: {text}.")


def key_of(field_name: str) -> str:
    """The profile's key of a field: its name without the unit, which the value itself carries."""
    for ending in ("_mm_s", "_mm", "_s"):
        if field_name.endswith(ending):
            return field_name.removesuffix(ending)
    return field_name


def _solve_depth(process: Process) -> Process:
    drilling = process.drilling
    if drilling is None or process.sphere is None or process.drill is None or not drilling.depth_solved:
        return process
    wanted = depth_for_dome(drilling.aim_dome_mm, process.sphere, process.drill)
    step = process.dial.click_mm if process.dial else _ROUTER_STEP_MM
    depth = round(wanted / step) * step
    if depth <= 0:
        raise InputError(
            f"Process profile {process.id}: no depth gives a dome of {length_text(drilling.aim_dome_mm, process.unit)} "
            f"with a ball of {length_text(process.sphere.diameter_mm, process.unit)}."
        )
    return replace(process, drilling=replace(drilling, depth_mm=depth))

"""Model values as plain lists for JSON and back, exactly; what many of them hold stands apart, once.

A form is a number, a text, None, true or false as it stands, or a list that starts with what it is: "" for a tuple,
"#" for floats of one tuple and "points" for a tuple of points (both packed), "bytes", a class (its fields in their
order), "class=" for a member of an enumeration, "class*" for a tuple of values of one class (a form for each field, of
all their values), "@" for a common value (the digest of its own form).
"""

import base64
import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import StrEnum
from functools import cache
from itertools import chain
from math import isfinite
from operator import attrgetter
from typing import Any

from schedule2sign.model import bench, braille, flag, job, plate, rule, shape, sign, source
from schedule2sign.model.plate import pack_numbers, unpack_numbers

Form = Any  # a plain value, or a list of what it is and of forms

_PLAIN = frozenset({type(None), bool, int, float, str})
_FLOATS, _POINTS, _BYTES, _COMMON = "#", "points", "bytes", "@"
_DIGEST = 20  # hexadecimal digits: enough to tell the common values of any number of jobs apart
_SEVERAL = 4  # values of one class: for fewer it costs more than it saves to put their fields together
_MOST_SEEN = 20_000  # values known by where they are in memory: what is never met again must not pile up
# By position, in the order of the fields: what is given by name would be another entry of their memory.
_SHARED: dict[str, Callable[..., Any]] = {"Outline": shape.share_outline, "CutPath": bench.share_path}
_COMMON_KINDS = frozenset({"Outline", "Pictogram", "Limit", "Requirement", "FontFacts", "Build", "CellSize"})


class Common:
    """Values that many others hold, by the digest of their plain form."""

    def __init__(self, texts: Mapping[str, str] | None = None) -> None:
        self.texts: dict[str, str] = dict(texts or {})
        self._values: dict[str, Any] = {}
        # By identity: the values are kept, so that no other can take the place of one of them in memory.
        self._seen: dict[int, tuple[list[str], object]] = {}

    def put(self, value: object) -> list[str]:
        """The form of a value as a common one."""
        if (seen := self._seen.get(id(value))) is not None:
            return seen[0]
        text = _text(_node(value, self))
        form = [_COMMON, hashlib.sha256(text.encode()).hexdigest()[:_DIGEST]]
        self.texts.setdefault(form[1], text)
        if len(self._seen) >= _MOST_SEEN:
            self._seen.clear()
        self._seen[id(value)] = form, value
        return form

    def take(self, digest: str) -> Any:
        """The one value with this digest.

        Raises:
            KeyError, IndexError, TypeError, ValueError: it is not there, or not what `put` makes.
        """
        if digest not in self._values:
            self._values[digest] = _take(json.loads(self.texts[digest]), self)
        return self._values[digest]


def to_text(value: object, common: Common) -> str:
    """A value as JSON in ASCII; what is common goes there.

    Raises:
        TypeError: a value of a kind that has no plain form.
        ValueError: a number that is none.
    """
    return _text(_form(value, common))


def from_text(text: str, common: Common) -> Any:
    """What `to_text` was given.

    Raises:
        KeyError, IndexError, TypeError, ValueError: the text is not what `to_text` makes.
    """
    return _take(json.loads(text), common)


def _text(form: Form) -> str:
    return json.dumps(form, separators=(",", ":"), allow_nan=False)


def _form(value: object, common: Common) -> Form:
    if type(value) in _PLAIN:
        return value
    return common.put(value) if _is_common(value) else _node(value, common)


def _is_common(value: object) -> bool:
    if isinstance(value, rule.Verdict):  # nearly half of them measured nothing
        return not value.closest and not value.findings
    return type(value).__name__ in _COMMON_KINDS or isinstance(value, StrEnum)


def _node(value: object, common: Common) -> Form:
    if isinstance(value, tuple):
        return _tuple_node(value, common)
    if isinstance(value, bytes):
        return [_BYTES, _packed(value)]
    kind = type(value)
    if kinds().get(kind.__name__) is not kind:
        raise TypeError(f"a {kind.__name__} has no plain form: {value!r}")
    if isinstance(value, StrEnum):
        return [f"{kind.__name__}=", value.value]
    return [kind.__name__, *_fields_of(value, kind.__name__, common)]


def _tuple_node(value: tuple[Any, ...], common: Common) -> Form:
    if not value:
        return [""]
    kinds_in = {*map(type, value)}
    if len(kinds_in) == 1:
        kind = kinds_in.pop()
        if kind is float:
            return _floats(_FLOATS, value)
        if kind is tuple and all(len(item) == 2 and type(item[0]) is type(item[1]) is float for item in value):
            return _floats(_POINTS, tuple(chain.from_iterable(value)))
        name = kind.__name__
        if (
            len(value) >= _SEVERAL
            and name != "Verdict"
            and name not in _COMMON_KINDS
            and is_dataclass(kind)
            and kinds().get(name) is kind
        ):
            columns = zip(*map(_fields(name), value), strict=True)
            return [
                f"{name}*",
                *(_column(column, name, field, common) for column, field in zip(columns, _names(name), strict=True)),
            ]
    return ["", *(_form(item, common) for item in value)]


def _column(values: tuple[Any, ...], kind: str, field: str, common: Common) -> Form:
    """One field of many values: of a cutter path the ring is common, for every A of a size is cut along one."""
    if (kind, field) == ("CutPath", "local"):
        return ["", *map(common.put, values)]
    if {*map(type, values)} == {float}:
        return _floats(_FLOATS, values)
    return ["", *(value if type(value) in _PLAIN else _form(value, common) for value in values)]


def _floats(head: str, numbers: Sequence[float]) -> Form:
    if not all(map(isfinite, numbers)):
        raise ValueError("a number that is infinite or none has no plain form")
    return [head, _packed(pack_numbers(iter(numbers)))]


def _packed(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")


def _fields_of(value: Any, kind: str, common: Common) -> list[Form]:
    # Most are plain: a call for each would take most of the time.
    return [part if type(part) in _PLAIN else _form(part, common) for part in _fields(kind)(value)]


def _take(form: Form, common: Common) -> Any:
    if type(form) is not list:
        return form
    head = form[0]
    if head == _COMMON:
        return common.take(form[1])
    if head in (_FLOATS, _POINTS, _BYTES):
        return _unpack(head, form[1])
    if head.endswith("="):
        return kinds()[head[:-1]](*form[1:])
    parts = [_take(part, common) if type(part) is list else part for part in form[1:]]
    if not head:
        return tuple(parts)
    if head.endswith("*"):
        return tuple(map(_builder(head[:-1], len(parts)), *_columns(parts)))
    return _builder(head, len(parts))(*parts)


def _unpack(head: str, text: str) -> Any:
    data = base64.b64decode(text, validate=True)
    if head == _BYTES:
        return data
    numbers = unpack_numbers(data)
    return tuple(numbers) if head == _FLOATS else tuple(zip(numbers[::2], numbers[1::2], strict=True))


def _columns(parts: list[Any]) -> list[tuple[Any, ...]]:
    if not all(isinstance(part, tuple) for part in parts) or len({*map(len, parts)}) != 1:
        raise ValueError("the fields of several values are not as many each")
    return parts


@cache
def _builder(name: str, count: int) -> Callable[..., Any]:
    """What makes a value of its fields, by position."""
    kind, names = kinds()[name], _names(name)
    if count != len(names):
        raise ValueError(f"a {name} has {len(names)} fields, not {count}")

    def build(*parts: Any) -> Any:
        return kind(**dict(zip(names, parts, strict=True)))

    return _SHARED.get(name, build)


@cache
def kinds() -> dict[str, type[Any]]:
    """The classes that have a plain form, by name."""
    found: dict[str, type[Any]] = {}
    for module in (bench, braille, flag, job, plate, rule, shape, sign, source):
        for name, kind in vars(module).items():
            ours = isinstance(kind, type) and kind.__module__ == module.__name__
            if ours and (is_dataclass(kind) or issubclass(kind, StrEnum)):
                if name in found:
                    raise TypeError(f"two classes are named {name}")
                found[name] = kind
    return found


@cache
def _fields(kind: str) -> Callable[[object], tuple[Any, ...]]:
    """What gets the values of all fields."""
    names = _names(kind)
    get = attrgetter(*names)
    return get if len(names) > 1 else lambda value: (get(value),)


@cache
def _names(kind: str) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kinds()[kind]))

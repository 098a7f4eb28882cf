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
from itertools import chain, repeat
from math import isfinite
from operator import attrgetter
from typing import Any

from schedule2sign.model import bench, braille, flag, job, plate, rule, shape, sign, source
from schedule2sign.model.plate import pack_numbers, unpack_numbers

Form = Any  # a plain value, or a list of what it is and of forms

_PLAIN = frozenset({type(None), bool, int, float, str})
_FLOATS, _POINTS, _BYTES, _COMMON = "#", "points", "bytes", "@"
DIGEST = 20  # hexadecimal digits: enough to tell the common values of any number of jobs apart
_SEVERAL = 4  # values of one class: for fewer it costs more than it saves to put their fields together
_MOST_SEEN = 4096  # values known by where they are in memory: what is never met again must not pile up
# By position, in the order of the fields: what is given by name would be another entry of their memory.
_SHARED: dict[str, Callable[..., Any]] = {"Outline": shape.share_outline}
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
        text = form_text(_node(value, self))
        form = [_COMMON, hashlib.sha256(text.encode()).hexdigest()[:DIGEST]]
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
    return form_text(_form(value, common))


def to_form(value: object, common: Common) -> Form:
    """The form that `to_text` writes as a text."""
    return _form(value, common)


def from_form(form: Form, common: Common) -> Any:
    """What `to_form` was given; raises as `from_text`."""
    return _take(form, common)


def from_text(text: str, common: Common) -> Any:
    """What `to_text` was given.

    Raises:
        KeyError, IndexError, TypeError, ValueError: the text is not what `to_text` makes.
    """
    return _take(json.loads(text), common)


def form_text(form: Form) -> str:
    """A form as JSON in ASCII."""
    return json.dumps(form, separators=(",", ":"), allow_nan=False)


def _form(value: Any, common: Common) -> Form:
    kind: Any = type(value)
    return value if kind in _PLAIN else _encoder(kind)(value, common)


@cache
def _encoder(kind: Any) -> Callable[[Any, Common], Form]:
    """What puts a value of this kind into its place in another."""
    if kind is rule.Verdict:
        return _verdict_form
    if kind is bench.CutPath:
        return _path_form
    if kind.__name__ in _COMMON_KINDS or issubclass(kind, StrEnum):
        return lambda value, common: common.put(value)
    return _writer(kind)


def _verdict_form(value: rule.Verdict, common: Common) -> Form:
    if value.closest or value.findings:
        return _node(value, common)
    return common.put(value)  # nearly half of them measured nothing


def _path_form(value: bench.CutPath, common: Common) -> Form:
    if value.kind is not bench.PathKind.EDGE:
        return _node(value, common)
    return common.put(value)  # a job has few sizes of plate


def _node(value: object, common: Common) -> Form:
    kind: Any = type(value)
    return _writer(kind)(value, common)


@cache
def _writer(kind: Any) -> Callable[[Any, Common], Form]:
    """What writes out a value of this kind."""
    name = kind.__name__
    if kind is tuple:
        return _tuple_node
    if kind is bytes:
        return lambda value, _common: [_BYTES, _packed(value)]
    if kinds().get(name) is not kind:
        raise TypeError(f"a {name} has no plain form")
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return lambda value, _common: [f"{name}=", value.value]
    get = _fields(name)

    def write(value: object, common: Common) -> Form:
        # Most are plain: a call for each would take most of the time.
        return [name, *(part if type(part) in _PLAIN else _form(part, common) for part in get(value))]

    return write


def _tuple_node(value: tuple[Any, ...], common: Common) -> Form:
    if not value:
        return [""]
    if len({*map(type, value)}) == 1:
        kind: Any = type(value[0])
        if kind is float:
            return _floats(_FLOATS, value)
        if kind is tuple and all(len(item) == 2 and type(item[0]) is type(item[1]) is float for item in value):
            return _floats(_POINTS, tuple(chain.from_iterable(value)))
        if len(value) >= _SEVERAL and _goes_by_columns(kind):
            name = kind.__name__
            columns = zip(*map(_fields(name), value), strict=True)
            return [f"{name}*", *map(_column, columns, repeat(name), _names(name), repeat(common))]
    return ["", *(item if type(item) in _PLAIN else _form(item, common) for item in value)]


@cache
def _goes_by_columns(kind: Any) -> bool:
    name = kind.__name__
    return kind is not rule.Verdict and name not in _COMMON_KINDS and is_dataclass(kind) and kinds().get(name) is kind


def _column(values: tuple[Any, ...], kind: str, field: str, common: Common) -> Form:
    """One field of many values: of a cutter path the ring is common, for every A of a size is cut along one."""
    if field == "local" and kind == "CutPath":
        return ["", *map(common.put, values)]
    types = {*map(type, values)}
    if types == {float}:
        return _floats(_FLOATS, values)
    if types <= _PLAIN:
        return ["", *values]
    return ["", *(value if type(value) in _PLAIN else _form(value, common) for value in values)]


def _floats(head: str, numbers: Sequence[float]) -> Form:
    if not all(map(isfinite, numbers)):
        raise ValueError("a number that is infinite or none has no plain form")
    return [head, _packed(pack_numbers(iter(numbers)))]


def _packed(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")


def _take(form: Form, common: Common) -> Any:
    return _reader(form[0])(form, common) if type(form) is list else form


@cache
def _reader(head: str) -> Callable[[list[Any], Common], Any]:
    """What reads a form that starts so."""
    if not isinstance(head, str):
        raise TypeError(f"a form starts with {head!r}, which names nothing")
    if head == _COMMON:
        return lambda form, common: common.take(form[1])
    if head == _BYTES:
        return lambda form, _common: _unpacked(form)
    if head == _FLOATS:
        return lambda form, _common: tuple(unpack_numbers(_unpacked(form)))
    if head == _POINTS:
        return lambda form, _common: _points(unpack_numbers(_unpacked(form)))
    if head.endswith("="):
        kind = kinds()[head[:-1]]
        return lambda form, _common: kind(*form[1:])
    if not head:
        return lambda form, common: tuple(_parts(form, common))
    if head.endswith("*"):
        build, count = _builder(head[:-1]), len(_names(head[:-1]))
        return lambda form, common: tuple(map(build, *_columns(_parts(form, common), count)))
    build, count = _builder(head), len(_names(head))

    def read(form: list[Any], common: Common) -> Any:
        if len(form) != count + 1:
            raise ValueError(f"a {head} has {count} fields, not {len(form) - 1}")
        return build(*_parts(form, common))

    return read


def _parts(form: list[Any], common: Common) -> list[Any]:
    return [_reader(part[0])(part, common) if type(part) is list else part for part in form[1:]]


def _unpacked(form: list[Any]) -> bytes:
    return base64.b64decode(form[1], validate=True)


def _points(numbers: Sequence[float]) -> tuple[tuple[float, float], ...]:
    return tuple(zip(numbers[::2], numbers[1::2], strict=True))


def _columns(parts: list[Any], count: int) -> list[tuple[Any, ...]]:
    if len(parts) != count or len({len(part) if isinstance(part, tuple) else -1 for part in parts}) != 1:
        raise ValueError("the fields of several values are not as many each")
    return parts


@cache
def _builder(name: str) -> Callable[..., Any]:
    """What makes a value of as many fields as it has, by position."""
    kind, names = kinds()[name], _names(name)
    if name in _SHARED:
        return _SHARED[name]
    # The fields of a frozen value can be set by their slots alone; its own way takes twice as long.
    setters = [getattr(kind, field).__set__ for field in names]

    def build(*parts: Any) -> Any:
        value: Any = object.__new__(kind)
        for put, part in zip(setters, parts, strict=True):
            put(value, part)
        return value

    return build


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

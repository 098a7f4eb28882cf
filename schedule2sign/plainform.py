"""Model values as plain lists for JSON and back, exactly; what many of them hold stands apart, once.

A form is a number, a text, None, true or false as it stands, or a list that starts with what it is: "" for a tuple,
"points" for a tuple of points (their coordinates in a row), "bytes", a class (its fields in their order), "class=" for a
member of an enumeration, "class*" for a tuple of values of one class (their fields in a row), "@" for a common value
(the digest of its own form).
"""

import base64
import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import StrEnum
from functools import cache
from operator import attrgetter
from typing import Any

from schedule2sign.model import bench, braille, flag, job, plate, rule, shape, sign, source

Form = Any  # a plain value, or a list of what it is and of forms

_PLAIN = frozenset({type(None), bool, int, float, str})
_POINTS, _BYTES, _COMMON = "points", "bytes", "@"
_DIGEST = 20  # hexadecimal digits: enough to tell the common values of any number of jobs apart
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
        self._seen: dict[int, tuple[str, object]] = {}

    def put(self, value: object) -> str:
        """The digest of a value; its plain form is kept."""
        if (seen := self._seen.get(id(value))) is not None:
            return seen[0]
        text = _text(_node(value, self))
        digest = hashlib.sha256(text.encode()).hexdigest()[:_DIGEST]
        self.texts.setdefault(digest, text)
        if len(self._seen) >= _MOST_SEEN:
            self._seen.clear()
        self._seen[id(value)] = digest, value
        return digest

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


def from_text(text: str | bytes, common: Common) -> Any:
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
    if _is_common(value):
        return [_COMMON, common.put(value)]
    return _node(value, common)


def _is_common(value: object) -> bool:
    kind = type(value).__name__
    if kind == "Verdict":  # nearly half of them measured nothing
        return isinstance(value, rule.Verdict) and not value.closest and not value.findings
    return kind in _COMMON_KINDS or isinstance(value, StrEnum)


def _node(value: object, common: Common) -> Form:
    if isinstance(value, tuple):
        return _tuple_node(value, common)
    if isinstance(value, bytes):
        return [_BYTES, base64.b64encode(value).decode("ascii")]
    kind = type(value)
    if kinds().get(kind.__name__) is not kind:
        raise TypeError(f"a {kind.__name__} has no plain form: {value!r}")
    if isinstance(value, StrEnum):
        return [f"{kind.__name__}=", value.value]
    return [kind.__name__, *_fields_of(value, kind.__name__, common)]


def _tuple_node(value: tuple[Any, ...], common: Common) -> Form:
    kinds_in = {*map(type, value)}
    if len(kinds_in) == 1:
        kind = kinds_in.pop()
        if kind is tuple and all(len(item) == 2 and type(item[0]) is type(item[1]) is float for item in value):
            return [_POINTS, *(number for point in value for number in point)]
        name = kind.__name__
        if name != "Verdict" and name not in _COMMON_KINDS and is_dataclass(kind) and kinds().get(name) is kind:
            return [f"{name}*", *(form for item in value for form in _fields_of(item, name, common))]
    return ["", *(_form(item, common) for item in value)]


def _fields_of(value: Any, kind: str, common: Common) -> list[Form]:
    parts = _fields(kind)(value)
    if kind == "CutPath":  # every A of a size is cut along one ring
        ring = parts[_names(kind).index("local")]
        return [[_COMMON, common.put(ring)] if part is ring else _form(part, common) for part in parts]
    # Most are plain: a call for each would take most of the time.
    return [part if type(part) in _PLAIN else _form(part, common) for part in parts]


def _take(form: Form, common: Common) -> Any:
    if type(form) is not list:
        return form
    head = form[0]
    if head == _COMMON:
        return common.take(form[1])
    if head == _POINTS:
        return tuple(zip(form[1::2], form[2::2], strict=True))
    if head == _BYTES:
        return base64.b64decode(form[1], validate=True)
    if head.endswith("="):
        return kinds()[head[:-1]](*form[1:])
    parts = [_take(part, common) if type(part) is list else part for part in form[1:]]
    if not head:
        return tuple(parts)
    if head.endswith("*"):
        build, width = _builder(head[:-1]), len(_names(head[:-1]))
        if len(parts) % width:
            raise ValueError(f"{len(parts)} fields are not those of whole values with {width}")
        return tuple(build(*parts[at : at + width]) for at in range(0, len(parts), width))
    return _builder(head)(*parts)


@cache
def _builder(name: str) -> Callable[..., Any]:
    """What makes a value of its fields, by position."""
    kind, names = kinds()[name], _names(name)

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
def _fields(kind: str) -> Callable[[object], tuple[object, ...]]:
    """What gets the values of all fields."""
    names = _names(kind)
    get = attrgetter(*names)
    return get if len(names) > 1 else lambda value: (get(value),)


@cache
def _names(kind: str) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kinds()[kind]))

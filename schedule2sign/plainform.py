"""Model values as plain lists for JSON and back, exactly: what is equal stands there once and is shared again.

A value is a number, a text, None, true or false as it stands, or `[n]`: node n of the table. A node is a list that starts
with what it is: "" for a tuple, "points" for a tuple of points (their coordinates in a row), a class, "class=" for a
member of an enumeration, "class*" for a tuple of values of one class whose fields are all plain (their fields in a row).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields, is_dataclass
from enum import StrEnum
from functools import cache
from operator import attrgetter
from typing import Any

from schedule2sign.model import bench, braille, flag, job, rule, shape, sign, source

Plain = None | bool | int | float | str
Form = Plain | Sequence[int]  # [n] is node n
Node = list[Any]

_PLAIN = frozenset({type(None), bool, int, float, str})
_POINTS = "points"
# By position, in the order of the fields: what is given by name would be another entry of their memory.
_SHARED: dict[str, Callable[..., Any]] = {"Outline": shape.share_outline, "CutPath": bench.share_path}


class Table:
    """The nodes of values that were put in plain form together."""

    def __init__(self) -> None:
        self.nodes: list[Node] = []
        self._places: dict[str, tuple[int]] = {}
        # By identity: the values are kept, so that no other can take the place of one of them in memory.
        self._seen: dict[int, tuple[tuple[int], object]] = {}

    def put(self, value: object) -> Form:
        """The plain form of a value; its nodes are added to the table.

        Raises:
            TypeError: a value of a kind that has no plain form.
        """
        if type(value) in _PLAIN:
            return value  # type: ignore[return-value]  # the set above is the type
        if (seen := self._seen.get(id(value))) is not None:
            return seen[0]
        node = self._node(value)
        # What is equal as text is equal to the last bit: 1, 1.0 and True are three, and so are 0.0 and -0.0.
        place = self._places.setdefault(repr(node), (len(self.nodes),))
        if place[0] == len(self.nodes):
            self.nodes.append(node)
        self._seen[id(value)] = place, value
        return place

    def _node(self, value: object) -> Node:
        if isinstance(value, tuple):
            return self._tuple_node(value)
        kind = type(value)
        if kinds().get(kind.__name__) is not kind:
            raise TypeError(f"a {kind.__name__} has no plain form: {value!r}")
        if isinstance(value, StrEnum):
            return [f"{kind.__name__}=", value.value]
        return [kind.__name__, *self._forms(_fields(kind.__name__)(value))]

    def _tuple_node(self, value: tuple[Any, ...]) -> Node:
        kinds_in = {*map(type, value)}
        if len(kinds_in) == 1:
            kind = kinds_in.pop()
            if kind is tuple and all(len(item) == 2 and type(item[0]) is type(item[1]) is float for item in value):
                return [_POINTS, *(number for point in value for number in point)]
            if is_dataclass(kind) and kinds().get(kind.__name__) is kind:
                flat = [part for item in value for part in _fields(kind.__name__)(item)]
                if _PLAIN.issuperset(map(type, flat)):
                    return [f"{kind.__name__}*", *flat]
        return ["", *self._forms(value)]

    def _forms(self, values: Iterable[object]) -> list[Form]:
        # Most are plain: a call for each would take most of the time.
        return [value if type(value) in _PLAIN else self.put(value) for value in values]  # type: ignore[misc]


def take(nodes: Sequence[Node]) -> list[Any]:
    """The value of every node, in the table's order.

    Raises:
        KeyError, IndexError, TypeError, ValueError: the nodes are not what a `Table` makes.
    """
    values: list[Any] = []
    for node in nodes:
        head, *forms = node
        if head == _POINTS:
            values.append(tuple(zip(forms[::2], forms[1::2], strict=True)))
        elif head.endswith("="):
            values.append(kinds()[head[:-1]](*forms))
        elif head.endswith("*"):
            kind = kinds()[head[:-1]]
            names = _names(head[:-1])
            columns = [forms[at :: len(names)] for at in range(len(names))]
            values.append(tuple(kind(**dict(zip(names, row, strict=True))) for row in zip(*columns, strict=True)))
        else:
            parts = [values[form[0]] if type(form) is list else form for form in forms]
            values.append(_build(head, parts) if head else tuple(parts))
    return values


def _build(name: str, parts: Sequence[Any]) -> Any:
    if name in _SHARED:
        return _SHARED[name](*parts)
    return kinds()[name](**dict(zip(_names(name), parts, strict=True)))


@cache
def kinds() -> dict[str, type[Any]]:
    """The classes that have a plain form, by name."""
    found: dict[str, type[Any]] = {}
    for module in (bench, braille, flag, job, rule, shape, sign, source):
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

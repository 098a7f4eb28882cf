"""What signs share on the report page: it stands there once, named by a hash of what it says, never by a number."""

import json
from collections.abc import Callable, Hashable, Iterable

from schedule2sign.fingerprint import digest_of

_LENGTH = 12  # hexadecimal digits: 48 bits, for some thousand values


class Shared:
    """Values met so far. There are few in any job: outlines of letters, plates without their text, words of rules."""

    def __init__(self) -> None:
        self._names: dict[tuple[Hashable, ...], str] = {}
        self._texts: dict[str, str] = {}

    def name(self, write: Callable[..., str], *given: Hashable) -> str:
        """The name of a value.

        Args:
            write: gives the value as `with_names` makes it; called once for all that is equal.
            given: what it is called with.
        """
        key = (write, *given)
        name = self._names.get(key)
        if name is None:
            text = write(*given)
            name = self._names[key] = digest_of(text)[:_LENGTH]
            self._texts[name] = text
        return name

    def text(self, name: str) -> str | None:
        """The value with this name, None for one that was not met."""
        return self._texts.get(name)


def with_names(names: Iterable[str], *values: str) -> str:
    """An array that begins with the names of all the shared values it needs; the others are JSON already."""
    listed = ",".join([f'"{name}"' for name in names])
    return f"[{','.join((f'[{listed}]', *values))}]"


def names_in(data: bytes) -> list[str]:
    """The names that an array begins with."""
    found: list[str] = json.loads(data[1 : data.index(b"]") + 1])
    return found

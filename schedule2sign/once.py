"""Keeps the last answer of a question that is asked again and again about the same thing."""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

Asked = TypeVar("Asked")
Answer = TypeVar("Answer")


def once(ask: Callable[[Asked], Answer]) -> Callable[[Asked], Answer]:
    """The function, answering from memory while it is asked about one and the same frozen object.

    For things that are dear to compare or to hash, such as a sign: they are known by identity.
    """
    kept: tuple[Asked, Answer] | None = None

    @wraps(ask)
    def answer(about: Asked) -> Answer:
        nonlocal kept
        last = kept
        if last is None or last[0] is not about:
            last = kept = (about, ask(about))
        return last[1]

    return answer

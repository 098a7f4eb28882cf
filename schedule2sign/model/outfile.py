"""A file to be written: a path inside the output folder and its bytes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OutFile:
    """`path` is relative, with forward slashes; `data` is written as it is."""

    path: str
    data: bytes

"""What a finished sign owes to the program itself: its files and the libraries it measures and draws with."""

import hashlib
import os
import platform
import sys
from functools import cache
from importlib.metadata import version
from pathlib import Path

import shapely

_LIBRARIES = ("ezdxf", "fonttools", "numpy", "shapely", "svgwrite")
_PACKAGE = Path(__file__).resolve().parent
_NOT_CODE = frozenset({"__pycache__", "_shipped"})  # what is shipped is read, and then known by what was read


@cache
def program_digest() -> str:
    """SHA-256 of every file of the package and of the versions in use: another program, another digest."""
    versions = [platform.python_version(), sys.byteorder, shapely.geos_version_string, *map(version, _LIBRARIES)]
    found = hashlib.sha256(repr(versions).encode())
    for folder, inner, files in os.walk(_PACKAGE):
        inner[:] = sorted({*inner} - _NOT_CODE)
        here = Path(folder)
        inside = here.relative_to(_PACKAGE).as_posix()
        for name in sorted({*files} - _NOT_CODE):
            found.update(f"\0{inside}/{name}\0".encode() + (here / name).read_bytes())
    return found.hexdigest()


def digest_of(*values: object) -> str:
    """SHA-256 of values whose `repr` says all they are: numbers, texts and frozen values made of them."""
    return hashlib.sha256(repr(values).encode()).hexdigest()

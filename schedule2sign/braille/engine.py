"""The liblouis engine: the only module that knows its bindings."""

import hashlib
import importlib.util
import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from schedule2sign.errors import MissingEngineError
from schedule2sign.model.braille import Engine

_SYSTEM_BINDINGS = Path("/usr/lib/python3/dist-packages/louis/__init__.py")
_TABLE_FOLDERS = (Path("/usr/share/liblouis/tables"), Path("/usr/local/share/liblouis/tables"))
_INSTALL = "Install the system packages: apt-get install python3-louis liblouis-data"
_INCLUDE = re.compile(r"^\s*include\s+(\S+)", re.MULTILINE)


class LouisEngine:
    """One list of liblouis tables, opened by full path so that no environment variable can swap them."""

    def __init__(self, tables: Sequence[str]) -> None:
        self._louis: Any = load_bindings()
        self._folder = find_tables(tables)
        self._paths = [str(self._folder / name) for name in tables]

    def translate(self, text: str, uncontracted: Sequence[bool] = ()) -> str:
        """Braille of a text in Unicode patterns; characters marked in `uncontracted` stay out of contractions."""
        form = [self._louis.no_contract if kept else 0 for kept in uncontracted]
        return str(self._louis.translateString(self._paths, text, form if any(form) else None, 0))

    def align(self, text: str, uncontracted: Sequence[bool] = ()) -> tuple[tuple[str, str], ...]:
        """Runs of the text and the cells each became, in order; indicators stand with the run they precede."""
        form = [self._louis.no_contract if kept else 0 for kept in uncontracted]
        cells, to_text, _, _ = self._louis.translate(self._paths, text, form if any(form) else None, 0, 0)
        starts = sorted(set(to_text))
        spans: list[tuple[str, str]] = []
        for start, end in zip(starts, [*starts[1:], len(text)], strict=True):
            run = "".join(cell for cell, place in zip(cells, to_text, strict=True) if place == start)
            spans.append((text[start:end], run))
        return tuple(spans)

    def translate_back(self, cells: str) -> str:
        """Print of Unicode patterns, by the engine's own back-translation."""
        return str(self._louis.backTranslateString(self._paths, cells, None, 0))

    @property
    def facts(self) -> Engine:
        """Version and tables, included ones too, for the record."""
        files = sorted(set(_included_files(self._folder, self._paths)))
        return Engine(
            name="liblouis",
            version=str(self._louis.version()),
            tables=tuple((path.name, hashlib.sha256(path.read_bytes()).hexdigest()) for path in files),
        )


def find_tables(tables: Sequence[str]) -> Path:
    """The folder that holds all the tables.

    Raises:
        MissingEngineError: no known folder holds them.
    """
    for folder in _TABLE_FOLDERS:
        if all((folder / name).is_file() for name in tables):
            return folder
    raise MissingEngineError(
        f"The braille tables {', '.join(tables)} are not in {' or '.join(map(str, _TABLE_FOLDERS))}. {_INSTALL}"
    )


@cache
def load_bindings() -> ModuleType:
    """The system's `louis` bindings, in any virtual environment.

    They are loaded from their file, so that nothing else of the system's Python leaks into the environment.

    Raises:
        MissingEngineError: the bindings or the library behind them are missing.
    """
    module = _try_import()
    if module is None:
        raise MissingEngineError(f"The braille engine's Python bindings are missing. {_INSTALL}")
    return module


def _try_import() -> ModuleType | None:
    for spec in (importlib.util.find_spec("louis"), _system_spec()):
        if spec is None or spec.loader is None:
            continue
        module = importlib.util.module_from_spec(spec)
        try:
            spec.loader.exec_module(module)
        except (ImportError, OSError, AttributeError):
            continue
        # An unrelated package of the same name may stand in the environment.
        if hasattr(module, "translateString") and hasattr(module, "no_contract"):
            return module
    return None


def _system_spec() -> Any:
    if not _SYSTEM_BINDINGS.is_file():
        return None
    return importlib.util.spec_from_file_location("louis", _SYSTEM_BINDINGS)


def _included_files(folder: Path, paths: Sequence[str]) -> Iterator[Path]:
    waiting = [Path(path) for path in paths]
    seen: set[Path] = set()
    while waiting:
        path = waiting.pop()
        if path in seen:
            continue
        seen.add(path)
        yield path
        text = path.read_text(encoding="utf-8", errors="replace")
        waiting += [folder / name for name in _INCLUDE.findall(text) if (folder / name).is_file()]

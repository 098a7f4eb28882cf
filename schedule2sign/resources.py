"""Find templates/ and fixtures/demo in a checkout and in an installed wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _find_folder(name: str) -> Path:
    # In a wheel the folders lie inside the package; in a checkout they are its neighbors.
    for base in (_PACKAGE / "_shipped", _PACKAGE.parent):
        if (base / name).is_dir():
            return base / name
    raise FileNotFoundError(f"folder {name!r} is neither in the package nor beside it")


def templates_folder() -> Path:
    """Folder of sign templates, fonts and pictograms."""
    return _find_folder("templates")


def demo_folder() -> Path:
    """Folder of the demo schedule and its job file."""
    return _find_folder("fixtures") / "demo"


def guide_folder() -> Path:
    """Folder of the pages for users."""
    return _PACKAGE / "guide"

"""What the commands about sign templates share: their options and sizes in words."""

import argparse
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.settings import Settings

if TYPE_CHECKING:
    from schedule2sign.model.job import SignRecord


def add_family(parser: argparse.ArgumentParser) -> None:
    """Options that say which family, font and standard."""
    parser.add_argument("--job", type=Path, metavar="FILE.toml", help="job file: its templates, font, colors, standard")
    parser.add_argument("--standard", metavar="ID", help="rule profile, over the job file's")
    parser.add_argument(
        "--family", metavar="NAME|DIR", help="shipped family or a folder, over the job file's templates"
    )
    parser.add_argument("--font", metavar="FILE", help="font, over the job file's")


def family_settings(options: argparse.Namespace) -> Settings:
    """The job file with what the command line says over it."""
    from schedule2sign.settings import load_settings

    settings = load_settings(options.job) if options.job else Settings()
    said = {"standard": options.standard, "templates": options.family, "font": options.font}
    return replace(settings, **{key: value for key, value in said.items() if value})


def size_text(record: "SignRecord") -> str:
    """A sign's plate in words."""
    layout = record.layout
    return f"{inch_text(layout.width_mm)} x {inch_text(layout.height_mm)} in" if layout else ""


def inch_text(value_mm: float) -> str:
    """Inches as a shop writes them: 4 1/2."""
    value = Fraction(value_mm / MM_PER_INCH).limit_denominator(64)
    if abs(float(value) * MM_PER_INCH - value_mm) > 1e-3:
        return f"{value_mm / MM_PER_INCH:.3f}"
    whole, part = divmod(value, 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) or "0"

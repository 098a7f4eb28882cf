"""Something that is not as it was recorded: which file, which sign, what, how much."""

from dataclasses import dataclass

from schedule2sign.model.shape import Box

# What two programs may read from one drawing and still agree on.
TOLERANCE_MM = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One difference.

    Attributes:
        code: stable id such as "file-changed"; never renamed.
        file: path inside the output folder, "" where no single file is meant.
        found, expected: what was read and what was recorded, with units, where both can be said.
    """

    code: str
    message: str
    file: str = ""
    sign_id: str = ""
    found: str = ""
    expected: str = ""


def say_mm(value: float) -> str:
    """A length in the words of a report."""
    return f"{value:.3f} mm"


def say_box(box: Box) -> str:
    """Left, bottom, right, top in mm."""
    return f"{box.left_mm:.3f} {box.bottom_mm:.3f} {box.right_mm:.3f} {box.top_mm:.3f} mm"

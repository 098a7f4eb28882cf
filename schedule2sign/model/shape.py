"""Finished geometry of a sign. Millimetres, origin at the plate's bottom left corner, y up."""

from dataclasses import dataclass
from functools import cache
from typing import Protocol

from schedule2sign.model.braille import BrailleLine, CellSize
from schedule2sign.model.flag import Flag
from schedule2sign.model.sign import Role, SignRequest

Point = tuple[float, float]
Ring = tuple[Point, ...]  # closed; the last point is not repeated


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    @property
    def width_mm(self) -> float:
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        return self.top_mm - self.bottom_mm

    def shifted(self, dx_mm: float, dy_mm: float) -> "Box":
        """The same box, moved."""
        return Box(
            left_mm=self.left_mm + dx_mm,
            bottom_mm=self.bottom_mm + dy_mm,
            right_mm=self.right_mm + dx_mm,
            top_mm=self.top_mm + dy_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """A glyph's outline at one size, shared by every place it stands in: made by `share_outline`, equal ones are one.

    Outer rings run counter-clockwise, counters clockwise; origin on the baseline, ink's left edge at x = 0.
    """

    char: str
    height_mm: float
    rings: tuple[Ring, ...]
    box: Box


@cache
def share_outline(char: str, height_mm: float, rings: tuple[Ring, ...], box: Box) -> Outline:
    """The one outline with these values, wherever they come from: the font, another process, an earlier run."""
    return Outline(char=char, height_mm=height_mm, rings=rings, box=box)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedGlyph:
    """An outline put at (x, baseline)."""

    outline: Outline
    x_mm: float
    baseline_mm: float

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The rings where they are cut."""
        dx, dy = self.x_mm, self.baseline_mm
        return tuple(tuple((x + dx, y + dy) for x, y in ring) for ring in self.outline.rings)

    @property
    def left_mm(self) -> float:
        return self.outline.box.left_mm + self.x_mm

    @property
    def bottom_mm(self) -> float:
        return self.outline.box.bottom_mm + self.baseline_mm

    @property
    def right_mm(self) -> float:
        return self.outline.box.right_mm + self.x_mm

    @property
    def top_mm(self) -> float:
        return self.outline.box.top_mm + self.baseline_mm

    @property
    def box(self) -> Box:
        return self.outline.box.shifted(self.x_mm, self.baseline_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLine:
    """One line of letters set from x = 0 on baseline 0. `words` are glyph index ranges, spaces left out.

    `gaps_mm` are the closest distances of neighboring letters inside the words, left to right.
    """

    text: str
    height_mm: float
    glyphs: tuple[PlacedGlyph, ...]
    words: tuple[tuple[int, int], ...]
    width_mm: float
    gaps_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RaisedLine:
    """A line of raised characters where it is cut. `message` is the index of its message in the request."""

    text: str
    role: Role
    message: int
    height_mm: float
    baseline_mm: float
    glyphs: tuple[PlacedGlyph, ...]
    words: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisualLine:
    """A line of flat, visual text: an occupant load, opening hours. It is not raised and has no braille."""

    text: str
    height_mm: float
    baseline_mm: float
    glyphs: tuple[PlacedGlyph, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """A braille dot's center. `line`, `cell` count from 0; `number` is 1 to 6."""

    x_mm: float
    y_mm: float
    line: int
    cell: int
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictogram:
    """A pictogram: the field kept free for it and the rings drawn in it."""

    name: str
    field: Box
    rings: tuple[Ring, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A fixing hole."""

    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FontFacts:
    """What was measured on a font. Ratios are shares of the height of capital I."""

    name: str
    file: str
    sha256: str
    licence: str
    stroke_ratio: float
    o_ratio: float
    i_has_serifs: bool
    slant_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """How the sign is made, as declared by the job: it cannot be read off the drawing.

    Attributes:
        raised_mm: height of the characters above the plate.
        side_deg: lean of the letter walls from upright; 0 is a rectangular cross-section.
        dot_shape: "domed" or another word.
        finish: "non-glare" or another word.
        base_reflectance, letter_reflectance: light reflectance in percent, None where not declared.
        top_mm: height of the plate's top edge above the floor, None where the job does not fix it.
        viewing_mm: distance it is read from, None where not declared.
    """

    raised_mm: float
    side_deg: float
    dot_shape: str
    finish: str
    base_color: str
    letter_color: str
    base_reflectance: float | None = None
    letter_reflectance: float | None = None
    top_mm: float | None = None
    viewing_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SignLayout:
    """A sign as it will be cut: the only thing rules and writers look at.

    Attributes:
        braille: lines as drilled, top to bottom (a message may take several).
        border: rings of raised decoration: a border, a rule line, a star; () where the plate has none.
        window: opening for a changeable insert, None where the plate has none.
        remedies: what was done to make it fit, in order, in words.
        outline: edge of a plate that is no rectangle; () is a rectangle with its corner radius.
        visual: flat text; the raised rules do not apply to it.
        fixing: "tape", "screws" or "standoffs".
    """

    request: SignRequest
    template: str
    width_mm: float
    height_mm: float
    corner_radius_mm: float
    lines: tuple[RaisedLine, ...]
    braille: tuple[BrailleLine, ...]
    dots: tuple[Dot, ...]
    cell_size: CellSize
    font: FontFacts
    build: Build
    pictogram: Pictogram | None = None
    border: tuple[Ring, ...] = ()
    holes: tuple[Hole, ...] = ()
    window: Box | None = None
    remedies: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    outline: Ring = ()
    visual: tuple[VisualLine, ...] = ()
    fixing: str = "tape"


class Typesetter(Protocol):
    """What layout needs of a font."""

    @property
    def facts(self) -> FontFacts: ...

    def missing(self, text: str) -> tuple[str, ...]:
        """Characters of the text the font lacks."""

    def set_line(
        self, text: str, height_mm: float, least_gap_mm: float, most_gap_strokes: float, *, by_eye: bool = True
    ) -> SetLine:
        """Set a line with every gap between neighboring letters of a word inside the legal window.

        By eye, no gap is less than `least_gap_mm` and the white between letters is even; else every gap is just
        that.
        """

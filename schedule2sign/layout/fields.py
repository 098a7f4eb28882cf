"""What a sign template is made of: plate, fields, margins, remedies."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.shape import Box, Ring
from schedule2sign.model.sign import Role


class Align(StrEnum):
    """Where lines stand between the side margins."""

    CENTER = "center"
    LEFT = "left"


class Stack(StrEnum):
    """Where the stack of fields stands between the top and bottom margins."""

    MIDDLE = "middle"
    TOP = "top"


class Place(StrEnum):
    """Where a window stands; never between raised text and its braille."""

    ABOVE = "above"
    BELOW = "below"


class Remedy(StrEnum):
    """What may be done when a message does not fit, in the order the template lists it."""

    BREAK_LINES = "break-lines"
    BREAK_BRAILLE = "break-braille"
    GROW_PLATE = "grow-plate"
    TIGHTEN = "tighten"
    SMALLER_TEXT = "smaller-text"


@dataclass(frozen=True, slots=True, kw_only=True)
class TextField:
    """Raised text of one role.

    `heights_mm`: the template's own height first, then what may replace it. `sample` shows the field in a gallery.
    """

    role: Role
    heights_mm: tuple[float, ...]
    max_lines: int
    clear_above_mm: float
    sample: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PictogramDrawing:
    """A pictogram's rings in its own units: y up, origin at the bottom left of its field `size` units high."""

    name: str
    rings: tuple[Ring, ...]
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class PictogramField:
    """The field kept free for a pictogram, above all text; `drawing_mm` is the height of the drawing in it."""

    width_mm: float
    height_mm: float
    drawing_mm: float
    drawings: tuple[PictogramDrawing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowField:
    """An opening for a changeable insert. A width of 0 means margin to margin."""

    width_mm: float
    height_mm: float
    place: Place
    clear_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BorderField:
    """A raised line around the plate, `inset_mm` from its edge."""

    inset_mm: float
    line_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HolesField:
    """Four fixing holes, one a corner."""

    inset_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """One member of a sign family.

    Attributes:
        widths_mm, heights_mm: stock plate sizes; the first of each is the template's own size.
        least_margin_mm: how far the remedy `tighten` may take the margins.
        braille_lines: most lines of braille on the plate.
    """

    name: str
    title: str
    widths_mm: tuple[float, ...]
    heights_mm: tuple[float, ...]
    corner_radius_mm: float
    margin_side_mm: float
    margin_top_mm: float
    margin_bottom_mm: float
    least_margin_mm: float
    align: Align
    stack: Stack
    texts: tuple[TextField, ...]
    braille_lines: int
    remedies: tuple[Remedy, ...]
    pictogram: PictogramField | None = None
    window: WindowField | None = None
    border: BorderField | None = None
    holes: HolesField | None = None

    def text_field(self, role: Role) -> TextField | None:
        """The field for a role, or None."""
        return next((field for field in self.texts if field.role is role), None)

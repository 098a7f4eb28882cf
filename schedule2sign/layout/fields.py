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


class PlateShape(StrEnum):
    """Outline of a plate. A triangle is equilateral, its point up."""

    RECTANGLE = "rectangle"
    CIRCLE = "circle"
    TRIANGLE = "triangle"


class Fixing(StrEnum):
    """How the plate is fixed to the wall."""

    TAPE = "tape"
    SCREWS = "screws"
    STANDOFFS = "standoffs"


class Place(StrEnum):
    """Where a window, flat text or spacer stands; never between raised text and its braille."""

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
    `codes`: braille code of each message of the role in turn, "" for the job's; only a sample or preview needs them.
    """

    role: Role
    heights_mm: tuple[float, ...]
    max_lines: int
    clear_above_mm: float
    sample: str = ""
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VisualField:
    """Flat text, not raised and without braille: the sign's insert text, line by line as given."""

    heights_mm: tuple[float, ...]
    max_lines: int
    place: Place
    clear_mm: float
    sample: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpacerField:
    """A band of plate kept empty."""

    height_mm: float
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleField:
    """A raised line over the first message of a role that is not the sign's first. A width of 0: margin to margin."""

    over: Role
    line_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StarField:
    """A raised five-pointed star left of a role's line, as high as its characters; drawn where the sign asks for it."""

    beside: Role
    clear_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidField:
    """A triangle laid on a round plate, its points `edge_mm` from the plate's edge."""

    edge_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Colors:
    """Materials of this sign by their role, "" for the job's."""

    base: str = ""
    letters: str = ""


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
class FixingField:
    """How the plate is fixed. Screws and standoffs take four holes, one a corner; `cap_mm` is what covers each."""

    kind: Fixing
    inset_mm: float = 0.0
    diameter_mm: float = 0.0
    cap_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """One member of a sign family.

    Attributes:
        widths_mm, heights_mm: stock plate sizes; the first of each is the template's own size.
        least_margin_mm: how far the remedy `tighten` may take the margins.
        braille_lines: most lines of braille on the plate.
        rule_line, star, laid: raised decoration; `laid` only on a round plate.
        visual: flat text instead of, or besides, raised text.
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
    fixing: FixingField = FixingField(kind=Fixing.TAPE)
    shape: PlateShape = PlateShape.RECTANGLE
    visual: VisualField | None = None
    spacers: tuple[SpacerField, ...] = ()
    rule_line: RuleField | None = None
    star: StarField | None = None
    laid: LaidField | None = None
    colors: Colors = Colors()

    def spacer_mm(self, place: Place) -> float:
        """Height kept empty at a place."""
        return sum(spacer.height_mm for spacer in self.spacers if spacer.place is place)

    def text_field(self, role: Role) -> TextField | None:
        """The field for a role, or None."""
        return next((field for field in self.texts if field.role is role), None)

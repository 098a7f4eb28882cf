"""One drawing back to a sign: plate, letters, dots, pictogram, window and holes, held against the record."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from schedule2sign.geometry.rings import box_of
from schedule2sign.model.braille import CellSize
from schedule2sign.model.shape import Box, Build, Dot, FontFacts, Hole, Pictogram, SignLayout
from schedule2sign.model.sign import Side, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.verification import drawing as layers
from schedule2sign.verification.cutter import check_cutter
from schedule2sign.verification.difference import TOLERANCE_MM, Difference, say_box, say_mm
from schedule2sign.verification.dots import compare_cells, find_stray, place_dots, read_cells
from schedule2sign.verification.drawing import ReadDrawing, box_off_mm
from schedule2sign.verification.letters import (
    Alphabet,
    DrawnLetter,
    compare_letters,
    compare_shape,
    find_lines,
    place_letters,
    rebuild_line,
    rebuild_visual,
    split_letters,
)
from schedule2sign.verification.parts import Part, find_parts, parts_box
from schedule2sign.verification.plate import read_plate
from schedule2sign.verification.record import RecordedCut, RecordedLine, RecordedSign

_NEAR_MM = 5.0  # a decoration further off than this is another shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Rebuilt:
    """A sign as its drawing has it. `layout` is None where letters or dots could not be told apart.

    `cells` are the braille lines as the dots read.
    """

    file: str
    layout: SignLayout | None
    cells: tuple[str, ...]
    differences: tuple[Difference, ...]
    letters: int
    dots: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the drawings do not hold: declared or measured elsewhere. `alphabet` is None without the font."""

    font: FontFacts
    build: Build
    size: CellSize
    alphabet: Alphabet | None


def rebuild_sign(drawing: ReadDrawing, sign: RecordedSign, cut: RecordedCut, facts: Facts) -> Rebuilt:
    """The sign of a drawing, and all that is not as recorded."""
    return _Rebuilder(drawing, sign, cut, facts).rebuild()


class _Rebuilder:
    def __init__(self, drawing: ReadDrawing, sign: RecordedSign, cut: RecordedCut, facts: Facts) -> None:
        self._drawing = drawing
        self._sign = sign
        self._cut = cut
        self._facts = facts
        self._found: list[Difference] = []

    def rebuild(self) -> Rebuilt:
        plate = read_plate(self._drawing, self._cut, self._differ)
        check_cutter(self._drawing, self._cut, self._differ)
        decorations, letters = self._part_decorations(find_parts(self._drawing.on(layers.RAISED)))
        lines = self._lines(letters, self._cut.lines)
        visual = self._lines(find_parts(self._drawing.on(layers.VISUAL)), self._cut.visual)
        cells, dots = self._braille()
        pictogram = self._pictogram()
        window = self._window()
        holes = self._holes()
        layout = None
        if lines is not None and visual is not None and dots is not None and plate is not None:
            layout = SignLayout(
                request=self._request(),
                template="",
                width_mm=plate.width_mm,
                height_mm=plate.height_mm,
                corner_radius_mm=plate.corner_radius_mm,
                lines=tuple(rebuild_line(*each, self._cut, self._facts.alphabet) for each in lines),
                braille=self._cut.braille,
                dots=dots,
                cell_size=self._size(),
                font=self._facts.alphabet.facts if self._facts.alphabet else self._facts.font,
                build=self._facts.build,
                pictogram=pictogram,
                border=tuple(ring for part in decorations for ring in part.rings),
                holes=holes,
                window=window,
                outline=plate.outline,
                visual=tuple(rebuild_visual(*each, self._facts.alphabet) for each in visual),
            )
        return Rebuilt(
            file=self._drawing.file,
            layout=layout,
            cells=cells,
            differences=tuple(self._found),
            letters=sum(len(drawn) for drawn, _ in (*(lines or ()), *(visual or ()))),
            dots=len(dots or ()),
        )

    def _differ(self, code: str, message: str, found: str = "", expected: str = "") -> None:
        self._found.append(
            Difference(
                code=code,
                file=self._drawing.file,
                sign_id=self._sign.sign_id,
                message=message,
                found=found,
                expected=expected,
            )
        )

    def _part_decorations(self, parts: Sequence[Part]) -> tuple[list[Part], list[Part]]:
        """Borders, rule lines and stars are told from letters by where the record says they are."""
        letters, decorations = list(parts), []
        for box in self._cut.decorations:
            part = min(letters, key=lambda part: box_off_mm(part.box, box), default=None)
            off = box_off_mm(part.box, box) if part else math.inf
            if part is None or off > _NEAR_MM:
                self._differ("decoration", "A recorded border or decoration is not drawn.", "none", say_box(box))
                continue
            letters.remove(part)
            decorations.append(part)
            if off > TOLERANCE_MM:
                message = f"A border or decoration is {say_mm(off)} off its recorded place or size."
                self._differ("decoration", message, say_box(part.box), say_box(box))
        return decorations, letters

    def _lines(
        self, parts: Sequence[Part], recorded: Sequence[RecordedLine]
    ) -> list[tuple[tuple[DrawnLetter, ...], RecordedLine]] | None:
        """The letters of each recorded line; None where they are not those, one for one."""
        alphabet = self._facts.alphabet
        drawn = find_lines(parts, len(recorded))
        if len(drawn) != len(recorded):
            self._differ("letters", f"{len(drawn)} lines of letters are drawn, {len(recorded)} recorded.")
            return None
        unknown = alphabet.missing("".join(line.text for line in recorded)) if alphabet else ()
        if unknown:
            self._differ("letters", f"The font has no {', '.join(unknown)}, which the record says is cut.")
            return None
        found, whole = [], True
        for letters, line in zip(drawn, recorded, strict=True):
            own = letters
            if len(own) != len(line.letters) and alphabet:
                own = split_letters(letters, line, alphabet)
            if len(own) != len(line.letters):
                whole = False
                message = f"{len(own)} letters are drawn where {line.text!r} has {len(line.letters)}."
                self._differ("letters", message, str(len(own)), str(len(line.letters)))
                continue
            self._found += compare_letters(own, line, self._sign.sign_id, self._drawing.file)
            self._compare_shapes(own, line)
            found.append((own, line))
        return found if whole else None

    def _compare_shapes(self, letters: Sequence[DrawnLetter], line: RecordedLine) -> None:
        alphabet = self._facts.alphabet
        if alphabet is None:
            return
        glyphs, _, _ = place_letters(letters, line, alphabet)
        for number, glyph in enumerate(glyphs, start=1):
            if wrong := compare_shape(glyph, alphabet):
                what = f"Letter {number} of the line {line.text!r} is no {glyph.outline.char} of the font"
                self._differ("letter-shape", f"{what}: {wrong}.")

    def _braille(self) -> tuple[tuple[str, ...], tuple[Dot, ...] | None]:
        circles = self._drawing.circles_on(layers.DRILL)
        recorded = [line.cells for line in self._cut.braille]
        self._compare_box("dots", [tuple((circle.x_mm, circle.y_mm) for circle in circles)] if circles else [])
        diameters = [circle.diameter_mm for circle in circles]
        off = max((abs(diameter - self._facts.size.base_mm) for diameter in diameters), default=0.0)
        if off > TOLERANCE_MM:
            self._differ(
                "dot-size",
                f"A braille dot is {say_mm(off)} off the recorded base of {say_mm(self._facts.size.base_mm)}.",
            )
        cells = read_cells(circles, recorded, self._facts.size)
        if cells is None:
            stray = find_stray(circles, self._facts.size)
            where = f": the dot at {stray.x_mm:.3f}, {stray.y_mm:.3f} mm stands off it" if stray else ""
            self._differ("braille", f"The {len(circles)} dots fit no braille grid of the recorded size{where}.")
            return (), None
        wrong = compare_cells(cells, recorded)
        if wrong:
            self._differ(
                "braille", f"The dots are not the recorded cells: {wrong}.", " / ".join(cells), " / ".join(recorded)
            )
        return cells, place_dots(circles, cells)

    def _pictogram(self) -> Pictogram | None:
        rings = self._drawing.on(layers.PICTOGRAM)
        self._compare_box("pictogram", [ring.points for ring in rings])
        if not rings:
            return None
        parts = find_parts(rings)
        box = parts_box(parts)
        frames = [ring.box for ring in self._drawing.on(layers.NOTES)]
        around = [frame for frame in frames if _holds(frame, box)]
        field = min(around, key=lambda frame: frame.width_mm * frame.height_mm) if around else box
        wanted = self._cut.boxes.get("pictogram_field")
        off = box_off_mm(field, wanted) if wanted else math.inf
        if off > TOLERANCE_MM:
            self._differ(
                "pictogram_field",
                "The pictogram's field is not as recorded.",
                say_box(field),
                say_box(wanted) if wanted else "none",
            )
        return Pictogram(
            name=self._sign.pictogram, field=field, rings=tuple(ring for part in parts for ring in part.rings)
        )

    def _window(self) -> Box | None:
        rings = self._drawing.on(layers.WINDOW)
        self._compare_box("window", [ring.points for ring in rings])
        return box_of([ring.points for ring in rings]) if rings else None

    def _holes(self) -> tuple[Hole, ...]:
        circles = self._drawing.circles_on(layers.HOLES)
        holes = tuple(Hole(x_mm=c.x_mm, y_mm=c.y_mm, diameter_mm=c.diameter_mm) for c in circles)
        if len(holes) != len(self._cut.holes):
            self._differ("holes", f"{len(holes)} fixing holes are drawn, {len(self._cut.holes)} recorded.")
            return holes
        for number, (drawn, recorded) in enumerate(zip(holes, self._cut.holes, strict=True), start=1):
            off = max(
                abs(drawn.x_mm - recorded.x_mm),
                abs(drawn.y_mm - recorded.y_mm),
                abs(drawn.diameter_mm - recorded.diameter_mm),
            )
            if off > TOLERANCE_MM:
                self._differ(
                    "holes", f"Fixing hole {number} is {say_mm(off)} off its place or size.", say_mm(off), say_mm(0.0)
                )
        return holes

    def _compare_box(self, what: str, rings: Sequence[tuple[tuple[float, float], ...]]) -> None:
        wanted, drawn = self._cut.boxes.get(what), box_of(rings) if rings else None
        if wanted is None and drawn is None:
            return
        if wanted is None or drawn is None:
            state = "drawn but not recorded" if drawn else "recorded but not drawn"
            self._differ(what, f"{_NAMES[what]} is {state}.")
            return
        off = box_off_mm(drawn, wanted)
        if off > TOLERANCE_MM:
            self._differ(
                what,
                f"{_NAMES[what]} is {say_mm(off)} off its recorded place or size.",
                say_box(drawn),
                say_box(wanted),
            )

    def _size(self) -> CellSize:
        diameters = [circle.diameter_mm for circle in self._drawing.circles_on(layers.DRILL)]
        return replace(self._facts.size, base_mm=median(diameters)) if diameters else self._facts.size

    def _request(self) -> SignRequest:
        return SignRequest(
            sign_id=self._sign.sign_id,
            source=Source(file=self._drawing.file, sheet="", row=0),
            door="",
            room_number="",
            level="",
            name_as_given="",
            messages=self._cut.messages,
            template="",
            side=Side.CORRIDOR,
            rule="",
            reason="",
            pictogram=self._sign.pictogram,
        )


_NAMES = {
    "dots": "The braille block",
    "pictogram": "The pictogram",
    "window": "The window",
}


def _holds(outer: Box, inner: Box) -> bool:
    slack = TOLERANCE_MM
    return (
        outer.left_mm <= inner.left_mm + slack
        and outer.bottom_mm <= inner.bottom_mm + slack
        and inner.right_mm <= outer.right_mm + slack
        and inner.top_mm <= outer.top_mm + slack
    )

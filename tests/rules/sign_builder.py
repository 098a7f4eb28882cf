"""Finished signs built by hand for rule cases: block letters, real braille cells, one number to change at a time."""

import math
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from schedule2sign.geometry.dotgrid import place_line
from schedule2sign.model.braille import BrailleLine, CellSize, Token, TokenKind
from schedule2sign.model.measure import parse_length
from schedule2sign.model.shape import (
    Box,
    Build,
    Dot,
    FontFacts,
    Hole,
    Outline,
    Pictogram,
    PlacedGlyph,
    RaisedLine,
    Ring,
    SignLayout,
    VisualLine,
)
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.model.source import Source

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "rules"
INCH = 25.4

# Lengths with their unit, ratios as shares of the character height. Every value lies inside every limit of us-ada-2010.
DEFAULTS: dict[str, Any] = {
    "messages": ["101", "CONFERENCE ROOM"],
    "lines": [[0, "101"], [1, "CONFERENCE"], [1, "ROOM"]],
    "braille": ["⠼⠁⠚⠁", "⠒⠋⠻⠰⠑⠀⠗⠕⠕⠍"],
    "braille_text": ["101", "CONFERENCE ROOM"],
    "braille_code": "ueb-contracted",
    "message_code": "",
    "typed": [],
    "plate": ["9 in", "8 in"],
    "corner": "0.125 in",
    "height": "0.625 in",
    "letter_scale": 1.0,
    "stroke": 0.13,
    "i_width": 0.13,
    "o_ratio": 0.7,
    "o_width": 0.7,
    "serifs": False,
    "slant": 0.0,
    "gap": "0.15 in",
    "word_gap": "0.34 in",
    "line_pitch": 1.45,
    "message_gap": "0.4 in",
    "raised": "0.033 in",
    "side_deg": 0.0,
    "dot_shape": "domed",
    "finish": "non-glare",
    "base_color": "charcoal",
    "letter_color": "white",
    "dot_pitch": "0.095 in",
    "cell_pitch": "0.270 in",
    "braille_line_pitch": "0.3975 in",
    "dot_base": "0.061 in",
    "dot_height": "0.031 in",
    "braille_gap": "0.4375 in",
    "braille_shift": "0 in",
    "text_top": "1 in",
    "text_left": "1 in",
    "holes": [],
    "hole_diameter": "0.1875 in",
    "hand": "",
    "flat": [],  # flat lines: text, height, baseline
    "side": "C",
}
# Things a sign may have or not.
OPTIONS = frozenset(
    {
        "border",
        "pictogram",
        "drawing",
        "nudge",
        "lose",
        "tail",
        "heights",
        "base_reflectance",
        "letter_reflectance",
        "window",
        "extra_dots",
        "baseline_nudge",
        "mounted_top",
        "asked_pictogram",
        "star",
        "plate_shape",
        "laid",
        "viewing",
    }
)


def mm(length: str | float) -> float:
    """A length as the cases write it; numbers are mm already."""
    if isinstance(length, str):
        return (-1 if length.startswith("-") else 1) * parse_length(length.lstrip("-")).mm
    return length


def block(left: float, bottom: float, right: float, top: float) -> Ring:
    return ((left, bottom), (right, bottom), (right, top), (left, top))


@dataclass
class Builder:
    """Turns a case's settings into a finished sign."""

    settings: dict[str, Any]
    _outlines: dict[tuple[str, float], Outline] = field(default_factory=dict)

    def outline(self, char: str, height_mm: float) -> Outline:
        if (char, height_mm) not in self._outlines:
            shape = self.settings
            share = {"I": shape["i_width"], "1": shape["i_width"], "O": shape["o_width"]}.get(char, 0.6)
            width, top = share * height_mm, shape["letter_scale"] * height_mm
            bottom = -mm(shape.get("tail", 0.0)) if char in "QJ" else 0.0
            self._outlines[char, height_mm] = Outline(
                char=char,
                height_mm=height_mm,
                rings=(block(0, bottom, width, top),),
                box=Box(left_mm=0, bottom_mm=bottom, right_mm=width, top_mm=top),
            )
        return self._outlines[char, height_mm]

    def raised_line(self, message: int, text: str, baseline_mm: float, height_mm: float) -> RaisedLine:
        glyphs: list[PlacedGlyph] = []
        words: list[tuple[int, int]] = []
        x = mm(self.settings["text_left"])
        for word in text.split():
            first = len(glyphs)
            for char in word:
                outline = self.outline(char, height_mm)
                lift = mm(self.settings.get("baseline_nudge", 0.0)) if not glyphs else 0.0
                glyphs.append(PlacedGlyph(outline=outline, x_mm=x, baseline_mm=baseline_mm + lift))
                x += outline.box.width_mm + mm(self.settings["gap"])
            words.append((first, len(glyphs)))
            x += mm(self.settings["word_gap"]) - mm(self.settings["gap"])
        return RaisedLine(
            text=text,
            role=Role.NUMBER if message == 0 else Role.NAME,
            message=message,
            height_mm=height_mm,
            baseline_mm=baseline_mm,
            glyphs=tuple(glyphs),
            words=tuple(words),
        )

    def flat_line(self, text: str, height: str, baseline: str) -> VisualLine:
        line = self.raised_line(0, text, mm(baseline), mm(height))
        return VisualLine(text=text, height_mm=mm(height), baseline_mm=mm(baseline), glyphs=line.glyphs)

    def lines(self) -> tuple[RaisedLine, ...]:
        shape, height = self.settings, mm(self.settings["height"])
        heights = [mm(text) for text in shape.get("heights", [])] or [height] * len(shape["lines"])
        made: list[RaisedLine] = []
        baseline = mm(shape["plate"][1]) - mm(shape["text_top"])
        for index, ((message, text), line_height) in enumerate(zip(shape["lines"], heights, strict=True)):
            if index == 0:
                baseline -= line_height
            elif message == shape["lines"][index - 1][0]:
                baseline -= shape["line_pitch"] * max(line_height, heights[index - 1])
            else:
                baseline -= line_height + mm(shape["message_gap"])
            made.append(self.raised_line(message, text, baseline, line_height))
        return tuple(made)

    def size(self) -> CellSize:
        shape = self.settings
        return CellSize(
            name="case",
            dot_pitch_mm=mm(shape["dot_pitch"]),
            cell_pitch_mm=mm(shape["cell_pitch"]),
            line_pitch_mm=mm(shape["braille_line_pitch"]),
            base_mm=mm(shape["dot_base"]),
            height_mm=mm(shape["dot_height"]),
        )

    def dots(self, lines: tuple[RaisedLine, ...]) -> tuple[Dot, ...]:
        shape, size = self.settings, self.size()
        lowest = min((g.box.bottom_mm for line in lines for g in line.glyphs), default=mm(shape["plate"][1]) / 2)
        top = lowest - mm(shape["braille_gap"])
        left = mm(shape["text_left"]) + mm(shape["braille_shift"])
        dots: list[Dot] = []
        for index, cells in enumerate(shape["braille"]):
            dots += place_line(cells, line=index, left_mm=left, top_mm=top - index * size.line_pitch_mm, size=size)
        moved = {(line, cell, number): (mm(dx), mm(dy)) for line, cell, number, dx, dy in shape.get("nudge", [])}
        lost = {tuple(place) for place in shape.get("lose", [])}
        kept = [dot for dot in dots if (dot.line, dot.cell, dot.number) not in lost]
        for index, dot in enumerate(kept):
            dx, dy = moved.get((dot.line, dot.cell, dot.number), (0.0, 0.0))
            kept[index] = replace(dot, x_mm=dot.x_mm + dx, y_mm=dot.y_mm + dy)
        extra = [
            Dot(line=line, cell=cell, number=number, x_mm=left, y_mm=top)
            for line, cell, number in shape.get("extra_dots", [])
        ]
        return (*kept, *extra)

    def braille_lines(self) -> tuple[BrailleLine, ...]:
        shape = self.settings
        made = []
        for index, (text, cells) in enumerate(zip(shape["braille_text"], shape["braille"], strict=True)):
            tokens = tuple(
                Token(text=raised, kind=TokenKind(kind), typed=typed, contracted=True, reason="case")
                for line, raised, kind, typed in shape["typed"]
                if line == index
            )
            made.append(BrailleLine(text=text, cells=cells, code=shape["braille_code"], tokens=tokens))
        return tuple(made)

    def border(self, lines: tuple[RaisedLine, ...], dots: tuple[Dot, ...]) -> tuple[Ring, ...]:
        """A frame this far left of the leftmost letter ("text") or below the lowest dot ("braille"); wide elsewhere."""
        shape = self.settings
        if "border" not in shape:
            return ()
        what, clearance = shape["border"]
        width, height = (mm(side) for side in shape["plate"])
        left = bottom = 0.05 * INCH
        if what == "text":
            left = min(g.box.left_mm for line in lines for g in line.glyphs) - mm(clearance)
        else:
            bottom = min(dot.y_mm for dot in dots) - mm(shape["dot_base"]) / 2 - mm(clearance)
        return (block(left, bottom, width - 0.05 * INCH, height - 0.05 * INCH),)

    def figure(self, kind: str, across: str, radius: str = "0 in") -> Ring:
        """A circle of this diameter, or an equilateral triangle of this edge with its points cut to a radius."""
        middle, across_mm = 6 * INCH, mm(across)
        if kind == "circle":
            angles = [math.tau * step / 360 for step in range(360)]
            return tuple((middle + across_mm / 2 * math.cos(a), middle + across_mm / 2 * math.sin(a)) for a in angles)
        ring: list[tuple[float, float]] = []
        for turn in (90, 210, 330):
            out = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
            corner = across_mm / math.sqrt(3)
            center = (middle + out[0] * (corner - 2 * mm(radius)), middle + out[1] * (corner - 2 * mm(radius)))
            for step in range(-60, 61, 10) if mm(radius) else (0,):
                angle = math.radians(turn + step)
                ring.append((center[0] + mm(radius) * math.cos(angle), center[1] + mm(radius) * math.sin(angle)))
        return tuple(ring)

    def decoration(self) -> tuple[Ring, ...]:
        """A five-pointed star (diameter, center x, center y), and a triangle laid on a plate of its own shape."""
        shape, rings = self.settings, []
        if "star" in shape:
            diameter, x, y = (mm(length) for length in shape["star"])
            radii = [diameter / 2, diameter / 2 * 0.381966]  # the regular pentagram's notches
            angles = [math.radians(90 + 36 * step) for step in range(10)]
            rings.append(
                tuple((x + radii[i % 2] * math.cos(a), y + radii[i % 2] * math.sin(a)) for i, a in enumerate(angles))
            )
        if "laid" in shape:
            rings.append(self.figure("triangle", *shape["laid"]))
        return tuple(rings)

    def window(self) -> Box | None:
        sides = [mm(side) for side in self.settings.get("window", [])]
        if not sides:
            return None
        return Box(left_mm=sides[0], bottom_mm=sides[1], right_mm=sides[2], top_mm=sides[3])

    def pictogram(self) -> Pictogram | None:
        shape = self.settings
        if not shape.get("pictogram"):
            return None
        left, bottom, right, top = (mm(side) for side in shape["pictogram"])
        drawing = shape.get("drawing", ["3 in", "6 in", "5 in", "7 in"])
        return Pictogram(
            name="case",
            field=Box(left_mm=left, bottom_mm=bottom, right_mm=right, top_mm=top),
            rings=(block(*(mm(side) for side in drawing)),),
        )

    def request(self) -> SignRequest:
        shape = self.settings
        return SignRequest(
            sign_id="CASE-1",
            source=Source(file="case.toml", sheet="", row=1),
            door="101",
            room_number="101",
            level="",
            name_as_given="case",
            messages=tuple(
                Message(role=Role.NAME, text=text, code=shape["message_code"]) for text in shape["messages"]
            ),
            template="case",
            side=Side(shape["side"]),
            rule="case",
            reason="case",
            hand=shape["hand"],
            pictogram=shape.get("asked_pictogram", ""),
        )

    def layout(self) -> SignLayout:
        shape = self.settings
        lines = self.lines()
        dots = self.dots(lines)
        return SignLayout(
            request=self.request(),
            template="case",
            width_mm=mm(shape["plate"][0]),
            height_mm=mm(shape["plate"][1]),
            corner_radius_mm=mm(shape["corner"]),
            lines=lines,
            braille=self.braille_lines(),
            dots=dots,
            cell_size=self.size(),
            font=FontFacts(
                name="Block",
                file="block.otf",
                sha256="0" * 64,
                licence="none",
                stroke_ratio=shape["stroke"],
                o_ratio=shape["o_ratio"],
                i_has_serifs=shape["serifs"],
                slant_deg=shape["slant"],
            ),
            build=Build(
                raised_mm=mm(shape["raised"]),
                side_deg=shape["side_deg"],
                dot_shape=shape["dot_shape"],
                finish=shape["finish"],
                base_color=shape["base_color"],
                letter_color=shape["letter_color"],
                base_reflectance=shape.get("base_reflectance"),
                letter_reflectance=shape.get("letter_reflectance"),
                top_mm=mm(shape["mounted_top"]) if "mounted_top" in shape else None,
                viewing_mm=mm(shape["viewing"]) if "viewing" in shape else None,
            ),
            pictogram=self.pictogram(),
            window=self.window(),
            visual=tuple(self.flat_line(*entry) for entry in shape["flat"]),
            border=(*self.border(lines, dots), *self.decoration()),
            outline=self.figure(*shape["plate_shape"]) if "plate_shape" in shape else (),
            holes=tuple(
                Hole(x_mm=mm(x), y_mm=mm(y), diameter_mm=mm(shape["hole_diameter"])) for x, y in shape["holes"]
            ),
        )


def build_sign(changes: dict[str, Any] | None = None) -> SignLayout:
    """A sign with the default values, but for the changes."""
    unknown = set(changes or {}) - set(DEFAULTS) - OPTIONS
    if unknown:
        raise KeyError(f"a case sets {sorted(unknown)}, which the builder does not know")
    return Builder({**DEFAULTS, **(changes or {})}).layout()


def shift_sign(sign: SignLayout, dx_mm: float, dy_mm: float) -> SignLayout:
    """The same sign, everything on the plate moved (the plate itself starts at 0, 0 by definition)."""

    def shift_rings(rings: tuple[Ring, ...]) -> tuple[Ring, ...]:
        return tuple(tuple((x + dx_mm, y + dy_mm) for x, y in ring) for ring in rings)

    return replace(
        sign,
        lines=tuple(
            replace(
                line,
                baseline_mm=line.baseline_mm + dy_mm,
                glyphs=tuple(replace(g, x_mm=g.x_mm + dx_mm, baseline_mm=g.baseline_mm + dy_mm) for g in line.glyphs),
            )
            for line in sign.lines
        ),
        dots=tuple(replace(dot, x_mm=dot.x_mm + dx_mm, y_mm=dot.y_mm + dy_mm) for dot in sign.dots),
        border=shift_rings(sign.border),
        visual=tuple(
            replace(
                line,
                baseline_mm=line.baseline_mm + dy_mm,
                glyphs=tuple(replace(g, x_mm=g.x_mm + dx_mm, baseline_mm=g.baseline_mm + dy_mm) for g in line.glyphs),
            )
            for line in sign.visual
        ),
        window=sign.window and sign.window.shifted(dx_mm, dy_mm),
        holes=tuple(replace(hole, x_mm=hole.x_mm + dx_mm, y_mm=hole.y_mm + dy_mm) for hole in sign.holes),
        pictogram=sign.pictogram
        and replace(
            sign.pictogram,
            field=sign.pictogram.field.shifted(dx_mm, dy_mm),
            rings=shift_rings(sign.pictogram.rings),
        ),
    )


@dataclass(frozen=True)
class Case:
    """One case of a rule: a sign, and the verdict it must get."""

    rule: str
    name: str
    clause: str
    profile: str
    of_clause: bool  # judged by the profile the file's clause belongs to
    sign: SignLayout
    outcome: str
    findings: dict[str, int]

    def __str__(self) -> str:
        return f"{self.rule}: {self.name}"


def load_cases() -> tuple[Case, ...]:
    """Every case of every file in fixtures/rules."""
    cases: list[Case] = []
    for path in sorted(FIXTURES.glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        own = data.get("profile", "us-ada-2010")
        cases += [
            Case(
                rule=data["rule"],
                name=case["name"],
                clause=data["clause"],
                profile=case.get("profile", own),
                of_clause=case.get("profile", own) == own,
                sign=build_sign({**data.get("set", {}), **case.get("set", {})}),
                outcome=case["outcome"],
                findings=case.get("findings", {}),
            )
            for case in data["case"]
        ]
    return tuple(cases)

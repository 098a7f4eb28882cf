"""Solid parts to lines of letters, by where they stand: no layer, order or name in the file is trusted."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Protocol

from schedule2sign.geometry.rings import box_of, ring_area
from schedule2sign.model.shape import Box, FontFacts, Outline, PlacedGlyph, RaisedLine, VisualLine
from schedule2sign.verification.difference import TOLERANCE_MM, Difference, say_box, say_mm
from schedule2sign.verification.drawing import box_off_mm
from schedule2sign.verification.parts import Part, parts_box
from schedule2sign.verification.record import RecordedCut, RecordedLine

_SAME_LINE = 0.5  # share of the lower part's height that two parts of one line have in common
_SAME_LETTER = 0.5  # share of the narrower part's width that two parts of one letter have in common
# Chords of a curve drawn at sizes a hair apart may divide it differently: twice the chord error of outlines.
SHAPE_MM = 0.03


class Alphabet(Protocol):
    """The font whose letters a sign is said to have."""

    @property
    def facts(self) -> FontFacts: ...

    def missing(self, text: str) -> tuple[str, ...]:
        """Characters of the text the font lacks."""

    def outline(self, char: str, height_mm: float) -> Outline:
        """A character at one size, its ink's left edge at x = 0."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnLetter:
    """The parts of one character."""

    parts: tuple[Part, ...]
    box: Box


def find_lines(parts: Sequence[Part], count: int) -> tuple[tuple[DrawnLetter, ...], ...]:
    """Lines top to bottom, letters left to right. Where more than `count` rows are found, accents are among them."""
    rows: list[list[Part]] = []
    for part in sorted(parts, key=lambda part: -part.box.height_mm):
        row = next((row for row in rows if _share_height(part.box, row[0].box) >= _SAME_LINE), None)
        if row is None:
            rows.append([part])
        else:
            row.append(part)
    # Rows are tallest first; an accent is lower than any letter and belongs to the nearest line.
    lines, marks = rows[:count], rows[count:]
    above: list[list[Part]] = [[] for _ in lines]
    for mark in [part for row in marks for part in row] if lines else []:
        nearest = min(range(len(lines)), key=lambda index: _height_between(mark.box, lines[index][0].box))
        above[nearest].append(mark)
    found = [_add_marks(_find_letters(line), own) for line, own in zip(lines, above, strict=True)]
    return tuple(sorted(found, key=lambda letters: -max(letter.box.top_mm for letter in letters)))


def _add_marks(letters: Sequence[DrawnLetter], marks: Sequence[Part]) -> tuple[DrawnLetter, ...]:
    """Each accent with the letter whose middle is nearest: two dots stand wider than the I under them."""
    parts = [list(letter.parts) for letter in letters]
    for mark in marks:
        nearest = min(range(len(letters)), key=lambda index: abs(_middle(letters[index].box) - _middle(mark.box)))
        parts[nearest].append(mark)
    return tuple(DrawnLetter(parts=tuple(own), box=parts_box(own)) for own in parts)


def _middle(box: Box) -> float:
    return (box.left_mm + box.right_mm) / 2


def _height_between(a: Box, b: Box) -> float:
    return max(a.bottom_mm - b.top_mm, b.bottom_mm - a.top_mm, 0.0)


def _share_height(a: Box, b: Box) -> float:
    return (min(a.top_mm, b.top_mm) - max(a.bottom_mm, b.bottom_mm)) / min(a.height_mm, b.height_mm)


def _find_letters(parts: Sequence[Part]) -> tuple[DrawnLetter, ...]:
    letters: list[list[Part]] = []
    for part in sorted(parts, key=lambda part: -part.box.width_mm):
        home = next((letter for letter in letters if _share_width(part.box, letter[0].box) >= _SAME_LETTER), None)
        if home is None:
            letters.append([part])
        else:
            home.append(part)
    found = [DrawnLetter(parts=tuple(letter), box=parts_box(letter)) for letter in letters]
    return tuple(sorted(found, key=lambda letter: letter.box.left_mm))


def _share_width(a: Box, b: Box) -> float:
    return (min(a.right_mm, b.right_mm) - max(a.left_mm, b.left_mm)) / min(a.width_mm, b.width_mm)


def split_letters(drawn: Sequence[DrawnLetter], line: RecordedLine, alphabet: Alphabet) -> tuple[DrawnLetter, ...]:
    """The same parts, each character with as many from the left as the font has: a quotation mark has two in a row."""
    parts = sorted((part for letter in drawn for part in letter.parts), key=lambda part: part.box.left_mm)
    letters = []
    for letter in line.letters:
        outline = alphabet.outline(letter.char, line.height_mm)
        count = sum(ring_area(ring) > 0 for ring in outline.rings)
        own, parts = parts[:count], parts[count:]
        if len(own) < count:
            return tuple(drawn)
        letters.append(DrawnLetter(parts=tuple(own), box=parts_box(own)))
    return tuple(drawn) if parts else tuple(letters)


def place_letters(
    drawn: Sequence[DrawnLetter], line: RecordedLine, alphabet: Alphabet | None
) -> tuple[tuple[PlacedGlyph, ...], float, float]:
    """The drawn outlines as glyphs, their height and their baseline, measured where the font is at hand."""
    chars = "".join(line.text.split())
    height_mm, baseline_mm = line.height_mm, line.baseline_mm
    if alphabet is not None:
        height_mm, baseline_mm = _measure(drawn, chars, alphabet, line.height_mm)
    glyphs = []
    for char, letter in zip(chars, drawn, strict=True):
        # Each letter stands on its own baseline: what the font puts below it is below it here.
        below = alphabet.outline(char, height_mm).box.bottom_mm if alphabet else letter.box.bottom_mm - baseline_mm
        glyphs.append(_place(char, letter, height_mm, letter.box.bottom_mm - below))
    return tuple(glyphs), height_mm, baseline_mm


def rebuild_line(
    drawn: Sequence[DrawnLetter], line: RecordedLine, cut: RecordedCut, alphabet: Alphabet | None
) -> RaisedLine:
    """A raised line of the drawn outlines."""
    glyphs, height_mm, baseline_mm = place_letters(drawn, line, alphabet)
    words, start = [], 0
    for word in line.text.split():
        words.append((start, start + len(word)))
        start += len(word)
    return RaisedLine(
        text=line.text,
        role=cut.messages[line.message].role,
        message=line.message,
        height_mm=height_mm,
        baseline_mm=baseline_mm,
        glyphs=glyphs,
        words=tuple(words),
    )


def rebuild_visual(drawn: Sequence[DrawnLetter], line: RecordedLine, alphabet: Alphabet | None) -> VisualLine:
    """A line of flat text of the drawn outlines."""
    glyphs, height_mm, baseline_mm = place_letters(drawn, line, alphabet)
    return VisualLine(text=line.text, height_mm=height_mm, baseline_mm=baseline_mm, glyphs=glyphs)


def _measure(drawn: Sequence[DrawnLetter], chars: str, alphabet: Alphabet, guess_mm: float) -> tuple[float, float]:
    """Height of capital I and baseline, from every letter or digit of the line, else from what there is."""
    pairs = list(zip(chars, drawn, strict=True))
    pairs = [pair for pair in pairs if pair[0].isalnum()] or pairs
    ratio = median(letter.box.height_mm / alphabet.outline(char, guess_mm).box.height_mm for char, letter in pairs)
    height_mm = round(guess_mm * ratio, 4)
    baseline_mm = median(
        letter.box.bottom_mm - alphabet.outline(char, height_mm).box.bottom_mm for char, letter in pairs
    )
    return height_mm, baseline_mm


def _place(char: str, letter: DrawnLetter, height_mm: float, baseline_mm: float) -> PlacedGlyph:
    left = letter.box.left_mm
    rings = tuple(tuple((x - left, y - baseline_mm) for x, y in ring) for part in letter.parts for ring in part.rings)
    outline = Outline(char=char, height_mm=height_mm, rings=rings, box=box_of(rings))
    return PlacedGlyph(outline=outline, x_mm=left, baseline_mm=baseline_mm)


def compare_shape(glyph: PlacedGlyph, alphabet: Alphabet) -> str:
    """What sets a drawn letter apart from the font's, in words; "" where nothing does."""
    import shapely

    wanted = alphabet.outline(glyph.outline.char, glyph.outline.height_mm)
    if len(wanted.rings) != len(glyph.outline.rings):
        return f"it has {len(glyph.outline.rings)} contours, the font's {len(wanted.rings)}"
    off = float(
        shapely.hausdorff_distance(
            shapely.multilinestrings([shapely.linearrings(ring) for ring in glyph.outline.rings]),
            shapely.multilinestrings([shapely.linearrings(ring) for ring in wanted.rings]),
        )
    )
    return f"its outline leaves the font's by {say_mm(off)}" if off > SHAPE_MM else ""


def compare_letters(drawn: Sequence[DrawnLetter], line: RecordedLine, sign_id: str, file: str) -> list[Difference]:
    """Each letter's box against the record: the place and size of every one, not of the worst alone."""
    found = []
    for number, (recorded, letter) in enumerate(zip(line.letters, drawn, strict=True), start=1):
        off_mm = box_off_mm(letter.box, recorded.box)
        if off_mm > TOLERANCE_MM:
            found.append(
                Difference(
                    code="letter",
                    file=file,
                    sign_id=sign_id,
                    message=f"Letter {number} ({recorded.char}) of the line {line.text!r} is "
                    f"{say_mm(off_mm)} off its recorded place or size.",
                    found=say_box(letter.box),
                    expected=say_box(recorded.box),
                )
            )
    return found

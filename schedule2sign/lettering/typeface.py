"""A typeface that sets lines of raised characters with every gap measured on the outlines."""

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

from schedule2sign.geometry.rings import box_of, fill_contours, shape_rings, sharpen_notches
from schedule2sign.lettering.fontfile import FontFile, open_font
from schedule2sign.lettering.measure import measure_font
from schedule2sign.lettering.spacing import (
    FLOOR,
    SLASH_FLOOR,
    STRAIGHT_EXTRA,
    Letter,
    filled,
    gap_mm,
    make_letter,
    touch_mm,
    white_of,
)
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.shape import FontFacts, PlacedGlyph, Ring, SetLine, share_outline

CHORD_ERROR_MM = 0.0005 * MM_PER_INCH
WORD_SPACE_RATIO = 0.55  # share of the height, edge to edge: common practice, no source
STRAIGHT_SPACE_RATIO = 0.10  # more white between words that meet in straight stems: by eye
WORD_SPACE_GAPS = 2.5  # and never less than this many letter gaps: common practice, no source
_ROOM_MM = 0.005  # kept from the legal maximum of a gap
_SLASH = "/"
_REACH = 3  # letters back that may stand in the way (T.T)
_STEP_RATIO = 0.008  # share of the height: steps in inner corners up to 0.005 in on the smallest letters are closed
_COARSE = 0.001  # chord error where only the presence of ink counts, as a share of the height


def load_typeface(path: Path) -> "Typeface":
    """Open a font file and measure it.

    Raises:
        InputError: not a font that can be read.
    """
    return Typeface(open_font(path))


_MOST_WORDS = 4096  # that are kept once set: names come again, the numbers of a large building do not


class Typeface:
    """A font with its measured facts. Outlines, pair distances and words are kept once made."""

    def __init__(self, font: FontFile) -> None:
        self._font = font
        self._letters: dict[tuple[str, float], Letter] = {}
        self._touches: dict[tuple[str, str, float, float], float] = {}
        self._gaps: dict[tuple[str, str, float, float], float] = {}
        self._words: dict[tuple[str, float, float, float, bool], SetLine] = {}
        self._has_ink: dict[str, bool] = {}

    @cached_property
    def facts(self) -> FontFacts:
        """What was measured on the font."""
        return measure_font(self._font)

    @cached_property
    def own_gap_ratio(self) -> float:
        """The font's own gap between two straight stems (HH) as a share of the height."""
        if not self._draws("H"):
            return 0.0
        shape = fill_contours(self._font.contours("H", _COARSE))
        return self._font.advance("H") - float(shape.bounds[2] - shape.bounds[0])

    def missing(self, text: str) -> tuple[str, ...]:
        """Characters of the text the font lacks, or has only as an empty glyph; each once, in order."""
        return tuple(char for char in dict.fromkeys(text) if not char.isspace() and not self._draws(char))

    def letter(self, char: str, height_mm: float) -> Letter:
        """A character at one size: outline, filled shape, white."""
        key = (char, height_mm)
        if key not in self._letters:
            rings = self._rings(char, height_mm)
            left = box_of(rings).left_mm
            rings = tuple(tuple((x - left, y) for x, y in ring) for ring in rings)
            outline = share_outline(char, height_mm, rings, box_of(rings))
            shape = filled(rings)
            # Measured at each size: taken from whichever came first, a sign would depend on the signs before it.
            self._letters[key] = make_letter(outline, shape, white_of(outline, shape))
        return self._letters[key]

    def set_line(
        self, text: str, height_mm: float, least_gap_mm: float, most_gap_strokes: float, *, by_eye: bool = True
    ) -> SetLine:
        """Set a line from x = 0 on baseline 0; runs of white space are one word space.

        By eye, no gap is less than the least and the white between letters is even: straight stems stand at least
        10 % further apart, and not nearer than in the font itself. Otherwise every gap is just the least.

        `gaps_mm` of the result are measured on the final outlines, word by word; where two characters cannot
        come near enough (an apostrophe before a period) the gap found stands there for the caller to judge.
        """
        least_space = max(WORD_SPACE_RATIO * height_mm, WORD_SPACE_GAPS * least_gap_mm)
        glyphs: list[PlacedGlyph] = []
        words: list[tuple[int, int]] = []
        gaps: list[float] = []
        x = 0.0
        for word in text.split():
            key = (word, height_mm, least_gap_mm, most_gap_strokes, by_eye)
            if key not in self._words:
                if len(self._words) >= _MOST_WORDS:
                    self._words.clear()
                self._words[key] = self._set_word(word, height_mm, least_gap_mm, most_gap_strokes, by_eye=by_eye)
            unit = self._words[key]
            start = x + least_space + self._extra_space(glyphs[-1], unit.glyphs[0]) if words else 0.0
            words.append((len(glyphs), len(glyphs) + len(unit.glyphs)))
            glyphs += [_moved(glyph, start) for glyph in unit.glyphs] if start else unit.glyphs
            gaps += unit.gaps_mm
            x = start + unit.width_mm
        return SetLine(
            text=text, height_mm=height_mm, glyphs=tuple(glyphs), words=tuple(words), width_mm=x, gaps_mm=tuple(gaps)
        )

    def _extra_space(self, before: PlacedGlyph, after: PlacedGlyph) -> float:
        """What a word space between two straight stems lacks in white beside one between open letters."""
        left = self.letter(before.outline.char, before.outline.height_mm).white_right_mm
        right = self.letter(after.outline.char, after.outline.height_mm).white_left_mm
        return max(0.0, STRAIGHT_SPACE_RATIO * before.outline.height_mm - left - right)

    def _set_word(
        self, word: str, height_mm: float, least_gap_mm: float, most_gap_strokes: float, *, by_eye: bool
    ) -> SetLine:
        letters = [self.letter(char, height_mm) for char in word]
        most_mm = most_gap_strokes * self.facts.stroke_ratio * height_mm - _ROOM_MM
        white_mm = max(STRAIGHT_EXTRA * least_gap_mm, self.own_gap_ratio * height_mm) if by_eye else float("-inf")
        xs = self._stand(letters, least_gap_mm, most_mm, white_mm)
        return SetLine(
            text=word,
            height_mm=height_mm,
            glyphs=tuple(
                PlacedGlyph(outline=letter.outline, x_mm=x, baseline_mm=0.0)
                for letter, x in zip(letters, xs, strict=True)
            ),
            words=((0, len(letters)),),
            width_mm=max(x + letter.outline.box.right_mm for letter, x in zip(letters, xs, strict=True)),
            gaps_mm=tuple(self._gap(letters[i], letters[i + 1], xs[i + 1] - xs[i]) for i in range(len(letters) - 1)),
        )

    def _stand(self, letters: Sequence[Letter], least_mm: float, most_mm: float, white_mm: float) -> list[float]:
        """Where each letter of a word starts, for an even sum of white inside the window of gaps."""
        xs = [0.0]
        for index in range(1, len(letters)):
            first, letter = letters[index - 1], letters[index]
            offset = first.outline.box.right_mm + white_mm - first.white_right_mm - letter.white_left_mm
            if offset > float("-inf") and self._gap(first, letter, offset) > most_mm:
                offset = min(offset, self._touch(first, letter, most_mm))
            in_the_way = [
                xs[back] + self._touch(letters[back], letter, least_mm) for back in range(max(0, index - _REACH), index)
            ]
            if white_mm > 0:
                floor = SLASH_FLOOR if _SLASH in (first.outline.char, letter.outline.char) else FLOOR
                floor_mm = min(max(least_mm, floor * letter.outline.height_mm), most_mm)
                in_the_way.append(xs[-1] + self._touch(first, letter, floor_mm))
            # Letters stay in order even where one could pass over another without touching.
            xs.append(max(xs[-1] + offset, *in_the_way, xs[-1]))
        return xs

    def _rings(self, char: str, height_mm: float) -> tuple[Ring, ...]:
        contours = self._font.contours(char, CHORD_ERROR_MM / height_mm)
        rings = shape_rings(fill_contours([[(x * height_mm, y * height_mm) for x, y in ring] for ring in contours]))
        return tuple(sharpen_notches(ring, _STEP_RATIO * height_mm) for ring in rings)

    def _draws(self, char: str) -> bool:
        if char not in self._has_ink:
            inked = self._font.has(char) and not fill_contours(self._font.contours(char, _COARSE)).is_empty
            self._has_ink[char] = inked
        return self._has_ink[char]

    def _touch(self, first: Letter, second: Letter, gap: float) -> float:
        key = (first.outline.char, second.outline.char, first.outline.height_mm, gap)
        if key not in self._touches:
            self._touches[key] = touch_mm(first, second, gap)
        return self._touches[key]

    def _gap(self, first: Letter, second: Letter, offset_mm: float) -> float:
        key = (first.outline.char, second.outline.char, first.outline.height_mm, round(offset_mm, 6))
        if key not in self._gaps:
            self._gaps[key] = gap_mm(first, second, key[3])
        return self._gaps[key]


def _moved(glyph: PlacedGlyph, by_mm: float) -> PlacedGlyph:
    return PlacedGlyph(outline=glyph.outline, x_mm=glyph.x_mm + by_mm, baseline_mm=glyph.baseline_mm)

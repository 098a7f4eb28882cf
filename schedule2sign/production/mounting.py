"""Where each sign goes on the wall: side, heights proven from the plate's own geometry, clear floor."""

import math
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from sys import intern
from typing import overload

from schedule2sign.model.bench import PlannedSign
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.paper import Mounting
from schedule2sign.model.plate import Plate
from schedule2sign.model.shape import SignLayout
from schedule2sign.model.sign import Side, SignRequest
from schedule2sign.production.amounts import length_text
from schedule2sign.production.limits import load_limits

HOUSE_TOP_MM = 60 * MM_PER_INCH  # one top height for the whole job: common practice, no source
_ON_DOOR_MM = (
    59 * MM_PER_INCH
)  # center of a plate on the leaf: the middle of 58 to 60 in, CBC 11B-703.7.2.6, from memory
_STEP_MM = MM_PER_INCH / 4
_FRAME_MM = 2 * MM_PER_INCH  # face of a usual frame, printed with the number: common practice, no source
_HAND = re.compile(r"(LH|RH)(R?)A?")
_PAIR = re.compile(r"\b(?:PR|PAIR|DBL|DOUBLE)\b")
_SAID = re.compile(r"\bTO THE (RIGHT|LEFT)\b")
_FROM = {Side.CORRIDOR: "the corridor", Side.ROOM: "the room", Side.STAIR: "the stair", Side.EXTERIOR: "outside"}
_FIELD_CHECK = "FIELD CHECK"


def tactile_baselines(layout: SignLayout) -> tuple[float, float] | None:
    """Lowest and highest tactile line, from the plate's bottom edge; None where nothing is tactile text.

    The lowest is the lowest dot edge of the braille: 2010 ADA 703.4.1 says "tactile character" and braille is one; its
    figure shows the raised lines only. Counting the braille satisfies both readings.
    """
    baselines = [line.baseline_mm for line in layout.lines]
    dots = [dot.y_mm - layout.cell_size.base_mm / 2 for dot in layout.dots]
    if not baselines and not dots:
        return None
    return min([*baselines, *dots]), max(baselines or dots)


def tactile_span(layout: SignLayout) -> tuple[float, float]:
    """Left and right end of what is read by touch; of the plate where nothing is."""
    letters = [glyph for line in layout.lines for glyph in line.glyphs]
    xs = [x for glyph in letters for x in (glyph.left_mm, glyph.right_mm)] + [dot.x_mm for dot in layout.dots]
    return (min(xs), max(xs)) if xs else (0.0, layout.width_mm)


def top_band(height_mm: float, low_mm: float, high_mm: float) -> tuple[float, float]:
    """Lowest and highest legal height of a plate's top edge above the floor; low > high where there is none.

    Args:
        height_mm: of the plate.
        low_mm, high_mm: lowest and highest tactile line, from the plate's bottom edge.
    """
    limit = load_limits()["mounting"]
    return limit.low + height_mm - low_mm, limit.high + height_mm - high_mm


class Mountings(Sequence[Mounting]):
    """A row of the installer's list for each of the signs, made when it is asked for: no document needs all at once.

    It is equal to any sequence of the same rows.
    """

    __slots__ = ("_signs",)

    def __init__(self, signs: Iterable[PlannedSign]) -> None:
        self._signs = tuple(signs)

    @overload
    def __getitem__(self, index: int) -> Mounting: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[Mounting, ...]: ...

    def __getitem__(self, index: int | slice) -> Mounting | tuple[Mounting, ...]:
        if isinstance(index, slice):
            return tuple(self)[index]
        sign = self._signs[index]
        return _mount(range(len(self))[index] + 1, sign.request, sign.plate)

    def __len__(self) -> int:
        return len(self._signs)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(self._signs)

    def __repr__(self) -> str:
        return repr(tuple(self))


def plan_mounting(signs: Sequence[PlannedSign]) -> tuple[Mountings, tuple[Flag, ...]]:
    """The installer's list of signs in walking order, every sign on it, and what cannot be proven on paper."""
    flags = [
        flag for sign in signs for flag in _check_height(sign.request, sign.plate.height_mm, sign.plate.tactile_mm)
    ]
    unknown = sum(_FIELD_CHECK in say_side(sign.request.hand, sign.request.side) for sign in signs)
    if unknown:
        flags.append(
            Flag(
                code="production/side-unknown",
                severity=Severity.NOTE,
                message=f"For {unknown} of {len(signs)} signs the schedule does not say on which side the latch is.",
                fix="The installer's list says FIELD CHECK there; a hand column in the schedule settles it.",
                clause="2010 ADA Standards, 703.4.2",
                who="shop",
            )
        )
    return Mountings(signs), tuple(flags)


def check_band(layout: SignLayout) -> tuple[Flag, ...]:
    """A sign for which there is no legal height."""
    return _check_height(layout.request, layout.height_mm, tactile_baselines(layout))


def _check_height(request: SignRequest, height_mm: float, lines: tuple[float, float] | None) -> tuple[Flag, ...]:
    if lines is None or not _is_empty(top_band(height_mm, *lines)):
        return ()
    limit = load_limits()["mounting"]
    return (
        Flag(
            code="production/no-mounting-height",
            severity=Severity.HOLD,
            message="At no height do the lowest and the highest tactile line of the sign both lie in the window.",
            sign_id=request.sign_id,
            source=request.source,
            measured=f"{length_text(lines[1] - lines[0], places=2)} between them",
            required=f"{limit.printed} above the floor",
            clause=limit.clause,
            fix="Use two signs, or fewer lines.",
            who="architect",
        ),
    )


def _is_empty(band_mm: tuple[float, float] | None) -> bool:
    return band_mm is not None and band_mm[0] > band_mm[1] + 1e-9


def choose_top(band_mm: tuple[float, float]) -> float:
    """The house height, or the quarter inch inside the band that is nearest to it."""
    low, high = band_mm
    if low <= HOUSE_TOP_MM <= high:
        return HOUSE_TOP_MM
    if high < HOUSE_TOP_MM:
        stepped = math.floor(high / _STEP_MM + 1e-9) * _STEP_MM
        return stepped if stepped >= low else high
    stepped = math.ceil(low / _STEP_MM - 1e-9) * _STEP_MM
    return stepped if stepped <= high else low


@lru_cache(maxsize=1024)  # a schedule has few hands
def say_side(hand: str, side: Side) -> str:
    """Which side of the door, for a person standing in front of it on the reading side.

    Args:
        hand: as the sign list gives it: a hand ("LHR"), and after a comma the side or the pair rule in words, if known.
        side: the side of the door the sign is read from.
    """
    seen_from = f"as you face it from {_FROM[side]}"
    if _hangs_on_door(hand):
        return f"{hand}, {seen_from}"
    if _PAIR.search(hand.upper()):
        return (
            f"pair: on the inactive leaf if one leaf is inactive, else to the RIGHT of the right-hand door {seen_from} "
            f"({_FIELD_CHECK})"
        )
    said = _SAID.search(hand.upper())
    words = {_latch_side(hand, side), said[1] if said else None} - {None}
    if len(words) != 1:  # nothing known, or the hand and the words contradict each other
        return f"at the latch side {seen_from} ({_FIELD_CHECK})"
    return f"to the {words.pop()} of the door {seen_from}"


def _hangs_on_door(hand: str) -> bool:
    return hand.startswith("on the door itself")


def _latch_side(hand: str, side: Side) -> str | None:
    """Hands are judged from the corridor (outside): left hand has its hinges left, so its latch is on the right.

    From the other side it is mirrored. 2010 ADA 703.4.2: a sign at a single door goes to its latch side.
    """
    match = _read_hand(hand)
    if not match:
        return None
    return "RIGHT" if (match[1] == "LH") is (side in (Side.CORRIDOR, Side.EXTERIOR)) else "LEFT"


@lru_cache(maxsize=1024)
def swings_to_reader(hand: str, side: Side) -> bool | None:
    """Whether the door opens toward the person reading the sign; None where the hand does not say."""
    match = _read_hand(hand)
    if not match or _PAIR.search(hand.upper()):
        return None
    return bool(match[2]) is (side in (Side.CORRIDOR, Side.EXTERIOR))


def _read_hand(hand: str) -> re.Match[str] | None:
    code = re.split("[,;]", hand.upper())[0]
    return _HAND.fullmatch(re.sub(r"[ .]", "", code))


def least_frame_gap(text_center_mm: float, frame_mm: float = _FRAME_MM) -> float:
    """Least distance from the frame to the plate so that the clear floor square misses the leaf's latch edge.

    Args:
        text_center_mm: from the plate's edge at the frame to the center of the tactile characters.
        frame_mm: face of the frame beside the leaf.
    """
    return max(0.0, load_limits()["clear_floor"].low / 2 - frame_mm - text_center_mm)


def _mount(number: int, request: SignRequest, plate: Plate) -> Mounting:
    lines = plate.tactile_mm
    band = top_band(plate.height_mm, *lines) if lines else None
    on_door = _hangs_on_door(request.hand)
    free = _ON_DOOR_MM + plate.height_mm / 2 if on_door else HOUSE_TOP_MM
    top = choose_top(band) if band and not _is_empty(band) else free
    bottom = top - plate.height_mm
    swings = swings_to_reader(request.hand, request.side)
    # One text for all that say the same: a large job has tens of thousands of them.
    side = intern(say_side(request.hand, request.side))
    left, right = plate.span_mm
    center = (left + right) / 2 if "RIGHT" in side else plate.width_mm - (left + right) / 2
    gap = least_frame_gap(center) if swings else None
    return Mounting(
        sequence=number,
        floor=request.level,
        sign_id=request.sign_id,
        door=request.door,
        room=request.room_number,
        text=" / ".join(message.text for message in request.messages) or request.insert_text or request.template,
        quantity=request.quantity,
        side=side,
        top_mm=top,
        low_mm=bottom + lines[0] if lines else None,
        high_mm=bottom + lines[1] if lines else None,
        band_mm=band,
        fastening=_say_fastening(plate),
        clear_floor=intern("none: it hangs on the leaf" if on_door else _say_floor(swings=swings, gap_mm=gap)),
        frame_gap_mm=gap,
        remarks="" if on_door else _remark(top, band),
    )


def _say_fastening(plate: Plate) -> str:
    if plate.fixing == "standoffs":
        return "standoffs through the fixing holes"
    return "screws through the fixing holes" if plate.holes or plate.fixing == "screws" else "tape on the back"


def _remark(top_mm: float, band_mm: tuple[float, float] | None) -> str:
    if band_mm is None:
        return "no raised text or braille on it"
    if _is_empty(band_mm):
        return "NO HEIGHT IS RIGHT: do not hang"
    return "" if top_mm == HOUSE_TOP_MM else "not at the job's usual height"


def _say_floor(*, swings: bool | None, gap_mm: float | None) -> str:
    square = load_limits()["clear_floor"].printed.removesuffix(" min.")
    frame = length_text(_FRAME_MM, places=2)
    if swings is None:
        return f"{_FIELD_CHECK}: {square} square centered on the letters, outside the swing to 45 degrees"
    if not swings or gap_mm is None:
        return f"door swings away; {square} square must be free of furniture"
    if gap_mm == 0:
        return f"door swings toward the reader; {square} square clears the leaf beside a {frame} frame"
    return f"door swings toward the reader: plate at least {length_text(gap_mm, places=2)} from a {frame} frame"

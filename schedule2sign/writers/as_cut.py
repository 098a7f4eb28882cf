"""A released sign's numbers for manifest.json: where everything is cut and what the rules measured there."""

from dataclasses import asdict
from operator import attrgetter
from typing import Any

from schedule2sign.geometry.rings import box_of, ring_area
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.rule import Verdict
from schedule2sign.model.shape import Box, RaisedLine, SignLayout, VisualLine
from schedule2sign.writers.numbers import fixed

_PLACES = 4


def describe_cut(job: Job, record: SignRecord) -> dict[str, Any] | None:
    """The sign as it is cut, in mm; None where nothing is. A box is left, bottom, right, top."""
    layout = record.layout
    if layout is None or record.status is not Status.RELEASED:
        return None
    return {
        "corner_radius_mm": round(layout.corner_radius_mm, _PLACES),
        # A plate of another shape does not fill its width and height; None for a rectangle.
        "outline_mm2": round(ring_area(layout.outline), _PLACES) if layout.outline else None,
        # How far the cutter's center runs off the letters; None where no cutter path is drawn.
        "cutter_offset_mm": round(job.bench.cut.offset_mm, _PLACES) if job.bench else None,
        "messages": [
            {"role": message.role.value, "text": message.text, "braille_code": message.code}
            for message in layout.request.messages
        ],
        "lines": [
            {**_describe_line(line), "message": line.message}
            for line in sorted(layout.lines, key=lambda line: -line.baseline_mm)
        ],
        "visual_lines": [_describe_line(line) for line in sorted(layout.visual, key=lambda line: -line.baseline_mm)],
        "braille": [{"text": line.text, "cells": line.cells, "code": line.code} for line in layout.braille],
        "others_mm": _describe_others(layout),
        "measured": _describe_measured(record.verdicts),
    }


def describe_build(job: Job) -> dict[str, Any] | None:
    """What no drawing shows and the job declared; None where no sign was laid out."""
    return next((asdict(record.plate.build) for record in job.signs if record.plate), None)


def _describe_line(line: RaisedLine | VisualLine) -> dict[str, Any]:
    return {
        "text": line.text,
        "height_mm": round(line.height_mm, _PLACES),
        "baseline_mm": round(line.baseline_mm, _PLACES),
        "letters_mm": [
            f"{glyph.outline.char} {_numbers(glyph.left_mm, glyph.bottom_mm, glyph.right_mm, glyph.top_mm)}"
            for glyph in sorted(line.glyphs, key=attrgetter("left_mm"))
        ],
    }


def _describe_others(layout: SignLayout) -> dict[str, Any]:
    """Boxes of all that is not a letter; "dots" is the box of their centers."""
    found: dict[str, Any] = {}
    if layout.outline:
        found["outline"] = _box_text(box_of([layout.outline]))
    if layout.dots:
        found["dots"] = _box_text(box_of([tuple((dot.x_mm, dot.y_mm) for dot in layout.dots)]))
    if layout.border:
        found["decorations"] = [_box_text(box_of([ring])) for ring in layout.border if ring_area(ring) > 0]
    if layout.pictogram is not None:
        found["pictogram"] = _box_text(box_of(layout.pictogram.rings))
        found["pictogram_field"] = _box_text(layout.pictogram.field)
    if layout.window is not None:
        found["window"] = _box_text(layout.window)
    if layout.holes:
        found["holes"] = [_numbers(hole.x_mm, hole.y_mm, hole.diameter_mm) for hole in layout.holes]
    return found


def _describe_measured(verdicts: tuple[Verdict, ...]) -> dict[str, dict[str, float]]:
    """Rule -> limit -> the value nearest to its limit: mm for lengths, else in the limit's own unit."""
    return {
        verdict.rule: {measurement.limit.key: round(measurement.value, _PLACES) for measurement in verdict.closest}
        for verdict in verdicts
        if verdict.closest
    }


def _box_text(box: Box) -> str:
    return _numbers(box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)


def _numbers(*values: float) -> str:
    # One text a box: a letter then takes one line of the file, not six.
    text = " ".join([f"{value:.{_PLACES}f}" for value in values])
    return " ".join(fixed(value, _PLACES) for value in values) if "-" in text else text

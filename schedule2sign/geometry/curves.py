"""Curves to chords: Bezier segments flattened to a stated chord error."""

import math

from schedule2sign.model.shape import Point


def flatten_quadratic(a: Point, b: Point, c: Point, error: float) -> list[Point]:
    """Points after `a` up to and with `c`; no chord is further than `error` from the curve."""
    bend = math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
    # A parabola is a quarter of its second difference away from its chord; n pieces divide that by n squared.
    count = max(1, math.ceil(math.sqrt(bend / (4 * error))))
    return [
        (
            (1 - t) * (1 - t) * a[0] + 2 * t * (1 - t) * b[0] + t * t * c[0],
            (1 - t) * (1 - t) * a[1] + 2 * t * (1 - t) * b[1] + t * t * c[1],
        )
        for t in _steps(count)
    ] + [c]


def flatten_cubic(a: Point, b: Point, c: Point, d: Point, error: float) -> list[Point]:
    """Points after `a` up to and with `d`; no chord is further than `error` from the curve."""
    bend = max(
        math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1]),
        math.hypot(b[0] - 2 * c[0] + d[0], b[1] - 2 * c[1] + d[1]),
    )
    # Chord error is at most |B''| / 8 n^2 and |B''| at most 6 times the larger second difference.
    count = max(1, math.ceil(math.sqrt(6 * bend / (8 * error))))
    points = []
    for t in _steps(count):
        s = 1 - t
        w0, w1, w2, w3 = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        points.append((w0 * a[0] + w1 * b[0] + w2 * c[0] + w3 * d[0], w0 * a[1] + w1 * b[1] + w2 * c[1] + w3 * d[1]))
    return [*points, d]


def circle_points(center: Point, radius: float, error: float) -> list[Point]:
    """A circle as a closed ring, counter-clockwise."""
    step = 2 * math.acos(max(0.0, 1 - error / radius)) if error < radius else math.pi / 2
    count = max(8, math.ceil(2 * math.pi / step))
    return [
        (
            center[0] + radius * math.cos(2 * math.pi * index / count),
            center[1] + radius * math.sin(2 * math.pi * index / count),
        )
        for index in range(count)
    ]


def _steps(count: int) -> list[float]:
    return [index / count for index in range(1, count)]

"""Height of a seated ball, and the hole depth that gives the height wanted. Plain geometry, all lengths in mm."""

import math

from schedule2sign.errors import InputError
from schedule2sign.model.bench import DomePlan
from schedule2sign.model.process import DepthTo, Drill, Drilling, Sphere
from schedule2sign.production.amounts import length_text
from schedule2sign.production.limits import load_limits

_FLAT_DEG = 180.0


def seat_sum_mm(sphere_mm: float, point_angle_deg: float) -> float:
    """Dome height plus depth to the tip: fixed by ball and drill point alone."""
    radius = sphere_mm / 2
    return radius + radius / math.sin(math.radians(point_angle_deg / 2))


def dome_height_mm(sphere_mm: float, tip_depth_mm: float, point_angle_deg: float) -> float:
    """How far the ball stands above the face, resting on the cone (on the floor of a flat-bottomed hole)."""
    return seat_sum_mm(sphere_mm, point_angle_deg) - tip_depth_mm


def base_width_mm(sphere_mm: float, dome_mm: float) -> float:
    """Widest part of the dome above the face: the chord there, or the whole ball once its equator is out."""
    radius = sphere_mm / 2
    if dome_mm >= radius:
        return sphere_mm
    if dome_mm <= 0:
        return 0.0
    return 2 * math.sqrt(radius**2 - (radius - dome_mm) ** 2)


def point_length_mm(drill: Drill) -> float:
    """How much deeper the tip is than the shoulder; 0 for a flat bottom."""
    if drill.point_angle_deg >= _FLAT_DEG:
        return 0.0
    return drill.diameter_mm / 2 / math.tan(math.radians(drill.point_angle_deg / 2))


def tip_depth_mm(depth_mm: float, drill: Drill) -> float:
    """Depth to the very tip, from the depth as it is set."""
    return depth_mm + (point_length_mm(drill) if drill.depth_to is DepthTo.SHOULDER else 0.0)


def depth_for_dome(dome_mm: float, sphere: Sphere, drill: Drill) -> float:
    """Depth to set for a wanted dome."""
    tip_mm = seat_sum_mm(sphere.diameter_mm, drill.point_angle_deg) - dome_mm
    return tip_mm - (point_length_mm(drill) if drill.depth_to is DepthTo.SHOULDER else 0.0)


def contact_radius_mm(sphere_mm: float, point_angle_deg: float) -> float:
    """Radius of the ring on which the ball touches the cone; it must fit inside the hole."""
    return sphere_mm / 2 * math.cos(math.radians(point_angle_deg / 2))


def void_mm(sphere_mm: float, point_angle_deg: float) -> float:
    """Empty depth under the ball, where swarf hides."""
    return seat_sum_mm(sphere_mm, point_angle_deg) - sphere_mm


def legal_domes(sphere_mm: float) -> tuple[float, float] | None:
    """Lowest and highest dome inside the standard's windows for height and base width, or None."""
    height, base = load_limits()["dome_height"], load_limits()["dot_base"]
    radius = sphere_mm / 2
    if sphere_mm < base.low:
        return None
    # The dome that is just `base.low` wide at the face; one `base.high` wide where the ball is wider than that.
    least = radius - math.sqrt(radius**2 - (base.low / 2) ** 2)
    most = radius - math.sqrt(radius**2 - (base.high / 2) ** 2) if sphere_mm > base.high else math.inf
    low, high = max(height.low, least), min(height.high, most)
    return (low, high) if low <= high else None


def plan_dome(sphere: Sphere, drill: Drill, drilling: Drilling) -> DomePlan:
    """The dome this ball, drill and depth give, with the depths that would be legal, safe and tight.

    Raises:
        InputError: no depth can make a legal dot of this ball.
    """
    window = legal_domes(sphere.diameter_mm)
    if window is None:
        base = load_limits()["dot_base"]
        raise InputError(
            f"A ball of {length_text(sphere.diameter_mm)} cannot make a braille dot: at no depth is its base "
            f"{base.printed} wide ({base.clause}). Set sphere.diameter to the ball's real size."
        )
    low, high = window
    error = drilling.depth_error_mm
    dome = dome_height_mm(sphere.diameter_mm, tip_depth_mm(drilling.depth_mm, drill), drill.point_angle_deg)
    guarded = None
    if low + error <= high - error:
        guarded = (depth_for_dome(high - error, sphere, drill), depth_for_dome(low + error, sphere, drill))
    return DomePlan(
        depth_mm=drilling.depth_mm,
        dome_mm=dome,
        base_mm=base_width_mm(sphere.diameter_mm, dome),
        legal_mm=(depth_for_dome(high, sphere, drill), depth_for_dome(low, sphere, drill)),
        guarded_mm=guarded,
        holding_mm=depth_for_dome(sphere.diameter_mm / 2, sphere, drill),
        aim_depth_mm=depth_for_dome(drilling.aim_dome_mm, sphere, drill),
    )


def whole_steps(window_mm: tuple[float, float], step_mm: float) -> tuple[int, int]:
    """First and last whole step (click) inside a window of depths; first > last where there is none."""
    return math.ceil(window_mm[0] / step_mm - 1e-9), math.floor(window_mm[1] / step_mm + 1e-9)

"""How a finished frame hangs: the wire's tension, its angle, and the load its parts must bear."""

from math import atan2, degrees, radians, sin

__all__ = ["load_needed", "tension_ratio", "wire_angle"]


def wire_angle(span_um: int, rise_um: int) -> float:
    """How steep the wire rises from a fixing to its hook, degrees from level.

    ``span_um`` is between the fixings, ``rise_um`` from them up to the hook, micrometres.

    Raises:
        ValueError: either is not more than nothing.
    """
    if span_um <= 0 or rise_um <= 0:
        raise ValueError("a wire needs a span and a rise of more than nothing")
    return degrees(atan2(2 * rise_um, span_um))


def tension_ratio(angle: float) -> float:
    """The pull in each half of the wire over the frame's weight: T/W = 1/(2 sin a).

    Raises:
        ValueError: the angle, in degrees from level, is not above 0 and at most 90.
    """
    if not 0 < angle <= 90:
        raise ValueError(f"an angle of {angle} degrees; it must be above 0 and at most 90")
    return 1 / (2 * sin(radians(angle)))


def load_needed(pull: float, factor: float = 4.0) -> float:
    """The breaking strength to look for: the pull times the usual factor, in the pull's unit.

    Four for galvanised wire (Paschke, Picture Framing Magazine, February 2013). The maker's
    ratings, the wall and local practice decide.

    Raises:
        ValueError: the pull is below nothing, or the factor below one.
    """
    if pull < 0 or factor < 1:
        raise ValueError("a pull is not below nothing, and a factor not below one")
    return pull * factor

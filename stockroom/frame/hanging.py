"""How a finished frame hangs: fixings, the wire's angle and pull, and what parts must bear."""

from dataclasses import dataclass
from fractions import Fraction
from math import atan2, degrees, isqrt, radians, sin
from typing import Literal

from stockroom.facts import Fact
from stockroom.refusals import Unfit

__all__ = [
    "FLAT",
    "GRAVITY",
    "Hang",
    "Hanging",
    "hang",
    "load_needed",
    "tension_ratio",
    "wire_angle",
]

Method = Literal["hangers", "wire"]
FLAT = 15.0
"""Below this angle, in degrees, a wire is called flat: each half pulls over 1.93 times the weight
(computed here from T/W = 1/(2 sin a)); the choice of 15 is common practice."""
HEAD_ROOM_UM = 25_000
"""How far the wire's peak stays below the frame's top edge, so that no hook shows (our choice)."""
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class Hanging:
    """How a shop hangs: where fixings go, and what wants care.

    ``fixings`` is their share of the height from the top, a third unless told (1/4 to 1/3:
    hopartscenter.org/framing-guideline). ``factor`` is breaking strength over pull.
    ``one_person_g`` and ``one_person_um`` are what one person lifts alone (common practice).

    Raises:
        Unfit: the share is outside 1/4 to 1/3, or the factor or a limit makes no sense.
    """

    fixings: Fraction = Fraction(1, 3)
    factor: float = 4.0
    one_person_g: int = 15_000
    one_person_um: int = 1_200_000

    def __post_init__(self) -> None:
        if not Fraction(1, 4) <= self.fixings <= Fraction(1, 3):
            raise Unfit("fixings_out_of_bounds", fixings=self.fixings)
        if self.factor < 1 or min(self.one_person_g, self.one_person_um) <= 0:
            raise Unfit("load_factor_below_one")


@dataclass(frozen=True, slots=True)
class Hang:
    """A frame's hang, micrometres, degrees, newtons and kilograms.

    ``down_um`` is from the top edge to the fixings, ``span_um`` between them; ``rise_um`` from
    them up to the hook, ``taut_um`` the wire between the fixings, ``buy_um`` with its ends to
    twist, ``angle`` from level: these are for a wire and None for two hangers. ``pull_n`` is at
    each fixing; ``rated_kg`` is the breaking strength to look for at each,
    ``factor`` times the pull.
    """

    method: Method
    down_um: int
    span_um: int
    rise_um: int | None
    taut_um: int | None
    buy_um: int | None
    angle: float | None
    pull_n: float
    rated_kg: float
    factor: float
    warnings: tuple[Fact, ...]


def wire_angle(span_um: int, rise_um: int) -> float:
    """How steep the wire rises from a fixing to its hook, degrees from level.

    ``span_um`` is between the fixings, ``rise_um`` from them up to the hook, micrometres.

    Raises:
        Unfit: either is not more than nothing.
    """
    if span_um <= 0 or rise_um <= 0:
        raise Unfit("wire_without_rise")
    return degrees(atan2(2 * rise_um, span_um))


def tension_ratio(angle: float) -> float:
    """The pull in each half of the wire over the frame's weight: T/W = 1/(2 sin a).

    Raises:
        Unfit: the angle, in degrees from level, is not above 0 and at most 90.
    """
    if not 0 < angle <= 90:
        raise Unfit("angle_out_of_bounds", angle=angle)
    return 1 / (2 * sin(radians(angle)))


def load_needed(pull: float, factor: float = 4.0) -> float:
    """The breaking strength to look for: the pull times the usual factor, in the pull's unit.

    Four for galvanised wire (Paschke, Picture Framing Magazine, February 2013). The maker's
    ratings, the wall and local practice decide.

    Raises:
        Unfit: the pull is below nothing, or the factor below one.
    """
    if pull < 0 or factor < 1:
        raise Unfit("pull_below_nothing")
    return pull * factor


def hang(
    outside: tuple[int, int], face_um: int, grams: float, rules: Hanging, *,
    method: Method = "hangers", rise_um: int | None = None,
) -> Hang:  # fmt: skip
    """Where the fixings of a frame go and how hard each is pulled.

    Fixings sit at the middle of the upright rails. ``rise_um`` is told or the usual one: 30
    degrees, or as much as keeps the hook hidden. A wire is bought about 1.5 times the width long
    (govart.com), and never shorter than its way and 100 mm of twist at each end.

    Raises:
        Unfit: the frame has no weight or no span, or the hook would show above it.
    """
    span, down = outside[0] - face_um, int(outside[1] * rules.fixings)
    if span <= 0 or grams <= 0:
        raise Unfit("hangs_without_weight")
    warned, factor = lifting(outside, grams, rules), rules.factor
    weight = grams / 1000 * GRAVITY
    if method == "hangers":
        kept = load_needed(grams / 2000, factor)
        return Hang(
            method, down, span, None, None, None, None, weight / 2, kept, rules.factor, warned
        )
    rise = usual_rise(span, down) if rise_um is None else rise_um
    if rise >= down:
        raise Unfit("hook_above_frame")
    angle = wire_angle(span, rise)
    if angle < FLAT:
        warned = (Fact("wire_is_flat", {"angle": angle, "times": tension_ratio(angle)}), *warned)
    taut = isqrt(span * span + 4 * rise * rise) + 1
    pull = tension_ratio(angle)
    buy, rated = max(outside[0] * 3 // 2, taut + 200_000), load_needed(grams / 1000 * pull, factor)
    return Hang(method, down, span, rise, taut, buy, angle, weight * pull, rated, factor, warned)


def usual_rise(span_um: int, down_um: int) -> int:
    """The rise that makes 30 degrees (span/(2·√3)), or less where the hook would show."""
    return max(1, min(isqrt(span_um * span_um // 12), down_um - HEAD_ROOM_UM))


def lifting(outside: tuple[int, int], grams: float, rules: Hanging) -> tuple[Fact, ...]:
    """Whether the work wants two people."""
    if grams > rules.one_person_g or max(outside) > rules.one_person_um:
        return (Fact("wants_two_people"),)
    return ()

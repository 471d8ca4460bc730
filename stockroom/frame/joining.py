"""What a joined frame weighs and what holds its corners; grams and micrometres."""

__all__ = ["glass_grams", "longest_screw", "v_nail", "wood_density"]

V_NAILS_UM = (7_000, 10_000, 12_000, 15_000)


def v_nail(height_um: int) -> int | None:
    """The tallest V-nail of at most three quarters of the moulding's height; None if too low.

    A suggestion, micrometres. Source: lionpic.co.uk and ukpictureframingsupplies.co.uk.

    Raises:
        ValueError: the height is not more than nothing.
    """
    if height_um <= 0:
        raise ValueError("a moulding has a height of more than nothing")
    return max((nail for nail in V_NAILS_UM if 4 * nail <= 3 * height_um), default=None)


def longest_screw(ledge_um: int, stretcher_um: int, margin_um: int) -> int:
    """The longest screw that cannot come through: ledge plus stretcher, less a margin.

    Raises:
        ValueError: a thickness is below nothing, or the margin leaves no screw.
    """
    if min(ledge_um, stretcher_um, margin_um) < 0:
        raise ValueError("a thickness or margin is not below nothing")
    if (longest := ledge_um + stretcher_um - margin_um) <= 0:
        raise ValueError("the margin leaves no length for a screw")
    return longest


def glass_grams(across_um: int, upright_um: int, thick_um: int) -> float:
    """What a pane of glass weighs, grams: 2.5 kg a square metre for each millimetre."""
    return 2.5 * across_um * upright_um * thick_um / 1e12


def wood_density(specific_gravity: float) -> float:
    """Air-dry wood's density at 12 % moisture, kg a cubic metre: SG × 1.12 × 1000 (from memory)."""
    return specific_gravity * 1.12 * 1000

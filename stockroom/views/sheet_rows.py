"""What a cut sheet says in words and totals, as plain values for screen and paper."""

from collections.abc import Callable, Sequence

from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Tally

__all__ = ["measured", "tally_rows"]

UNITS = {"in": "inches", "mm": "millimetres"}


def measured(settings: Settings) -> str:
    """How the lengths on a sheet are to be read."""
    return f"lengths in {UNITS[settings.unit]}; rails: long points; leftovers: back edge"


def tally_rows(settings: Settings) -> Sequence[tuple[str, Callable[[Tally], str]]]:
    """What is counted, and how it is shown."""

    def length(name: str) -> Callable[[Tally], str]:
        return lambda tally: settings.length(getattr(tally, name))

    return (
        ("frames cut", lambda tally: str(tally.frames)),
        ("pieces fetched", lambda tally: str(tally.pieces)),
        ("offcuts used", lambda tally: str(tally.offcuts)),
        ("sticks opened", lambda tally: str(tally.sticks)),
        (f"length opened, {settings.unit}", length("stick_length")),
        (f"rails, {settings.unit}", length("rail_length")),
        (f"saw, {settings.unit}", length("saw")),
        (f"scrap, {settings.unit}", length("scrap")),
        (f"back to the rack, {settings.unit}", length("leftover")),
    )

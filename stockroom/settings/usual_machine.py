"""What blades and shops usually measure: a setting far outside is a slip of the unit or a digit."""

from stockroom.frame.cutters import CUTTERS
from stockroom.refusals import Unlikely
from stockroom.remedies import Do, Remedy
from stockroom.settings.shop_settings import Settings

__all__ = ["check_machine"]

USUAL_MACHINE = {
    "kerf": (1_000, 8_000), "clean_up": (0, 5_000), "shortest": (50_000, 600_000),
    "one_person": (300_000, 5_000_000),
}  # fmt: skip
"""Micrometres. Blades of mitre and circular saws take about 1.5 to 5 mm: common practice, from
memory; the others are wide bounds of the same kind."""


def check_machine(settings: Settings, name: str) -> None:
    """A kerf, or another length of the settings, is one that such a machine or shop has.

    Raises:
        Unlikely: it is far outside what is usual.
    """
    if name not in USUAL_MACHINE:
        return
    least, most = USUAL_MACHINE[name]
    told: int = getattr(settings, f"{name}_um")
    no_kerf = name == "kerf" and told == 0 and not CUTTERS[settings.cutter].has_kerf
    if not (least <= told <= most or no_kerf):
        raise Unlikely("unlikely_machine", Remedy(Do.ODD_LENGTH), name=name, length_um=told,
                       least_um=least, most_um=most)  # fmt: skip

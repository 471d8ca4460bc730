"""Each machine's setting held against what its recorded cuts really took."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, col, select

from stockroom.frame.cutters import CUTTERS
from stockroom.insight.calibration import ENOUGH, CutSeen, Estimate, estimate
from stockroom.record.database import reading
from stockroom.record.ledger import stands
from stockroom.record.tables import Entry
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.shop import Shop, change_setting
from stockroom.settings.machines import MAIN, machines_known, on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres, exact_length

__all__ = ["Calibration", "calibrate", "take_allowance"]

NEW_BLADE = ("cutter", "kerf_um")


@dataclass(frozen=True, slots=True)
class Calibration:
    """One machine: the allowance it is set to, the one estimated, and the settings for it, um.

    ``measured`` counts the cuts that could be used since ``since``, the day on which its cutter
    or blade was last set. ``clean_up`` is None where the blade's kerf alone takes more than
    the estimate: then ``kerf`` is the setting to look at.
    """

    machine: str
    cutter: str
    in_use: bool
    setting: int
    measured: int
    since: date | None
    found: Estimate | None
    clean_up: int | None
    kerf: Micrometres | None

    @property
    def off(self) -> bool:
        """True where the setting is off by more than twice the error of the estimate."""
        return self.found is not None and self.found.off(self.setting)


def calibrate(shop: Shop) -> list[Calibration]:
    """What each machine really takes at each cut, from leftovers that were planned and measured.

    Pieces of one stretch whose leftover was measured count; one that was used up says nothing.
    Cuts from before another cutter or blade was set belong to that one. Cuts that name no machine
    are of the one that every shop begins with.
    """
    with reading(shop.engine) as session:
        blades = blades_set(session)
        cuts: dict[str, list[CutSeen]] = defaultdict(list)
        for number, machine, cut in cuts_seen(session):
            if machine not in blades or number > blades[machine][0]:
                cuts[machine].append(cut)
    return [
        one_machine(on_machine(shop.settings, name), cuts[name],
                    blades[name][1] if name in blades else None,
                    in_use=name == shop.settings.machine)
        for name in machines_known(shop.settings)
    ]  # fmt: skip


def one_machine(
    chosen: Settings, cuts: list[CutSeen], since: date | None, *, in_use: bool
) -> Calibration:
    """One machine's setting and estimate."""
    found = estimate(cuts)
    clean_up = kerf = None
    if found is not None:
        blade = CUTTERS[chosen.cutter].loss(chosen.kerf_um, 4)
        if found.allowance >= blade:
            clean_up = found.allowance - blade
        else:
            # A whole kerf k takes k times the square root of 2 along the back edge.
            kerf = found.allowance * chosen.kerf_um // blade
    return Calibration(chosen.machine, chosen.cutter, in_use, chosen.cut_allowance_um, len(cuts),
                       since, found, clean_up, kerf)  # fmt: skip


def blades_set(session: Session) -> dict[str, tuple[int, date]]:
    """For each machine the entry, and its day, in which its cutter or blade was last set."""
    found: dict[str, tuple[int, date]] = {}
    rows = session.exec(select(Entry).where(Entry.kind == "setting").order_by(col(Entry.id)))
    for entry in rows:
        if entry.detail.get("setting") in NEW_BLADE:
            found[entry.detail.get("machine", MAIN)] = (entry.id, entry.day)
    return found


def cuts_seen(session: Session) -> Iterator[tuple[int, str, CutSeen]]:
    """The measured cuts that stand: the entry's number, its machine, and what was seen."""
    rows = session.exec(
        select(col(Entry.id), col(Entry.detail))
        .where(Entry.kind == "cut", stands())
        .order_by(col(Entry.id))
    )
    for number, detail in rows:
        # Entries from before ends were known book both trims of a stick, cut or not.
        if not detail.get("was_measured") or not detail.get("rails") or "trim_um" not in detail:
            continue
        planned, measured = detail["planned_um"], detail["measured_um"]
        if len(planned) == 1 and planned[0] > 0 and measured[0] > 0:
            cut = CutSeen(detail["rails"], detail["allowance_um"], planned[0], measured[0])
            yield number, detail.get("machine", MAIN), cut


def take_allowance(shop: Shop, machine: str) -> Calibration:
    """Sets a machine's clean-up so that it takes what was found; gives what it was found to be.

    Raises:
        Refused: there are too few cuts, the setting holds, or the blade's kerf is what is off.
    """
    result = next(one for one in calibrate(shop) if one.machine == machine)
    if result.found is None:
        raise Refused("too_few_measured_cuts", Remedy(Do.MEASURE_LEFTOVERS), machine=machine,
                      measured=result.measured, least=ENOUGH)  # fmt: skip
    if not result.off:
        raise Refused("setting_holds", machine=machine)
    if result.clean_up is None:
        raise Refused("blade_thinner_than_kerf", Remedy(Do.MEASURE_BLADE), machine=machine)
    # What many tapes found is no slip of one.
    change_setting(shop, "clean_up", exact_length(result.clean_up, "mm"), machine, odd=True)
    return result

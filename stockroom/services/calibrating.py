"""The saw's setting held against what the recorded cuts really took."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, col, select

from stockroom.calibration import CutSeen, Estimate, estimate
from stockroom.database import reading
from stockroom.mitres import saw_loss
from stockroom.services.shop import Shop
from stockroom.tables import Entry

__all__ = ["Calibration", "calibrate"]

NEW_MACHINE = ("cutter", "kerf_um")


@dataclass(frozen=True, slots=True)
class Calibration:
    """The allowance in use, the one estimated, and the settings that would give it, um.

    ``measured`` counts the cuts that could be used since ``since``, the day on which the cutter
    or its blade was last set. ``clean_up`` is None where the blade's kerf alone takes more than
    the estimate: then ``kerf`` is the setting to look at.
    """

    setting: int
    measured: int
    since: date | None
    found: Estimate | None
    clean_up: int | None
    kerf: int | None

    @property
    def off(self) -> bool:
        """True where the setting is off by more than twice the error of the estimate."""
        return self.found is not None and self.found.off(self.setting)


def calibrate(shop: Shop) -> Calibration:
    """What this cutter really takes at each cut, from leftovers that were planned and measured.

    Pieces of one stretch whose leftover was measured count; one that was used up says nothing.
    Cuts from before another cutter or blade was set belong to that one.
    """
    with reading(shop.engine) as session:
        start, since = machine_since(session)
        cuts = list(cuts_seen(session, start))
    setting, found = shop.settings.cut_allowance_um, estimate(cuts)
    clean_up = kerf = None
    if found is not None:
        blade = saw_loss(shop.settings.kerf_um) if shop.settings.cutter == "saw" else 0
        if found.allowance >= blade:
            clean_up = found.allowance - blade
        else:
            # A whole kerf k takes k times the square root of 2 along the back edge.
            kerf = found.allowance * shop.settings.kerf_um // blade
    return Calibration(setting, len(cuts), since, found, clean_up, kerf)


def machine_since(session: Session) -> tuple[int, date | None]:
    """The entry, and its day, from which on the cutter and its blade are the present ones."""
    rows = session.exec(select(Entry).where(Entry.kind == "setting").order_by(col(Entry.id).desc()))
    for entry in rows:
        if entry.detail.get("setting") in NEW_MACHINE:
            return entry.id, entry.day
    return 0, None


def cuts_seen(session: Session, start: int) -> Iterator[CutSeen]:
    """The measured cuts after an entry that stand."""
    undone = select(Entry.reverses).where(col(Entry.reverses).is_not(None))
    rows = session.exec(
        select(Entry)
        .where(Entry.kind == "cut", Entry.id > start, col(Entry.id).not_in(undone))
        .order_by(col(Entry.id))
    )
    for entry in rows:
        detail = entry.detail
        if not detail.get("was_measured") or not detail.get("rails"):
            continue
        planned, measured = detail["planned_um"], detail["measured_um"]
        if len(planned) == 1 and planned[0] > 0 and measured[0] > 0:
            yield CutSeen(detail["rails"], detail["allowance_um"], planned[0], measured[0])

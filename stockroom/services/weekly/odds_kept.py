"""How the odds of the week's lists came out: how many lines fell short, beside how many should."""

from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.record.database import reading
from stockroom.record.jobs import in_profile
from stockroom.record.order_tables import Purchase, PurchaseLine
from stockroom.record.orders import ADVISED
from stockroom.record.tables import Entry, Frame, Job
from stockroom.services.shop import Shop

__all__ = ["KeptLine", "lines_told", "odds_kept"]

ENOUGH = 12
"""With fewer lines whose time is over nothing is said: chance alone would speak."""
FAR = 2.0


@dataclass(frozen=True, slots=True)
class KeptLine:
    """A line of a list whose time is over: its profile, its day, its odds, whether a frame that
    came in during it was cut too late."""

    profile: str
    day: date
    short: float
    fell_short: bool


def odds_kept(shop: Shop) -> list[Fact]:
    """How the odds of past lists came out, once enough lines' time is over."""
    with reading(shop.engine) as session:
        lines = lines_told(session, shop)
    if len(lines) < ENOUGH:
        return []
    fell = sum(line.fell_short for line in lines)
    expected = sum(line.short for line in lines)
    spread = sum(line.short * (1 - line.short) for line in lines) ** 0.5
    if abs(fell - expected) <= FAR * max(spread, 0.5):
        code = "odds_trusted"
    else:
        code = "odds_too_low" if fell > expected else "odds_too_high"
    return [Fact(code, {"lines": len(lines), "fell": fell, "expected": expected})]


def lines_told(session: Session, shop: Shop) -> list[KeptLine]:
    """The lines that were ordered as the list said or more, and whose days are over."""
    rows = session.exec(
        select(Entry, PurchaseLine)
        .join(Purchase, col(Purchase.drafted_in) == Entry.id)
        .join(PurchaseLine, col(PurchaseLine.purchase_id) == Purchase.id)
        .where(col(Purchase.state).in_(("placed", "received")))
        .order_by(col(PurchaseLine.id))
    ).all()
    found = []
    for entry, line in rows:
        told = (entry.detail or {}).get(ADVISED, {}).get(line.profile_code)
        if told is None:
            continue
        sticks, short, days = told
        over = entry.day + timedelta(days)
        if days and line.sticks >= sticks and over < shop.hand.day:
            late = waited(session, shop, line.profile_code, entry.day, over)
            found.append(KeptLine(line.profile_code, entry.day, short, late))
    return found


def waited(session: Session, shop: Shop, profile: str, since: date, until: date) -> bool:
    """Whether a frame of the profile that came in after one day and up to another was cut late."""
    rows = session.exec(
        select(col(Job.due), col(Job.bench_days), col(Frame.done_in))
        .join(Frame, col(Frame.job_id) == Job.id)
        .join(Entry, col(Entry.id) == Job.taken_in)
        .where(in_profile(profile), Entry.day > since, Entry.day <= until)
        .where(Job.state == "open", col(Frame.dropped_in).is_(None))
    ).all()
    entries = select(col(Entry.id), col(Entry.day)).where(
        col(Entry.id).in_({done for _, _, done in rows if done is not None})
    )
    days: dict[int | None, date] = dict(session.exec(entries).all())
    by = shop.settings.bench.cut_by
    return any(days.get(done, shop.hand.day) > by(due, own) for due, own, done in rows)

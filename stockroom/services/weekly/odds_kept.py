"""How the odds of the week's lists came out: how many lines fell short, beside how many should."""

from datetime import date, timedelta

from sqlmodel import Session, col, select

from stockroom.buying.odds import KeptOdds, banded
from stockroom.facts import Fact
from stockroom.record.database import reading
from stockroom.record.jobs import in_profile
from stockroom.record.order_tables import Purchase, PurchaseLine
from stockroom.record.orders import ADVISED
from stockroom.record.tables import Entry, Frame, Job
from stockroom.services.shop import Shop
from stockroom.services.weekly.order_reasons import often

__all__ = ["lines_told", "odds_kept"]

CODES = {0: "odds_trusted", 1: "odds_too_low", -1: "odds_too_high"}
"""How a band came out: as it said, short more often, short less often."""


def odds_kept(shop: Shop) -> list[Fact]:
    """How the odds of past lists came out, a fact for each band of them that has lines enough."""
    with reading(shop.engine) as session:
        lines = lines_told(session, shop)
    return [
        Fact(CODES[band.off], {"lines": band.lines, "said": often(band.said), "fell": band.fell,
                               "expected": band.expected})
        for band in banded(lines)
    ]  # fmt: skip


def lines_told(session: Session, shop: Shop) -> list[KeptOdds]:
    """The lines that were ordered as the list said or more, and whose days are over: one fell
    short where a frame that came in during them was cut too late."""
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
            found.append(KeptOdds(short, days, late))
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

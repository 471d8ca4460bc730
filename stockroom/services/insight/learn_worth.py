"""What leftovers are worth to this shop: learned from its jobs, kept dated, used by its plans."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import func
from sqlmodel import select

from planner.values import Curve
from stockroom.record.catalogue import profile_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import post
from stockroom.record.tables import Frame, Job
from stockroom.services.past.frames_asked import frames_asked
from stockroom.services.past.kept_worth import KIND, curves_kept
from stockroom.services.past.old_book import past_kept
from stockroom.services.planning import rules_for
from stockroom.services.shop import Shop
from stockroom.worth.by_fill import learn_worth
from stockroom.worth.by_waiting import learn_waiting

__all__ = ["LearntWorth", "asked_codes", "learn", "worth_curves"]

AHEAD = 8


@dataclass(frozen=True, slots=True)
class LearntWorth:
    """A profile's worth as learned: the evidence, and whether it was kept or only shown.

    ``share`` is the weight of the shop's own frames in the blend, the rest is the default's.
    ``first`` and ``last`` are the due days of the frames it was learned from.
    """

    profile: str
    frames: int
    share: float
    first: date | None
    last: date | None
    points: Curve
    before: Curve | None
    entry: int | None


def learn(shop: Shop, code: str, *, dry_run: bool = False) -> LearntWorth:
    """Learns what a profile's leftovers are worth from its jobs; keeps it, with its evidence.

    The old book's jobs count; cancelled ones do not, nor those due more than a month from now.

    Raises:
        Unknown: no profile has this code.
    """
    with reading(shop.engine) as session:
        profile = profile_named(session, code)
        history = frames_asked(session, profile, until=shop.hand.day + timedelta(30))
        before = curves_kept(session, [profile.code]).get(profile.code)
    rules = rules_for(shop.settings, profile)
    asked, longest = [rails for _, rails in history], profile.stick_length_um
    if profile.batch_matched:
        learnt = learn_worth(asked, rules, longest, whole=False, ahead=AHEAD)
    else:
        learnt = learn_waiting(asked, rules, longest)
    days = [day for day, _ in history]
    found = LearntWorth(
        profile.code, learnt.frames, learnt.share, min(days, default=None),
        max(days, default=None), learnt.points, before, None,
    )  # fmt: skip
    return found if dry_run else kept(shop, found)


def kept(shop: Shop, found: LearntWorth) -> LearntWorth:
    """Writes a learned worth down as an entry; undoing that entry brings back the one before."""
    detail = {
        "points_um": [list(point) for point in found.points], "frames": found.frames,
        "share_percent": round(100 * found.share),
        "first": str(found.first or ""), "last": str(found.last or ""),
    }  # fmt: skip
    with changing(shop.engine, shop.waiting) as session:
        entry = post(session, shop.hand, KIND, detail=detail,
                     touches=[("profile", found.profile)])  # fmt: skip
    return LearntWorth(found.profile, found.frames, found.share, found.first, found.last,
                       found.points, found.before, entry)  # fmt: skip


def worth_curves(shop: Shop, codes: Collection[str]) -> dict[str, Curve]:
    """The curves that plans use now, for those of these profiles that have one."""
    with reading(shop.engine) as session:
        return curves_kept(session, codes)


def asked_codes(shop: Shop) -> list[str]:
    """The profiles that were ever asked for, by code."""
    with reading(shop.engine) as session:
        asked = select(func.coalesce(Frame.profile_code, Job.profile_code)).join(Job)
        now = set(session.exec(asked.where(Job.state != "cancelled").distinct()))
        return sorted(now | {one.profile for one in past_kept(session)})

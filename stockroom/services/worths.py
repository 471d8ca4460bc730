"""What leftovers are worth to this shop: learned from its jobs, kept dated, used by its plans."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session, col, select

from planner.values import Curve, Frame, Rules
from stockroom.catalogue import profile_named
from stockroom.database import changing, reading
from stockroom.jobs import standing_frames
from stockroom.ledger import post
from stockroom.services.problem import rules_for
from stockroom.services.shop import Shop
from stockroom.services.worthkept import KIND, curves_kept
from stockroom.tables import Job, Profile
from stockroom.worthlearning import learn_worth

__all__ = ["LearntWorth", "Replayed", "learn", "month_replayed", "worth_curves"]

AHEAD = 8
DELIVERY = 5


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


@dataclass(frozen=True, slots=True)
class Replayed:
    """Frames of some days cut again under one curve: stick opened, scrap (um), offcuts left."""

    frames: int
    opened: int
    scrap: int
    offcuts: int


def learn(shop: Shop, code: str, *, dry_run: bool = False) -> LearntWorth:
    """Learns what a profile's leftovers are worth from its jobs; keeps it, with its evidence.

    Cancelled jobs do not count, nor those due after the shop's day and a month.

    Raises:
        Unknown: no profile has this code.
    """
    with reading(shop.engine) as session:
        profile = profile_named(session, code)
        history = frames_of(session, profile, until=shop.hand.day + timedelta(30))
        before = curves_kept(session, [profile.code]).get(profile.code)
    rules = rules_for(shop.settings, profile)
    learnt = learn_worth([rails for _, rails in history], rules, profile.stick_length_um,
                         whole=False, ahead=AHEAD)  # fmt: skip
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
        "share_percent": round(100 * found.share), "ahead": AHEAD,
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


Rails = tuple[int, ...]


def frames_of(session: Session, profile: Profile, until: date) -> list[tuple[date, Rails]]:
    """The due day and rails of every frame asked for in a profile, oldest first."""
    asked = select(Job).where(
        col(Job.profile_code) == profile.code, col(Job.state) != "cancelled", col(Job.due) <= until
    )
    found = standing_frames(session, session.exec(asked).all())
    dated = [(job.due, frame.id, (frame.across_um, frame.upright_um) * 2) for job, frame in found]
    return [(due, rails) for due, _, rails in sorted(dated)]


def month_replayed(
    shop: Shop, code: str, curves: Sequence[Curve | None], days: int = 30
) -> list[Replayed]:
    """The frames due in the last days cut again from new sticks, once under each curve."""
    with reading(shop.engine) as session:
        profile = profile_named(session, code)
        history = frames_of(session, profile, until=shop.hand.day)
    rules = rules_for(shop.settings, profile)
    usable = profile.stick_length_um - 2 * rules.end_trim
    start = shop.hand.day - timedelta(days)
    seen = [(day, rails) for day, rails in history if day > start and max(rails) <= usable]
    return [cut_again(profile, rules, seen, start, curve, days) for curve in curves]


def cut_again(
    profile: Profile,
    rules: Rules,
    seen: Sequence[tuple[date, Rails]],
    start: date,
    curve: Curve | None,
    days: int,
) -> Replayed:
    """One replay of these frames, from an empty rack and sticks of the catalogue's length."""
    from stockroom.replay import Demand, Order, Policy, replay
    from stockroom.replay.policies import learned

    stick = profile.stick_length_um
    demand = Demand(profile.code, "", 1.0, rules, profile.batch_matched,
                    sides=(1, max((max(r) for _, r in seen), default=1)), sticks=(stick, stick),
                    delivery=DELIVERY)  # fmt: skip
    orders = [
        Order(0, (day - start).days, Frame(f"F{number}", profile.code, rails,
                                           one_batch=profile.batch_matched))
        for number, (day, rails) in enumerate(seen)
    ]  # fmt: skip
    policy = Policy("worth", learned({profile.code: curve} if curve else {}))
    run = replay(demand, orders, policy, 0, days + 1)
    return Replayed(
        len(seen), sum(day.opened for day in run.days), sum(day.scrap for day in run.days),
        len(run.days[-1].offcuts),
    )  # fmt: skip

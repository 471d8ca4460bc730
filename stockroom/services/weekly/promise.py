"""Can it be ready by then? Asked before a job is taken in: from the rack, an order, or not."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from sqlmodel import Session

from planner.values import Frame, Limits, Piece, Problem
from stockroom.frame.shapes import FRAME
from stockroom.record.catalogue import moulding_of, profiles, supplier_named
from stockroom.record.database import reading
from stockroom.record.job_sets import batches_of, sets_of
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import on_rack
from stockroom.record.orders import on_order
from stockroom.record.stocktake import not_seen
from stockroom.record.tables import Job, Profile, Supplier
from stockroom.refusals import Refused
from stockroom.services.counter.artwork import job_sizes
from stockroom.services.counter.take import NewJob, check
from stockroom.services.kept_for import OWN, taken_by
from stockroom.services.morning.problem import planner_frame
from stockroom.services.planning import planned, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.services.weekly.needs import new_sticks
from stockroom.services.weekly.purchase_orders import delivery_after
from stockroom.units.lengths import Micrometres

__all__ = ["Promise", "promise_for"]

Answer = Literal["now", "coming", "to order", "later", "never"]
ANSWERS: tuple[Answer, ...] = ("now", "coming", "to order", "later", "never")
"""From the best to the worst."""
MOST_ALIKE = 3
LOOK = re.compile(r"\w{3,}")
"""The words of a moulding's name, which say its look."""
A_YEAR = 366


@dataclass(frozen=True, slots=True)
class Promise:
    """What can be promised of a job: whether it can be ``by`` the day that was asked for.

    ``now``: the rack yields it; its ``pieces`` are named. ``coming``: with sticks on order, the
    last of which is due ``day``. ``to order``: if ordered by ``day``. ``later``: not by then, and
    ``day`` is the first it could be due. ``never``: its moulding can't be had. ``alike`` are
    mouldings of its look that the rack yields it from now.
    """

    answer: Answer
    by: date
    cut_by: date
    day: date | None = None
    pieces: tuple[int, ...] = ()
    alike: tuple[str, ...] = ()


def promise_for(shop: Shop, job: NewJob) -> Promise:
    """What can be promised of this job for its due day. Nothing is reserved.

    The open jobs that are cut by the same day or sooner come first: the job is promised only where
    none of theirs is lost by it.

    Raises:
        Unknown: there is no such profile.
        Refused: the job can't be taken in at all.
        PlannerFault: the planner finds an answer of its own wrong.
    """
    with reading(shop.engine) as session:
        taken = check(session, shop.settings, shop.hand.day, job)
        mine = {one.layer.profile.code: one.layer.profile for one in taken.layers}
        claims = [
            (supplier_named(session, profile.supplier_code), profile,
             claim_of(session, shop, profile, taken.job,
                      [one.sizes.lengths_um for one in taken.layers
                                                    if one.layer.profile.code == code]))
            for code, profile in mine.items()
        ]  # fmt: skip
        others = alike(session, claims[0][1]) if len(claims) == 1 else []
        likely = [(other, resized(session, shop, other, job)) for other in others]
    answer = together([answered(shop, supplier, profile, asked, job)
                       for supplier, profile, asked in claims])  # fmt: skip
    if answer.answer in ("now", "coming"):
        return answer
    yielding = [other.code for other, claim in likely if claim and claim.cut_from(())]
    return replace(answer, alike=tuple(yielding[:MOST_ALIKE]))


def together(each: Sequence[Promise]) -> Promise:
    """What can be promised of all mouldings of a job: the worst of what can of each; its day is
    the last that one waits for, or the first by which one is to be ordered."""
    worst = max((one.answer for one in each), key=ANSWERS.index)
    days = [one.day for one in each if one.answer == worst and one.day is not None]
    first = min if worst == "to order" else max
    pieces = sorted({piece for one in each for piece in one.pieces})
    return replace(each[0], answer=worst, day=first(days, default=None),
                   pieces=tuple(pieces) if worst == "now" else ())  # fmt: skip


@dataclass(frozen=True, slots=True)
class Claim:
    """A job's frames beside the open ones that come first, what is free, and what is on order, by
    the day it comes (none where that is not known)."""

    problem: Problem
    frames: tuple[Frame, ...]
    coming: tuple[tuple[date | None, Piece], ...]

    def cut_from(self, more: Sequence[Piece]) -> tuple[int, ...]:
        """The pieces of the rack that this job is cut from, where those pieces and these yield it
        beside all that they yield without it; nothing where they don't, or only new ones do."""
        found = self.cuts(more)
        return tuple(sorted(int(name) for name in found if name.isdecimal()))

    def yields(self, more: Sequence[Piece]) -> bool:
        """Whether the free pieces and these yield the job beside what they yield without it."""
        return bool(self.cuts(more))

    def cuts(self, more: Sequence[Piece]) -> frozenset[str]:
        """The pieces that the job is cut from; none where not all of it can be."""
        pieces = (*self.problem.pieces, *more)
        waiting = self.problem.frames
        plan = planned(replace(self.problem, pieces=pieces, frames=(*waiting, *self.frames)))
        done = {rail.frame for cut in plan.cuts for rail in cut.rails}
        ours = {frame.id for frame in self.frames}
        if not ours <= done:
            return frozenset()
        if waiting and not {frame.id for frame in waiting} <= done:
            without = planned(replace(self.problem, pieces=pieces))
            if len(done) < without.reached.frames_cut + len(ours):
                return frozenset()
        return frozenset(cut.piece for cut in plan.cuts
                         if ours & {rail.frame for rail in cut.rails})  # fmt: skip


def claim_of(
    session: Session, shop: Shop, profile: Profile, job: NewJob,
    rails: Sequence[tuple[Micrometres, ...]],
) -> Claim:  # fmt: skip
    """A job's frames of a profile, whose ``rails`` are each one's; the open ones to cut no later,
    and the pieces that are free or coming."""
    cut_by = shop.settings.bench.cut_by(job.due, job.bench_days)
    free = [one for one in on_rack(session, profile.code) if one.held_by is None]
    lost = not_seen(session, [one.id for one in free])
    rack = [one for one in free if one.id not in lost]
    mates, batch = set_asked(session, job, profile)
    link = "asked" if job.set_with is None else f"J{job.set_with}"
    first = [
        frame for frame in open_frames(session, profile=profile.code, bench=shop.settings.bench)
        if not frame.held and (frame.cut_by <= cut_by or frame.job in mates)
    ]  # fmt: skip
    frames = tuple(
        matching(planner_frame(frame, rack, {}, profile), link if frame.job in mates else None)
        for frame in first
    )
    shapes = (job.artwork.shape, *(frame.shape for frame in first))
    one_batch = profile.batch_matched if job.one_batch is None else job.one_batch
    one_batch = one_batch or job.set_with is not None
    takes = job.takes if job.takes != OWN or profile.code == job.profile else ""
    ours = tuple(
        Frame(f"asked-{number}-{layer}", profile.code, each, cut_by, one_batch=one_batch,
              one_piece=job.one_piece, batch=job.match.strip().upper() or batch,
              link=link if one_batch else None, pairs=job.artwork.shape == FRAME,
              takes=taken_by(takes, job.customer))
        for number in range(job.quantity) for layer, each in enumerate(rails)
    )  # fmt: skip
    coming = tuple(
        (due, Piece(f"coming-{place}-{number}", profile.code, f"coming {place}", "stick",
                    profile.stick_length_um))
        for place, (due, sticks) in enumerate(on_order(session).get(profile.code, ()))
        for number in range(sticks)
    )  # fmt: skip
    rules = rules_for(shop.settings, profile, shapes=shapes)
    problem = Problem(rules, tuple(map(planner_piece, rack)), frames,
                      limits=Limits(shop.settings.seconds))  # fmt: skip
    return Claim(problem, ours, coming)


def set_asked(
    session: Session, job: NewJob, profile: Profile
) -> tuple[Collection[int], str | None]:
    """The jobs that a job is to match, and their batch where they have one already."""
    if job.set_with is None or profile.code != job.profile:
        return (), None
    mates = sets_of(session, [session.get_one(Job, job.set_with)]).keys() | {job.set_with}
    batches = frozenset().union(*(found for (_, other), found in batches_of(session, mates).items()
                                 if other is None))  # fmt: skip
    return mates, min(batches) if len(batches) == 1 else None


def matching(frame: Frame, link: str | None) -> Frame:
    """A frame that waits, as one of the set that is asked about."""
    return frame if link is None else replace(frame, link=link, one_batch=True)


def answered(
    shop: Shop, supplier: Supplier, profile: Profile, claim: Claim, job: NewJob
) -> Promise:
    """What can be promised in this job's own moulding."""
    bench, today = shop.settings.bench, shop.hand.day
    cut_by = bench.cut_by(job.due, job.bench_days)
    if cut_by >= today and (pieces := claim.cut_from(())):
        return Promise("now", job.due, cut_by, pieces=pieces)
    in_time = [(due, piece) for due, piece in claim.coming if due is not None and due <= cut_by]
    for until in sorted({due for due, _ in in_time}):
        if claim.yields([piece for due, piece in in_time if due <= until]):
            return Promise("coming", job.due, cut_by, until)
    if not orderable(profile, today):
        return Promise("never", job.due, cut_by)
    bought = new_sticks(profile, [*claim.problem.frames, *claim.frames])
    if not claim.yields([*(piece for _, piece in in_time), *bought]):
        return Promise("never", job.due, cut_by)
    comes = delivery_after(supplier, today)
    if comes <= cut_by:
        days = (cut_by - timedelta(back) for back in range((cut_by - today).days + 1))
        last = next(day for day in days if delivery_after(supplier, day) <= cut_by)
        return Promise("to order", job.due, cut_by, last)
    first = next(day for day in (comes + timedelta(more) for more in range(A_YEAR))
                 if day.weekday() not in bench.closed
                 and bench.cut_by(day, job.bench_days) >= comes)  # fmt: skip
    return Promise("later", job.due, cut_by, first)


def orderable(profile: Profile, today: date) -> bool:
    """Whether a stick of the profile can still be ordered."""
    if profile.last_order is not None:
        return today <= profile.last_order
    return not profile.discontinued or bool(profile.last_sticks)


def alike(session: Session, profile: Profile) -> list[Profile]:
    """The mouldings of this one's look, the likest first: of its kind, its wood where both are
    known, at most half as wide again or half as narrow, and with words of its name."""
    found = []
    for other in profiles(session):
        words = look_of(profile) & look_of(other)
        apart = abs(other.face_um - profile.face_um)
        one_wood = other.species == profile.species or not (other.species and profile.species)
        if other.code != profile.code and other.kind == profile.kind and words and one_wood \
                and 2 * apart <= profile.face_um:  # fmt: skip
            found.append((-len(words), apart, other.code, other))
    return [other for *_, other in sorted(found, key=lambda one: one[:3])]


def look_of(profile: Profile) -> set[str]:
    """The words that say what a moulding looks like."""
    return set(LOOK.findall(profile.name.casefold()))


def resized(session: Session, shop: Shop, other: Profile, job: NewJob) -> Claim | None:
    """The same job in another moulding, which matches none; none where it can't be made in that."""
    job = replace(job, set_with=None, match="")
    try:
        sizes = job_sizes(job.artwork, moulding_of(other), shop.settings, machine=other.machine)
        check(session, shop.settings, shop.hand.day, replace(job, profile=other.code))
    except Refused:
        return None
    return claim_of(session, shop, other, job, [sizes.lengths_um])

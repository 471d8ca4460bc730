"""For one job: how to come by its rails, and what its moulding really costs."""

from collections.abc import Sequence

from sqlmodel import Session

from planner.score import clear_left
from planner.values import Frame, Limits, Problem
from stockroom.buying.cut_to_size import BoughtStick, Cutting, Way, ways
from stockroom.buying.job_price import MouldingPrice, moulding_price
from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.record.jobs import job_named, open_frames, standing_frames
from stockroom.record.tables import Job, Profile, Supplier
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.past.kept_worth import curves_kept
from stockroom.services.past.past_demand import asked_for
from stockroom.services.planning import planned, rules_for
from stockroom.services.shop import Shop
from stockroom.services.weekly.cut_instead import rule_of, stock_of
from stockroom.services.weekly.needs import new_sticks
from stockroom.units.price_rule import read_price_rule

__all__ = ["price_job", "ways_for"]


def ways_for(shop: Shop, typed: str) -> list[Way]:
    """The ways to come by a job's rails, cheapest first: a stick, cut to size, a shared stick.

    A stick is shared with the waiting frames of the profile's other open jobs.

    Raises:
        Unreadable, Unknown: it is no job's number.
        Refused: the profile has no stick price, or the job no frame.
    """
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        profile, stock = priced(session, shop, job)
        frames = frames_of(session, job)
        others = [
            Frame(frame.label, profile.code, (frame.across, frame.upright) * 2)
            for frame in open_frames(session, profile=profile.code)
            if frame.job != job.id and not frame.held
        ]
        rule = rule_of(session.get_one(Supplier, profile.supplier_code), profile)
    shared = None
    if others:
        shared = (
            cutting_of(shop, profile, stock, others),
            cutting_of(shop, profile, stock, [*others, *frames]),
        )
    alone = cutting_of(shop, profile, stock, frames)
    return ways(alone, [frame.rails for frame in frames], stock, rule, shared)


def price_job(shop: Shop, typed: str) -> MouldingPrice:
    """What a job's moulding really costs from new sticks, beside the price by the shop's rule.

    Raises:
        Unreadable, Unknown: it is no job's number.
        Refused: the profile has no stick price, or the job no frame.
    """
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        profile, stock = priced(session, shop, job)
        frames = frames_of(session, job)
    cutting = cutting_of(shop, profile, stock, frames)
    return moulding_price([frame.rails for frame in frames], cutting, stock,
                          rules_for(shop.settings, profile).cut_allowance,
                          read_price_rule(shop.settings.price_rule))  # fmt: skip


def priced(session: Session, shop: Shop, job: Job) -> tuple[Profile, BoughtStick]:
    """A job's profile as it is bought by the stick.

    Raises:
        Refused: it has no price.
    """
    profile = profile_named(session, job.profile_code)
    past = asked_for(session, shop.hand.day).get(profile.code)
    worth = curves_kept(session, [profile.code]).get(profile.code)
    stock = stock_of(profile, past.forecast.chance if past else 0.0, worth)
    if stock is None:
        raise Refused("no_price_of_stick", Remedy(Do.SET_PRICE, profile.code), profile=profile.code)
    return profile, stock


def frames_of(session: Session, job: Job) -> list[Frame]:
    """The frames of a job, whole, whether cut or not.

    Raises:
        Refused: it has none any more.
    """
    frames = [
        Frame(f"{job.id}.{frame.number}", job.profile_code,
              (frame.across_um, frame.upright_um) * 2)
        for _, frame in standing_frames(session, [job])
    ]  # fmt: skip
    if not frames:
        raise Refused("job_without_frames", job=job.id)
    return frames


def cutting_of(
    shop: Shop, profile: Profile, stock: BoughtStick, frames: Sequence[Frame]
) -> Cutting:
    """What these frames take of new sticks, by the planner."""
    rules = rules_for(shop.settings, profile)
    sticks = tuple(new_sticks(profile, frames))
    worth = {} if stock.points is None else {profile.code: stock.points}
    plan = planned(Problem(rules, sticks, tuple(frames), worth=worth,
                                limits=Limits(shop.settings.seconds)))  # fmt: skip
    if plan.short:
        raise Refused("not_out_of_new_sticks", frame=plan.short[0].frame, profile=profile.code)
    by_id = {piece.id: piece for piece in sticks}
    kept = tuple(clear_left(by_id[cut.piece], rules, cut) for cut in plan.cuts if cut.kept)
    return Cutting(len({cut.piece for cut in plan.cuts}), kept)

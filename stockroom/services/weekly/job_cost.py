"""For one job: how to come by its rails, and what its moulding really costs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sqlmodel import Session

from planner.score import clear_left
from planner.values import Frame, Limits, Problem
from stockroom.buying.cut_to_size import BoughtStick, Cutting, Way, ways, ways_together
from stockroom.buying.job_price import MouldingPrice, added_up, moulding_price, rule_of_thumb
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.shapes import FRAME, JobShape, shape_told
from stockroom.record.catalogue import price_of, profile_named, stick_price
from stockroom.record.database import reading
from stockroom.record.jobs import (
    frame_label,
    frame_profile,
    job_named,
    moulding_named,
    open_frames,
    rails_of,
    standing_frames,
)
from stockroom.record.tables import Entry, Job, Profile, Supplier
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.take import NewJob, check
from stockroom.services.kept_for import OWN
from stockroom.services.past.kept_worth import curves_kept
from stockroom.services.past.past_demand import asked_for
from stockroom.services.planning import planned, rules_for
from stockroom.services.shop import Shop
from stockroom.services.weekly.cut_instead import rule_of, stock_of
from stockroom.services.weekly.needs import new_sticks
from stockroom.units.price_rule import read_price_rule

__all__ = ["Said", "price_job", "price_new", "priced_ticket", "said_price", "ways_for"]


def ways_for(shop: Shop, typed: str) -> list[Way]:
    """The ways to come by a job's rails, cheapest first: a stick, cut to size, a shared stick.

    A stick is shared with the waiting frames of the profile's other open jobs. Of a job of several
    mouldings each way is the sum of all of them, or each comes in its own cheapest way; of one that
    is named, as J12.b, it is that moulding's alone.

    Raises:
        Unreadable, Unknown: it is no job's number, or has no such moulding.
        Refused: a profile has no stick price, or the job no frame.
    """
    with reading(shop.engine) as session:
        job, code = moulding_named(session, typed)
        codes = profiles_of(frames_of(session, job)) if "." not in typed else (code,)
    each = [ways_of_profile(shop, job, code) for code in codes]
    return each[0] if len(each) == 1 else ways_together(each)


def ways_of_profile(shop: Shop, job: Job, code: str) -> list[Way]:
    """The ways to come by a job's rails of one profile."""
    with reading(shop.engine) as session:
        profile, stock = priced(session, shop, code)
        frames = [frame for frame in frames_of(session, job) if frame.profile == code]
        waiting = [frame for frame in open_frames(session, profile=profile.code)
                   if frame.job != job.id and not frame.held]  # fmt: skip
        others = [
            Frame(frame.label, profile.code, frame.whole, pairs=frame.shape == FRAME)
            for frame in waiting
        ]
        rule = rule_of(session.get_one(Supplier, profile.supplier_code), profile)
    shared = None
    shapes = (shape_told(job.shape), *(frame.shape for frame in waiting))
    if others:
        shared = (
            cutting_of(shop, profile, stock, others, *shapes),
            cutting_of(shop, profile, stock, [*others, *frames], *shapes),
        )
    alone = cutting_of(shop, profile, stock, frames, shape_told(job.shape))
    return ways(alone, [frame.rails for frame in frames], stock, rule, shared)


def price_job(shop: Shop, typed: str) -> MouldingPrice:
    """What a job's mouldings really cost from new sticks, beside the price by the shop's rule.

    Raises:
        Unreadable, Unknown: it is no job's number.
        Refused: a profile has no stick price, or the job no frame.
    """
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        frames = frames_of(session, job)
        stocks = {code: priced(session, shop, code) for code in profiles_of(frames)}
        quoted = quoted_for(session, job)
    priced_now = price_all(shop, stocks, frames, shape_told(job.shape))
    return replace(priced_now, quoted=None if quoted is None else quoted.price)


def price_new(shop: Shop, job: NewJob) -> MouldingPrice:
    """The same of a job that is only asked about; nothing is written.

    Raises:
        Unknown: there is no such profile.
        Refused: the shop could not take it in, or its profile has no stick price.
    """
    with reading(shop.engine) as session:
        taken = check(session, shop.settings, shop.hand.day, job)
        shape = job.artwork.shape
        frames = [Frame(f"asked-{number}-{one.number}", one.layer.profile.code,
                        one.sizes.lengths_um, pairs=shape == FRAME)
                  for number in range(job.quantity) for one in taken.layers
                  if job.takes != OWN or one.number]  # fmt: skip
        if not frames:
            raise Refused("job_of_own_moulding", job=0)
        stocks = {code: priced(session, shop, code) for code in profiles_of(frames)}
    return price_all(shop, stocks, frames, shape)


def profiles_of(frames: Sequence[Frame]) -> tuple[str, ...]:
    """The profiles of these frames, in order."""
    return tuple(dict.fromkeys(frame.profile for frame in frames))


def price_all(
    shop: Shop,
    stocks: Mapping[str, tuple[Profile, BoughtStick]],
    frames: Sequence[Frame],
    shape: JobShape,
) -> MouldingPrice:
    """What frames of several mouldings cost together, each moulding from sticks of its own."""
    return added_up([
        price_frames(shop, profile, stock, [frame for frame in frames if frame.profile == code],
                     shape)
        for code, (profile, stock) in stocks.items()
    ])  # fmt: skip


def price_frames(
    shop: Shop,
    profile: Profile,
    stock: BoughtStick,
    frames: Sequence[Frame],
    shape: JobShape = FRAME,
) -> MouldingPrice:
    """What these frames of a profile cost, and what is asked for them."""
    cutting = cutting_of(shop, profile, stock, frames, shape)
    return moulding_price([frame.rails for frame in frames], cutting, stock,
                          rules_for(shop.settings, profile, shapes=[shape]).cut_allowance,
                          read_price_rule(shop.settings.price_rule))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """The price of a job's moulding as the counter says it, minor units, and the quote that it was
    said in; none where it follows from the shop's rule."""

    price: int
    quote: int | None = None


def said_price(shop: Shop, typed: str) -> Said | None:
    """What is said for a job's moulding: as it was quoted, else by the shop's rule; nothing where
    it has no price, or is the customer's own. Nothing is planned, unless the rule goes by what the
    moulding really costs.

    Raises:
        Unreadable, Unknown: it is no job's number.
    """
    rule = read_price_rule(shop.settings.price_rule)
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        if (quoted := quoted_for(session, job)) is not None:
            return quoted
        frames = [
            (rails_of(frame), profile_named(session, frame_profile(job, frame)))
            for _, frame in standing_frames(session, [job]) if job.takes != OWN or frame.layer
        ]  # fmt: skip
    prices = [(rails, price) for rails, profile in frames
              if (price := price_of(profile)) and stick_price(profile) is not None]  # fmt: skip
    if not prices or len(prices) < len(frames):
        return None
    if rule.real:
        return Said(price_job(shop, typed).said)
    return Said(sum(rule_of_thumb(rails, price, rule) for rails, price in prices))


def priced_ticket(shop: Shop, typed: str, found: Ticket) -> Ticket:
    """A job's ticket with the price that is said for its moulding, where it has one."""
    said = said_price(shop, typed)
    return found if said is None else replace(found, price=said.price, quote=said.quote)


def quoted_for(session: Session, job: Job) -> Said | None:
    """The price that this job was quoted at, if it was."""
    kept = session.get_one(Entry, job.taken_in).detail or {}
    return Said(kept["price"], kept["quote"]) if "quote" in kept else None


def priced(session: Session, shop: Shop, code: str) -> tuple[Profile, BoughtStick]:
    """A profile as it is bought by the stick.

    Raises:
        Refused: it has no price.
    """
    profile = profile_named(session, code)
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
        Frame(frame_label(job, frame), frame_profile(job, frame),
              rails_of(frame), pairs=not frame.rails_um)
        for _, frame in standing_frames(session, [job]) if job.takes != OWN or frame.layer
    ]  # fmt: skip
    if not frames:
        raise Refused("job_of_own_moulding" if job.takes == OWN else "job_without_frames",
                      job=job.id)  # fmt: skip
    return frames


def cutting_of(
    shop: Shop, profile: Profile, stock: BoughtStick, frames: Sequence[Frame], *shapes: JobShape
) -> Cutting:
    """What these frames take of new sticks, by the planner."""
    rules = rules_for(shop.settings, profile, shapes=shapes)
    sticks = tuple(new_sticks(profile, frames))
    worth = {} if stock.points is None else {profile.code: stock.points}
    plan = planned(Problem(rules, sticks, tuple(frames), worth=worth,
                                limits=Limits(shop.settings.seconds)))  # fmt: skip
    if plan.short:
        raise Refused("not_out_of_new_sticks", frame=plan.short[0].frame, profile=profile.code)
    by_id = {piece.id: piece for piece in sticks}
    kept = tuple(clear_left(by_id[cut.piece], rules, cut) for cut in plan.cuts if cut.kept)
    return Cutting(len({cut.piece for cut in plan.cuts}), kept)

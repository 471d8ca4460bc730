"""How many spare sticks of a profile the week's order holds, from its shelf."""

from dataclasses import replace

from stockroom.buying.order_terms import REVIEW_DAYS
from stockroom.buying.spare import Spare, Stake, spare_sticks
from stockroom.buying.windows import Case, as_free, outcomes, stretches_apart, with_order
from stockroom.record.catalogue import stick_price
from stockroom.services.planning import planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.services.weekly.needs import asked, sticks_coming
from stockroom.services.weekly.profile_state import Shelf, horizon
from stockroom.services.weekly.purchase_orders import delivery_after
from stockroom.settings.wait_cost import read_wait

__all__ = ["spare_of"]

UNPRICED = Stake(1.0, 0.05)
"""Of a profile without a price: a wait costs as much as twenty sticks that lie until the review."""


def days_covered(shop: Shop, shelf: Shelf) -> int:
    """How many days' demand this week's order must cover.

    Those until the next review's order is there, less the days that jobs come in ahead; as long as
    the sample stays on the wall where no other order is taken; none of a profile that is sold no
    more.
    """
    today, profile = shop.hand.day, shelf.profile
    if shelf.is_last(today):
        return shop.settings.last_buy_days
    if shelf.is_gone(today) or (shelf.discontinued and profile.last_order is None):
        return 0
    return max(0, horizon(shelf.supplier, today) - shelf.notice)


def days_before(shop: Shop, shelf: Shelf) -> int:
    """Of those days, the first whose frames are due before today's order is there."""
    today = shop.hand.day
    return max(0, (delivery_after(shelf.supplier, today) - today).days - shelf.notice)


def spare_of(shop: Shop, shelf: Shelf, for_jobs: int) -> Spare:
    """The spare sticks that cost least.

    The sticks that the open jobs need are ordered anyway, and what they leave is cut first.
    """
    profile, rules = shelf.profile, rules_for(shop.settings, shelf.profile)
    ordered, days = sticks_coming(profile, shelf.coming), days_covered(shop, shelf)
    bought = with_order(profile.code, profile.stick_length_um, for_jobs)
    past = shelf.asked.in_season(shelf.season, shop.hand.day, days)
    pieces = (*map(planner_piece, shelf.rack), *ordered, *bought)
    case = Case(
        profile.code, rules, profile.stick_length_um,
        tuple(as_free(piece) for piece in pieces),
        tuple(asked(frame, shelf.rack, profile) for frame in shelf.waiting),
        past.asks, past.since, profile.batch_matched, past.forecast,
        shop.hand.day, days, min(days, days_before(shop, shelf)),
    )  # fmt: skip
    # A year has too few stretches as long as a last buy's for their ranks to say much.
    seen = None if shelf.is_last(shop.hand.day) else stretches_apart(case)
    busier = shelf.season.coming(days) if shelf.season else 1.0
    return replace(spare_sticks(outcomes(case), stake_of(shop, shelf), seen), days=case.days,
                   last=shelf.is_last(shop.hand.day), season=busier)  # fmt: skip


def stake_of(shop: Shop, shelf: Shelf) -> Stake:
    """What a wait costs, and a spare stick until the next review, or for good in a last buy."""
    price = stick_price(shelf.profile)
    if price is None:
        return UNPRICED
    moulding = shelf.asked.usual_length * price / shelf.profile.stick_length_um
    told = read_wait(shelf.profile.wait_cost or shop.settings.wait_cost)
    wait, carriage = told.of(moulding), told.besides(shelf.supplier.carriage_minor or 0)
    if shelf.is_last(shop.hand.day):
        return Stake.for_good(wait, price)
    return Stake.until_review(wait, price, REVIEW_DAYS, carriage)

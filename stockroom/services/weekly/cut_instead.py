"""Which jobs are cheaper cut to size by the supplier than by the stick, and the reckoning."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.values import Curve
from stockroom.buying.cut_to_size import (
    BoughtStick,
    Cutting,
    Supplied,
    cut_price,
    net_cost,
    used_share,
)
from stockroom.facts import Fact
from stockroom.record.catalogue import metre_price, price_of, stick_price
from stockroom.record.jobs import OpenFrame
from stockroom.record.tables import Profile, Supplier
from stockroom.services.weekly.needs import Need, Needs
from stockroom.services.weekly.profile_state import Shelf
from stockroom.units.money import Price

__all__ = ["CutToSize", "cut_instead", "rule_of", "stock_of"]

MOST_JOBS = 6
"""With more jobs than this a profile is neither short nor rare: sticks are bought."""


@dataclass(frozen=True, slots=True)
class CutToSize:
    """A job whose rails are bought cut to size: its number, price (minor units), rails (um) of each
    frame, and the reckoning."""

    job: int
    price: int
    frames: tuple[tuple[int, ...], ...]
    why: Fact


def stock_of(profile: Profile, chance: float, worth: Curve | None) -> BoughtStick | None:
    """A profile as it is bought by the stick; None where it has no price.

    ``chance`` is that of any demand in a week, ``worth`` that of its leftovers as learned.
    """
    price = stick_price(profile)
    if price is None:
        return None
    return BoughtStick(profile.stick_length_um, price, profile.keep_um, used_share(chance), worth)


def rule_of(supplier: Supplier, profile: Profile) -> Supplied | None:
    """The supplier's rule for cutting this profile to size; None where they do not.

    Where there is no price by the metre, the stick's price by its length stands for it.
    """
    if supplier.cut_percent is None:
        return None
    price = metre_price(profile) or price_of(profile) or Price(0)
    return Supplied(price, supplier.cut_percent, supplier.cut_fee_minor or 0,
                    supplier.cut_minimum_minor or 0)  # fmt: skip


def cut_instead(needs: Needs) -> list[CutToSize]:
    """The waiting jobs that cost less cut to size than what they add to the sticks to buy.

    All jobs of the profile share the sticks. What a job adds is the cost of the sticks for all,
    less the worth of what they leave at this profile's demand, over that of the sticks without
    it. The job that saves most is taken out first, then the others are reckoned again.
    """
    shelf = needs.shelf
    need = needs.of(shelf.waiting, shelf.coming)
    stock = stock_of(shelf.profile, shelf.asked.forecast.chance, shelf.worth)
    rule = rule_of(shelf.supplier, shelf.profile)
    jobs = jobs_short(shelf, need)
    if stock is None or rule is None or not jobs or len(jobs) > MOST_JOBS:
        return []
    found: list[CutToSize] = []
    waiting, now = list(shelf.waiting), need
    while choice := dearest(needs, stock, rule, jobs, waiting, now):
        found.append(choice)
        frames = jobs.pop(choice.job)
        waiting = [frame for frame in waiting if frame not in frames]
        now = needs.of(waiting, shelf.coming)
    return found


def jobs_short(shelf: Shelf, need: Need) -> dict[int, list[OpenFrame]]:
    """The jobs that the rack yields no frame of, none of their rails cut yet, with their frames."""
    jobs: dict[int, list[OpenFrame]] = {}
    for frame in shelf.waiting:
        jobs.setdefault(frame.job, []).append(frame)
    return {
        job: frames
        for job, frames in jobs.items()
        if all(frame.label in need.short and not frame.batches for frame in frames)
    }


def dearest(
    needs: Needs, stock: BoughtStick, rule: Supplied,
    jobs: Mapping[int, Sequence[OpenFrame]], waiting: Sequence[OpenFrame], now: Need,
) -> CutToSize | None:  # fmt: skip
    """The job that saves most if the supplier cuts it; None where none saves anything."""
    shelf = needs.shelf
    best: tuple[int, CutToSize] | None = None
    for job, frames in jobs.items():
        others = [frame for frame in waiting if frame not in frames]
        rest = needs.of(others, shelf.coming)
        adds = cost_of(now, stock) - cost_of(rest, stock)
        rails = tuple(frame.whole for frame in frames)
        price = sum(cut_price(one, rule) for one in rails)
        if adds > price and (best is None or adds - price > best[0]):
            why = reckoning(job, price, (now.sticks - rest.sticks) * stock.stick_price, adds)
            best = adds - price, CutToSize(job, price, rails, why)
    return None if best is None else best[1]


def cost_of(need: Need, stock: BoughtStick) -> int:
    """What the sticks of a need really cost, minor units."""
    return net_cost(Cutting(need.sticks, need.leftovers), stock)


def reckoning(job: int, price: int, paid: int, adds: int) -> Fact:
    """Why a job is bought cut to size, with the sums."""
    more: Fact | None = None
    if left := paid - adds:
        code = "less_for_what_is_left" if left > 0 else "and_for_what_is_left"
        more = Fact(code, {"left_minor": abs(left)})
    return Fact("cut_to_size_instead", {"job": job, "price_minor": price, "paid_minor": paid,
                                        "left": more})  # fmt: skip

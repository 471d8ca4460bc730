"""What to buy of a profile: cover for the futures that its demand could bring, no formula assumed.

A future is the open jobs and, week by week, frames of sizes that were asked for before, cut by the
planner's own hand rule from the rack, from what is on order, and from as many new sticks as it
takes. Shares are of 1, lengths micrometres, money whole minor units.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby
from typing import Literal, TypeVar

from planner.heuristics.best_fit import hand_laid
from planner.values import Frame, Piece, Problem, Rules
from stockroom.buying.forecast import Forecast

__all__ = [
    "SERVICE",
    "Case",
    "Class",
    "TopUp",
    "as_free",
    "classes",
    "cover",
    "covering",
    "covers",
    "economic_order",
    "last_buy",
    "top_up",
    "with_order",
]

Class = Literal["A", "B", "C"]
Amount = TypeVar("Amount", int, float)
Pair = tuple[int, int]

SERVICE: Mapping[Class, float] = {"A": 0.98, "B": 0.95, "C": 0.90}
"""The share of futures that must find enough sticks: common practice, no published figure."""
A_UNTIL, B_UNTIL = 70, 95
FUTURES = 200
SEED = 20_261_123
QUARTER, WEEK = 13, 7
NEW = "new"
LAST_DAYS = 91
"""A last buy covers a quarter, in which the profile comes off the wall: common practice."""
HOLDING_PERCENT = 25
"""What a year of money tied up costs, of the money: common practice."""


def covering(futures: Sequence[Amount], service: float) -> Amount:
    """The least amount that is enough in this share of the futures.

    Raises:
        ValueError: there is no future, or the share is not between 0 and 1.
    """
    if not futures or not 0 < service < 1:
        raise ValueError(f"{len(futures)} futures, a service of {service}")
    short = int(len(futures) * (1 - service) + 1e-9)
    return sorted(futures)[len(futures) - 1 - short]


def classes(values: Mapping[str, int]) -> dict[str, Class]:
    """Which profiles carry the trade: A the first 70 % of the year's value.

    B go on to 95 %, C are the rest. One that reaches over a limit still counts below it, and
    ``values`` (minor units, or any measure) that sum to nothing make all C.
    """
    total, before, found = sum(values.values()), 0, dict[str, Class]()
    for name, value in sorted(values.items(), key=lambda pair: (-pair[1], pair[0])):
        share = 100 * before
        if value <= 0 or share >= B_UNTIL * total:
            found[name] = "C"
        else:
            found[name] = "A" if share < A_UNTIL * total else "B"
        before += max(0, value)
    return found


@dataclass(frozen=True, slots=True)
class Case:
    """One profile on the day of the review.

    ``pieces`` are free on the rack or on order, as offcuts that cost nothing; ``known`` the frames
    of open jobs; ``past`` the weeks that had any demand, oldest first, each with the pairs of rails
    of its frames; ``days``, from this one on, whose frames are due before an order of the next
    review would be there.
    """

    profile: str
    rules: Rules
    stick_length: int
    pieces: tuple[Piece, ...]
    known: tuple[Frame, ...]
    past: tuple[tuple[Pair, ...], ...]
    one_batch: bool
    forecast: Forecast
    day: date
    days: int

    def __post_init__(self) -> None:
        if self.days < 0 or self.stick_length <= 2 * self.rules.end_trim:
            raise ValueError(f"{self.profile}: {self.days} days, a stick of {self.stick_length}")


def cover(case: Case, service: float, futures: int = FUTURES) -> int:
    """New sticks, beyond those of the open jobs, that cut this share of the futures unwaited for.

    The same case always has the same futures.
    """
    return covers(case, (service,), futures)[0]


def covers(case: Case, services: Sequence[float], futures: int = FUTURES) -> list[int]:
    """The cover of each of these shares, from the same futures."""
    if not case.forecast.chance or not case.past or not case.days:
        return [0] * len(services)
    dice = random.Random(f"{SEED} {case.profile}")
    known: dict[tuple[Frame, ...], int] = {}
    needs = []
    for _ in range(futures):
        frames = future(case, dice)
        if frames not in known:
            known[frames] = sticks_opened(case, frames)
        needs.append(known[frames])
    jobs = sticks_opened(case, ())
    return [max(0, covering(needs, service) - jobs) for service in services]


def future(case: Case, dice: random.Random) -> tuple[Frame, ...]:
    """The frames that one future brings, due week by week.

    A week has demand by the forecast's chance, and is then a past week again, whole: the twelve
    prints of a school stay twelve of one size. Of a week that is not over in time each run of
    equal frames comes by the share of its days.
    """
    like = case.past[-len(case.forecast.sizes) :]
    frames: list[Frame] = []
    for start in range(0, case.days, WEEK):
        if dice.random() >= case.forecast.chance:
            continue
        share = min(WEEK, case.days - start) / WEEK
        due = case.day + timedelta(start + WEEK)
        for (across, upright), run in groupby(dice.choice(like)):
            if share < 1 and dice.random() >= share:
                continue
            frames += [
                Frame(f"expected-{len(frames) + at}", case.profile, (across, upright) * 2, due,
                      one_batch=case.one_batch)
                for at, _ in enumerate(run)
            ]  # fmt: skip
    return tuple(frames)


def sticks_opened(case: Case, expected: Sequence[Frame]) -> int:
    """New sticks that the hand rule opens for the known frames and these, earliest due first."""
    frames = (*case.known, *expected)
    most = sum(len(frame.rails) for frame in frames)
    usable = case.stick_length - 2 * case.rules.end_trim
    length = sum(rail + case.rules.cut_allowance for frame in frames for rail in frame.rails)
    likely = min(most, 4 * length // (3 * usable) + 2)
    opened, all_cut = opened_of(case, frames, likely)
    return opened if all_cut or likely == most else opened_of(case, frames, most)[0]


def opened_of(case: Case, frames: Sequence[Frame], sticks: int) -> tuple[int, bool]:
    """New sticks that the hand rule opens of so many, and whether it cut all of the frames."""
    new = tuple(
        Piece(f"new-{number:04d}", case.profile, NEW, "stick", case.stick_length)
        for number in range(sticks)
    )
    laid = hand_laid(Problem(case.rules, (*able(case, frames), *new), tuple(frames)))
    cut = {frame for rails in laid.values() for frame, _ in rails}
    opened = {piece for piece, _ in laid if piece.startswith("new-")}
    return len(opened), len(cut) == len(frames)


def with_order(profile: str, stick_length: int, sticks: int) -> tuple[Piece, ...]:
    """Sticks that this order brings anyway, of one batch with those that cover adds."""
    return tuple(
        Piece(f"bought-{number:04d}", profile, NEW, "stick", stick_length)
        for number in range(sticks)
    )


def able(case: Case, frames: Sequence[Frame]) -> tuple[Piece, ...]:
    """The free pieces that can serve any of these frames; the hand rule passes the others by.

    One shorter than every rail cannot, nor, where every frame must come from one batch, one whose
    batch is shorter than the least of them.
    """
    least = min((min(frame.rails) for frame in frames), default=0)
    long = [piece for piece in case.pieces if piece.length >= least]
    if not all(frame.one_batch for frame in frames):
        return tuple(long)
    whole = min((sum(frame.rails) for frame in frames), default=0)
    room: dict[str, int] = {}
    for piece in long:
        room[piece.batch] = room.get(piece.batch, 0) + piece.length
    return tuple(piece for piece in long if room[piece.batch] >= whole)


def as_free(piece: Piece) -> Piece:
    """A piece that the shop has already, as one that costs nothing."""
    return replace(piece, kind="offcut")


def last_buy(last_order: date | None, last_sticks: int | None, today: date, review: int) -> bool:
    """True where today's order is the last chance to buy what a supplier gives up.

    That is so where no review follows before the last day of orders, and where only so many sticks
    are left that anybody may take.
    """
    if last_order is None:
        return last_sticks is not None
    return today <= last_order < today + timedelta(review)


@dataclass(frozen=True, slots=True)
class TopUp:
    """A stick, or a box, that could fill an order up: its price, the weeks until it is needed."""

    profile: str
    price: int
    weeks: float
    sticks: int = 1


def top_up(gap: int, saved: int, candidates: Sequence[TopUp]) -> tuple[tuple[TopUp, ...], str]:
    """What fills an order up to a threshold, and the reason for it or against it.

    ``gap`` is what the order lacks, ``saved`` what reaching it saves. The sticks needed soonest
    are taken; it is worth it where none waits longer than a quarter, and where the money that
    they tie up until then (25 % a year) costs less than is saved. ``saved`` 0 stands for a
    supplier who does not deliver less, whom only the wait can make not worth it.
    """
    chosen: list[TopUp] = []
    for stick in sorted(candidates, key=lambda stick: (stick.weeks, stick.profile)):
        if sum(one.price for one in chosen) >= gap:
            break
        chosen.append(stick)
    if sum(one.price for one in chosen) < gap:
        return (), "nothing else will be needed that would fill it"
    longest = max((one.weeks for one in chosen), default=0.0)
    tied = sum(one.price * one.weeks for one in chosen) * HOLDING_PERCENT / 100 / 52
    if longest > QUARTER:
        return (), f"the sticks to fill it would lie {longest:.0f} weeks"
    if saved and tied >= saved:
        return (), "the money tied up costs more than the carriage saved"
    when = f"within {round(longest)} weeks" if longest >= 1.5 else "this week or the next"
    return tuple(chosen), f"filled up with what is needed {when}"


def economic_order(
    yearly: float, per_order: float, holding: float = HOLDING_PERCENT / 100
) -> float:
    """The order that costs least in fees and money tied up: sqrt(2 D K / h).

    ``yearly`` D is what a year takes, ``per_order`` K the fee of an order, ``holding`` h what a
    unit kept for a year costs. In money, h is a share. Source: F. W. Harris, "How many parts to
    make at once", Factory 10 (1913), from memory.

    Raises:
        ValueError: one of them is below nothing, or holding costs nothing.
    """
    if min(yearly, per_order) < 0 or holding <= 0:
        raise ValueError(f"a year's {yearly}, {per_order} an order, holding {holding}")
    return float((2 * yearly * per_order / holding) ** 0.5)

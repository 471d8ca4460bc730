"""What to buy of a profile: cover for the futures that its demand could bring, no formula assumed.

A future is the open jobs and, week by week, frames of sizes that were asked for before, cut by the
planner's own hand rule from the rack, from what is on order, and from as many new sticks as it
takes. Shares are of 1, lengths micrometres, money whole minor units.
"""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, TypeVar

from planner.hand import hand_laid
from planner.values import Frame, Piece, Problem, Rules
from stockroom.demand import Forecast

__all__ = ["SERVICE", "Case", "Class", "TopUp", "as_free", "classes", "cover", "covering", "top_up"]

Class = Literal["A", "B", "C"]
Amount = TypeVar("Amount", int, float)

SERVICE: Mapping[Class, float] = {"A": 0.98, "B": 0.95, "C": 0.90}
"""The share of futures that must find enough sticks: common practice, no published figure."""
A_UNTIL, B_UNTIL = 70, 95
FUTURES = 200
SEED = 20_261_123
QUARTER = 13
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
    of open jobs; ``shapes`` the pairs of rails of frames asked for before; ``weeks`` until an
    order of the next review would be there.
    """

    profile: str
    rules: Rules
    stick_length: int
    pieces: tuple[Piece, ...]
    known: tuple[Frame, ...]
    shapes: tuple[tuple[int, int], ...]
    one_batch: bool
    forecast: Forecast
    day: date
    weeks: int

    def __post_init__(self) -> None:
        if self.weeks < 1 or self.stick_length <= 2 * self.rules.end_trim:
            raise ValueError(f"{self.profile}: {self.weeks} weeks, a stick of {self.stick_length}")


def cover(case: Case, service: float, futures: int = FUTURES) -> int:
    """New sticks, beyond those of the open jobs, that cut this share of the futures unwaited for.

    The same case always has the same futures.
    """
    if not case.forecast.chance or not case.shapes:
        return 0
    dice = random.Random(f"{SEED} {case.profile}")
    known: dict[tuple[Frame, ...], int] = {}
    needs = []
    for _ in range(futures):
        frames = future(case, dice)
        if frames not in known:
            known[frames] = sticks_opened(case, frames)
        needs.append(known[frames])
    return max(0, covering(needs, service) - sticks_opened(case, ()))


def future(case: Case, dice: random.Random) -> tuple[Frame, ...]:
    """The frames that one future brings, due week by week."""
    frames: list[Frame] = []
    for week in range(case.weeks):
        for _ in range(case.forecast.week(dice)):
            across, upright = dice.choice(case.shapes)
            frames.append(
                Frame(f"expected-{len(frames)}", case.profile, (across, upright) * 2,
                      case.day + timedelta(7 * (week + 1)), one_batch=case.one_batch)
            )  # fmt: skip
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
        Piece(f"new-{number:04d}", case.profile, "new", "stick", case.stick_length)
        for number in range(sticks)
    )
    laid = hand_laid(Problem(case.rules, (*case.pieces, *new), tuple(frames)))
    cut = {frame for rails in laid.values() for frame, _ in rails}
    opened = {piece for piece, _ in laid if piece.startswith("new-")}
    return len(opened), len(cut) == len(frames)


def as_free(piece: Piece, rules: Rules) -> Piece:
    """A piece that the shop has already, as one that costs nothing: a stick less its trims."""
    if piece.kind == "offcut":
        return piece
    last = piece.length - 2 * rules.end_trim
    flaws = ((max(0, start - rules.end_trim), min(last, end - rules.end_trim))
             for start, end in piece.flaws)  # fmt: skip
    inside = tuple(flaw for flaw in flaws if flaw[0] < flaw[1])
    return replace(piece, kind="offcut", length=last, flaws=inside)


@dataclass(frozen=True, slots=True)
class TopUp:
    """A stick that could fill an order up: its price, and the weeks until it is needed."""

    profile: str
    price: int
    weeks: float


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
    return tuple(chosen), f"filled up with what is needed within {longest:.0f} weeks"

"""Numbers a shop lives by: what became of the moulding that was cut, and what lies on the rack."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from stockroom.facts import Fact
from stockroom.units.lengths import Micrometres
from stockroom.units.money import Price

__all__ = ["CUTTING_LOSS", "Aged", "By", "Gone", "Lying", "MouldingUse", "aged", "used"]

By = Literal["profile", "supplier", "week", "cause"]
CUTTING_LOSS = "cutting loss"
"""What blades and cleaning-up took, named as a cause."""
AGES = (30, 90, 180, 365)
"""Days on the rack at which the next age begins."""


@dataclass(frozen=True, slots=True)
class Gone:
    """Length of a profile that went one way on a day, um: ``cause`` is rails, cutting loss, or why
    it is scrap; ``price`` is None where it is not known.
    """

    day: date
    profile: str
    supplier: str
    cause: str
    length: Micrometres
    price: Price | None


@dataclass(frozen=True, slots=True)
class MouldingUse:
    """What became of the moulding that was cut: rails, saw and scrap in um.

    ``lost`` is what saw and scrap cost, minor units, and None where no price is known;
    ``unpriced`` is the length of them (um) whose price is not known.
    """

    name: str
    rails: int
    saw: int
    scrap: int
    lost: int | None
    unpriced: int = 0

    @property
    def taken(self) -> int:
        """All that was cut, um."""
        return self.rails + self.saw + self.scrap

    @property
    def waste(self) -> Fraction:
        """Saw and scrap as a share of all that was cut; 0 where nothing was."""
        return Fraction(self.saw + self.scrap, self.taken) if self.taken else Fraction(0)


def used(gone: Iterable[Gone], by: By) -> list[MouldingUse]:
    """What became of the moulding, by profile, supplier, week or cause.

    Weeks stand in their order, named by their Mondays; all else begins with what lost most money,
    then with what lost most length.
    """
    sums: dict[str, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for one in gone:
        if by == "cause" and one.cause == "rails":
            continue
        place = {"rails": "rails", CUTTING_LOSS: "saw"}.get(one.cause, "scrap")
        row = sums[name_of(one, by)]
        row[place] += one.length
        if place != "rails" and one.price is not None:
            row["lost"] += one.price.exact(one.length)
        elif place != "rails":
            row["unpriced"] += one.length
    found = [use_of(name, row) for name, row in sums.items()]
    if by == "week":
        return sorted(found, key=lambda use: use.name)
    return sorted(found, key=lambda use: (-(use.lost or 0), -use.saw - use.scrap, use.name))


def use_of(name: str, row: Mapping[str, Fraction]) -> MouldingUse:
    """What became of the moulding, from its sums."""
    sums = {kind: int(row.get(kind, 0)) for kind in ("rails", "saw", "scrap", "unpriced")}
    priced = sums["saw"] + sums["scrap"] > sums["unpriced"] or not sums["unpriced"]
    lost = round(row.get("lost", Fraction(0))) if priced else None
    return MouldingUse(name, sums["rails"], sums["saw"], sums["scrap"], lost, sums["unpriced"])


def name_of(gone: Gone, by: By) -> str:
    """What a length is counted under."""
    if by == "week":
        return date.fromordinal(gone.day.toordinal() - gone.day.weekday()).isoformat()
    return {"profile": gone.profile, "supplier": gone.supplier, "cause": gone.cause}[by]


@dataclass(frozen=True, slots=True)
class Lying:
    """A piece on the rack, its length in um, and the day since when it lies there."""

    profile: str
    kind: str
    length: Micrometres
    since: date
    price: Price | None


@dataclass(frozen=True, slots=True)
class Aged:
    """Pieces of one age or profile: how many sticks and offcuts, their length, the oldest's days.

    ``money`` is None where no price is known; ``unpriced`` is the length without one (um).
    """

    name: str | Fact
    sticks: int
    offcuts: int
    length: Micrometres
    money: int | None
    oldest: int
    unpriced: int = 0


def aged(rack: Iterable[Lying], today: date, by: Literal["age", "profile"]) -> list[Aged]:
    """The rack by age, oldest first, or by profile, the most money first."""
    groups: dict[str | int, list[Lying]] = defaultdict(list)
    for piece in rack:
        days = (today - piece.since).days
        groups[start_of(days) if by == "age" else piece.profile].append(piece)
    found = [aged_of(key, pieces, today) for key, pieces in groups.items()]
    if by == "age":
        return sorted(found, key=lambda row: -row.oldest)
    return sorted(found, key=lambda row: (-(row.money or 0), -row.length, str(row.name)))


def aged_of(key: str | int, pieces: Sequence[Lying], today: date) -> Aged:
    """The pieces of one age or profile, summed."""
    bought = [piece.price.of(piece.length)
              for piece in pieces if piece.price is not None]  # fmt: skip
    return Aged(
        key if isinstance(key, str) else age_of(key),
        sum(piece.kind == "stick" for piece in pieces),
        sum(piece.kind == "offcut" for piece in pieces),
        sum(piece.length for piece in pieces), sum(bought) if bought else None,
        max((today - piece.since).days for piece in pieces),
        sum(piece.length for piece in pieces if piece.price is None),
    )  # fmt: skip


def start_of(days: int) -> int:
    """Where the age begins that a number of days on the rack belongs to."""
    return max((age for age in AGES if age <= days), default=0)


def age_of(start: int) -> Fact:
    """The age that begins with so many days."""
    end = next((age for age in AGES if age > start), None)
    if not start:
        return Fact("age_under", {"days": end})
    return Fact("age_from", {"days": start}) if end is None else Fact(
        "age_between", {"start": start, "end": end - 1})  # fmt: skip

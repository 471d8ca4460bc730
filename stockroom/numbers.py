"""Numbers a shop lives by: what became of the moulding that was cut, and what lies on the rack."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

__all__ = ["Aged", "By", "Gone", "Lying", "Use", "aged", "used"]

By = Literal["profile", "supplier", "week", "cause"]
AGES = (30, 90, 180, 365)
"""Days on the rack at which the next age begins."""


@dataclass(frozen=True, slots=True)
class Gone:
    """Length of a profile that went one way on a day, um: ``cause`` is rails, saw, or why it is
    scrap; ``per_metre`` is what a metre costs, minor units, None where that is not known.
    """

    day: date
    profile: str
    supplier: str
    cause: str
    length: int
    per_metre: Fraction | None


@dataclass(frozen=True, slots=True)
class Use:
    """What became of the moulding that was cut: rails, saw and scrap in um; ``lost`` is what saw
    and scrap cost, minor units, for the part whose price is known.
    """

    name: str
    rails: int
    saw: int
    scrap: int
    lost: int

    @property
    def taken(self) -> int:
        """All that was cut, um."""
        return self.rails + self.saw + self.scrap

    @property
    def waste(self) -> Fraction:
        """Saw and scrap as a share of all that was cut; 0 where nothing was."""
        return Fraction(self.saw + self.scrap, self.taken) if self.taken else Fraction(0)


def used(gone: Iterable[Gone], by: By) -> list[Use]:
    """What became of the moulding, by profile, supplier, week or cause.

    Weeks stand in their order, named by their Mondays; all else begins with what lost most money,
    then with what lost most length.
    """
    sums: dict[str, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for one in gone:
        if by == "cause" and one.cause == "rails":
            continue
        place = one.cause if one.cause in ("rails", "saw") else "scrap"
        row = sums[name_of(one, by)]
        row[place] += one.length
        if place != "rails" and one.per_metre is not None:
            row["lost"] += one.length * one.per_metre / 1_000_000
    found = [
        Use(name, int(row["rails"]), int(row["saw"]), int(row["scrap"]), round(row["lost"]))
        for name, row in sums.items()
    ]
    if by == "week":
        return sorted(found, key=lambda use: use.name)
    return sorted(found, key=lambda use: (-use.lost, -use.saw - use.scrap, use.name))


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
    length: int
    since: date
    per_metre: Fraction | None


@dataclass(frozen=True, slots=True)
class Aged:
    """Pieces of one age or profile: how many sticks and offcuts, their length, their money where
    the price is known, and the oldest one's days.
    """

    name: str
    sticks: int
    offcuts: int
    length: int
    money: int
    oldest: int


def aged(rack: Iterable[Lying], today: date, by: Literal["age", "profile"]) -> list[Aged]:
    """The rack by age, oldest first, or by profile, the most money first."""
    groups: dict[str, list[Lying]] = defaultdict(list)
    for piece in rack:
        days = (today - piece.since).days
        groups[age_of(days) if by == "age" else piece.profile].append(piece)
    found = [
        Aged(
            name, sum(piece.kind == "stick" for piece in pieces),
            sum(piece.kind == "offcut" for piece in pieces),
            sum(piece.length for piece in pieces),
            sum(worth(piece) for piece in pieces),
            max((today - piece.since).days for piece in pieces),
        )
        for name, pieces in groups.items()
    ]  # fmt: skip
    if by == "age":
        return sorted(found, key=lambda row: -row.oldest)
    return sorted(found, key=lambda row: (-row.money, -row.length, row.name))


def worth(piece: Lying) -> int:
    """What a piece's length costs to buy, minor units; 0 where the price is not known."""
    return round(piece.length * piece.per_metre / 1_000_000) if piece.per_metre is not None else 0


def age_of(days: int) -> str:
    """The age that a number of days on the rack belongs to."""
    for start, end in zip((0, *AGES), AGES, strict=False):
        if days < end:
            return f"{start} to {end - 1} days" if start else f"under {end} days"
    return f"{AGES[-1]} days and more"

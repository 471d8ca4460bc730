"""Advice on the rack: offcuts that are not likely to be used, with the reckoning behind it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction

from sqlmodel import Session

from planner.values import Cut, Frame, Problem
from stockroom.record.catalogue import price_of, profiles
from stockroom.record.database import reading
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.tables import Profile
from stockroom.services.past.past_demand import begun, taken_in
from stockroom.services.planning import frame_by_frame, planner_piece, rules_for
from stockroom.services.rack.pieces import longest_clear
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres
from stockroom.worth.dead_offcuts import Wait, waits

__all__ = ["ENOUGH_DAYS", "Advice", "DeadOffcut", "cut_from", "dead_offcuts"]

YEAR = 365
ENOUGH_DAYS = 91
"""A past shorter than this cannot tell what is dead."""
Rails = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class DeadOffcut:
    """An offcut not likely to be used: its length (um), age, money (minor units), and why.

    ``wait.fits`` counts rails a year; where the profile is ``matched`` by batch, frames that the
    batch as it lies would yield whole, with a rail of this offcut.
    """

    number: int
    profile: str
    batch: str
    spot: str
    length: Micrometres
    days: int
    money: int | None
    wait: Wait
    matched: bool


@dataclass(frozen=True, slots=True)
class Advice:
    """The dead offcuts, worst first, by what was asked for in so many days."""

    days: int
    offcuts: tuple[DeadOffcut, ...]

    @property
    def young(self) -> bool:
        """True where the past is too short to tell."""
        return self.days < ENOUGH_DAYS


def dead_offcuts(shop: Shop, *, anyway: bool = False) -> Advice:
    """The offcuts for which a year's demand leaves no work, those of most money first.

    A year's demand is what was taken in at the counter in the last 365 days, or stands in the old
    book for them; a younger past is reckoned up to a year, and one of less than 91 days tells
    nothing unless ``anyway``.
    """
    with reading(shop.engine) as session:
        days, asked = asked_in_a_year(session, shop)
        free = [one for one in on_rack(session)
                if one.held_by is None and not (one.owner or one.grade)]  # fmt: skip
        every = profiles(session) if days >= ENOUGH_DAYS or anyway else []
    found: list[DeadOffcut] = []
    for profile in every:
        rack = [one for one in free if one.profile == profile.code]
        found += dead_of(shop, profile, rack, asked.get(profile.code, []), days)
    return Advice(days, tuple(sorted(found, key=lambda one: (-(one.money or 0), -one.length,
                                                             one.number))))  # fmt: skip


def asked_in_a_year(session: Session, shop: Shop) -> tuple[int, dict[str, list[Rails]]]:
    """The days of the last year that the shop's past knows, and each profile's frames in them.

    The past begins with the old book's first job, where there is one. Frames are the oldest first.
    """
    today, found = shop.hand.day, dict[str, list[Rails]]()
    since, book = begun(session, today)
    since = max(since, today - timedelta(YEAR - 1))
    for one in (*book, *taken_in(session, since, today)):
        if one.day >= since:
            frames = [(one.across, one.upright) * 2] * one.count
            found.setdefault(one.profile, []).extend(frames)
    return max(1, (today - since).days + 1), found


def dead_of(
    shop: Shop, profile: Profile, rack: Sequence[RackPiece], frames: Sequence[Rails], days: int
) -> list[DeadOffcut]:
    """The dead offcuts of one profile."""
    offcuts = {piece.id: piece for piece in rack if piece.kind == "offcut"}
    years = Fraction(max(days, ENOUGH_DAYS), YEAR)
    if profile.batch_matched:
        found = waits_by_batch(shop, profile, rack, frames, years)
    else:
        rails = [rail for frame in frames for rail in frame]
        found = waits({n: longest_clear(piece) for n, piece in offcuts.items()}, rails, years)
    return [dead_offcut(shop, profile, offcuts[wait.number], wait) for wait in found if wait.dead]


def waits_by_batch(
    shop: Shop,
    profile: Profile,
    rack: Sequence[RackPiece],
    frames: Sequence[Rails],
    years: Fraction,
) -> list[Wait]:
    """When each offcut is used if a year's frames come again in their order, each whole from one
    batch of what lies there now. One that no frame would be cut from is dead.
    """
    count = int(len(frames) / years)
    coming = [frames[turn % len(frames)] for turn in range(count)]
    wanted = [Frame(f"{turn:06d}", profile.code, rails, one_batch=True)
              for turn, rails in enumerate(coming)]  # fmt: skip
    turns: dict[int, int] = {}
    for cut in cut_from(shop, profile, rack, wanted):
        for rail in cut.rails:
            number, at = int(cut.piece), int(rail.frame) + 1
            turns[number] = min(at, turns.get(number, at))
    whole = yielded(shop, profile, rack, set(coming))
    found = []
    for piece in (one for one in rack if one.kind == "offcut"):
        fits = Fraction(sum(rails in whole[piece.batch] and min(rails) <= longest_clear(piece)
                            for rails in coming))  # fmt: skip
        turn = turns.get(piece.id)
        found.append(Wait(piece.id, fits, turn or 0, Fraction(turn, count) if turn else None,
                          turn is None))  # fmt: skip
    return found


def yielded(
    shop: Shop, profile: Profile, rack: Sequence[RackPiece], kinds: set[Rails]
) -> dict[str, set[Rails]]:
    """For each batch on the rack the frames that it would yield whole as it lies."""
    batches = {piece.batch: [one for one in rack if one.batch == piece.batch] for piece in rack}
    return {
        batch: {rails for rails in kinds
                if cut_from(shop, profile, there, [Frame("F", profile.code, rails)])}
        for batch, there in batches.items()
    }  # fmt: skip


def cut_from(
    shop: Shop, profile: Profile, pieces: Sequence[RackPiece], frames: Sequence[Frame]
) -> tuple[Cut, ...]:
    """These frames in their order from these pieces, as many as can be, where they lose least."""
    rules = rules_for(shop.settings, profile)
    problem = Problem(rules, tuple(planner_piece(piece) for piece in pieces), tuple(frames))
    return frame_by_frame(problem)


def dead_offcut(shop: Shop, profile: Profile, piece: RackPiece, wait: Wait) -> DeadOffcut:
    """A dead offcut with its age, and what its length costs to buy."""
    price = price_of(profile)
    money = None if price is None else price.of(piece.length)
    return DeadOffcut(
        piece.id, profile.code, piece.batch, piece.spot, piece.length,
        (shop.hand.day - piece.since).days, money, wait, profile.batch_matched,
    )  # fmt: skip

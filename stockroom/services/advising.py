"""Advice on the rack: offcuts that are not likely to be used, and the frames they would make."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session

from planner.layout import cuts_of
from planner.values import Cut, Frame, Problem
from stockroom.catalogue import moulding_of, profiles
from stockroom.database import reading
from stockroom.errors import Refused
from stockroom.idle import idle_offcuts
from stockroom.ledger import RackPiece, on_rack
from stockroom.readymade import SIZES, Size
from stockroom.services.counter import NewJob, take_many
from stockroom.services.problem import planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.services.sizing import Artwork, job_sizes
from stockroom.services.worths import frames_of
from stockroom.tables import Profile

__all__ = ["IdleOffcut", "ReadyMade", "idle", "ready_made", "take_ready_made"]

YEAR = 365
MOST = 20
CUSTOMER = "the rack"


@dataclass(frozen=True, slots=True)
class IdleOffcut:
    """An offcut not likely to be used: its length (um), age, money (minor units), and why."""

    number: int
    profile: str
    batch: str
    spot: str
    length: int
    days: int
    money: int | None
    why: str


@dataclass(frozen=True, slots=True)
class ReadyMade:
    """A frame of a standard size that the rack's offcuts yield: its rails (um) and pieces."""

    profile: str
    batch: str
    size: Size
    rails: tuple[int, int]
    pieces: tuple[int, ...]


def idle(shop: Shop) -> list[IdleOffcut]:
    """The offcuts for which last year's rails leave no work, those of most length first.

    A profile that must match by batch is reckoned by whole frames from each batch.
    """
    found: list[IdleOffcut] = []
    with reading(shop.engine) as session:
        for profile in profiles(session):
            pieces = [piece for piece in on_rack(session, profile.code) if piece.held_by is None]
            frames = year_of(session, profile, shop.hand.day)
            found += idle_of(shop, profile, pieces, frames)
    return sorted(found, key=lambda one: (-one.length, one.number))


def year_of(session: Session, profile: Profile, day: date) -> list[tuple[int, ...]]:
    """The rails of each frame asked for in the year before a day, and still to come."""
    start = day - timedelta(YEAR)
    return [rails for due, rails in frames_of(session, profile, until=date.max) if due > start]


def idle_of(
    shop: Shop, profile: Profile, pieces: Sequence[RackPiece], frames: Sequence[tuple[int, ...]]
) -> list[IdleOffcut]:
    """The idle offcuts of one profile."""
    offcuts = {piece.id: piece for piece in pieces if piece.kind == "offcut"}
    rails = [rail for frame in frames for rail in frame]
    if profile.batch_matched:
        numbers = idle_by_batch(shop, profile, pieces, frames)
        why = f"no frame of {len(frames)} asked for in a year comes whole from its batch"
    else:
        numbers = idle_offcuts({n: clear(piece) for n, piece in offcuts.items()}, rails)
        why = f"of {len(rails)} rails asked for in a year, offcuts like it leave it none"
    return [idle_offcut(shop, profile, offcuts[number], why) for number in numbers]


def clear(piece: RackPiece) -> int:
    """The longest stretch of a piece without a flaw, um."""
    at, best = 0, 0
    for start, end in (*sorted(piece.flaws), (piece.length, piece.length)):
        best, at = max(best, start - at), max(at, end)
    return best


def idle_by_batch(
    shop: Shop, profile: Profile, pieces: Sequence[RackPiece], frames: Sequence[tuple[int, ...]]
) -> list[int]:
    """The offcuts that no frame would be cut from, the pieces of its batch together."""
    used: set[int] = set()
    for rails in set(frames):
        for batch in {piece.batch for piece in pieces}:
            there = [piece for piece in pieces if piece.batch == batch]
            wanted = Frame("F", profile.code, rails, one_batch=True)
            used |= {int(cut.piece) for cut in cut_from(shop, profile, there, [wanted])}
    return [piece.id for piece in pieces if piece.kind == "offcut" and piece.id not in used]


def cut_from(
    shop: Shop, profile: Profile, pieces: Sequence[RackPiece], frames: Sequence[Frame]
) -> tuple[Cut, ...]:
    """These frames in their order from these pieces, as many as can be, where they lose least."""
    from stockroom.replay.stepwise import laid_stepwise

    rules = rules_for(shop.settings, profile)
    problem = Problem(rules, tuple(planner_piece(piece) for piece in pieces), tuple(frames))
    return cuts_of(problem, laid_stepwise(problem))


def idle_offcut(shop: Shop, profile: Profile, piece: RackPiece, why: str) -> IdleOffcut:
    """An idle offcut with its age, and its share of a stick's price."""
    price = profile.stick_price_minor
    return IdleOffcut(
        piece.id, profile.code, piece.batch, piece.spot, piece.length,
        (shop.hand.day - piece.since).days,
        None if price is None else price * piece.length // profile.stick_length_um, why,
    )  # fmt: skip


def ready_made(shop: Shop, code: str | None = None) -> list[ReadyMade]:
    """The frames of standard sizes that the rack's offcuts yield today, the largest first.

    Each frame comes whole from one batch, and no stick is opened. What is held does not count.
    """
    found: list[ReadyMade] = []
    with reading(shop.engine) as session:
        for profile in profiles(session):
            if profile.kind == "rabbeted" and code in (None, profile.code):
                pieces = [piece for piece in on_rack(session, profile.code)
                          if piece.kind == "offcut" and piece.held_by is None]  # fmt: skip
                found += made_from(shop, profile, pieces)
    return found


def made_from(shop: Shop, profile: Profile, pieces: Sequence[RackPiece]) -> list[ReadyMade]:
    """The frames that one profile's offcuts yield, tried from the largest size down."""
    sizes = [(size, *rails_of(shop, profile, size)) for size in SIZES]
    sizes.sort(key=lambda one: (-sum(one[1:]), one[0].name))
    wanted = {
        f"{number:03d}-{copy:02d}": one
        for number, one in enumerate(sizes) for copy in range(MOST)
    }  # fmt: skip
    frames = [Frame(name, profile.code, (across, upright) * 2, one_batch=True)
              for name, (_, across, upright) in wanted.items()]  # fmt: skip
    sources: dict[str, list[int]] = {}
    for cut in cut_from(shop, profile, pieces, frames):
        for name in dict.fromkeys(rail.frame for rail in cut.rails):
            sources.setdefault(name, []).append(int(cut.piece))
    batches = {piece.id: piece.batch for piece in pieces}
    return [
        ReadyMade(profile.code, batches[sources[name][0]], *made(wanted[name]),
                  tuple(sources[name]))
        for name in sorted(sources)
    ]  # fmt: skip


def made(one: tuple[Size, int, int]) -> tuple[Size, tuple[int, int]]:
    """A size, and its rails across and upright."""
    return one[0], (one[1], one[2])


def rails_of(shop: Shop, profile: Profile, size: Size) -> tuple[int, int]:
    """The rails of a standard size in this profile, across and upright, um."""
    artwork = Artwork((size.width,), (size.height,))
    across, upright = job_sizes(artwork, moulding_of(profile), shop.settings).rails_um
    return across, upright


def take_ready_made(shop: Shop, found: Sequence[ReadyMade]) -> list[int]:
    """Takes ready-made frames in as jobs due today, so that a plan may cut them; their numbers.

    Raises:
        Refused: there is none.
    """
    if not found:
        raise Refused("the rack's offcuts yield no frame of a standard size today")
    counts = Counter((one.profile, one.size) for one in found)
    jobs = [
        NewJob(CUSTOMER, profile, Artwork((size.width,), (size.height,)), shop.hand.day,
               title=f"ready made {size.name}", quantity=count, one_batch=True)
        for (profile, size), count in counts.items()
    ]  # fmt: skip
    return [taken.number for taken in take_many(shop, jobs) if taken.number is not None]

"""A shop's past before this record: jobs of its old book, kept for what they say of demand."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.files.csv_rows import parse_rows, raise_faults, read_rows
from stockroom.record.catalogue import moulding_of, profile_named
from stockroom.record.database import changing, reading
from stockroom.record.ledger import post, stands
from stockroom.record.tables import Entry, Job, Touch
from stockroom.refusals import Refused
from stockroom.services.counter.artwork import Artwork, job_sizes
from stockroom.services.counter.typed_jobs import KINDS
from stockroom.services.csv_columns import COUNT, PAST_DAY, Field, names_of, needed, read_row
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres

__all__ = ["PastFrames", "load_past", "past_kept"]

KIND, ABOUT = "past jobs", ("shop", "past")
LONGEST_PROMISE = 366
SIZES = ("width", "height", "depth", "gap", "allowance", "mat", "overlap")
PAST = (
    Field("day", "day", PAST_DAY, needed=True), KINDS["profile"],
    *(KINDS[name] for name in SIZES), Field("quantity", "count", COUNT, empty=1),
    Field("due", "due", PAST_DAY),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PastFrames:
    """Frames that were once asked for: the day, the profile, how many, and their rails (um); the
    day they were promised for where it is known, and the record's job where they are one's; all
    ``rails`` of one of the record's that is no frame of two pairs."""

    day: date
    profile: str
    count: int
    across: Micrometres
    upright: Micrometres
    due: date | None = None
    job: int | None = None
    rails: tuple[Micrometres, ...] = ()


def load_past(shop: Shop, path: Path, *, dry_run: bool = False) -> tuple[int, int]:
    """Puts the jobs of an old book on the record; gives how many jobs, and of how many frames.

    They count as demand and nothing else: no stock moves, and no plan cuts them. All rows are
    loaded, or none. A file loaded later takes the place of the one before.

    Raises:
        BadFile: the file has a fault.
    """
    rows = read_rows(path, needed(PAST), names_of(PAST))
    with reading(shop.engine) as session:
        first = first_job(session)
        parsed = parse_rows(rows, lambda cells: past_told(session, shop, cells, first))
    raise_faults(path, parsed.faults, "mend_rows_unloaded")
    found = sorted((frames for _, frames in parsed.values), key=lambda one: (one.day, one.profile))
    if not found:
        raise_faults(path, [(0, Fact("holds_no_job"))], "give_row_for_each_job")
    if not dry_run:
        with changing(shop.engine, shop.waiting) as session:
            post(session, shop.hand, KIND, why=f"loaded from {path.name}",
                 touches=[ABOUT], detail=as_detail(found))  # fmt: skip
    return len(found), sum(frames.count for frames in found)


def past_told(
    session: Session, shop: Shop, cells: Mapping[str, str], first: date | None
) -> PastFrames:
    """A past job as a file's row tells it.

    Raises:
        Refused: it is not past, or the record has jobs of its own from that day on.
        Unreadable, Unknown: something is not understood.
    """
    told = read_row(PAST, cells, shop)
    day, count, due = told["day"], told["count"], told["due"]
    if day > shop.hand.day:
        raise Refused("day_not_past", day=day, today=shop.hand.day)
    if first is not None and day >= first:
        raise Refused("day_counts_twice", first=first, day=day)
    profile = profile_named(session, told["profile"])
    if not 1 <= count <= 500:
        raise Refused("book_quantity", count=count)
    fields = (KINDS[name].field for name in SIZES)
    artwork = Artwork(**{field: told[field] for field in fields if told[field] is not None})
    rails = job_sizes(artwork, moulding_of(profile), shop.settings,
                      machine=profile.machine).rails_um  # fmt: skip
    if max(rails) > profile.stick_length_um - 2 * profile.end_trim_um:
        raise Refused("book_rail_longer", rail_um=max(rails), profile=profile.code)
    # The day it was promised for lies within a year of the day it came in.
    if due is not None and not day <= due <= day + timedelta(LONGEST_PROMISE):
        raise Refused("book_due_day", due=due, day=day)
    return PastFrames(day, profile.code, count, *rails, due)


def first_job(session: Session) -> date | None:
    """The day on which the record's first job was taken in; None where it has none."""
    return session.exec(select(func.min(Entry.day)).join(Job, col(Job.taken_in) == Entry.id)).one()


def as_detail(found: list[PastFrames]) -> dict[str, Any]:
    """Past jobs as their entry keeps them: for each profile day, count and rails (um)."""
    kept: dict[str, list[list[Any]]] = {}
    for one in found:
        row = [one.day.isoformat(), one.count, one.across, one.upright]
        row += [] if one.due is None else [one.due.isoformat()]
        kept.setdefault(one.profile, []).append(row)
    return {"frames": kept, "first": found[0].day.isoformat()}


def past_kept(session: Session) -> list[PastFrames]:
    """The past jobs of the newest loading that stands, oldest first; none where nothing was."""
    # By what it is about, which has an index: of an old shop's entries none other is looked at.
    entry = session.exec(
        select(Entry).join(Touch).where(Touch.what == ABOUT[0], Touch.which == ABOUT[1])
        .where(col(Entry.kind) == KIND, stands()).order_by(col(Entry.id).desc())
    ).first()  # fmt: skip
    if entry is None:
        return []
    found = [
        PastFrames(date.fromisoformat(day), profile, count, across, upright,
                   date.fromisoformat(due[0]) if due else None)
        for profile, rows in entry.detail["frames"].items()
        for day, count, across, upright, *due in rows
    ]  # fmt: skip
    return sorted(found, key=lambda one: one.day)

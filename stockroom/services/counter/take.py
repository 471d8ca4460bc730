"""The counter: jobs taken in with their sizes, held, changed, cancelled."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import count
from typing import Any

from sqlmodel import Session, col, select

from stockroom.frame.notices import notice
from stockroom.frame.shapes import shape_told
from stockroom.frame.sizes import FrameSizes
from stockroom.record.catalogue import hold_profiles, moulding_of, profile_named
from stockroom.record.database import changing, reading
from stockroom.record.jobs import FOR_STOCK
from stockroom.record.ledger import MOST_AT_ONCE, RackPiece, on_rack, open_entries, touch
from stockroom.record.numbering import serial
from stockroom.record.seal import add_rows
from stockroom.record.tables import Batch, Frame, Job, Profile
from stockroom.refusals import Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.artwork import Artwork, job_sizes
from stockroom.services.counter.machine_fit import machine_notices
from stockroom.services.rack.pieces import longest_clear
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres
from stockroom.units.texts import kept_text, near

__all__ = [
    "NewJob", "Taken", "artwork_columns", "artwork_of", "check", "numbers_taken", "take",
    "take_many", "try_jobs",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class NewJob:
    """A job as it is told at the counter; lengths in micrometres.

    ``one_batch`` None means: as the profile is (batch-matched or not). ``proud`` lets a canvas
    stand out in front of its frame. A job that comes from another list keeps its ``number``, and
    may be ``held`` back from plans. One for ``stock`` is nobody's order. One that was a quote is
    ``quoted``: the quote's number, and the price that was said (minor units). ``match`` is the
    batch that its rails must be of.
    """

    customer: str
    profile: str
    artwork: Artwork
    due: date
    title: str = ""
    quantity: int = 1
    one_batch: bool | None = None
    one_piece: bool = False
    note: str = ""
    proud: bool = False
    number: int | None = None
    held: bool = False
    stock: bool = False
    bench_days: int | None = None
    phone: str = ""
    quoted: tuple[int, int] | None = None
    match: str = ""

    def __post_init__(self) -> None:
        if not self.customer.strip():
            raise Refused("job_needs_customer")
        if not 1 <= self.quantity <= 500:
            raise Refused("quantity_out_of_bounds", quantity=self.quantity)
        if self.bench_days is not None and not 0 <= self.bench_days <= 90:
            raise Refused("bench_days_out_of_bounds", bench_days=self.bench_days)
        if self.number is not None and self.number < 1:
            raise Refused("job_number_below_one", number=self.number)
        for what in ("customer", "title", "note", "phone", "match"):
            kept_text(getattr(self, what), what)


@dataclass(frozen=True, slots=True)
class Taken:
    """A job taken in (``number`` None where it was only tried) and its sizes.

    Where it changed, ``back`` are the offcuts that cut rails became, ``scrapped`` counts others.
    """

    number: int | None
    sizes: FrameSizes
    profile: str
    job: NewJob
    back: tuple[RackPiece, ...] = ()
    scrapped: int = 0


def numbers_taken(session: Session, jobs: Sequence[NewJob]) -> set[int]:
    """The numbers that these jobs bring along and another has already."""
    own = [job.number for job in jobs if job.number is not None]
    taken: set[int] = set()
    for start in range(0, len(own), MOST_AT_ONCE):
        some = col(Job.id).in_(own[start : start + MOST_AT_ONCE])
        taken |= set(session.exec(select(Job.id).where(some)))
    return taken


def check(
    session: Session, settings: Settings, day: date, job: NewJob, *,
    late: bool = False, taken: Collection[int] = (),
) -> Taken:  # fmt: skip
    """A job's sizes, if the shop can take it; ``taken`` are numbers that others have.

    Raises:
        Unknown: there is no such profile, or no such batch to match.
        Refused: its number is taken, the due date is past (unless ``late``), a canvas is too
            deep, or no stick is long enough.
    """
    profile = profile_named(session, job.profile)
    if job.number in taken:
        raise Refused("job_number_taken", number=job.number)
    if job.due < day and not late:
        raise Refused("due_day_past", due=job.due, today=day)
    sizes = job_sizes(job.artwork, moulding_of(profile), settings, machine=profile.machine)
    if sizes.drop_um is not None and sizes.drop_um < 0 and not job.proud:
        raise Refused(
            "canvas_proud", Remedy(Do.DEEPER_OR_PROUD), drop_um=-sizes.drop_um, profile=profile.code
        )
    match = batch_known(session, profile, job.match)
    check_stick(session, settings, profile, max(sizes.lengths_um))
    said = machine_notices(settings, profile, sizes.lengths_um)
    if (cut_by := settings.bench.cut_by(job.due, job.bench_days)) < day:
        said += (notice("no time", which=cut_by.isoformat()),)
    sizes = replace(sizes, notices=(*sizes.notices, *said))
    return Taken(None, sizes, profile.code, replace(job, profile=profile.code, match=match))


def batch_known(session: Session, profile: Profile, typed: str) -> str:
    """The batch of a profile that a job is to match; nothing where none was named.

    Raises:
        Unknown: the profile never had this batch.
    """
    code = typed.strip().upper()
    if code and session.get(Batch, (profile.code, code)) is None:
        known = session.exec(select(Batch.code).where(Batch.profile_code == profile.code)).all()
        raise Unknown("unknown_batch", typed, near(typed, known), profile=profile.code)
    return code


def check_stick(session: Session, settings: Settings, profile: Profile, rail: int) -> None:
    """The longest rail comes out of a stick of the profile, or of a piece that is there.

    Raises:
        Refused: it does not.
    """
    usable = profile.stick_length_um - 2 * profile.end_trim_um
    if rail <= usable:
        return
    there = [longest_clear(piece) - (2 * profile.end_trim_um if piece.kind == "stick" else 0)
             for piece in on_rack(session, profile.code)]  # fmt: skip
    if rail > max(there, default=0):
        raise Refused(
            "rail_longer_than_stick", rail_um=rail, profile=profile.code, usable_um=usable
        )


def take(shop: Shop, job: NewJob) -> Taken:
    """Takes a job in; its frames wait to be cut."""
    return take_many(shop, [job])[0]


def take_many(shop: Shop, jobs: Sequence[NewJob], *, late: bool = False) -> list[Taken]:
    """Takes jobs in, all or none; those with a number of their own first."""
    with changing(shop.engine, shop.waiting) as session:
        first = sorted(jobs, key=lambda job: job.number is None)
        return take_in(session, shop, first, late=late)


def try_jobs(shop: Shop, jobs: Sequence[NewJob]) -> list[Taken]:
    """What taking these jobs in would give; nothing is written."""
    with reading(shop.engine) as session:
        taken = numbers_taken(session, jobs)
        return [check(session, shop.settings, shop.hand.day, job, taken=taken) for job in jobs]


def take_in(
    session: Session, shop: Shop, jobs: Sequence[NewJob], *, late: bool = False
) -> list[Taken]:
    """Writes jobs and their frames, an entry each; those with a number of their own come first."""
    hold_profiles(session)
    there = numbers_taken(session, jobs)
    found = [check(session, shop.settings, shop.hand.day, job, late=late, taken=there)
             for job in jobs]  # fmt: skip
    own = [job.number for job in jobs if job.number is not None]
    free = count(max(serial(session, Job), max(own, default=0) + 1))
    taken = [replace(each, number=each.job.number or next(free)) for each in found]
    entries = open_entries(
        session, shop.hand, [FOR_STOCK if job.stock else "take in" for job in jobs],
        [("job", each.number or 0) for each in taken], [as_quoted(job) for job in jobs],
    )  # fmt: skip
    for entry, job in zip(entries, jobs, strict=True):
        if job.quoted:
            touch(session, entry, [("shop", quote_name(job.quoted[0]))])
    add_rows(session, Job, [
        job_row(each, entry, matched=profile_named(session, each.profile).batch_matched)
        for each, entry in zip(taken, entries, strict=True)
    ])  # fmt: skip
    add_frames(session, [(each.number or 0, number, each.sizes) for each in taken
                         for number in range(1, each.job.quantity + 1)])  # fmt: skip
    return taken


def quote_name(number: int) -> str:
    """What an entry that takes a quote up, or takes its place, is about."""
    return f"quote {number}"


def as_quoted(job: NewJob) -> dict[str, Any]:
    """What the entry that takes a job in keeps of the quote that it was."""
    return dict(zip(("quote", "price"), job.quoted, strict=True)) if job.quoted else {}


def job_row(taken: Taken, entry: int, *, matched: bool) -> dict[str, Any]:
    """A job as it is kept; ``matched`` where its profile is matched by batch."""
    job = taken.job
    return {
        "id": taken.number, "customer": job.customer.strip(), "title": job.title.strip(),
        "profile_code": taken.profile, "due": job.due, "quantity": job.quantity,
        "one_batch": matched if job.one_batch is None else job.one_batch,
        "one_piece": job.one_piece, "note": job.note.strip(), "taken_in": entry,
        "bench_days": job.bench_days, "phone": job.phone.strip(), "match_batch": job.match,
        "state": "held" if job.held else "open",
        **artwork_columns(job.artwork),
    }  # fmt: skip


def artwork_columns(artwork: Artwork) -> dict[str, Any]:
    """An artwork as the job's columns."""
    return {
        "widths_um": list(artwork.widths), "heights_um": list(artwork.heights),
        "depth_um": artwork.depth, "gap_um": artwork.gap, "allowance_um": artwork.allowance,
        "mat_um": list(artwork.mat) if artwork.mat else None, "mat_overlap_um": artwork.overlap,
        "shape": artwork.shape.words,
        "lengths_um": list(artwork.lengths) if artwork.lengths else None,
    }  # fmt: skip


def artwork_of(job: Job) -> Artwork:
    """A job's artwork as it was told."""
    return Artwork(
        tuple(job.widths_um), tuple(job.heights_um), job.depth_um, job.gap_um, job.allowance_um,
        tuple(job.mat_um) if job.mat_um else None, job.mat_overlap_um,  # type: ignore[arg-type]
        shape_told(job.shape), tuple(map(Micrometres, job.lengths_um or ())),
    )  # fmt: skip


def add_frames(session: Session, frames: Sequence[tuple[int, int, FrameSizes]]) -> None:
    """Writes frames: each its job's number, its own within the job, and its sizes."""
    rows = [
        {"id": frame, "job_id": job, "number": number, "across_um": sizes.rails_um[0],
         "upright_um": sizes.rails_um[1], "rails_um": [*sizes.each_um] or None,
         "done_in": None, "dropped_in": None}
        for frame, (job, number, sizes) in enumerate(frames, serial(session, Frame))
    ]  # fmt: skip
    add_rows(session, Frame, rows)

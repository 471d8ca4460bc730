"""The counter: jobs taken in with their sizes, held, changed, cancelled."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import count, product
from typing import Any

from sqlmodel import Session, col, select

from stockroom.frame.notices import notice
from stockroom.frame.shapes import FRAME, shape_told
from stockroom.frame.sizes import FrameSizes
from stockroom.job_notes import JOB_NOTES, JobNotes, notes_of
from stockroom.record.catalogue import hold_profiles, profile_named
from stockroom.record.database import changing, reading
from stockroom.record.jobs import FOR_STOCK, job_named
from stockroom.record.ledger import MOST_AT_ONCE, RackPiece, open_entries, touch
from stockroom.record.numbering import serial
from stockroom.record.seal import add_rows
from stockroom.record.tables import Batch, Frame, Job, Profile
from stockroom.refusals import Refused, Unknown
from stockroom.services.counter.artwork import Artwork
from stockroom.services.counter.machine_fit import checked, noticed
from stockroom.services.counter.sized_layers import (
    Layer,
    SizedLayer,
    ToldLayer,
    layers_kept,
    layers_told,
    sized_layers,
)
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres
from stockroom.units.texts import kept_text, near

__all__ = [
    "NewJob", "Taken", "artwork_columns", "artwork_of", "check", "numbers_taken", "take",
    "take_many", "try_jobs",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class NewJob(JobNotes):
    """A job as it is told at the counter; lengths in micrometres.

    ``one_batch`` None means: as the profile is (batch-matched or not). ``proud`` lets a canvas
    stand out in front of its frame. A job that comes from another list keeps its ``number``, and
    may be ``held`` back from plans. One for ``stock`` is nobody's order. One that was a quote is
    ``quoted``: the quote's number, and the price that was said (minor units). ``match`` is the
    batch that its rails must be of. ``around`` are the mouldings round the first, outward; a
    ``fillet`` lies in the mat's window. It is one set ``set_with`` another job: all of one batch.
    It ``takes`` "seconds" too, or the customer's "own" moulding alone.
    """

    customer: str
    profile: str
    artwork: Artwork
    due: date
    title: str = ""
    quantity: int = 1
    one_batch: bool | None = None
    one_piece: bool = False
    proud: bool = False
    number: int | None = None
    held: bool = False
    stock: bool = False
    bench_days: int | None = None
    quoted: tuple[int, int] | None = None
    match: str = ""
    around: tuple[ToldLayer, ...] = ()
    fillet: ToldLayer | None = None
    set_with: int | None = None
    takes: str = ""

    def __post_init__(self) -> None:
        if not self.customer.strip():
            raise Refused("job_needs_customer")
        if not 1 <= self.quantity <= 500:
            raise Refused("quantity_out_of_bounds", quantity=self.quantity)
        if self.bench_days is not None and not 0 <= self.bench_days <= 90:
            raise Refused("bench_days_out_of_bounds", bench_days=self.bench_days)
        if self.number is not None and self.number < 1:
            raise Refused("job_number_below_one", number=self.number)
        for what in ("customer", "title", *JOB_NOTES, "match"):
            kept_text(getattr(self, what), what)


@dataclass(frozen=True, slots=True)
class Taken:
    """A job taken in (``number`` None where it was only tried) and its sizes.

    ``layers`` has all its mouldings with their sizes, the one where the artwork lies first. Where
    it changed, ``back`` are the offcuts that cut rails became, ``scrapped`` counts others.
    """

    number: int | None
    layers: tuple[SizedLayer, ...]
    job: NewJob
    back: tuple[RackPiece, ...] = ()
    scrapped: int = 0

    @property
    def sizes(self) -> FrameSizes:
        """The sizes of the frame where the artwork lies."""
        return self.layers[0].sizes

    @property
    def profile(self) -> str:
        """The moulding where the artwork lies."""
        return self.job.profile


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
        Refused: its number is taken, the due date is past (unless ``late``), a canvas or what
            lies in a moulding is too deep, or no stick is long enough.
    """
    if job.number in taken:
        raise Refused("job_number_taken", number=job.number)
    if job.due < day and not late:
        raise Refused("due_day_past", due=job.due, today=day)
    if (job.around or job.fillet) and job.artwork.shape != FRAME:
        raise Refused("shape_with_layers", shape=job.artwork.shape.words)
    told = layers_told(session, job.profile, job.around, job.fillet, job.artwork)
    layers = [checked(session, settings, one, proud=job.proud)
              for one in sized_layers(told, job.artwork, settings)]  # fmt: skip
    if (cut_by := settings.bench.cut_by(job.due, job.bench_days)) < day:
        layers[0] = noticed(layers[0], notice("no time", which=cut_by.isoformat()))
    other = None if not job.set_with else matched_job(session, job.set_with, told[0].profile)
    if other is not None:
        layers[0] = noticed(layers[0], notice("one batch with", which=f"J{other}"))
    match = batch_known(session, told[0].profile, job.match)
    return Taken(None, tuple(layers), replace(job, profile=told[0].profile.code,
                                             match=match, set_with=other))  # fmt: skip


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


def matched_job(session: Session, number: int, profile: Profile) -> int:
    """The job that a set is named after, where a job is to match this one.

    Raises:
        Unknown, Refused: there is none such, it is cancelled, or of another moulding.
    """
    other = job_named(session, f"J{number}")
    if other.state == "cancelled":
        raise Refused("job_to_match_cancelled", job=other.id)
    if other.profile_code != profile.code:
        raise Refused("job_to_match_of_other_profile", job=other.id, profile=other.profile_code,
                      wanted=profile.code)  # fmt: skip
    return other.match_job or other.id


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
    add_frames(session, [(each.number or 0, number, layer) for each in taken
                         for number, layer in product(range(1, each.job.quantity + 1),
                                                      each.layers)])  # fmt: skip
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
        "one_piece": job.one_piece, "taken_in": entry,
        "match_job": job.set_with, "takes": job.takes,
        "bench_days": job.bench_days, "match_batch": job.match,
        "state": "held" if job.held else "open",
        "layers": layers_kept(layers_of(taken), job.one_batch, None),
        **artwork_columns(job.artwork),
        **{name: text.strip() for name, text in notes_of(job).items()},
    }  # fmt: skip


def layers_of(taken: Taken) -> list[Layer]:
    """The mouldings of a job taken in."""
    return [one.layer for one in taken.layers]


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


def add_frames(session: Session, frames: Sequence[tuple[int, int, SizedLayer]]) -> None:
    """Writes frames: each its job's number, its own within the job, and its moulding and sizes."""
    rows = [
        {"id": frame, "job_id": job, "number": number, "layer": one.number,
         "profile_code": one.layer.profile.code if one.number else None,
         "across_um": one.sizes.rails_um[0], "upright_um": one.sizes.rails_um[1],
         "rails_um": [*one.sizes.each_um] or None, "done_in": None, "dropped_in": None}
        for frame, (job, number, one) in enumerate(frames, serial(session, Frame))
    ]  # fmt: skip
    add_rows(session, Frame, rows)

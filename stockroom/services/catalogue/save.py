"""Spreadsheets out: suppliers, profiles, the rack and the jobs, as the files that load them."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from types import SimpleNamespace

from sqlmodel import Session

from stockroom.files.csv_rows import csv_text
from stockroom.files.new_file import as_text, write_new
from stockroom.record import catalogue
from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import on_rack
from stockroom.record.tables import Job
from stockroom.refusals import Unreadable
from stockroom.services.catalogue.load import PROFILE, SUPPLIER
from stockroom.services.counter.sized_layers import (
    SizedLayer,
    around_told,
    fillet_told,
    kept_layers,
    sized_layers,
)
from stockroom.services.counter.take import artwork_of
from stockroom.services.counter.typed_jobs import JOB
from stockroom.services.csv_columns import Field, names_of, written_row
from stockroom.services.rack.rack_file import PIECE
from stockroom.services.shop import Shop

__all__ = ["SAVED", "save"]

Row = dict[str, str]


def save(shop: Shop, what: str, to: Path) -> int:
    """Writes suppliers, profiles, the rack or the jobs to a new CSV file; gives how many rows.

    Raises:
        Unreadable: it is none of the four.
        NoShop: the file is there already or cannot be written.
    """
    if what not in SAVED:
        raise Unreadable(what, "of_names", names=tuple(SAVED))
    columns, rows_of = SAVED[what]
    with reading(shop.engine) as session:
        rows = list(rows_of(session, shop))
    write_new(to, as_text(csv_text(names_of(columns), rows, shop.settings.separator).splitlines()))
    return len(rows)


def supplier_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The suppliers by code."""
    return (written_row(SUPPLIER, one, shop) for one in catalogue.suppliers(session))


def profile_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The profiles by code."""
    return (written_row(PROFILE, one, shop) for one in catalogue.profiles(session))


def rack_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The pieces on the rack by number."""
    return (written_row(PIECE, piece, shop) for piece in on_rack(session))


def job_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The open and held jobs that still have a frame to cut, with how many, by due date."""
    uncut = dict.fromkeys((frame.job, frame.number)
                          for frame in open_frames(session, states=("open", "held")))  # fmt: skip
    waiting = Counter(job for job, _ in uncut)
    catalogue.hold_profiles(session)
    for number, frames in waiting.items():
        job = session.get_one(Job, number)
        layers = sized_layers(kept_layers(session, job), artwork_of(job), shop.settings)
        yield written_row(JOB, job_kept(job, layers, frames), shop)


def job_kept(job: Job, layers: Sequence[SizedLayer], frames: int) -> SimpleNamespace:
    """A job as its row tells it: of so many frames still to be cut."""
    proud = any(one.stands_out for one in layers)
    return SimpleNamespace(**{**job.model_dump(), "quantity": frames, "proud": proud,
                              "held": job.state == "held", "around": around_told(job),
                              "fillet": fillet_told(job)})  # fmt: skip


SAVED: Mapping[str, tuple[Sequence[Field], Callable[[Session, Shop], Iterator[Row]]]] = {
    "suppliers": (SUPPLIER, supplier_rows), "profiles": (PROFILE, profile_rows),
    "rack": (PIECE, rack_rows), "jobs": (JOB, job_rows),
}  # fmt: skip

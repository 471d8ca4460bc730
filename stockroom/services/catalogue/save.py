"""Spreadsheets out: suppliers, profiles, the rack and the jobs, as the files that load them."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from sqlmodel import Session

from stockroom.files.csv_rows import csv_text
from stockroom.files.new_file import as_text, write_new
from stockroom.record import catalogue
from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import on_rack
from stockroom.record.tables import Job, Profile
from stockroom.refusals import Unreadable
from stockroom.services.catalogue.load import (
    PROFILE_MAY,
    PROFILE_NEEDS,
    SUPPLIER_MAY,
    SUPPLIER_NEEDS,
)
from stockroom.services.counter.typed_jobs import OPTIONAL, REQUIRED
from stockroom.services.rack.rack_file import PIECE_MAY, PIECE_NEEDS
from stockroom.services.shop import Shop
from stockroom.units.dates import WEEKDAYS
from stockroom.units.lengths import Micrometres, Unit, exact_length, parse_length
from stockroom.units.money import format_money

__all__ = ["SAVED", "save"]

Row = dict[str, str]


def save(shop: Shop, what: str, to: Path) -> int:
    """Writes suppliers, profiles, the rack or the jobs to a new CSV file; gives how many rows.

    Raises:
        Unreadable: it is none of the four.
        NoShop: the file is there already or cannot be written.
    """
    if what not in SAVED:
        raise Unreadable(what, ", ".join(SAVED))
    columns, rows_of = SAVED[what]
    with reading(shop.engine) as session:
        rows = list(rows_of(session, shop))
    write_new(to, as_text(csv_text(columns, rows, shop.settings.separator).splitlines()))
    return len(rows)


def said(um: Micrometres | None, unit: Unit) -> str:
    """A length that reads back to the same micrometre, however it is rounded."""
    if um is None:
        return ""
    text = exact_length(um, unit)
    if parse_length(text, unit, rounding="down") == um == parse_length(text, unit, rounding="up"):
        return text
    return exact_length(um, "mm")


def yes(told: bool) -> str:
    """Yes or no."""
    return "yes" if told else "no"


def money(minor: int | None) -> str:
    """An amount, or nothing."""
    return "" if minor is None else format_money(minor)


def number(count: int | None) -> str:
    """A count, or nothing."""
    return "" if count is None else str(count)


def supplier_rows(session: Session, _shop: Shop) -> Iterator[Row]:
    """The suppliers by code."""
    for supplier in catalogue.suppliers(session):
        yield {
            "code": supplier.code, "name": supplier.name, "note": supplier.note,
            "lead_days": number(supplier.lead_days),
            "delivery_day": ("" if supplier.delivery_day is None
                             else WEEKDAYS[supplier.delivery_day][0].capitalize()),
            "order_minimum": money(supplier.order_minimum_minor),
            "carriage": money(supplier.carriage_minor),
            "free_carriage": money(supplier.free_carriage_minor),
            "cut_percent": number(supplier.cut_percent),
            "cut_fee": money(supplier.cut_fee_minor),
            "cut_minimum": money(supplier.cut_minimum_minor),
        }  # fmt: skip


def profile_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The profiles by code."""
    for p in catalogue.profiles(session):
        lengths = {
            "face": p.face_um, "stick_length": p.stick_length_um, "keep_length": p.keep_um,
            "end_trim": p.end_trim_um, "rabbet_width": p.rabbet_width_um,
            "rabbet_depth": p.rabbet_depth_um, "wall": p.wall_um,
            "recess_depth": p.recess_depth_um, "height": p.height_um,
            "margin": p.margin_um,
        }  # fmt: skip
        yield {
            "code": p.code, "supplier": p.supplier_code, "name": p.name, "kind": p.kind,
            "price_per_stick": money(p.stick_price_minor), "species": p.species,
            "price_per_metre": money(p.metre_price_minor), "batch_matched": yes(p.batch_matched),
            "minimum_sticks": str(p.minimum_sticks), "box_sticks": number(p.box_sticks),
            "discontinued": yes(p.discontinued), "last_sticks": number(p.last_sticks),
            "machine": p.machine,
            "last_order": "" if p.last_order is None else p.last_order.isoformat(),
            **{name: said(um, shop.settings.unit) for name, um in lengths.items()},
        }  # fmt: skip


def rack_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The pieces on the rack by number."""
    unit = shop.settings.unit
    for piece in on_rack(session):
        flaws = (f"{said(start, unit)}..{said(end, unit)}" for start, end in piece.flaws)
        yield {
            "profile": piece.profile, "batch": piece.batch, "kind": piece.kind,
            "length": said(piece.length, unit), "id": str(piece.id), "place": piece.spot,
            "since": piece.since.isoformat(), "flaws": "; ".join(flaws), "note": piece.note,
            "ends": " ".join(piece.ends),
        }  # fmt: skip


def job_rows(session: Session, shop: Shop) -> Iterator[Row]:
    """The open and held jobs that still have a frame to cut, with how many, by due date."""
    waiting = Counter(frame.job for frame in open_frames(session, states=("open", "held")))
    profiles = {profile.code: profile for profile in catalogue.profiles(session)}
    for number, frames in waiting.items():
        job = session.get_one(Job, number)
        yield {
            **job_row(job, profiles[job.profile_code], shop),
            "number": str(number), "quantity": str(frames), "held": yes(job.state == "held"),
        }  # fmt: skip


def job_row(job: Job, profile: Profile, shop: Shop) -> Row:
    """A job as a row of a file that takes it in."""
    unit = shop.settings.unit
    deepest = profile.recess_depth_um if profile.kind == "float" else None
    lengths: Mapping[str, Sequence[int] | None] = {
        "width": job.widths_um, "height": job.heights_um, "mat": job.mat_um,
    }  # fmt: skip
    single = {"depth": job.depth_um, "gap": job.gap_um, "allowance": job.allowance_um,
              "overlap": job.mat_overlap_um}  # fmt: skip
    return {
        "customer": job.customer, "profile": job.profile_code, "due": job.due.isoformat(),
        "title": job.title, "one_batch": yes(job.one_batch),
        "one_piece": yes(job.one_piece), "note": job.note, "bench_days": number(job.bench_days),
        "phone": job.phone,
        "proud": yes(deepest is not None and (job.depth_um or 0) > deepest),
        **{name: " / ".join(said(um, unit) for um in ums or ()) for name, ums in lengths.items()},
        **{name: said(um, unit) for name, um in single.items()},
    }  # fmt: skip


SAVED: Mapping[str, tuple[Sequence[str], Callable[[Session, Shop], Iterator[Row]]]] = {
    "suppliers": ((*SUPPLIER_NEEDS, *SUPPLIER_MAY), supplier_rows),
    "profiles": ((*PROFILE_NEEDS, *PROFILE_MAY), profile_rows),
    "rack": ((*PIECE_NEEDS, *PIECE_MAY), rack_rows),
    "jobs": ((*REQUIRED, *OPTIONAL), job_rows),
}

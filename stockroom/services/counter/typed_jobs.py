"""Jobs as they are typed or written in a file, turned into what the counter takes."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from stockroom.facts import FieldName, Tellable
from stockroom.files.csv_rows import Parsed, in_order, parse_rows, raise_faults, read_rows
from stockroom.frame.shapes import shape_told
from stockroom.job_notes import JOB_NOTES
from stockroom.record.catalogue import hold_profiles, profile_named
from stockroom.record.database import reading
from stockroom.record.jobs import job_named, job_number
from stockroom.refusals import Refused, StockroomError, Unreadable
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.amend import change
from stockroom.services.counter.artwork import Artwork
from stockroom.services.counter.sized_layers import ToldLayer
from stockroom.services.counter.take import (
    NewJob,
    Taken,
    artwork_of,
    check,
    numbers_taken,
    take_many,
)
from stockroom.services.csv_columns import (
    COUNT,
    DAY,
    LENGTH,
    LENGTH_UP,
    TEXT,
    YES,
    Cell,
    Field,
    count_of,
    names_of,
    needed,
    read_cell,
    said,
)  # fmt: skip
from stockroom.services.kept_for import takes_told
from stockroom.services.rack.rails_back import RailsTo
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres, Unit, parse_length, parted

__all__ = [
    "ARTWORK", "JOB", "KINDS", "FileTaken", "change_told", "job_told", "take_file", "wanted_told",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class FileTaken:
    """How many jobs a file gave, and the faults of the rows that were left."""

    taken: int
    faults: tuple[tuple[int, Tellable], ...]


def readings(text: str, unit: Unit) -> tuple[int, ...]:
    """One to three readings of a side, such as ``23 3/4 in / 23 11/16 in``, or 603/604 in mm.

    What is no whole micrometre is rounded up.
    """
    parts = parted(text, unit)
    if len(parts) > 3:
        raise Unreadable(text, "of_readings")
    return tuple(parse_length(part, unit, rounding="up") for part in parts)


def mat_borders(text: str, unit: Unit) -> tuple[int, int, int, int]:
    """A mat's borders: one for all, or left / right / top / bottom, as 60/60/60/75 too."""
    words = text.split("/") if text.count("/") == 3 else parted(text, unit)
    parts = [parse_length(part, unit) for part in words]
    if len(parts) == 1:
        parts *= 4
    if len(parts) != 4:
        raise Unreadable(text, "of_borders")
    return parts[0], parts[1], parts[2], parts[3]


def lengths_listed(text: str, unit: Unit) -> tuple[Micrometres, ...]:
    """Lengths to cut with / between, each perhaps so many times: 2x 500 / 400; rounded up.

    Raises:
        Unreadable: one is no length or count, or there are too many.
    """
    found: list[Micrometres] = []
    for part in parted(text, unit):
        count, sign, length = part.lower().replace("×", "x").partition("x")
        times = count_of(count) if sign else 1
        found += [parse_length(length if sign else part, unit, rounding="up")] * times
    if not 0 < len(found) <= MOST_LENGTHS:
        raise Unreadable(text, "of_lengths_of_job", most=MOST_LENGTHS)
    return tuple(found)


def several(read: Callable[[str, Unit], tuple[Micrometres, ...]]) -> Cell:
    """Lengths in one cell, with / between."""
    return Cell(
        lambda text, shop: read(text, shop.settings.unit),
        lambda lengths, shop: " / ".join(said(um, shop.settings.unit) for um in lengths),
    )


def layer_read(text: str, unit: Unit) -> ToldLayer:
    """A moulding's code, then its gap or allowance where that is told: ASH-22 3 mm.

    Raises:
        Unreadable: no code stands there.
    """
    code, _, slack = text.strip().partition(" ")
    if not code:
        raise Unreadable(text, "of_layers")
    return ToldLayer(code.upper(), parse_length(slack, unit) if slack.strip() else None)


def layer_said(layer: ToldLayer, unit: Unit) -> str:
    """A moulding as it is typed."""
    return " ".join(filter(None, (layer.profile, said(layer.slack, unit))))


def read_around(text: str, shop: Shop) -> tuple[ToldLayer, ...]:
    """Mouldings from the inside out with / between; none takes away those that are there."""
    if text.strip().lower() == "none":
        return ()
    return tuple(layer_read(part, shop.settings.unit) for part in text.split(" / "))


def read_fillet(text: str, shop: Shop) -> ToldLayer | None:
    """A fillet; none takes away the one that is there."""
    return None if text.strip().lower() == "none" else layer_read(text, shop.settings.unit)


AROUND = Cell(read_around, lambda layers, shop: " / ".join(
    layer_said(layer, shop.settings.unit) for layer in layers))  # fmt: skip
LINING = Cell(read_fillet, lambda layer, shop: layer_said(layer, shop.settings.unit))
MOST_LENGTHS = 60
DROPS = {"rabbeted": "gap", "float": "allowance", "plain": "gap"}
JOB_NUMBER = Cell(lambda text, _: count_of(text.strip().upper().removeprefix("J")),
                  lambda number, _: str(number))  # fmt: skip
MATCH = Cell(lambda text, _: 0 if text.strip().casefold() == "none" else job_number(text),
             lambda number, _: f"J{number}")  # fmt: skip
"""The job that a job is to match; none takes it out of its set."""
SIDES = (
    Field("width", "widths", several(readings), needed=True, kept="widths_um"),
    Field("height", "heights", several(readings), needed=True, kept="heights_um"),
)
SET = (
    Field("depth", "depth", LENGTH_UP, kept="depth_um"),
    Field("gap", "gap", LENGTH, kept="gap_um"),
    Field("allowance", "allowance", LENGTH, kept="allowance_um"),
    Field("mat", "mat", several(mat_borders), kept="mat_um"),
    Field("overlap", "overlap", LENGTH, kept="mat_overlap_um"),
)
CUT_AS = (
    Field("shape", "shape", Cell(lambda text, _: shape_told(text), lambda kept, _: kept)),
    Field("lengths", "lengths", several(lengths_listed), kept="lengths_um"),
)
ARTWORK = {column.name: column for column in (*SIDES, *SET, *CUT_AS)}
"""What is told of the artwork; the other columns are the job's own."""
JOB = (
    Field("customer", "customer", TEXT, needed=True),
    Field("profile", "profile", TEXT, needed=True, kept="profile_code"),
    *SIDES, Field("due", "due", DAY, needed=True), Field("title", "title", TEXT), *SET,
    Field("quantity", "quantity", COUNT), Field("one_batch", "one_batch", YES),
    Field("one_piece", "one_piece", YES), Field("proud", "proud", YES),
    Field("number", "number", JOB_NUMBER, kept="id"),
    Field("held", "held", YES), Field("bench_days", "bench_days", COUNT),
    *(Field(name, name, TEXT) for name in JOB_NOTES), *CUT_AS,
    Field("match", "match", TEXT, kept="match_batch"),
    Field("around", "around", AROUND), Field("fillet", "fillet", LINING),
    Field("set_with", "set_with", MATCH, kept="match_job"), 
    Field("takes", "takes", Cell(lambda text, _: takes_told(text), lambda takes, _: takes)),
)  # fmt: skip
KINDS = {column.name: column for column in JOB}


def told_parts(told: Mapping[str, Any], shop: Shop) -> tuple[dict[str, Any], dict[str, Any]]:
    """What was typed as the fields of an artwork and of a job; faults name their field.

    Raises:
        Unreadable: something is not understood.
    """
    artwork: dict[str, Any] = {}
    job: dict[str, Any] = {}
    for name, typed in told.items():
        column, parts = KINDS[name], artwork if name in ARTWORK else job
        parts[column.field] = typed
        if isinstance(typed, str):
            parts[column.field] = read_cell(column, shop, typed)
    return artwork, job


def named(name: str, read: Callable[[str], Any], typed: str) -> Any:
    """What was read; a fault says of which field."""
    try:
        return read(typed)
    except StockroomError as error:
        error.column = name
        raise


def job_told(told: Mapping[str, Any], shop: Shop) -> NewJob:
    """A job as it was typed.

    Raises:
        Refused: something that a job needs was not given.
        Unreadable: something is not understood.
    """
    if missing := [name for name in needed_of(told) if not told.get(name)]:
        named = tuple(map(FieldName, missing))
        raise Refused("job_needs", Remedy(Do.GIVE_ALL, " ".join(missing)), missing=named)
    artwork, job = told_parts(told, shop)
    return NewJob(artwork=Artwork(**{"widths": (), "heights": (), **artwork}), **job)


def needed_of(told: Mapping[str, Any]) -> tuple[str, ...]:
    """What a job needs, by its shape: lengths have no size, and a regular frame one side.

    Raises:
        Unreadable: there is no such shape.
        Refused: what the shape does not take was told.
    """
    shape = named("shape", shape_told, str(told.get("shape") or ""))
    sizes = ("lengths",) if shape.listed else ("width", "height")
    if shape.kind == "sides":
        sizes = ("width",)
    if over := tuple(FieldName(name) for name in ("width", "height", "lengths")
                     if told.get(name) and name not in sizes):  # fmt: skip
        raise Refused("shape_takes_no", shape=shape.words or shape.kind, over=over)
    return (*(name for name in needed(JOB) if name not in ("width", "height")), *sizes)


def change_told(
    shop: Shop, typed: str, told: Mapping[str, Any], rails: RailsTo | None = None
) -> Taken:
    """Changes a job as typed; gives its sizes now."""
    return change(shop, typed, wanted_told(shop, typed, told), rails)


def wanted_told(shop: Shop, typed: str, told: Mapping[str, Any]) -> dict[str, Any]:
    """What is typed of a job that changes, as the fields of a new one."""
    artwork, wanted = told_parts(told, shop)
    if "profile" in wanted or artwork:
        with reading(shop.engine) as session:
            job = job_named(session, typed)
            before = artwork_of(job)
            if "profile" in wanted:
                kind = profile_named(session, wanted["profile"]).kind
                dropped: dict[str, Any] = {DROPS[kind]: None}
                before = replace(before, **dropped)
        wanted = {**wanted, "artwork": replace(before, **artwork)}
    return wanted


def take_file(
    shop: Shop, path: Path, *, good_rows: bool = False, dry_run: bool = False, late: bool = False
) -> FileTaken:
    """Takes the jobs of a CSV file in: all of them or none, unless told to take the good rows.

    ``late`` takes jobs whose due day is past as well.

    Raises:
        BadFile: the file or, without ``good_rows``, any of its rows has a fault.
    """
    rows = read_rows(path, needed(JOB), names_of(JOB))
    parsed = parse_rows(rows, lambda cells: job_told(cells, shop))
    checked = checked_rows(shop, parsed, late)
    if not good_rows:
        raise_faults(path, checked.faults, Remedy(Do.GOOD_ROWS))
    jobs = [job for _, job in checked.values]
    if not dry_run and jobs:
        take_many(shop, jobs, late=late)
    return FileTaken(len(jobs), checked.faults)


def checked_rows(shop: Shop, parsed: Parsed[NewJob], late: bool) -> Parsed[NewJob]:
    """The rows that the shop can take, and the faults of the others, in the file's order."""
    good: list[tuple[int, NewJob]] = []
    faults = list(parsed.faults)
    numbers: set[int | None] = set()
    with reading(shop.engine) as session:
        hold_profiles(session)
        taken = numbers_taken(session, [job for _, job in parsed.values])
        for row, job in parsed.values:
            try:
                check(session, shop.settings, shop.hand.day, job, late=late, taken=taken)
                if job.number is not None and job.number in numbers:
                    raise Refused("job_twice_in_file", number=job.number)
                numbers.add(job.number)
                good.append((row, job))
            except StockroomError as error:
                faults.append((row, error))
    return Parsed(tuple(good), tuple(in_order(faults)))

"""A job's ticket, from the record and from what the bench adds."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from stockroom.frame.bench_ticket import Ticket, ticket
from stockroom.frame.hanging import Hanging
from stockroom.frame.layers import layer_letter
from stockroom.frame.sizes import Readings
from stockroom.frame.ticket_told import Bench, MoreWork, Package, Work
from stockroom.frame.weights import BOARD_UM, SHORT_NAMES, SPECIFIC_GRAVITY, species_density
from stockroom.job_notes import notes_of
from stockroom.record.database import reading
from stockroom.record.jobs import job_named, standing_frames
from stockroom.record.ledger import rails_cut
from stockroom.record.tables import Job, Profile
from stockroom.refusals import Unreadable
from stockroom.services.counter.job_list import kept_sizes
from stockroom.services.counter.sized_layers import SizedLayer
from stockroom.services.counter.take import NewJob, artwork_columns, try_jobs
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.units.bench_days import BenchDays
from stockroom.units.decimals import parse_number
from stockroom.units.lengths import parse_length

__all__ = ["bench_told", "grams", "hanging_of", "section_tried", "ticket_of"]

MOST_GRAMS = 500_000
WEIGHT = re.compile(r"([0-9][0-9., ']*) *(kg|g|lbs?|oz)")
GRAMS_IN = {"kg": Fraction(1000), "g": Fraction(1), "lb": Fraction("453.59237"),
            "oz": Fraction("28.349523125")}  # fmt: skip
"""The pound is 0.45359237 kg exactly (international pound of 1959), the ounce a sixteenth."""


def ticket_of(shop: Shop, typed: str, bench: Bench) -> Ticket:
    """The ticket of a job.

    Raises:
        Unreadable, Unknown: there is no such job.
        Refused: what was told makes no section, no screw or no hang.
    """
    with reading(shop.engine) as session:
        job = job_named(session, typed)
        layers = kept_sizes(session, job, shop.settings)
        at_hand = rails_cut(session, [frame.id for _, frame in standing_frames(session, [job])])
    made = ticket_for(shop, job, layers, bench)
    return replace(made, rails=len(at_hand), batches=tuple(sorted(set(at_hand.values()))),
                   takes=job.takes)  # fmt: skip


def ticket_for(shop: Shop, job: Job, layers: Sequence[SizedLayer], bench: Bench) -> Ticket:
    """The ticket of a job in these mouldings, the one where the artwork lies first."""
    first = layers[0]
    return ticket(work_of(job, first.layer.profile, shop.settings.bench), first.layer.moulding,
                  first.sizes, bench, hanging_of(shop.settings), shop=shop.settings.name,
                  day=shop.hand.day, more=[more_work(job, one) for one in layers[1:]])  # fmt: skip


def more_work(job: Job, one: SizedLayer) -> MoreWork:
    """A further moulding of a job as a ticket takes it."""
    profile = one.layer.profile
    return MoreWork(one.number, f"J{job.id}.{layer_letter(one.number)}", profile.code,
                    profile.name, profile.species, profile.height_um, one.layer.moulding,
                    one.sizes)  # fmt: skip


def section_tried(shop: Shop, told: NewJob) -> Ticket:
    """The ticket that a job would have, for its sizes and its section; nothing is written.

    Raises:
        Unknown: there is no such profile.
        Refused: the shop could not take it, or its numbers make no section.
    """
    taken = try_jobs(shop, [told])[0]
    job = Job(
        id=0, customer=told.customer, title=told.title, profile_code=taken.profile, due=told.due,
        quantity=told.quantity, one_batch=False, one_piece=told.one_piece, **notes_of(told),
        match_batch=taken.job.match, taken_in=0, **artwork_columns(told.artwork),
    )  # fmt: skip
    return ticket_for(shop, job, taken.layers, bench_told({}, shop))


def work_of(job: Job, profile: Profile, bench: BenchDays) -> Work:
    """A job and its profile as a ticket takes them, in a shop with so many days at the bench."""
    return Work(
        f"J{job.id}", job.customer, job.title, profile.code, profile.name, profile.species,
        job.due, job.quantity, readings_of(job),
        job.depth_um, job.mat_um is not None, profile.height_um,
        tuple(job.mat_um) if job.mat_um else None,  # type: ignore[arg-type]
        bench.cut_by(job.due, job.bench_days), job.match_batch, **notes_of(job),
    )  # fmt: skip


def readings_of(job: Job) -> Readings | None:
    """What was measured: of a frame of other sides than four its side, twice; of lengths that are
    given themselves nothing."""
    if not job.widths_um:
        return None
    return Readings(tuple(job.widths_um), tuple(job.heights_um or job.widths_um))


def hanging_of(settings: Settings) -> Hanging:
    """How this shop hangs."""
    return Hanging(
        fixings=Fraction(settings.fixings), one_person_g=settings.one_person_kg * 1000,
        one_person_um=settings.one_person_um,
    )  # fmt: skip


def bench_told(told: Mapping[str, str | None], shop: Shop) -> Bench:
    """What the bench adds, as it was typed: lengths in the shop's unit, weights in kg or g.

    Raises:
        Unreadable: one of them is no length, weight or word that is known.
    """

    def length(name: str) -> int | None:
        text = told.get(name)
        if text is None:
            return None
        if (um := parse_length(text, shop.settings.unit)) <= 0:
            raise Unreadable(text, "of_length_above_nothing")
        return um

    usual = Package()
    glazing = told.get("glazing") or usual.glazing
    if glazing not in ("usual", "none", "glass", "acrylic"):
        raise Unreadable(glazing, "of_glazing")
    board = told.get("board") or usual.board
    if board not in ("usual", *BOARD_UM):
        raise Unreadable(board, "of_back_board")
    package = Package(glazing, length("glass_thick") or usual.glazing_um,  # type: ignore[arg-type]
                      length("mat_thick") or usual.mat_um, board,  # type: ignore[arg-type]
                      length("backing_thick") or BOARD_UM.get(board, usual.backing_um))  # fmt: skip
    return Bench(
        height_um=length("moulding_height"), ledge_um=length("ledge"), bar_um=length("bar"),
        bevel_um=length("bevel"),
        species=species_told(told.get("species") or ""), metre_g=grams(told.get("metre")),
        package=package,
        artwork_g=grams(told.get("artwork")), backing_g=grams(told.get("backing")),
        method="wire" if told.get("wire") or told.get("rise") else "hangers",
        rise_um=length("rise"),
    )  # fmt: skip


def grams(typed: str | None) -> int | None:
    """A weight as typed, such as 1.2 kg, 850 g or 3 lb, in whole grams.

    Raises:
        Unreadable: it is no weight, or more than half a tonne.
    """
    if typed is None:
        return None
    read = WEIGHT.fullmatch(typed.strip().lower())
    found = parse_number(read[1]) * GRAMS_IN[read[2].rstrip("s")] if read else MOST_GRAMS + 1
    if found > MOST_GRAMS:
        raise Unreadable(typed, "of_weight")
    return round(found)


def species_told(typed: str) -> str:
    """A species as typed; nothing where none was.

    Raises:
        Unreadable: there is no density on record for it.
    """
    if typed and species_density(typed) is None:
        known = ", ".join((*SPECIFIC_GRAVITY, *SHORT_NAMES))
        raise Unreadable(typed, "of_wood", known=known)
    return typed

"""The job ticket as plain values: what the bench needs from the joining to the wall.

Screens and paper draw from these alone; they know no database. Lengths are micrometres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from stockroom.frame.front_view import chord
from stockroom.frame.hanging import Hang, Hanging, hang
from stockroom.frame.joining import NailPlace, Screw, float_screw, nail_place, v_nail
from stockroom.frame.layers import FILLET
from stockroom.frame.notices import Notice
from stockroom.frame.shapes import JobShape
from stockroom.frame.sizes import FrameSizes, Moulding, Readings
from stockroom.frame.ticket_told import Bench, MoreWork, Package, Work
from stockroom.frame.ticket_weights import more_weight, weighed
from stockroom.frame.weights import SectionBox, Weight, fillet_boxes, moulding_boxes
from stockroom.job_notes import JobNotes, notes_of
from stockroom.refusals import Unfit
from stockroom.units.lengths import Micrometres

__all__ = ["CORNERS", "DEFERS", "More", "Ticket", "ticket"]

CORNERS = ("join_two_ls", "join_the_ls")
DEFERS = ("weigh_before_hung", "ratings_decide", "screw_hangers_on", "manual_first")
"""Two separate hangers, never nails: paintingsconservation.ca (2018)."""

BAR_WIDE_UM = 38_000
"""How wide a stretcher bar is, seen from behind, where fixings go into it: a guess (1 1/2 in)."""
USUAL_HEIGHT_OVER = 6_000
"""Lip or ledge assumed where a profile has no height in the record: an estimate."""
FILLET_HEIGHT_OVER = 2_000
"""How much of a fillet lies behind the mat where it has no height in the record: an estimate."""
USUAL_BEVEL_UM = 3_000
"""How much lower a strainer's front is at its inner edge where it is not told: common practice."""
USUAL_LEDGE_UM = 25_000
"""How far a float's ledge is assumed to reach in from its wall where it is not told."""


@dataclass(frozen=True, slots=True)
class More:
    """A moulding of a ticket beyond the one where the artwork lies: its height, guessed or not, its
    section, where and how long its V-nails are."""

    work: MoreWork
    height_um: int
    guessed: bool
    boxes: tuple[SectionBox, ...]
    nail_um: int | None
    nail_in: NailPlace

    @property
    def is_fillet(self) -> bool:
        """Whether it lies in the mat's window."""
        return self.work.number == FILLET


@dataclass(frozen=True, slots=True)
class Ticket(JobNotes):
    """All that a job's ticket says; a mat's ``borders_um`` are left, right, top, bottom.

    ``price`` is what is said for its moulding, minor units, and ``quote`` where it was quoted;
    ``rails`` how many are at hand, cut or come as chops, and of which ``batches``. ``more`` are the
    mouldings round the one where the artwork lies, outward, then a fillet. What is no whole frame
    has no weight and no ``hanging``; ``match`` is the batch that its rails must be of, ``bevel_um``
    how much lower a strainer's front is at its inner edge.
    """

    label: str
    customer: str
    title: str
    profile: str
    style: str
    due: date
    quantity: int
    shop: str
    day: date
    readings: Readings | None
    depth_um: int | None
    matted: bool
    moulding: Moulding
    sizes: FrameSizes
    height_um: int
    estimated: tuple[str, ...]
    boxes: tuple[SectionBox, ...]
    package: Package
    nail_um: int | None
    nail_in: NailPlace
    spacer_um: int | None
    bar_um: int | None
    screw: Screw | None
    weights: tuple[Weight, ...]
    hanging: Hang | None
    borders_um: tuple[int, int, int, int] | None = None
    cut_by: date | None = None
    price: int | None = None
    quote: int | None = None
    rails: int = 0
    batches: tuple[str, ...] = ()
    more: tuple[More, ...] = ()
    match: str = ""
    bevel_um: int | None = None
    takes: str = ""

    @property
    def shape(self) -> JobShape:
        """What it is cut as."""
        return self.sizes.shape

    @property
    def moulding_um(self) -> Micrometres:
        """The rails of all its frames and mouldings together."""
        each = self.sizes.moulding_um + sum(one.work.sizes.moulding_um for one in self.more)
        return Micrometres(self.quantity * each)

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What the counter should say of all its mouldings."""
        return (*self.sizes.notices,
                *(said for one in self.more for said in one.work.sizes.notices))  # fmt: skip

    @property
    def around(self) -> tuple[More, ...]:
        """The mouldings round the one where the artwork lies, outward."""
        return tuple(one for one in self.more if not one.is_fillet)

    @property
    def fillet(self) -> More | None:
        """The fillet in the mat's window."""
        return next((one for one in self.more if one.is_fillet), None)

    @property
    def outermost(self) -> Moulding:
        """The moulding that hangs on the wall."""
        return self.around[-1].work.moulding if self.around else self.moulding

    @property
    def grams(self) -> float:
        """The finished weight."""
        return sum(weight.grams for weight in self.weights)


def ticket(
    work: Work, moulding: Moulding, sizes: FrameSizes, bench: Bench, rules: Hanging, *,
    shop: str, day: date, more: Sequence[MoreWork] = (),
) -> Ticket:  # fmt: skip
    """The ticket of a job; ``more`` are its mouldings beyond the one where its artwork lies.

    Raises:
        Unfit: what was told makes no section, no screw or no hang.
    """
    height, guessed = height_of(work, moulding, bench)
    ledge = bench.ledge_um or USUAL_LEDGE_UM
    is_float = moulding.kind == "float"
    if is_float and bench.ledge_um is None:
        guessed += ("ledge",)
    bar = stretcher_bar(work, bench) if is_float else None
    bevel = (bench.bevel_um or USUAL_BEVEL_UM) if sizes.shape.kind == "strainer" else None
    if bevel is not None and bench.bevel_um is None:
        guessed += ("bevel",)
    if bevel is not None and bevel >= height:
        raise Unfit("bevel_as_high_as_bar", bevel_um=bevel, height_um=height)
    if bar is not None and bench.bar_um is None:
        guessed += ("stretcher bar",)
    boxes = moulding_boxes(moulding, height, ledge)
    if bench.package.glazing == "usual" and work.matted:
        bench = replace(bench, package=replace(bench.package, glazing="glass"))
    rest = tuple(more_of(one) for one in more)
    weights = (*weighed(work, moulding, sizes, bench, boxes),
               *(more_weight(one.work, one.boxes) for one in rest))  # fmt: skip
    hanging = None
    if sizes.shape.hangs:
        hanging = hang_of(moulding, sizes, boxes, rest, sum(part.grams for part in weights), rules,
                          bench)  # fmt: skip
    ledge_thick = height - (moulding.recess_depth_um or 0)
    place = nail_place(height, moulding.wall_um, ledge_thick) if is_float else nail_place(height)
    screw = None
    if bar is not None and work.depth_um is not None:
        screw = float_screw(ledge_thick, bar, work.depth_um)
    return Ticket(
        work.label, work.customer, work.title, work.profile, work.style, work.due, work.quantity,
        shop, day, work.readings, work.depth_um, work.matted, moulding, sizes, height,
        guessed, boxes, bench.package, v_nail(place.thick_um), place,
        min(sizes.gap_um) if sizes.gap_um else None, bar, screw, weights,
        hanging, work.borders_um, work.cut_by, more=rest, match=work.match,
        bevel_um=bevel, **notes_of(work),
    )  # fmt: skip


def hang_of(
    moulding: Moulding, sizes: FrameSizes, boxes: tuple[SectionBox, ...], more: Sequence[More],
    grams: float, rules: Hanging, bench: Bench,
) -> Hang:  # fmt: skip
    """How the outermost frame hangs."""
    for one in more:
        if not one.is_fillet:
            moulding, sizes, boxes = one.work.moulding, one.work.sizes, one.boxes
    outside, inset = sizes.outside_um, seat(moulding, sizes, boxes)
    if sizes.shape.kind == "sides":  # Its rails run in where the fixings sit.
        down = outside[1] * rules.fixings
        inset = outside[0] - chord(sizes.shape.sides, sizes.rails_um[0], down, Fraction(inset, 2))
    return hang(outside, inset, grams, rules, method=bench.method, rise_um=bench.rise_um)


def more_of(work: MoreWork) -> More:
    """A moulding of a ticket beyond the first, its height estimated where it is not known."""
    moulding = work.moulding
    inner = moulding.recess_depth_um or moulding.rabbet_depth_um or 0
    over = FILLET_HEIGHT_OVER if work.number == FILLET else USUAL_HEIGHT_OVER
    height = work.height_um or inner + over
    if work.number == FILLET:
        boxes = fillet_boxes(moulding, height)
    else:
        boxes = moulding_boxes(moulding, height, USUAL_LEDGE_UM)
    ledge = height - (moulding.recess_depth_um or 0)
    is_float = moulding.kind == "float"
    place = nail_place(height, moulding.wall_um, ledge) if is_float else nail_place(height)
    return More(work, height, work.height_um is None, boxes, v_nail(place.thick_um), place)


def seat(moulding: Moulding, sizes: FrameSizes, boxes: tuple[SectionBox, ...]) -> int:
    """Twice how far a fixing sits from the outer edge: at the middle of a rail's back, the part
    that is lowest, or of a floated canvas's stretcher bar, since a ledge holds none."""
    if moulding.kind == "float":
        return 2 * ((moulding.wall_um or 0) + max(sizes.gap_um or (0,))) + BAR_WIDE_UM
    return max(box.right for box in boxes if box.low == 0)


def stretcher_bar(work: Work, bench: Bench) -> int | None:
    """How thick a canvas's stretcher bar is: told, or guessed as 3/4 of the canvas's depth."""
    if bench.bar_um is not None or work.depth_um is None:
        return bench.bar_um
    return work.depth_um * 3 // 4


def height_of(work: Work, moulding: Moulding, bench: Bench) -> tuple[int, tuple[str, ...]]:
    """The moulding's height, front to back: told, recorded, or estimated from its section."""
    known = bench.height_um or work.height_um
    if known is not None:
        return known, ()
    if moulding.kind == "plain":
        return max(USUAL_HEIGHT_OVER, moulding.face_um // 2), ("moulding height",)
    inner = moulding.recess_depth_um or moulding.rabbet_depth_um or 0
    return inner + USUAL_HEIGHT_OVER, ("moulding height",)

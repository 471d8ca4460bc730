"""A ticket's numbers as rows for screen and paper: what, value, unit, how it was found."""

from collections.abc import Iterator
from math import ceil

from stockroom.facts import Fact
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.fitting import sheets_of
from stockroom.frame.hanging import GRAVITY
from stockroom.frame.joining import NailPlace
from stockroom.settings.shop_settings import Settings
from stockroom.views.size_rows import SizeRow, size_rows

__all__ = ["Cell", "Row", "cutting_rows", "hang_rows", "heavy", "joining_rows", "layer_rows",
           "moulding_rows", "weight_rows"]  # fmt: skip

Cell = str | Fact
"""A name or a number as it stands, or a fact; fronts have their words for both."""
Row = tuple[Cell, Cell, str, Cell]
OF_LAYER = {"mat's window", "opening, inside", "covers, each edge", "gap, each side"}
"""The sizes that a ticket tells of a moulding beyond the first, with what the stop reads."""
TAKES = {"seconds": Fact("takes_seconds"), "own": Fact("takes_own")}
STACKED = 3
"""V-nails are stacked where the wood is so many times their height (our choice)."""
GRAMS_A_POUND = 453.59237


def joining_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """Joining and fitting: V-nails and how many, spacers, the stretcher bar, the longest screw."""
    show, unit = settings.length, settings.unit
    guessed = "estimated" if "moulding height" in ticket.estimated else ""
    rails, shape = len(ticket.sizes.lengths_um), ticket.shape
    in_all = "moulding, four rails" if rails == 4 else Fact("moulding_of_rails", {"rails": rails})
    rows: list[Row] = [(in_all, show(ticket.sizes.moulding_um), unit, ""),
                       ("moulding height", show(ticket.height_um), unit, guessed)]  # fmt: skip
    if ticket.bevel_um is not None:
        bevel = "estimated" if "bevel" in ticket.estimated else ""
        rows.append(("bevel", show(ticket.bevel_um), unit, bevel))
    if shape.corners:
        rows += nail_rows(ticket.nail_um, ticket.nail_in, shape.corners * ticket.quantity)
    for one in ticket.more:
        high = Fact("so_high_guessed" if one.guessed else "so_high", {"height_um": one.height_um})
        long = show(one.work.sizes.moulding_um)
        rows.append((Fact("rails_of", {"profile": one.work.profile}), long, unit, high))
        if not one.is_fillet:
            nails = nail_rows(one.nail_um, one.nail_in, 4 * ticket.quantity)
            rows.append(
                nails[0]
                if one.nail_um is None
                else (
                    *nails[-1][:3],
                    Fact(
                        "nails_so_high", {"mm": one.nail_um // 1000, "how": Fact(str(nails[-1][3]))}
                    ),
                )
            )
    if ticket.spacer_um is not None:
        rows.append(("spacers, each side", show(ticket.spacer_um), unit, "the gap"))
    return [*rows, *screw_rows(ticket, settings)]


def nail_rows(nail_um: int | None, where: NailPlace, corners: int) -> list[Row]:
    """The V-nails of so many corners: how high and how many."""
    place = {"where": Fact(where.where), "thick_um": where.thick_um}
    if nail_um is None:
        return [("V-nail", "none", "", Fact("too_thin_for_nail", place))]
    stack = where.thick_um // nail_um
    many = 2 * corners * (2 if stack >= STACKED else 1)
    how = "two a corner" if stack < STACKED else "two a corner, each of two stacked"
    return [("V-nail, suggested", f"{nail_um // 1000}", "mm", Fact("nail_goes_into", place)),
            ("V-nails", f"{many}", "", how)]  # fmt: skip


def layer_rows(ticket: Ticket) -> Iterator[tuple[Fact, list[SizeRow]]]:
    """The further mouldings of a job: each with its frame's label, and the sizes that it is cut and
    checked by."""
    for one in ticket.more:
        rows = [row for row in size_rows(one.work.sizes) if row[0] in OF_LAYER or row[2]]
        where = Fact("the fillet in the mat's window" if one.is_fillet else "round it")
        yield Fact("layer_title", {"label": one.work.label, "profile": one.work.profile,
                                   "style": one.work.style, "where": where}), rows  # fmt: skip


def screw_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """The screw that fixes a canvas in its float, where the canvas's depth is known."""
    show, unit = settings.length, settings.unit
    if ticket.bar_um is None:
        return []
    guess = "a guess: measure it" if "stretcher bar" in ticket.estimated else ""
    rows: list[Row] = [("stretcher bar", show(ticket.bar_um), unit, guess)]
    if ticket.screw is None:
        return [*rows, ("longest screw", "none", "", "the bar is too thin: use clips")]
    ledge = "measure the ledge first" if "moulding height" in ticket.estimated else ""
    return [
        *rows,
        ("longest screw", f"{ticket.screw.longest_um // 1000}", "mm",
         ledge or "half the bar; pre-drill"),
        ("stops short by", show(ticket.screw.short_of_um), unit, "of the canvas"),
    ]  # fmt: skip


def cutting_rows(ticket: Ticket, settings: Settings) -> list[tuple[Cell, Cell]]:
    """The sheets to cut for one frame: glass, mat with its window and borders, backing."""

    def pair(size: tuple[int, int]) -> str:
        return " × ".join(settings.length(side, "down") for side in size)

    rows: list[tuple[Cell, Cell]] = []
    for sheet in sheets_of(ticket.sizes, ticket.package, ticket.matted):
        size: Cell = pair(sheet.size)
        if sheet.sides is not None:
            many, side = sheet.sides
            size = Fact("sides_over_all", {"sides": many, "over_all": size,
                                           "side": settings.length(side, "down")})  # fmt: skip
        rows.append((Fact("sheet_to_cut", {"what": Fact(sheet.what)}), size))
        if sheet.window is not None:
            rows.append(("window", pair(sheet.window)))
    if ticket.borders_um is not None:
        names = ("left", "right", "top", "bottom")
        sides = zip(names, ticket.borders_um, strict=True)
        told = tuple(Fact("border", {"side": Fact(side), "length": settings.length(um)})
                     for side, um in sides)  # fmt: skip
        rows.append(("borders", Fact("names", {"names": told})))
    window = ticket.sizes.window_um
    if window is not None and ticket.fillet is None:
        overlap = (ticket.sizes.artwork_um[0] - window[0]) // 2
        rows.append(("mat overlaps, each edge", settings.length(overlap)))
    return rows


def moulding_rows(ticket: Ticket, settings: Settings) -> list[tuple[Cell, Cell]]:
    """The batch that it must be of; what is said for the moulding of all its frames, where it has a
    price; the rails at hand and their batches, where some are."""
    rows: list[tuple[Cell, Cell]] = []
    if ticket.match:
        rows.append(("batch, to match", ticket.match))
    if ticket.takes:
        rows.append(("cut from", TAKES[ticket.takes]))
    if ticket.price is not None:
        price = {"price": settings.money(ticket.price), "quote": ticket.quote}
        code = "price_as_quoted" if ticket.quote else "price_by_rule"
        rows.append(("moulding, to say", Fact(code, price)))
    if ticket.rails:
        at_hand = {"rails": ticket.rails, "batches": tuple(ticket.batches)}
        rows.append(("rails at hand", Fact("rails_of_batches", at_hand)))
    return rows


def weight_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """Each part of the weight, given or estimated, and their sum; none where nothing is hung."""
    if not ticket.weights:
        return []
    rows: list[Row] = [
        (weight.part, *heavy(weight.grams, settings),
         Fact("given_how" if weight.given else "estimated_how", {"how": named(weight.how)}))
        for weight in ticket.weights
    ]  # fmt: skip
    sure = all(weight.given for weight in ticket.weights)
    return [*rows, ("weight in all", *heavy(ticket.grams, settings), "" if sure else "estimated")]


def named(cell: Cell) -> Fact:
    """A cell as a fact."""
    return Fact(cell) if isinstance(cell, str) else cell


def hang_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """Fixings, wire, pull and the strength to look for; none where nothing is hung."""
    if ticket.hanging is None:
        return []
    hang, show, unit = ticket.hanging, settings.length, settings.unit
    where = "in the stretcher bars" if ticket.outermost.kind == "float" else "middle of the rails"
    high = Fact("of_height", {"share": settings.fixings})
    rows: list[Row] = [
        ("fixings, from the top", show(hang.down_um), unit, high),
        ("fixings, apart", show(hang.span_um), unit, where),
    ]
    if hang.method == "hangers":
        flush = "inset in the bar: lies flush" if ticket.outermost.kind == "float" else ""
        rows.append(("hangers", f"{2 * ticket.quantity}", "", flush))
    if hang.rise_um is not None and hang.taut_um is not None and hang.buy_um is not None:
        rows += [
            ("hook above fixings", show(hang.rise_um), unit, ""),
            ("hook, from the top", show(hang.down_um - hang.rise_um), unit, "of the frame"),
            ("wire between them", show(hang.taut_um), unit, "pulled taut"),
            ("wire to cut", show(hang.buy_um), unit, "with its ends to twist"),
            ("angle from level", f"{hang.angle:.0f}", "degrees", ""),
        ]
    what = "pull in the wire" if hang.method == "wire" else "pull on each hanger"
    how = "W / (2 sin a)" if hang.method == "wire" else "half the weight"
    rows.append((what, *heavy(hang.pull_n / GRAVITY * 1000, settings), how))
    rated = hang.rated_kg * 1000
    rows += [
        (
            "load rating, each",
            *heavy(rated / hang.factor, settings, up=True),
            "on the packet, at least",
        ),
        (
            "breaking strength",
            *heavy(rated, settings, up=True),
            Fact("times_the_pull", {"times": hang.factor}),
        ),
    ]
    return rows


def heavy(grams: float, settings: Settings, *, up: bool = False) -> tuple[str, str]:
    """A weight to two places with its unit: pounds where lengths are inches, else kilograms.

    ``up`` rounds what something must bear to the safe side.
    """
    each, unit = (GRAMS_A_POUND, "lb") if settings.measure.inches else (1000, "kg")
    return f"{ceil(grams / each * 100) / 100 if up else grams / each:.2f}", unit

"""What is listed on paper: the day, the sheets to cut, a shelf, an order, the week."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from itertools import groupby

from stockroom.frame.fitting import GLASS_CARE, SheetCut
from stockroom.paper.list_page import TICK, WRITE, Listing
from stockroom.record.ledger import RackPiece
from stockroom.record.orders import OrderState
from stockroom.record.tables import Profile, Supplier
from stockroom.services.counter.job_list import JobRow
from stockroom.services.weekly.review import OrderLine
from stockroom.settings.shop_settings import Settings
from stockroom.units.money import format_money
from stockroom.words.language import Voice, word

__all__ = ["day_listing", "order_letter", "sheets_listing", "shelf_listings",
           "week_listing"]  # fmt: skip

Sheets = tuple[JobRow, Sequence[SheetCut]]


def day_listing(rows: Sequence[JobRow], settings: Settings, until: str) -> Listing:
    """All jobs due, by what they wait for, with a box for each step that is still to come."""
    shown: list[tuple[str, ...]] = []
    heads: set[int] = set()
    for state, group in groupby(sorted(rows, key=lambda row: row.state), lambda row: row.state):
        heads.add(len(shown))
        shown.append((word(state), *[""] * 8))
        shown += [
            (TICK, TICK, TICK, f"J{row.number}", row.customer, row.profile, f"{row.quantity}",
             f"{settings.length(row.across)} × {settings.length(row.upright)}",
             f"{row.due.isoformat()}  {row.title}")
            for row in sorted(group, key=lambda row: (row.due, row.number))
        ]  # fmt: skip
    columns = (("cut", 11.0), ("joined", 16.0), ("fitted", 15.0), ("job", 13.0), ("customer", 32.0),
               ("profile", 28.0), ("no.", 10.0), (in_unit("rails", settings), 34.0),
               ("due", 42.0))  # fmt: skip
    frames = sum(row.quantity for row in rows)
    about = word("{jobs:job}, {frames:frame} due by {until}", jobs=len(rows), frames=frames,
                 until=until)  # fmt: skip
    return Listing(word("The day"), about, settings.name, columns, tuple(shown), (),
                   frozenset({6}), frozenset(heads))  # fmt: skip


def sheets_listing(jobs: Iterable[Sheets], settings: Settings, until: str) -> Listing:
    """Glass, mat and backing to cut, the largest first, with the cautions of glass."""
    found: dict[SheetCut, list[JobRow]] = {}
    for row, sheets in jobs:
        for sheet in sheets:
            found.setdefault(sheet, []).append(row)

    def pair(size: tuple[int, int]) -> str:
        return " × ".join(settings.length(side, "down") for side in size)

    order = sorted(found, key=lambda one: (-max(one.size), -min(one.size), str(one.window)))
    shown: list[tuple[str, ...]] = []
    heads: set[int] = set()
    for what in ("glass", "acrylic", "mat", "backing"):
        own = [key for key in order if key.what == what]
        heads |= {len(shown)} if own else set()
        shown += [(word(what), *[""] * 4)] if own else []
        for key in own:
            many = sum(row.quantity for row in found[key])
            whose = sides_said(key, settings)
            whose += ", ".join(f"J{row.number} {row.customer}" for row in found[key])
            shown.append(
                (TICK, f"{many}", pair(key.size), pair(key.window) if key.window else "", whose)
            )
    columns = (("", 10.0), ("no.", 12.0), (in_unit("size", settings), 40.0),
               ("window", 40.0), ("for", 78.0))  # fmt: skip
    cautions = GLASS_CARE if any(key.what == "glass" for key in found) else ()
    said = (
        word("A work on paper has glass unless told otherwise; check each order."),
        *map(word, cautions),
        word("The makers' instructions and local rules come first."),
    )
    return Listing(
        word("Glass, mat, backing"),
        word("for frames due by {until}", until=until),
        settings.name,
        columns,
        tuple(shown),
        said,
        frozenset({1}),
        frozenset(heads),
    )


def sides_said(sheet: SheetCut, settings: Settings) -> str:
    """How many sides a sheet has, and how long, where they are other than four."""
    if sheet.sides is None:
        return ""
    many, side = sheet.sides
    return word("{many} × {length}", many=many, length=settings.length(side, "down")) + "; "


def shelf_listings(pieces: Sequence[RackPiece], as_of: int, settings: Settings) -> list[Listing]:
    """What should lie on each shelf, each from a page of its own, with boxes to count by."""
    columns = (("seen", 12.0), ("piece", 14.0), ("profile", 34.0), ("batch", 24.0), ("kind", 16.0),
               (in_unit("length", settings), 26.0), ("measured", 28.0), ("note", 30.0))  # fmt: skip
    listings = []
    for spot, group in groupby(sorted(pieces, key=lambda piece: piece.spot), lambda p: p.spot):
        rows = tuple(
            (TICK, f"{piece.id}", piece.profile, piece.batch, word(piece.kind),
             settings.length(piece.length), WRITE, WRITE)
            for piece in group
        )  # fmt: skip
        more = tuple((TICK, WRITE, WRITE, WRITE, WRITE, WRITE, WRITE, WRITE) for _ in range(3))
        said = (
            word(
                "Below the last piece: what lies there and is not on the list; measure an "
                "offcut along its back edge."
            ),
            word(
                "Then: {typed}",
                typed=f"stockroom seen --since {as_of}{f' --at {spot}' if spot else ''} NUMBERS",
            ),
        )
        about = word("{pieces:piece} should be there, as of entry {entry}", pieces=len(rows),
                     entry=as_of)  # fmt: skip
        listings.append(
            Listing(
                word("Shelf {spot}", spot=spot or "?"),
                about,
                settings.name,
                columns,
                rows + more,
                said,
                frozenset({5}),
            )
        )
    return listings


def order_letter(
    order: OrderState,
    supplier: Supplier,
    profiles: Mapping[str, Profile],
    settings: Settings,
    day: date,
) -> Listing:
    """An order fit to be sent: to whom and from whom, names, quantities, lengths, sums; nothing
    that is the shop's own."""
    show, mark = settings.length_with_unit, settings.currency

    def money(minor: int | None) -> str:
        return "" if minor is None else format_money(minor, mark)

    rows = [
        (line.profile, profiles[line.profile].name if line.profile in profiles else "",
         f"{line.sticks}", show(line.stick_length), money(line.price),
         money(None if line.price is None else line.price * line.sticks))
        for line in order.lines
    ]  # fmt: skip
    total, unpriced = order.price()
    sticks = sum(line.sticks for line in order.lines)
    rows.append((word("in all"), "", f"{sticks}", "", "", money(total) + "*" * bool(unpriced)))
    columns = (("profile", 32.0), ("name", 58.0), ("sticks", 16.0), ("of", 24.0),
               ("a stick", 24.0), ("together", 26.0))  # fmt: skip
    said = [
        *([word("* {profiles:profile} without a price", profiles=unpriced)] if unpriced else []),
        *terms(supplier, settings),
    ]
    reference = f", {order.reference}" if order.reference else ""
    return Listing(
        word("Order {number}{reference}", number=order.number, reference=reference),
        word("{day:day}", day=day),
        settings.name,
        columns,
        tuple(rows),
        tuple(said),
        frozenset({2, 3, 4, 5}),
        frozenset({len(rows) - 1}),
        settings.letterhead,
        (supplier.name,),
    )


def terms(supplier: Supplier, settings: Settings) -> Iterable[str]:
    """The supplier's terms as they are known here."""
    mark = settings.currency
    if supplier.order_minimum_minor is not None:
        yield word("Least order: {price}.", price=format_money(supplier.order_minimum_minor, mark))
    if supplier.carriage_minor is not None:
        free = supplier.free_carriage_minor
        told = {"price": format_money(supplier.carriage_minor, mark)}
        if free is None:
            yield word("Carriage: {price}.", **told)
        else:
            yield word("Carriage: {price}, free from {free}.", **told, free=settings.money(free))


def in_unit(what: str, settings: Settings) -> str:
    """A column's heading with the shop's unit."""
    return word("{what}, {unit}", what=word(what), unit=settings.unit)


def week_listing(
    lines: Sequence[OrderLine],
    said: Sequence[str],
    settings: Settings,
    week: str,
    comes: Mapping[str, date],
) -> Listing:
    """The week's order by supplier, each with its sum, a box to change how many."""
    mark, voice = settings.currency, Voice("on_a_page", settings)
    rows: list[tuple[str, ...]] = []
    bold: set[int] = set()
    for name, group in groupby(lines, lambda line: line.supplier_name):
        own = list(group)
        bold.add(len(rows))
        rows.append((name, *[""] * 5))
        rows += [
            (line.profile, f"{line.sticks}", WRITE, settings.length_with_unit(line.stick_length),
             "" if line.price is None else settings.money(line.price),
             voice.whole_list(line.why))
            for line in own
        ]  # fmt: skip
        bold.add(len(rows))
        total = format_money(sum(line.price or 0 for line in own), mark)
        due = comes.get(own[0].supplier)
        by = word("ordered today, here on {day:day}", day=due) if due is not None else ""
        rows.append((word("in all"), f"{sum(line.sticks for line in own)}", "", "", total, by))
    columns = (("profile", 33.0), ("sticks", 14.0), ("rather", 16.0), ("of", 21.0),
               ("price", 20.0), ("why", 86.0))  # fmt: skip
    return Listing(
        word("To order"),
        word("week of {week}", week=week),
        settings.name,
        columns,
        tuple(rows),
        tuple(map(plain_words, said)),
        frozenset({1, 3, 4}),
        frozenset(bold),
    )


def plain_words(said: str) -> str:
    """What is said without what is typed: sentences that name a command are left out."""
    sentences = re.split(r"(?<=[.;:]) ", said.replace(" (--fill adds it)", ""))
    kept = " ".join(one for one in sentences if "stockroom" not in one)
    return re.sub(r"( (Until it comes|then|for more time)[:;]?)+$", "", kept)

"""What a supplier's terms make of the week's order: its minimum, and carriage saved or paid."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockroom.buying.order_terms import TopUp, economic_order, top_up
from stockroom.facts import Fact
from stockroom.record.catalogue import cost_of_sticks, stick_price
from stockroom.record.database import reading
from stockroom.record.tables import Supplier
from stockroom.services.shop import Shop
from stockroom.services.weekly.order_reasons import LineParts, sticks_of
from stockroom.services.weekly.profile_state import Shelf, shelves_of
from stockroom.services.weekly.purchase_orders import order_rows
from stockroom.services.weekly.review import OrderLine, line_of

__all__ = ["Terms", "filled", "standing_notes", "terms_of"]

MOST_STICKS = 12
WEEKS_A_YEAR, SELDOM = 52, 2.0


@dataclass(frozen=True, slots=True)
class Terms:
    """One supplier's share of the order: its price (minor units), and what is said of it.

    ``fill`` names sticks by profile that would bring it to a threshold, where that is worth it;
    ``leave`` advises to order nothing of it this week.
    """

    supplier: str
    price: int
    said: Fact
    fill: dict[str, int]
    leave: bool = False


def terms_of(shop: Shop, lines: Sequence[OrderLine]) -> list[Terms]:
    """What each supplier's terms make of these lines, by supplier; those without terms left out."""
    with reading(shop.engine) as session:
        shelves = shelves_of(session, shop)
    found = []
    for code in sorted({line.supplier for line in lines}):
        ours = [line for line in lines if line.supplier == code]
        theirs = [shelf for shelf in shelves if shelf.supplier.code == code]
        if terms := supplier_terms(theirs[0].supplier, ours, theirs):
            found.append(terms)
    return found


def supplier_terms(
    supplier: Supplier, lines: Sequence[OrderLine], shelves: Sequence[Shelf]
) -> Terms | None:
    """What one supplier's terms make of its lines; None where they change nothing."""
    price = sum(line.price or 0 for line in lines)
    least, free = supplier.order_minimum_minor or 0, supplier.free_carriage_minor
    carriage = supplier.carriage_minor or 0
    if price < least:
        threshold, saved, what = least, 0, Fact("order_minimum")
    elif free is not None and price < free and carriage:
        threshold, saved, what = free, carriage, Fact("free_carriage")
    else:
        return None
    chosen, why = top_up(threshold - price, saved, candidates(lines, shelves))
    fill: dict[str, int] = {}
    for one in chosen:
        fill[one.profile] = fill.get(one.profile, 0) + one.sticks
    waits = any(line.for_short or line.for_jobs for line in lines)
    said = Fact("below_terms", {
        "supplier": supplier.name, "price_minor": price, "lacking_minor": threshold - price,
        "what": what, "advice": advice(fill, carriage if saved else 0, why, waits, shelves),
    })  # fmt: skip
    return Terms(supplier.code, price, said, fill, leave=not (fill or saved or waits))


def advice(
    fill: dict[str, int], carriage: int, why: Fact, waits: bool, shelves: Sequence[Shelf]
) -> Fact:
    """What to do about an order below a threshold: fill it, pay, or leave it if no job waits."""
    if fill:
        sticks = tuple(sticks_of(profile, count) for profile, count in sorted(fill.items()))
        return Fact("fill_order_up", {"sticks": sticks, "why": why})
    if carriage:
        return Fact("pay_carriage", {"carriage_minor": carriage, "why": why,
                                     "more": sparing(carriage, shelves)})  # fmt: skip
    return Fact("jobs_wait_for_order" if waits else "leave_order", {"why": why})


def sparing(carriage: int, shelves: Sequence[Shelf]) -> Fact | None:
    """The order that costs least in carriage and money tied up, where that is not each week's."""
    yearly = sum(yearly_value(shelf) for shelf in shelves)
    order = economic_order(yearly, carriage)
    weeks = WEEKS_A_YEAR * order / yearly if yearly else 0.0
    if weeks < SELDOM:
        return None
    return Fact("order_seldom", {"order_minor": round(order), "weeks": round(weeks)})


def yearly_value(shelf: Shelf) -> float:
    """What a year of a profile's expected rails comes to at its stick's price, minor units."""
    profile = shelf.profile
    price = stick_price(profile)
    if not (shelf.trusted and price) or shelf.discontinued:
        return 0.0
    return price * WEEKS_A_YEAR * shelf.asked.weekly_length / profile.stick_length_um


def candidates(lines: Sequence[OrderLine], shelves: Sequence[Shelf]) -> list[TopUp]:
    """Sticks that will be needed some week, box by box where they come in boxes, each with the
    weeks that the rack lasts before it."""
    ordered = {line.profile: line.sticks for line in lines}
    found: list[TopUp] = []
    for shelf in shelves:
        profile = shelf.profile
        weekly = shelf.asked.weekly_length
        box = profile.box_sticks or 1
        price = cost_of_sticks(profile, box)
        if shelf.discontinued or not (shelf.expects and weekly and price):
            continue
        length = sum(piece.length for piece in shelf.rack)
        length += (sum(shelf.coming) + ordered.get(profile.code, 0)) * profile.stick_length_um
        for number in range(0, MOST_STICKS, box):
            lasts = (length + number * profile.stick_length_um) / weekly
            found.append(TopUp(profile.code, price, lasts, box))
    return found


def filled(shop: Shop, lines: Sequence[OrderLine], terms: Sequence[Terms]) -> list[OrderLine]:
    """The lines with what the suppliers' terms are worth filling up with."""
    wanted = {profile: sticks for one in terms for profile, sticks in one.fill.items()}
    with reading(shop.engine) as session:
        every = shelves_of(session, shop)
        shelves = {shelf.profile.code: shelf for shelf in every}
    there = {line.profile: line for line in lines}
    for code, sticks in wanted.items():
        parts = LineParts((), 0, 0, 0, 0, 0, fill=sticks)
        line = there.get(code)
        fresh = line_of(shop, shelves[code], parts)
        there[code] = fresh if line is None else with_fill(line, fresh)
    return sorted(there.values(), key=lambda line: (line.supplier, line.profile))


def with_fill(line: OrderLine, fill: OrderLine) -> OrderLine:
    """A line with the sticks of another that only fills up."""
    return replace(
        line,
        sticks=line.sticks + fill.sticks,
        for_fill=fill.sticks,
        price=(line.price or 0) + (fill.price or 0),
        why=(*line.why, fill.why[0]),
    )


def standing_notes(shop: Shop) -> list[Fact]:
    """What the orders that stand mean for this week's: late ones, and drafts that do not count."""
    said = []
    for order in order_rows(shop):
        if days := order.late(shop.hand.day):
            said.append(Fact("order_late", {"order": order.number, "supplier": order.supplier,
                                            "days": days, "sticks": order.to_come}))  # fmt: skip
        elif order.state == "draft":
            said.append(Fact("order_is_draft", {"order": order.number,
                                                "supplier": order.supplier}))  # fmt: skip
    return said

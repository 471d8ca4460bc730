"""What a supplier's terms make of the week's order: its minimum, and carriage saved or paid."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from stockroom.buying import TopUp, top_up
from stockroom.database import reading
from stockroom.money import format_money
from stockroom.services.shop import Shop
from stockroom.services.weekly import TRUSTED_WEEKS, OrderLine, Shelf, shelves_of
from stockroom.tables import Supplier

__all__ = ["Terms", "terms_of"]

MOST_STICKS = 12


@dataclass(frozen=True, slots=True)
class Terms:
    """One supplier's share of the order: its price (minor units), and what is said of it.

    ``fill`` names sticks by profile that would bring it to a threshold, where that is worth it.
    """

    supplier: str
    price: int
    said: str
    fill: dict[str, int]


def terms_of(shop: Shop, lines: Sequence[OrderLine]) -> list[Terms]:
    """What each supplier's terms make of these lines, by supplier; those without terms left out."""
    with reading(shop.engine) as session:
        shelves = shelves_of(session, shop.hand.day, None)
    found = []
    for code in sorted({line.supplier for line in lines}):
        ours = [line for line in lines if line.supplier == code]
        theirs = [shelf for shelf in shelves if shelf.supplier.code == code]
        if terms := supplier_terms(shop, theirs[0].supplier, ours, theirs):
            found.append(terms)
    return found


def supplier_terms(
    shop: Shop, supplier: Supplier, lines: Sequence[OrderLine], shelves: Sequence[Shelf]
) -> Terms | None:
    """What one supplier's terms make of its lines; None where they change nothing."""
    price = sum(line.price or 0 for line in lines)
    least, free = supplier.order_minimum_minor or 0, supplier.free_carriage_minor
    if price < least:
        threshold, saved, what = least, 0, "order minimum"
    elif free is not None and price < free and supplier.carriage_minor:
        threshold, saved, what = free, supplier.carriage_minor, "free carriage"
    else:
        return None
    chosen, why = top_up(threshold - price, saved, candidates(lines, shelves))
    fill: dict[str, int] = {}
    for stick in chosen:
        fill[stick.profile] = fill.get(stick.profile, 0) + 1
    named = ", ".join(f"{count} {profile}" for profile, count in sorted(fill.items()))
    mark = shop.settings.currency
    said = (
        f"{supplier.name}: {format_money(price, mark)}, {format_money(threshold - price, mark)} "
        f"below its {what}: " + (f"add {named}, {why}" if fill else f"leave it, {why}")
    )
    return Terms(supplier.code, price, said, fill)


def candidates(lines: Sequence[OrderLine], shelves: Sequence[Shelf]) -> list[TopUp]:
    """Sticks that will be needed some week, each with the weeks that the rack lasts before it."""
    ordered = {line.profile: line.sticks for line in lines}
    found: list[TopUp] = []
    for shelf in shelves:
        profile, past = shelf.profile, shelf.asked
        price = profile.stick_price_minor
        trusted = past.forecast.weeks >= TRUSTED_WEEKS and not profile.discontinued
        if not (trusted and past.forecast.rate and price):
            continue
        weekly = past.forecast.rate * fmean(2 * (a + b) for a, b in past.shapes)
        length = sum(piece.length for piece in shelf.rack)
        length += (shelf.coming + ordered.get(profile.code, 0)) * profile.stick_length_um
        for number in range(MOST_STICKS):
            lasts = (length + number * profile.stick_length_um) / weekly
            found.append(TopUp(profile.code, price, lasts))
    return found

"""Lines typed at the rack: bundles of a delivery, pieces found, one line each."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from stockroom.cli.app import say
from stockroom.cli.asking.questions import unless_odd
from stockroom.cli.remedies import worded
from stockroom.record.ledger import RackPiece
from stockroom.record.orders import OrderState
from stockroom.record.stocktake import UNKNOWN_BATCH
from stockroom.refusals import StockroomError, Unknown, Unreadable
from stockroom.screens.ask import ask_text
from stockroom.services.catalogue.load import profile_rows
from stockroom.services.rack.likely_length import check_found, check_usual
from stockroom.services.rack.pieces import Arrival, log_found
from stockroom.services.rack.typed_pieces import (
    flaws_typed,
    several_typed,
    sticks_typed,
    stock_length,
)
from stockroom.services.shop import Shop
from stockroom.services.weekly.receive_order import Bundle
from stockroom.units.lengths import Micrometres
from stockroom.units.texts import near
from stockroom.words.language import word

__all__ = ["ask_delivery", "ask_found"]

BUNDLES = "A line for each profile: its batch (- for none), then lengths, as B7 4x 2998, 3001."
FOUND = ("A line for each piece: profile, length, place, =batch, flaw f12..13 from its label's "
         "end; what is left out stays as in the line before (the place and flaws do not). "
         "Enter: no more.")  # fmt: skip


def ask_delivery(shop: Shop, order: OrderState, *, odd: bool = False) -> list[Bundle]:
    """What came of an order, asked for profile by profile."""
    say(BUNDLES)
    bundles = []
    for line in order.lines:
        due = line.sticks - line.received
        while due > 0:
            asked = word("{profile}, {due} to come", profile=line.profile, due=due)
            typed = ask_text(asked, "PROFILE BATCH LENGTH...", default="")
            if not typed:
                break
            try:
                bundle = bundle_told(shop, line.profile, typed)
                lengths = [stick.length for stick in bundle.sticks]
                unless_odd(odd, lambda: check_usual(shop, line.profile, lengths))  # noqa: B023
            except StockroomError as error:
                say(worded(error))
                continue
            bundles.append(bundle)
            due -= len(bundle.sticks)
    spot = ask_text("Where do they go (may be empty)", "--at", default="") if bundles else ""
    return [replace(bundle, spot=spot) for bundle in bundles]


def bundle_told(shop: Shop, profile: str, typed: str) -> Bundle:
    """A bundle as typed: its batch, then lengths with a comma and a blank between.

    Raises:
        Unreadable: there is no length, or one cannot be read.
    """
    batch, _, rest = typed.strip().partition(" ")
    if not rest.strip():
        raise Unreadable(typed, "the batch, then the lengths, such as B7 4x 2998, 3001")
    lengths = [um for part in several_typed(rest) for um in sticks_typed(part, shop.settings)]
    return Bundle(profile, batch, tuple(map(Arrival, lengths)))


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece found, as a line tells it."""

    profile: str = ""
    batch: str = UNKNOWN_BATCH
    length: Micrometres = 0
    spot: str = ""
    flaws: tuple[tuple[int, int], ...] = ()


def ask_found(shop: Shop, profile: str, batch: str) -> Iterator[RackPiece]:
    """Pieces found, a line each until an empty one; each is logged before the next is asked for."""
    say(FOUND)
    known = {one.code for one in profile_rows(shop)}
    line = PieceLine(profile.strip().upper(), batch)
    while typed := ask_text(f"{line.profile or 'Piece'}", "PROFILE LENGTH", default=""):
        try:
            line = line_told(shop, typed, line, known)
            piece = logged(shop, line)
        except StockroomError as error:
            say(worded(error))
            continue
        if piece is not None:
            say(word("label {id}: {profile} {length}", id=piece.id, profile=piece.profile,
                     length=shop.settings.stock_with_unit(piece.length)))  # fmt: skip
            yield piece


def line_told(shop: Shop, typed: str, before: PieceLine, known: set[str]) -> PieceLine:
    """A line as typed; profile and batch stay as in the line before where it has none.

    Raises:
        Unreadable: a word is none of these.
    """
    line, rest = replace(before, length=0, spot="", flaws=()), list[str]()
    for part in typed.split():
        if part.upper() in known and not rest:
            line = replace(line, profile=part.upper())
        elif part.startswith("="):
            line = replace(line, batch=part[1:] or UNKNOWN_BATCH)
        elif part[:1].lower() == "f" and ".." in part:
            line = replace(line, flaws=(*line.flaws, *flaws_typed([part[1:]], shop.settings)))
        else:
            rest.append(part)
    for count in range(len(rest), 0, -1):
        try:
            um = stock_length(" ".join(rest[:count]), shop.settings)
        except Unreadable:
            continue
        return replace(line, length=um, spot=" ".join(rest[count:]))
    if rest and rest[0][:1].isalpha():
        raise Unknown("unknown_profile", rest[0], near(rest[0].upper(), sorted(known)))
    if rest:
        raise Unreadable(" ".join(rest), "a length and a place, such as 920 C2; or a profile")
    return line


def logged(shop: Shop, line: PieceLine) -> RackPiece | None:
    """The piece of a line on the record; nothing where the line only names profile or batch.

    Raises:
        Unreadable: no profile was named yet.
    """
    if not line.length:
        return None
    if not line.profile:
        raise Unreadable(str(line.length // 1000), "the profile first, such as ASH-22 920 C2")
    check: Callable[[], None] = lambda: check_found(  # noqa: E731
        shop, line.profile, line.length, stick=False
    )
    unless_odd(False, check)
    piece = Arrival(line.length, flaws=line.flaws)
    return log_found(shop, line.profile, line.batch, piece, line.spot)

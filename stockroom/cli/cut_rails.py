"""Rails that are cut of a job that is changed or cancelled: asked about, and told of."""

import sys
from collections.abc import Callable, Sequence

from stockroom.cli.app import counted, say
from stockroom.record.ledger import RackPiece
from stockroom.refusals import Unreadable
from stockroom.screens.ask import ask_choice
from stockroom.services.rack.rails_back import RailsTo, StandingRail
from stockroom.services.shop import Shop

__all__ = ["rails_to", "tell_back"]


def rails_to(
    shop: Shop, typed: str | None, at_stake: Callable[[], Sequence[StandingRail]]
) -> RailsTo:
    """Where cut rails go: as typed, or asked on a terminal where some are at stake.

    Raises:
        Unreadable: it is none of the three.
    """
    if typed is None and sys.stdin.isatty() and (rails := at_stake()):
        show = shop.settings.length_with_unit
        say(f"{counted(len(rails), 'rail')} that {'is' if len(rails) == 1 else 'are'} cut: "
            f"{', '.join(show(rail.length) for rail in rails)}")  # fmt: skip
        typed = ask_choice("Where do they go?", "--rails", ("rack", "scrap", "joined"), "rack")
    match typed:
        case None | "rack":
            return "rack"
        case "scrap" | "joined":
            return typed
        case _:
            raise Unreadable(typed, "rack, scrap or joined")


def tell_back(shop: Shop, back: Sequence[RackPiece], scrapped: int) -> None:
    """Says what became of rails that were cut."""
    show = shop.settings.length_with_unit
    for piece in back:
        place = f" to {piece.spot}" if piece.spot else ""
        say(f"Back on the rack, label {piece.id}: {show(piece.length)}{place}")
    if scrapped:
        say(f"{counted(scrapped, 'rail')} went to scrap.")

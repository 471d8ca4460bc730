"""Questions at the counter and at the saw; each has an option that answers it."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from stockroom.cli.app import say
from stockroom.cli.remedies import worded
from stockroom.refusals import StockroomError, Unreadable
from stockroom.screens.ask import ask_choice, ask_text
from stockroom.screens.plan_screen import show_piece
from stockroom.services.catalogue.load import profile_rows
from stockroom.services.counter.typed_jobs import ARTWORK, count_of, day_of
from stockroom.services.morning.sheets import sheet_of, to_settle
from stockroom.services.saw.record_cut import CutDone
from stockroom.services.shop import Shop
from stockroom.views.sheet import CAUTIONS, SheetPiece

__all__ = ["ask_cuts", "ask_job"]


def ask_job(shop: Shop) -> dict[str, Any]:
    """Asks for a job question by question; gives it as typed."""
    kinds = {profile.code: profile.kind for profile in profile_rows(shop)}
    unit = shop.settings.unit

    def length(name: str) -> Callable[[str], object]:
        return lambda text: ARTWORK[name][1](text, unit)

    told: dict[str, Any] = {
        "customer": ask_text("Customer", "--customer"),
        "title": ask_text("Title (may be empty)", "--title", default=""),
        "profile": ask_text("Profile", "--profile", known=tuple(kinds)).upper(),
        "width": ask_text("Width, up to three readings with ' / ' between", "--width",
                          read=length("width")),
        "height": ask_text("Height, likewise", "--height", read=length("height")),
        "depth": ask_text("Depth of the canvas or package (may be empty)", "--depth", default="",
                          read=length("depth")),
    }  # fmt: skip
    if kinds.get(told["profile"]) == "float":
        told["gap"] = ask_text("Gap on each side (empty: the usual)", "--gap", default="",
                               read=length("gap"))  # fmt: skip
    else:
        told["mat"] = ask_text("Mat border (empty: no mat)", "--mat", default="",
                               read=length("mat"))  # fmt: skip
    told["due"] = ask_text("Due", "--due", default=shop.hand.day.isoformat(), read=day_of)
    told["quantity"] = ask_text("How many", "--quantity", default="1", read=count_of)
    return {name: value for name, value in told.items() if value}


Record = Callable[[Shop, int, Mapping[str, object]], CutDone]
"""Records a piece of a plan as typed."""


def ask_cuts(shop: Shop, plan: int, record: Record) -> Iterator[CutDone]:
    """Goes through the pieces of a plan that wait, one by one; each is recorded before the next."""
    for line in CAUTIONS:
        say(line)
    pieces = {piece.number: piece for piece in sheet_of(shop, plan).pieces}
    for number in to_settle(shop, plan):
        show_piece(pieces[number], shop.settings)
        while True:
            answer = ask_choice("Cut as planned, differently, not today, or stop?", "--piece",
                                ("planned", "differs", "not-today", "stop"), "planned")  # fmt: skip
            if answer == "stop":
                return
            try:
                yield record(shop, plan, ask_piece(answer, pieces[number]))
                break
            except StockroomError as error:
                say(worded(error))


def ask_piece(answer: str, piece: SheetPiece) -> dict[str, object]:
    """What happened to a piece, as typed."""
    typed: dict[str, object] = {"piece": piece.number}
    if answer == "not-today":
        typed |= {"left": True, "why": ask_text("Why", "--why", default="")}
        flaw = ask_text("A flaw found on it, FROM..TO (empty: none)", "--flaw", default="")
        return typed | ({"flaw": [flaw]} if flaw else {})
    if answer == "differs":
        instead = ask_text("Another piece taken? Its number (empty: no)", "--instead", default="",
                           read=numbers)  # fmt: skip
        typed["instead"] = numbers(instead)[0] if instead else None
        for name in ("miscut", "uncut"):
            text = ask_text(f"Rails {name}, such as 2 3 (empty: none)", f"--{name}", default="",
                            read=numbers)  # fmt: skip
            typed[name] = numbers(text)
        flaw = ask_text("A flaw found on what is left, FROM..TO (empty: none)", "--flaw",
                        default="")  # fmt: skip
        typed["flaw"] = [flaw] if flaw else None
        typed["why"] = ask_text("Why", "--why", default="")
    left = ask_text("What is left, along the back edge (empty: as planned)", "--leftover",
                    default="")  # fmt: skip
    spot = ask_text("Where does the offcut go (empty: where the piece was)", "--at", default="")
    return typed | {"leftover": [left] if left else None, "at": spot}


def numbers(text: str) -> list[int]:
    """Whole numbers with spaces or commas between.

    Raises:
        Unreadable: one of them is no number.
    """
    words = text.replace(",", " ").split()
    if not all(word.isascii() and word.isdecimal() and len(word) < 10 for word in words):
        raise Unreadable(text, "numbers such as 2 3")
    return [int(word) for word in words]

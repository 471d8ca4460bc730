"""Questions at the counter and at the saw; each has an option that answers it."""

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from stockroom.cli.app import say
from stockroom.cli.remedies import worded, words
from stockroom.record.ledger import RackPiece
from stockroom.refusals import Refused, StockroomError, Unlikely
from stockroom.screens.ask import ask_choice, ask_text
from stockroom.screens.plan_screen import show_piece
from stockroom.services.catalogue.load import profile_rows
from stockroom.services.counter.typed_jobs import ARTWORK
from stockroom.services.csv_columns import count_of
from stockroom.services.morning.sheets import sheet_of, to_settle
from stockroom.services.rack.rails_back import RAILS_TO, RailsTo, StandingRail, rails_to_told
from stockroom.services.saw.record_cut import CutDone, fits_again
from stockroom.services.saw.take_out import TakenOut, plan_that_cuts, take_out
from stockroom.services.saw.typed_cuts import answer_told, report_told
from stockroom.services.shop import Shop
from stockroom.views.sheet import CAUTIONS
from stockroom.words.language import day_told, word

__all__ = ["ask_cuts", "ask_job", "out_of_plan", "rails_to", "taken_out", "tell_back", "unless_odd"]


def ask_job(shop: Shop) -> dict[str, Any]:
    """Asks for a job question by question; gives it as typed."""
    kinds = {profile.code: profile.kind for profile in profile_rows(shop)}

    def length(name: str) -> Callable[[str], object]:
        return lambda text: ARTWORK[name].cell.read(text, shop)

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
    told["due"] = ask_text("Due", "--due", default=day_told(shop.hand.day), read=shop.day)
    told["quantity"] = ask_text("How many", "--quantity", default="1", read=count_of)
    return {name: value for name, value in told.items() if value}


Record = Callable[[Shop, int, Mapping[str, object]], CutDone]
"""Records a piece of a plan as typed."""


LINES = (
    "Enter: cut as planned. 920 B5: 920 is left, at B5. m2: rail 2 miscut (m2=440: 440 "
    "of it remains; m2=0: scrap; m2+: cut again from this piece). "
    "u2: rail 2 not cut. "
    "f10..20: a flaw on what is left, from its fresh cut. i57: piece 57 taken instead. "
    "n: not today. x: not there. s: stop. # and the reason."
)


def unless_odd(odd: bool, check: Callable[[], None]) -> None:
    """Asks whether a length is right that is far from the usual, unless ``odd`` has said so.

    Raises:
        Unlikely: it is, and there is no terminal to ask on.
        Refused: it was not right after all.
    """
    try:
        if not odd:
            check()
    except Unlikely as error:
        if not sys.stdin.isatty():
            raise
        say(words().say(error))
        if ask_choice("Is that right?", "--odd", ("yes", "no"), "no") == "no":
            raise Refused("nothing was recorded", "type it again") from None


def ask_cuts(shop: Shop, plan: int, record: Record) -> Iterator[CutDone]:
    """Goes through the pieces of a plan that wait, a line each, recorded one by one."""
    pieces = {piece.number: piece for piece in sheet_of(shop, plan).pieces}
    waiting = to_settle(shop, plan)
    for line in CAUTIONS:
        say(words().word(line))
    say(LINES)
    for place, number in enumerate(waiting, 1):
        show_piece(pieces[number], shop.settings)
        while True:
            line = ask_text(word("{place} of {waiting}", place=place, waiting=len(waiting)),
                            "--piece", default="")  # fmt: skip
            try:
                typed = answer_told(line, number, shop.settings)
                if typed is None:
                    return
                yield record(shop, plan, cut_again(shop, plan, typed))
                break
            except StockroomError as error:
                say(worded(error))
                if number not in to_settle(shop, plan):
                    break


def cut_again(shop: Shop, plan: int, typed: dict[str, Any]) -> dict[str, Any]:
    """What was typed of a piece; a rail that was miscut cut again from it, where that is wanted and
    the rest of it suffices."""
    report = report_told(plan, typed, shop.settings)
    missed = sorted(report.miscut - report.again)
    if not missed or not fits_again(shop, report):
        return typed
    rails = ", ".join(map(str, missed))
    question = word("Cut rail {rails} again from this piece now?", rails=rails)
    if ask_choice(question, "--again", ("yes", "no"), "yes") == "no":
        return typed
    typed = {**typed, "again": sorted(report.miscut)}
    if typed.pop("leftover", None) and (
        left := ask_text("What is left of it then (empty: as reckoned)", "--leftover", default="")
    ):
        typed["leftover"] = [left]
    return typed


def out_of_plan(shop: Shop, job: str) -> None:
    """Asks at a terminal whether a job that a plan is about to cut is taken out of it first."""
    if not sys.stdin.isatty() or (plan := plan_that_cuts(shop, job)) is None:
        return
    say(word("Plan {plan} is about to cut {job}.", plan=plan, job=job))
    if ask_choice("Take it out of the plan first?", "drop --job", ("yes", "no"), "yes") == "yes":
        say(taken_out(job, take_out(shop, job)))


def taken_out(job: str, out: TakenOut) -> str:
    """What was let go with a job that was taken out of its plan."""
    also = word("; {others} wait again too", others=", ".join(out.others)) if out.others else ""
    return (word("{job} is taken out of plan {plan}; free again: {str}{also}.", job=job,
                 plan=out.plan, str=", ".join(map(str, out.pieces)), also=also))  # fmt: skip


def rails_to(
    shop: Shop, typed: str | None, at_stake: Callable[[], Sequence[StandingRail]]
) -> RailsTo | None:
    """Where cut rails go: as typed, or asked on a terminal where some are at stake.

    Raises:
        Unreadable: it is none of the three.
    """
    if typed is None and sys.stdin.isatty() and (rails := at_stake()):
        show = shop.settings.length_with_unit
        say(word("{rails:rail} that {rails_2} cut: {rails_3}", rails=len(rails),
                 rails_2=word("is") if len(rails) == 1 else word("are"),
                 rails_3=", ".join(show(rail.length) for rail in rails)))  # fmt: skip
        typed = ask_choice("Where do they go?", "--rails", RAILS_TO, "rack")
    return rails_to_told(typed)


def tell_back(shop: Shop, back: Sequence[RackPiece], scrapped: int) -> None:
    """Says what became of rails that were cut."""
    show = shop.settings.stock_with_unit
    for piece in back:
        place = word(" to {spot}", spot=piece.spot) if piece.spot else ""
        say(word("Back on the rack, label {id}: {length}{place}", id=piece.id,
                 length=show(piece.length), place=place))  # fmt: skip
    if scrapped:
        say(word("{scrapped:rail} went to scrap.", scrapped=scrapped))

"""Commands for what pieces are: batch, mark, give-back; and on offcuts: dead, readymade."""

from collections.abc import Callable
from decimal import Decimal
from typing import Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option, say
from stockroom.cli.making.printing import numbers_typed
from stockroom.cli.morning import next_step, show_sheet
from stockroom.cli.rack import Longest, Motif, Owner, Why, show_pieces
from stockroom.cli.remedies import words
from stockroom.refusals import Refused
from stockroom.screens.lists import Column, show_rows
from stockroom.services.insight.advise_offcuts import ENOUGH_DAYS, Advice, DeadOffcut, dead_offcuts
from stockroom.services.insight.dead_sticks import dead_sticks
from stockroom.services.insight.ready_made import Offer, ready_made, sizes_named, take_ready_made
from stockroom.services.rack.correct_batch import Corrected, correct_batch, pieces_of_batch
from stockroom.services.rack.mark_pieces import give_back as to_owner
from stockroom.services.rack.mark_pieces import mark as mark_pieces
from stockroom.services.rack.pieces import find as look
from stockroom.services.rack.typed_pieces import marks_typed
from stockroom.settings.shop_settings import Settings
from stockroom.units.money import format_money
from stockroom.words.language import word

LONG_YEARS = 20
Pieces = Annotated[list[str], typer.Argument(metavar="PIECES", help="Numbers, or from..to.")]


def batch(
    ctx: typer.Context,
    pieces: Annotated[
        list[str] | None, typer.Argument(metavar="PIECES", help="Numbers, or from..to.")
    ] = None,
    to: Annotated[str, typer.Option("--to", help="The batch that they are of.")] = "",
    of: Annotated[
        str | None, typer.Option("--of", help="All pieces of this batch, with its profile.")
    ] = None,
    profile: Annotated[str | None, typer.Option("--profile", "-p")] = None,
    why: Why = "",
) -> None:
    """Say of which batch pieces are, and all that was cut from the same sticks.

    [dim]Example: stockroom batch 7..12 --to K11[/dim]
    """
    if bool(pieces) == bool(of and profile) or not to:
        raise Refused("a batch is set right for some pieces, or for all of one batch",
                      "stockroom batch 7..12 --to K11, or: stockroom batch -p LEAF-40 --of K10 "
                      "--to K11")  # fmt: skip
    shop = bench(ctx).open()
    if of and profile:
        numbers = pieces_of_batch(look(shop, profile), profile, of)
    else:
        numbers = numbers_typed(pieces or ())
    tell_batch(correct_batch(shop, numbers, to, why), shop.settings)


def tell_batch(result: Corrected, settings: Settings) -> None:
    """Says which pieces and rails are of another batch now."""
    show_pieces(list(result.pieces), settings, "table")
    if result.along:
        say(word("Cut from the same sticks: {str}", str=", ".join(map(str, result.along))))
    if result.frames:
        say(word("So are rails of {frames}.", frames=", ".join(result.frames)))
    for frame in result.mixed:
        say(word("{frame} has rails of two batches now; cut it afresh if that shows: stockroom "
                 "afresh {frame}", frame=frame))  # fmt: skip
    numbers = [piece.id for piece in result.pieces]
    done(word("{numbers:piece} of batch {batch}.", numbers=len(numbers), batch=result.batch),
         word("new labels: stockroom labels {str}", str=" ".join(map(str, numbers))))  # fmt: skip


def mark(
    ctx: typer.Context,
    pieces: Pieces,
    longest: Longest = None,
    second: Annotated[
        bool | None, typer.Option("--second/--first", help="A second, or not one after all.")
    ] = None,
    owner: Owner = None,
    motif: Motif = None,
    why: Why = "",
) -> None:
    """Say of pieces that they are bowed, seconds, a customer's own, or where a motif begins.

    What was said is taken away by none: --longest none.

    [dim]Example: stockroom mark 214 --longest "23 1/2" --why bowed[/dim]
    """
    shop = bench(ctx).open()
    told = marks_typed(shop.settings, longest, second, owner, motif)
    marked = mark_pieces(shop, numbers_typed(pieces), told, why)
    show_pieces(marked, shop.settings, "table")
    numbers = " ".join(str(piece.id) for piece in marked)
    done(word("{marked:piece} marked.", marked=len(marked)),
         word("new labels: stockroom labels {numbers}", numbers=numbers))  # fmt: skip


def give_back(ctx: typer.Context, pieces: Pieces, why: Why = "") -> None:
    """Give a customer's own moulding back: the pieces leave the rack.

    [dim]Example: stockroom give-back 31 32 --why "what was left of it"[/dim]
    """
    shop = bench(ctx).open()
    gone = to_owner(shop, numbers_typed(pieces), why)
    show = shop.settings.stock_with_unit
    for piece in gone:
        say(word("Piece {id} ({profile}): {length}.", id=piece.id, profile=piece.profile,
                 length=show(piece.length)))  # fmt: skip
    done(word("{gone:piece} given back to {owner}.", gone=len(gone), owner=gone[0].owner),
         "take them off the rack.")  # fmt: skip


def dead(
    ctx: typer.Context,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Reckon, though the past is short.")
    ] = False,
    how: How = "table",
) -> None:
    """List dead offcuts, which no job is going to use, and why; and sticks a year won't reach.

    [dim]Example: stockroom dead[/dim]
    """
    how_option(how)
    shop = bench(ctx).open()
    advice = dead_offcuts(shop, anyway=anyway)
    columns = [
        Column("piece", "piece", "right"), Column("profile", "profile"), Column("batch", "batch"),
        Column("spot", "place"),
        Column("length_um", word("length, {unit}", unit=shop.settings.unit), "right",
               shop.settings.stock),
        Column("days", "days", "right"),
        Column("price_minor", "price", "right", money(shop.settings)),
        Column("fits_a_year", "fit", "right"), Column("turn", "turn", "right", spare=True),
        Column("used_in", "used in", "right", seen_by="eye", spare=True),
        Column("used_in_years", "used in", seen_by="script"),
        Column("by", "by", seen_by="script"),
    ]  # fmt: skip
    show_rows(columns, [row_of(one) for one in advice.offcuts], how)
    if advice.young and not anyway:
        age = counted(advice.days, "day")
        done(word("The past known here is {age}; what is dead can be told from {ENOUGH_DAYS} "
                  "days on.", age=age, ENOUGH_DAYS=ENOUGH_DAYS),
             "stockroom dead --anyway, to reckon with what is there")  # fmt: skip
        return
    for dead in dead_sticks(shop, anyway=anyway):
        say(f"{words().say(dead.said)}.")
    say_dead(advice, shop.settings)


def row_of(one: DeadOffcut) -> list[str | int | Decimal | None]:
    """A dead offcut as a row."""
    when = None if one.wait.years is None else Decimal(f"{float(one.wait.years):.1f}")
    return [
        one.number, one.profile, one.batch, one.spot, one.length, one.days, one.money,
        round(one.wait.fits), one.wait.turn or None, years(when), when,
        "frames" if one.matched else "rails",
    ]  # fmt: skip


def years(when: Decimal | None) -> str:
    """When an offcut would be used, in words; a long time is as good as never."""
    return "never" if when is None or when > LONG_YEARS else word("{when} years", when=when)


def money(settings: Settings) -> Callable[[int], str]:
    """How money is shown."""
    return lambda minor: format_money(minor, settings.currency)


def say_dead(advice: Advice, settings: Settings) -> None:
    """What the columns mean, and what all of it comes to."""
    if advice.offcuts:
        span = counted(advice.days, "day") + (", taken as if they were 91" if advice.young else "")
        say(word("By what was asked for in {span}, reckoned to a year.\nfit: rails a year no "
                 "longer than it (where batches must match: frames whole from\nits batch); turn: "
                 "the shorter ones come first; used in: at this pace. Of a\nbatch, never also "
                 "means that the others of it are used up first.", span=span))  # fmt: skip
    total = settings.length_with_unit(sum(one.length for one in advice.offcuts))
    known = sum(one.money or 0 for one in advice.offcuts)
    unknown = sum(one.money is None for one in advice.offcuts)
    said = word("{offcuts:offcut} to clear out, {total}", offcuts=len(advice.offcuts), total=total)
    if len(advice.offcuts) > unknown:
        said += word(", {known} as bought", known=money(settings)(known))
    if unknown:
        said += word("{unknown} {unknown_2} of unknown price", unknown=";"
                     if len(advice.offcuts) > unknown else ",", unknown_2=unknown)  # fmt: skip
    done(f"{said}.", "stockroom readymade --dead, to see what could be made of them; "
                     "stockroom write-off PIECE" if advice.offcuts else "")  # fmt: skip


def readymade(
    ctx: typer.Context,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    size: Annotated[
        list[str] | None,
        typer.Option("--size", metavar="SIZE", help="This size, as 8x10 or 30x40 cm."),
    ] = None,
    dead_alone: Annotated[bool, typer.Option("--dead", help="From dead offcuts alone.")] = False,
    most: Annotated[
        int, typer.Option("--most", min=1, max=500, help="So many frames, the best.")
    ] = 100,
    take: Annotated[
        bool, typer.Option("--take", help="Take them in for stock, and propose their plan.")
    ] = False,
    how: How = "table",
) -> None:
    """List the frames of standard sizes that the rack's offcuts yield today, no stick opened.

    [dim]Example: stockroom readymade --profile ASH-22 --size 8x10 --take[/dim]
    """
    how_option(how)
    shop = bench(ctx).open()
    offer = ready_made(shop, profile, sizes=sizes_named(shop, size or ()), dead_alone=dead_alone,
                       most=most)  # fmt: skip
    if take:
        sheet = take_ready_made(shop, offer)
        show_sheet(sheet, shop)
        next_step(sheet, shop)
        return
    show_offer(offer, shop.settings, how)
    if not offer.frames:
        done("The rack's offcuts yield no frame of these sizes today.",
             'stockroom readymade --size "30x40 cm", for any other')  # fmt: skip
        return
    said = word("{frames:frame} from offcuts alone, each from one batch", frames=len(offer.frames))
    if offer.left_alone:
        said += "; what open jobs need is left alone" if not dead_alone else ""
    done(f"{said}.", "stockroom readymade --take, to have their plan proposed")


def show_offer(offer: Offer, settings: Settings, how: str) -> None:
    """The frames, best worth first."""
    show = settings.length
    columns = [
        Column("profile", "profile"), Column("batch", "batch"), Column("size", "size"),
        Column("across_um", word("rails, {unit}", unit=settings.unit), "right", show),
        Column("upright_um", "and", "right", show),
        Column("moulding_minor", "moulding", "right", money(settings)),
        Column("gain_um", "gain", "right", show, seen_by="script"),
        Column("gain_minor", "gain", "right", money(settings)),
        Column("pieces", "from", wraps=True),
    ]  # fmt: skip
    rows = [(o.profile, o.batch, o.size.name, *o.rails, o.moulding, o.gain, o.money,
             " ".join(map(str, o.pieces))) for o in offer.frames]  # fmt: skip
    show_rows(columns, rows, how)
    if offer.frames and how == "table":
        say("moulding: what the rails would cost to buy; gain: the same with their cuts, less\n"
            "what the offcuts are worth for other jobs, dead ones nothing.")  # fmt: skip

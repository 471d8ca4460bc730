"""Commands at the saw: cut, piece by piece, by questions, options or a file; part-with; scan."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import bench, done, say
from stockroom.cli.asking.completing import pieces_known
from stockroom.cli.asking.questions import ask_cuts, unless_odd
from stockroom.cli.counter import job
from stockroom.cli.making.printing import labels_of
from stockroom.cli.morning import show
from stockroom.cli.next_steps import after_cutting, plan_step
from stockroom.cli.record import history
from stockroom.cli.remedies import worded
from stockroom.record.ledger import RackPiece
from stockroom.refusals import StockroomError, Unreadable
from stockroom.services.counter.cut_afresh import cut_afresh
from stockroom.services.morning.sheets import newest_plan, to_settle
from stockroom.services.rack.rails_back import NOT_MEASURED
from stockroom.services.rack.typed_pieces import parted_typed, stock_length, typed_whole
from stockroom.services.saw.cut_arithmetic import SawReport
from stockroom.services.saw.likely_leftover import check_leftover
from stockroom.services.saw.part_with import part_with as parted_with
from stockroom.services.saw.record_cut import CutDone, record_cut, record_left
from stockroom.services.saw.record_file import record_file
from stockroom.services.saw.typed_cuts import report_told
from stockroom.services.saw.unlabelled import unlabelled
from stockroom.services.shop import Shop
from stockroom.settings.machines import known_machine
from stockroom.words.language import word


def cut(
    ctx: typer.Context,
    number: Annotated[
        int | None, typer.Argument(metavar="PLAN", help="The newest if left out.")
    ] = None,
    piece: Annotated[int | None, typer.Option("--piece", help="Record this piece alone.")] = None,
    instead: Annotated[int | None, typer.Option("--instead", help="This piece was taken.")] = None,
    miscut: Annotated[
        list[str] | None,
        typer.Option(
            "--miscut",
            metavar="RAIL[=LENGTH]",
            help="Rail 1, 2, … was miscut; what remains of it, along the back edge; 0 for scrap.",
        ),
    ] = None,
    uncut: Annotated[
        list[int] | None, typer.Option("--uncut", metavar="RAIL", help="Rail 1, 2, … was not cut.")
    ] = None,
    again: Annotated[
        list[int] | None,
        typer.Option("--again", metavar="RAIL", help="That miscut one was cut again from it."),
    ] = None,
    leftover: Annotated[
        list[str] | None,
        typer.Option("--leftover", help="What is left, along the back edge; 0 for nothing."),
    ] = None,
    flaw: Annotated[
        list[str] | None,
        typer.Option(
            "--flaw",
            metavar="FROM..TO",
            help="A flaw on what is left, from its fresh cut, where its label goes.",
        ),
    ] = None,
    left: Annotated[bool, typer.Option("--not-today", help="The piece was not cut.")] = False,
    missing: Annotated[
        bool, typer.Option("--missing", help="The piece is not at its place.")
    ] = False,
    at: Annotated[str, typer.Option("--at", help="Where the offcut goes.")] = "",
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")] = "",
    file: Annotated[Path | None, typer.Option("--file", help="A CSV file of what was cut.")] = None,
    as_planned: Annotated[
        bool, typer.Option("--as-planned", help="All pieces still to cut, as planned.")
    ] = False,
    machine: Annotated[
        str | None, typer.Option("--machine", help="Cut on this machine, not the profile's.")
    ] = None,
    labels: Annotated[
        bool, typer.Option("--labels/--no-labels", help="Print the new offcuts' labels to a file.")
    ] = True,
    odd: Annotated[
        bool, typer.Option("--odd", help="The leftover is right, far from the plan's as it is.")
    ] = False,
) -> None:
    """Record what was cut: as planned, or what differs.

    With nothing but a plan it asks, piece by piece, and goes on where it was broken off.

    [dim]Example: stockroom cut 7 --piece 214 --leftover "30 1/4" --at C2[/dim]
    [dim]Example: stockroom cut 7 --piece 87 --miscut 2 --why "slipped in the jig"[/dim]
    """
    shop = at_machine(bench(ctx).open(), machine)
    plan = number or newest_plan(shop, ("accepted",))
    typed: dict[str, object] = {
        "piece": piece, "instead": instead, "miscut": miscut, "uncut": uncut, "again": again,
        "leftover": leftover, "flaw": flaw, "left": left, "missing": missing, "at": at,
        "why": why, "odd": odd,
    }  # fmt: skip
    new: list[RackPiece] = []
    try:
        for result in cuts(shop, plan, file, as_planned, typed):
            tell(result, shop)
            new += result.offcuts
    finally:
        if labels and new:
            labels_of(shop, new)
    wind_up(shop, plan)


def at_machine(shop: Shop, typed: str | None) -> Shop:
    """The shop with all cut on the machine of this name, by this command alone."""
    if typed is None:
        return shop
    return replace(shop, machine=known_machine(shop.settings, typed))


def cuts(
    shop: Shop, plan: int, file: Path | None, as_planned: bool, typed: Mapping[str, object]
) -> Iterator[CutDone]:
    """Records what was cut, piece by piece, as the options say; each is told before the next."""
    if file is not None:
        yield from record_file(shop, plan, file, odd=bool(typed["odd"]))
    elif as_planned:
        yield from rest_as_planned(shop, plan)
    elif typed["piece"] is not None:
        yield one_piece(shop, plan, typed)
    else:
        yield from ask_cuts(shop, plan, one_piece)


def one_piece(shop: Shop, plan: int, typed: Mapping[str, object]) -> CutDone:
    """Records one piece as typed."""
    report: SawReport = report_told(plan, typed, shop.settings)
    unless_odd(bool(typed.get("odd")), lambda: check_leftover(shop, report))
    if typed.get("left") or typed.get("missing"):
        flaw = report.flaws[0] if report.flaws else None
        return record_left(shop, plan, report.piece, report.why, flaw,
                           not_there=bool(typed.get("missing")))  # fmt: skip
    return record_cut(shop, report)


def rest_as_planned(shop: Shop, plan: int) -> Iterator[CutDone]:
    """Records all pieces that wait as cut as planned."""
    for piece in to_settle(shop, plan):
        yield record_cut(shop, SawReport(plan, piece))


def tell(result: CutDone, shop: Shop) -> None:
    """Says what a recorded piece left, finished and asks for."""
    show = shop.settings.length_with_unit
    stock = shop.settings.stock_with_unit
    named = {o: word("label {id}: {length}{spot}", id=o.id, length=stock(o.length),
                     spot=word(" to {spot}", spot=o.spot) if o.spot else "")
             for o in result.offcuts}  # fmt: skip
    parts = [words for o, words in named.items() if o.note != NOT_MEASURED]
    parts += [word("{frame} has all its rails", frame=frame) for frame in result.finished]
    if result.again:
        again = tuple(dict.fromkeys(result.again))
        parts.append(word("{again} {again:goes|go} into the next plan", again=again))
    if result.difference:
        more = word("less") if result.difference > 0 else word("more")
        parts.append(word("{difference} {more} than the record had",
                          difference=show(abs(result.difference)), more=more))  # fmt: skip
    say(word("Piece {piece}: {parts}.", piece=result.piece, parts="; ".join(parts) if parts
             else word("recorded, nothing to keep")))  # fmt: skip
    for words in (words for o, words in named.items() if o.note == NOT_MEASURED):
        say(word("  {words}, a miscut rail: measure it", words=words))


def wind_up(shop: Shop, plan: int) -> None:
    """Says what is left to cut, or what follows a finished plan."""
    if bare := unlabelled(shop):
        say(word("Without a label: {bare}: stockroom labels",
                 bare=", ".join(str(piece.id) for piece in bare)))  # fmt: skip
    waiting = to_settle(shop, plan)
    if waiting:
        done(word("{waiting:piece} of plan {plan} still to be cut.", waiting=len(waiting),
                  plan=plan), f"stockroom cut {plan}")  # fmt: skip
    else:
        done(word("Plan {plan} is finished.", plan=plan), after_cutting(shop))


def afresh(
    ctx: typer.Context,
    frame: Annotated[str, typer.Argument(metavar="JOB", help="Such as J12, or its frame J12.2.")],
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")] = "",
    at: Annotated[str, typer.Option("--at", help="Where the rails go.")] = "",
    scrap: Annotated[bool, typer.Option("--scrap", help="They are of no use.")] = False,
) -> None:
    """Cut a frame again whole: what was cut for it goes back on the rack.

    [dim]Example: stockroom afresh J12 --why "batch OLD has run out"[/dim]
    """
    shop = bench(ctx).open()
    again = cut_afresh(shop, frame, why, at, scrap=scrap)
    show = shop.settings.stock_with_unit
    parts = [word("label {id}: {length}", id=piece.id, length=show(piece.length))
             for piece in again.racked]  # fmt: skip
    parts += [word("{scrap} to scrap", scrap=show(again.scrap))] * bool(again.scrap)
    say(f"{', '.join(again.frames)}: {'; '.join(parts)}.")
    if again.racked:
        labels_of(shop, again.racked)
    done(word("{frames} {frames:waits for all its|wait for all their} rails again.",
              frames=tuple(again.frames)),
         plan_step(shop))  # fmt: skip


def part_with(
    ctx: typer.Context,
    number: Annotated[int, typer.Argument(help="The piece's number.", autocompletion=pieces_known)],
    lengths: Annotated[
        list[str], typer.Argument(help="What is cut off, 2x for two of it; or all of the piece.")
    ],
    as_: Annotated[
        str, typer.Option("--as", metavar="[sold|sample|gift]", help="What it leaves the shop as.")
    ] = "sold",
    why: Annotated[str, typer.Option("--why", help="To whom, for the record.")] = "",
    leftover: Annotated[
        str | None, typer.Option("--leftover", help="What is left, along the back edge.")
    ] = None,
    at: Annotated[str, typer.Option("--at", help="Where the rest goes.")] = "",
) -> None:
    """Cut a length off a piece outside any plan: sold, for a sample corner, as a gift.

    The rest goes back on the rack. Lengths are along the back edge; a sample's ends are mitred.

    [dim]Example: stockroom part-with 214 "2x 4 1/2" --as sample --why "for the wall"[/dim]
    """
    shop = bench(ctx).open()
    off = parted_typed(typed_whole(lengths), shop.settings)
    left = None if leftover is None else stock_length(leftover, shop.settings)
    gone = parted_with(shop, number, off, as_.strip().lower(), why, left, at)
    show = shop.settings.stock_with_unit
    say(word("Piece {number} ({profile}): {gone} {as_}.", number=number, profile=gone.piece.profile,
             gone=show(gone.gone), as_=as_.strip().lower()))  # fmt: skip
    for piece in gone.offcuts:
        say(word("  label {id}: {length}{spot}", id=piece.id, length=show(piece.length),
                 spot=word(" to {spot}", spot=piece.spot) if piece.spot else ""))  # fmt: skip
    if gone.offcuts:
        labels_of(shop, gone.offcuts)
    done(word("It is entry {entry}.", entry=gone.entry),
         word("stockroom undo {entry}, should it be a slip", entry=gone.entry))  # fmt: skip


def scan(
    ctx: typer.Context,
    code: Annotated[
        str | None, typer.Argument(help="What the scanner read; asked for if left out.")
    ] = None,
) -> None:
    """Open what a scanned code stands for: a plan, a piece or a job.

    Without a code it waits for the scanner, code after code, until an empty line.

    [dim]Example: stockroom scan P7[/dim]
    """
    if code is not None:
        opened(ctx, code)
        return

    while read := scanned():
        try:
            opened(ctx, read)
        except StockroomError as error:
            say(worded(error))


def scanned() -> str:
    """The next code from the scanner; nothing where there is no more."""
    try:
        return str(typer.prompt("Scan", default="", show_default=False, err=True)).strip()
    except typer.Abort:
        return ""


def opened(ctx: typer.Context, code: str) -> None:
    """Shows what a code stands for.

    Raises:
        Unreadable: it is no code of this shop.
    """
    word = code.strip().upper()
    number = word[1:] if word[:1] in ("P", "J") else word
    if not (number.isascii() and number.isdecimal() and len(number) < 10):
        raise Unreadable(code, "a code from a label or a sheet, such as 214, P7 or J12")
    if word.startswith("P"):
        show(ctx, int(number))
    elif word.startswith("J"):
        job(ctx, word)
    else:
        history(ctx, "piece", number)

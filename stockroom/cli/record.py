"""Commands for the record itself: audit, entries, history, undo."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import How, answer, bench, done, how_option, say
from stockroom.cli.remedies import words
from stockroom.refusals import Refused, Unreadable
from stockroom.screens.ask import ask_choice
from stockroom.screens.console import clean, folded, width
from stockroom.screens.lists import Column, show_rows
from stockroom.screens.pager import paging
from stockroom.services.record.backup import against
from stockroom.services.record.history import (
    EntryRow,
    PieceLife,
    audit_shop,
    entry_row,
    entry_rows,
    job_life,
    piece_life,
)
from stockroom.services.record.undo import brought_by, last_own
from stockroom.services.record.undo import undo as turn_back
from stockroom.services.shop import Shop
from stockroom.settings.shop_settings import Settings
from stockroom.words.language import word
from stockroom.words.languages import translated


def audit(
    ctx: typer.Context,
    copy: Annotated[
        Path | None,
        typer.Option("--against", metavar="FILE", help="A backup or export, to compare with."),
    ] = None,
) -> None:
    """Prove the record from its entries and seals; list each fault with expected and found.

    [dim]Example: stockroom audit --against backups/shop-backup-20261123-080000.db[/dim]
    """
    shop = bench(ctx).open()
    faults = audit_shop(shop) + (against(shop, copy) if copy else [])
    for fault in faults:
        answer(words().say(fault.told))
    if faults:
        raise Refused(word("the record has {faults} faults", faults=len(faults)),
                      "restore the last good backup, and report this")  # fmt: skip
    done("The record is true: every micrometre is accounted for.")


def entries(
    ctx: typer.Context,
    last: Annotated[int, typer.Option("--last", min=1, max=10000, help="How many.")] = 20,
    how: How = "table",
) -> None:
    """List what happened last, newest first.

    [dim]Example: stockroom entries --last 50[/dim]
    """
    show_entries(entry_rows(bench(ctx).open(), last=last), how_option(how))


def show_entries(rows: list[EntryRow], how: str) -> None:
    """Prints entries as a list."""
    columns = [
        Column("entry", "entry", "right"), Column("day", "day"), Column("kind", "what", show=word),
        Column("about", "about", wraps=True, seen_by="eye"),
        Column("about", "about", seen_by="script"), Column("who", "by"),
        Column("why", "why", wraps=True, show=translated),
        Column("undone_by", "undone by", "right"),
    ]  # fmt: skip
    show_rows(columns, [
        (r.number, r.day, r.called if r.reverses is None else word("undo of {reverses}",
                                                                   reverses=r.reverses),
         about_said(r), ", ".join(map(" ".join, r.about)),
         r.who, r.why, r.undone_by)
        for r in rows
    ], how)  # fmt: skip


def about_said(row: EntryRow) -> str:
    """What an entry is about."""
    return ", ".join(word(one.told) for one in row.about)


def history(
    ctx: typer.Context,
    what: Annotated[str, typer.Argument(metavar="NUMBER", help="Such as 214 or J12.")],
    which: Annotated[str, typer.Argument(hidden=True)] = "",
) -> None:
    """Show the life of a piece with its offcuts, or of a job from measure to cut.

    [dim]Example: stockroom history piece 214[/dim]
    """
    shop = bench(ctx).open()
    if not which:
        what, which = ("job" if what.strip().upper().startswith("J") else "piece"), what.strip()
    if what == "job":
        trail = job_life(shop, which)
        with paging():
            show_trail(trail, shop.settings, "")
    elif what == "piece" and which.isascii() and which.isdecimal() and len(which) < 10:
        life = piece_life(shop, int(which))
        with paging():
            show_life(life, shop.settings, int(which), "")
    else:
        raise Unreadable(f"{what} {which}", "214 or piece 214, J12 or job J12")


def show_life(life: PieceLife, settings: Settings, asked: int, margin: str) -> None:
    """Prints a piece's life, its offcuts' lives set in below it."""
    state = word("on the rack") if life.on_rack else word("gone")
    mark = "  <" if life.number == asked else ""
    answer(f"{margin}{word(life.kind)} {life.number}, {life.profile} {life.batch}, "
               f"{settings.stock_with_unit(life.length)}, {state}{mark}")  # fmt: skip
    show_trail(life.entries, settings, f"{margin}  ")
    for child in life.offspring:
        show_life(child, settings, asked, f"{margin}    ")


def show_trail(
    rows: tuple[EntryRow, ...] | list[EntryRow], settings: Settings, margin: str
) -> None:
    """Prints what happened, an entry a line."""
    for row in rows:
        moved = ", ".join(f"{word(where)} {'-' if um < 0 else '+'}{settings.stock(abs(um))}"
                          for where, um in row.moved)  # fmt: skip
        tail = [text for text in (moved, translated(row.why)) if text]
        undone = word(" (undone by {undone_by})", undone_by=row.undone_by) if row.undone_by else ""
        line = clean(word("{day} {called} by {who}, entry {number}{undone}{tail}{tail_2}",
                          day=row.day, called=word(row.called), who=row.who, number=row.number,
                          undone=undone, tail=": " if tail else "", tail_2="; ".join(tail)),
                     4000)  # fmt: skip
        on_terminal = sys.stdout.isatty()
        first, *rest = folded(line, width() - len(margin) - 2) if on_terminal else [line]
        answer("\n".join([f"{margin}{first}", *(f"{margin}  {part}" for part in rest)]))


def undo(
    ctx: typer.Context,
    number: Annotated[
        int | None, typer.Argument(metavar="ENTRY", help="Your own last one if left out.")
    ] = None,
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")] = "",
) -> None:
    """Undo the last thing you did, or an entry that nothing later builds on.

    [dim]Example: stockroom undo 41 --why "wrong batch"[/dim]
    """
    shop = bench(ctx).open()
    entry, reversal = turn_back(shop, number or own_entry(shop), why)
    if void := brought_by(shop, entry.id):
        say(word("{pieces:Label|Labels} {pieces} {pieces:counts|count} no more: take "
                 "{pieces:it|them} off.", pieces=void))  # fmt: skip
    done(word("Entry {id} ({kind}) is undone by entry {reversal}.", id=entry.id,
              kind=word(entry.kind), reversal=reversal), "stockroom entries")  # fmt: skip


def own_entry(shop: Shop) -> int:
    """The entry that undo takes back where none is named; on a terminal it is asked about.

    Raises:
        Refused: there is none, or it is not the one that was meant.
    """
    row = entry_row(shop, last_own(shop))
    about = word(" about {about}", about=about_said(row)) if row.about else ""
    what = word("entry {number}, {called}{about}, by {who} on {day}", number=row.number,
                called=word(row.called), about=about, who=row.who, day=row.day)  # fmt: skip
    if not sys.stdin.isatty():
        say(word("Undoing {what}.", what=what))
    elif (
        ask_choice(word("Undo {what}?", what=what), "the entry's number", ("yes", "no"), "yes")
        == "no"
    ):
        raise Refused("nothing was undone", "name the entry: stockroom entries")
    return row.number

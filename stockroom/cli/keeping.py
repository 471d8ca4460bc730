"""Commands that keep the record: backup, restore, export, import, save, and counting the rack."""

from collections.abc import Sequence
from pathlib import Path
from shlex import quote
from typing import Annotated

import typer

from stockroom.cli.app import (
    How,
    NewFile,
    bench,
    done,
    how_option,
    new_name,
    say,
)
from stockroom.cli.rack import show_pieces
from stockroom.cli.remedies import tell, words
from stockroom.record.database import Waiting
from stockroom.record.stocktake import Counted, Differences, Scope, Sighting
from stockroom.screens.lists import Column, show_rows
from stockroom.services.catalogue.save import save as write_csv
from stockroom.services.rack.count import compare, count_sheet
from stockroom.services.rack.count import settle as write_down
from stockroom.services.rack.typed_sightings import numbers_told, sightings_told, unlabelled_told
from stockroom.services.record.backup import back_up
from stockroom.services.record.export import export_record, import_record
from stockroom.services.record.restore import restore as bring_back
from stockroom.services.shop import Shop
from stockroom.units.money import format_money
from stockroom.words.language import word

At = Annotated[str, typer.Option("--at", help="Places that begin so, such as A or A3.")]
OfProfile = Annotated[str | None, typer.Option("--profile", "-p", help="One profile only.")]
Copy = Annotated[Path, typer.Argument(metavar="FILE", help="A backup, or an export.")]


def backup(
    ctx: typer.Context,
    folder: Annotated[
        Path | None, typer.Option("--to", metavar="FOLDER", help="Beside the record if left out.")
    ] = None,
) -> None:
    """Copy the record while others use it, and prove the copy by an audit.

    [dim]Example: stockroom backup --to /media/usb-stick[/dim]
    """
    made = back_up(bench(ctx).open(), folder)
    done(word("The record up to entry {entries} is safe in {path}.", entries=made.entries,
              path=made.path),
         "keep it on another disk; bring it back with: stockroom restore FILE")  # fmt: skip


def restore(
    ctx: typer.Context,
    file: Copy,
    newer: Annotated[
        bool, typer.Option("--newer", help="Though the record has entries the copy lacks.")
    ] = False,
) -> None:
    """Bring a backup back; what it replaces is kept under another name.

    [dim]Example: stockroom restore backups/shop-backup-20261123-080000.db[/dim]
    """
    here = bench(ctx)
    back = bring_back(here.where, file, newer=newer, waiting=Waiting(here.wait, tell))
    kept = word("; what it replaced is kept in {kept}", kept=back.kept) if back.kept else ""
    done(word("The record is back, up to entry {entries}{kept}.", entries=back.entries, kept=kept),
         "stockroom entries")  # fmt: skip
    if back.next_piece:
        say(word("New pieces are numbered from {next_piece}: labels that are newer than the copy "
                 "may be on the rack; log such a piece with: stockroom found --number N",
                 next_piece=back.next_piece))  # fmt: skip


def export(ctx: typer.Context, file: NewFile = None) -> None:
    """Write the whole record, entries included, to a file of JSON lines.

    [dim]Example: stockroom export everything.jsonl[/dim]
    """
    shop = bench(ctx).open()
    file = new_name(file, f"stockroom-{shop.hand.day.isoformat()}", "jsonl")
    last = export_record(shop, file)
    done(word("The record up to entry {last} is in {file}.", last=last, file=file),
         word("stockroom --shop NEW import {file}, where it is to go",
              file=quote(str(file))))  # fmt: skip


def import_(ctx: typer.Context, file: Copy) -> None:
    """Make a record where there is none, named by --shop, from an export or a backup.

    [dim]Example: stockroom import everything.jsonl[/dim]
    """
    last = import_record(bench(ctx).where, file)
    done(word("The record is here, up to entry {last}; its audit is clean.", last=last),
         "stockroom find")  # fmt: skip


def save(
    ctx: typer.Context,
    what: Annotated[str, typer.Argument(metavar="suppliers|profiles|rack|jobs")],
    file: NewFile = None,
) -> None:
    """Write suppliers, profiles, the rack or the waiting jobs to a CSV file that loads again.

    [dim]Example: stockroom save rack rack.csv[/dim]
    """
    loader = "take-file" if what == "jobs" else f"load-{what}"
    file = new_name(file, what, "csv")
    done(word("{write_csv:row} written to {file}.",
              write_csv=write_csv(bench(ctx).open(), what, file), file=file),
         word("stockroom {loader} {file}, in another shop", loader=loader, file=file))  # fmt: skip


def count(ctx: typer.Context, at: At = "", profile: OfProfile = None, how: How = "table") -> None:
    """Begin a count: list what should be there.

    [dim]Example: stockroom count --at A --as csv > sheet.csv[/dim]
    """
    shop = bench(ctx).open()
    sheet = count_sheet(shop, Scope(at, profile))
    show_pieces(list(sheet.pieces), shop.settings, how_option(how))
    scope = f"{f' --at {at}' if at else ''}{f' --profile {profile}' if profile else ''}"
    done(word("{pieces:piece} should be there at entry {as_of}.", pieces=len(sheet.pieces),
              as_of=sheet.as_of),
         f"stockroom seen --since {sheet.as_of}{scope} NUMBERS...")  # fmt: skip


def seen(
    ctx: typer.Context,
    numbers: Annotated[
        list[str] | None, typer.Argument(metavar="NUMBERS", help="Labels read, such as 3 4 7..12.")
    ] = None,
    since: Annotated[
        int | None, typer.Option("--since", metavar="ENTRY", help="Where the count began.")
    ] = None,
    at: At = "",
    profile: OfProfile = None,
    file: Annotated[
        Path | None,
        typer.Option("--file", help="A CSV file: id, length, profile, batch, kind, place, note."),
    ] = None,
    unlabelled: Annotated[
        list[str] | None,
        typer.Option("--unlabelled", metavar="PROFILE=LENGTH", help="A piece without a label."),
    ] = None,
    settle: Annotated[bool, typer.Option("--settle", help="Write the differences down.")] = False,
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")] = "",
    how: How = "table",
) -> None:
    """Enter what was seen at a count; show the differences, and settle them with a reason.

    [dim]Example: stockroom seen --since 412 --at A 3 4 7..12 --unlabelled "ASH-22=31 1/2"[/dim]
    [dim]Example: stockroom seen --since 412 --at A --file seen.csv --settle --why "count"[/dim]
    """
    shop = bench(ctx).open()
    scope = Scope(at, profile)
    told = sightings(shop, scope, numbers or [], file, unlabelled or [])
    begun = count_sheet(shop, scope).as_of if since is None else since
    entry, differs = None, None
    if settle:
        entry, differs = write_down(shop, scope, begun, told, why)
    show_differences(differs or compare(shop, scope, begun, told), shop, how_option(how))
    if entry is not None:
        done(word("Settled in entry {entry}.", entry=entry),
             "label the found pieces with their numbers")  # fmt: skip
    else:
        done("Nothing is written yet.", "the same again with --settle --why REASON")


def sightings(
    shop: Shop, scope: Scope, numbers: list[str], file: Path | None, unlabelled: list[str]
) -> list[Sighting]:
    """What was seen, as typed and from a file."""
    told = [Sighting(number) for text in numbers for number in numbers_told(text)]
    told += [unlabelled_told(text, scope, shop.settings) for text in unlabelled]
    return told + (sightings_told(file, shop) if file else [])


def show_differences(told: Differences, shop: Shop, how: str) -> None:
    """Prints what differs, piece by piece, then the sums."""
    length, unit = shop.settings.length, shop.settings.unit

    def money(minor: int) -> str:
        return format_money(minor, shop.settings.currency)

    columns = [
        Column("piece", "piece", "right", lambda n: str(n) if n else "new"),
        Column("profile", "profile"), Column("batch", "batch"), Column("place", "at"),
        Column("recorded_um", word("record, {unit}", unit=unit), "right", shop.settings.stock),
        Column("counted_um", word("count, {unit}", unit=unit), "right", shop.settings.stock),
        Column("difference_um", word("difference, {unit}", unit=unit), "right", length),
        Column("money_minor", "money", "right", money),
    ]  # fmt: skip
    show_rows(columns, [
        (r.number, r.profile, r.batch, r.spot, r.recorded, r.counted, r.difference, r.money)
        for r in told.rows
    ], how)  # fmt: skip
    for number, spot in told.misplaced:
        say(
            word("Piece {number} was seen at {spot}.", number=number, spot=spot or word("no place"))
        )
    for number, story in told.meanwhile:
        say(word("Piece {number} {say}; not counted.", number=number, say=words().say(story)))
    for number, plan in told.at_saw:
        say(word("Piece {number} was not seen; plan {plan} holds it, perhaps at the saw.",
                 number=number, plan=plan))  # fmt: skip
    short, over = sum_of(told.missing), sum_of(told.found)
    say(word("{agreed:piece} as they should be; {missing} missing ({short} {unit}, {short_2}), "
             "{found} found ({over} {unit}, {over_2}), {measured} of another length.",
             agreed=len(told.agreed), missing=len(told.missing), short=length(-short[0]),
             unit=unit, short_2=money(-short[1]), found=len(told.found), over=length(over[0]),
             over_2=money(over[1]), measured=len(told.measured)))  # fmt: skip


def sum_of(rows: Sequence[Counted]) -> tuple[int, int]:
    """The length and the money of differences."""
    return sum(row.difference for row in rows), sum(row.money or 0 for row in rows)

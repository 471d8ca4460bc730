"""Commands for the catalogue: profiles, suppliers, and loading them from CSV files."""

import sys
from pathlib import Path
from shlex import quote
from typing import Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option, say
from stockroom.cli.asking.catalogue_questions import ask_profile, ask_supplier, asks
from stockroom.cli.asking.completing import profiles_known
from stockroom.cli.next_steps import rack_step
from stockroom.cli.remedies import words
from stockroom.record.catalogue import stick_price
from stockroom.refusals import Refused
from stockroom.screens.ask import ask_choice
from stockroom.screens.lists import Column, show_rows
from stockroom.screens.working import reading_csv
from stockroom.services.catalogue import profiles as profiling
from stockroom.services.catalogue import suppliers as supplying
from stockroom.services.catalogue.load import load_profiles as read_profiles
from stockroom.services.catalogue.load import load_suppliers as read_suppliers
from stockroom.services.catalogue.load import profile_rows, supplier_rows
from stockroom.services.catalogue.price_list import load_over
from stockroom.services.catalogue.profiles import values_told
from stockroom.services.counter.machine_fit import unfit_profiles
from stockroom.services.past.old_book import load_past as read_past
from stockroom.services.rack.rack_file import load_rack as read_rack
from stockroom.services.shop import Shop
from stockroom.units.money import format_money
from stockroom.words.language import word

Told = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="NAME=VALUE", help="Change a value; again for another."),
]
New = Annotated[bool, typer.Option("--new", help="Put it into the catalogue.")]
WhyChanged = Annotated[str, typer.Option("--why", help="The reason, for the record.")]


def profiles(ctx: typer.Context, how: How = "table") -> None:
    """List the profiles.

    [dim]Example: stockroom profiles --as csv[/dim]
    """
    shop = bench(ctx).open()
    length, unit = shop.settings.length, shop.settings.unit
    columns = [
        Column("profile", "profile"), Column("supplier", "from"),
        Column("name", "name", wraps=True, spare=True),
        Column("kind", "kind", show=word),
        Column("face_um", word("face, {unit}", unit=unit), "right", length),
        Column("stick_length_um", word("stick, {unit}", unit=unit), "right", length),
        Column("stick_price_minor", "a stick", "right",
               lambda minor: format_money(minor, shop.settings.currency)),
        Column("batch_matched", "by batch"), Column("minimum_sticks", "min", "right", spare=True),
    ]  # fmt: skip
    rows = [
        (p.code, p.supplier_code, p.name, p.kind, p.face_um, p.stick_length_um,
         stick_price(p), p.batch_matched, p.minimum_sticks)
        for p in profile_rows(shop)
    ]  # fmt: skip
    show_rows(columns, rows, how_option(how))
    if not rows:
        done("The catalogue has no profile yet.", rack_step(shop))


def profile(
    ctx: typer.Context,
    code: Annotated[
        str,
        typer.Argument(
            metavar="PROFILE", help="Its code, such as ASH-22.", autocompletion=profiles_known
        ),
    ],
    told: Told = None,
    new: New = False,
    why: WhyChanged = "",
    how: How = "table",
) -> None:
    """Show all that is known of a profile, change it, or add one, question by question.

    [dim]Example: stockroom profile ASH-22 --set price_per_stick=22.40[/dim]
    """
    shop = bench(ctx).open()
    values = profiling.values_told(told or ())
    if new:
        values = ask_profile(shop, code, values) if asks(values) else values
        code = profiling.add_profile(shop, code, values)
    elif values:
        changes = profiling.change_profile(shop, code, values, why)
        say("\n".join(changes) or "nothing is changed by that")
    for unfit, fact in unfit_profiles(shop, code.strip().upper()):
        say(f"! {unfit}: {words().say(fact)}")
    rows = list(profiling.profile_cells(shop, code).items())
    show_rows([Column("name", "value of"), Column("value", "", wraps=True)], rows, how_option(how))


def suppliers(ctx: typer.Context, how: How = "table") -> None:
    """List the suppliers.

    [dim]Example: stockroom suppliers[/dim]
    """
    shop = bench(ctx).open()
    rows = [(s.code, s.name, s.note) for s in supplier_rows(shop)]
    columns = [
        Column("supplier", "supplier"),
        Column("name", "name", wraps=True),
        Column("note", "note", wraps=True),
    ]
    show_rows(columns, rows, how_option(how))
    if not rows:
        done("The catalogue has no supplier yet.", rack_step(shop))


def supplier(
    ctx: typer.Context,
    code: Annotated[str, typer.Argument(metavar="SUPPLIER", help="Its code, such as LARK.")],
    told: Told = None,
    new: New = False,
    why: WhyChanged = "",
    how: How = "table",
) -> None:
    """Show a supplier and its terms, change them, or add one, question by question.

    [dim]Example: stockroom supplier LARK --set lead_days=7 --set delivery_day=Wednesday[/dim]
    """
    shop = bench(ctx).open()
    values = values_told(told or (), supplying.SUPPLIER_NAMES, "supplier", "lead_days=7")
    if new:
        values = ask_supplier(values) if asks(values) else values
        code = supplying.add_supplier(shop, code, values)
    elif values:
        changes = supplying.change_supplier(shop, code, values, why)
        say("\n".join(changes) or "nothing is changed by that")
    for unfit, fact in unfit_profiles(shop, code.strip().upper()):
        say(f"! {unfit}: {words().say(fact)}")
    rows = list(supplying.supplier_cells(shop, code).items())
    show_rows([Column("name", "value of"), Column("value", "", wraps=True)], rows, how_option(how))


File = Annotated[Path, typer.Argument(help="A CSV file with a header row.")]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Only say what would be loaded.")]


def load_suppliers(ctx: typer.Context, file: File, dry_run: DryRun = False) -> None:
    """Put suppliers into the catalogue from a CSV file: code, name, note, terms.

    [dim]Example: stockroom load-suppliers suppliers.csv[/dim]
    """
    with reading_csv(file):
        read = read_suppliers(bench(ctx).open(), file, dry_run=dry_run)
    loaded(counted(read, "supplier"), f"stockroom load-suppliers {quote(str(file))}", dry_run,
           "stockroom load-profiles FILE.csv")  # fmt: skip


def load_profiles(
    ctx: typer.Context,
    file: File,
    over: Annotated[
        bool, typer.Option("--over", help="Change those that are there to what the file says.")
    ] = False,
    dry_run: DryRun = False,
) -> None:
    """Put profiles into the catalogue from a CSV file, or a new price list over it.

    [dim]Example: stockroom load-profiles profiles.csv[/dim]
    [dim]Example: stockroom load-profiles prices-2027.csv --over[/dim]
    """
    shop = bench(ctx).open()
    if over:
        load_list(shop, file, dry_run=dry_run)
        return
    with reading_csv(file):
        read = read_profiles(shop, file, dry_run=dry_run)
    for unfit, fact in unfit_profiles(shop):
        say(f"! {unfit}: {words().say(fact)}")
    loaded(
        counted(read, "profile"),
        f"stockroom load-profiles {quote(str(file))}",
        dry_run,
        rack_step(shop),
    )


def load_list(shop: Shop, file: Path, *, dry_run: bool) -> None:
    """Shows what a list would change, then, once that is wanted, loads it."""
    listed = load_over(shop, file, dry_run=True)
    for code, changes in listed.changes.items():
        for change in changes:
            typer.echo(f"{code} {change}")
    for code in listed.new:
        typer.echo(word("{code} is new", code=code))
    what = word(
        "{changes:profile} changed, {new} new", changes=len(listed.changes), new=len(listed.new)
    )
    if dry_run or not (listed.changes or listed.new):
        done(word("{what}; nothing is loaded.", what=what),
             f"stockroom load-profiles {quote(str(file))} --over")  # fmt: skip
        return
    if sys.stdin.isatty() and ask_choice("Load that?", "--over", ("yes", "no"), "yes") == "no":
        raise Refused("nothing was loaded", "the catalogue is as it was")
    load_over(shop, file)
    done(f"{what}.", rack_step(shop))


def load_rack(ctx: typer.Context, file: File, dry_run: DryRun = False) -> None:
    """Log the pieces of a CSV file as found on the rack.

    [dim]Example: stockroom load-rack rack.csv[/dim]
    """
    with reading_csv(file):
        pieces = read_rack(bench(ctx).open(), file, dry_run=dry_run)
    loaded(
        counted(pieces, "piece"),
        f"stockroom load-rack {quote(str(file))}",
        dry_run,
        "stockroom find",
    )


def loaded(what: str, command: str, dry_run: bool, step: str) -> None:
    """Says what became of the rows, and what follows."""
    if dry_run:
        done(word("{what} would be loaded; nothing is.", what=what), command)
    else:
        done(word("{what} loaded.", what=what), step)


def load_past(ctx: typer.Context, file: File, dry_run: DryRun = False) -> None:
    """Load the jobs of an old book, so that the week's order knows the past from its first day.

    They say how often each profile is asked for and in what sizes; no stock moves, and no plan
    cuts them. Columns: day, profile, width, height, and where they are known depth, gap,
    allowance, mat, overlap, quantity.

    [dim]Example: stockroom load-past past.csv[/dim]
    """
    jobs, frames = read_past(bench(ctx).open(), file, dry_run=dry_run)
    loaded(word("{jobs:past job} of {frames:frame}", jobs=jobs, frames=frames),
           f"stockroom load-past {quote(str(file))}", dry_run, "stockroom order")  # fmt: skip

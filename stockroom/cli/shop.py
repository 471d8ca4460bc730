"""Commands for the shop itself: setup, settings, calibrate, where, demo."""

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from demo.monday import play
from stockroom.cli.app import How, answer, bench, done, how_option, say
from stockroom.cli.asking.completing import settings_known
from stockroom.cli.asking.questions import unless_odd
from stockroom.cli.asking.setup_questions import ask_settings
from stockroom.cli.next_steps import cut_step, plan_step, rack_step
from stockroom.cli.rack import Odd
from stockroom.cli.remedies import words
from stockroom.record.database import shown
from stockroom.refusals import Refused, Unknown, Unlikely, Unreadable
from stockroom.screens.lists import Column, show_rows
from stockroom.services.catalogue.load import starter as filled
from stockroom.services.record.daily import backup_of
from stockroom.services.saw.calibrate import Calibration, take_allowance
from stockroom.services.saw.calibrate import calibrate as held_against
from stockroom.services.shop import Shop, change_setting, set_up
from stockroom.settings.machines import known_machine, machines_known, on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import explained, spelt, with_setting
from stockroom.settings.usual_machine import check_machine
from stockroom.units.lengths import Micrometres
from stockroom.units.shop_unit import SHOP_UNITS
from stockroom.units.texts import near
from stockroom.words.language import word
from stockroom.words.languages import faults_of


def setup(
    ctx: typer.Context,
    name: Annotated[str, typer.Option("--name", help="The shop's name.")] = "",
    unit: Annotated[
        str, typer.Option("--unit", metavar="|".join(SHOP_UNITS), help="How it measures.")
    ] = "",
    chosen: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="SETTING=VALUE", help="Any setting; see: settings."),
    ] = None,
    starter: Annotated[
        bool, typer.Option("--starter", help="Fill the catalogue with invented mouldings.")
    ] = False,
) -> None:
    """Make a new shop's record; with nothing given, asks question by question.

    [dim]Example: stockroom setup --name "The Glue Pot" --unit in --set kerf="3.2 mm"[/dim]
    """
    here = bench(ctx)
    given = {**pairs(chosen), **{key: told for key, told in (("name", name), ("unit", unit))
                                 if told}}  # fmt: skip
    if not given and sys.stdin.isatty():
        given = ask_settings()
    shop = set_up(here.where, here.who, given, here.day, also=filled if starter else None)
    done(word("A new shop is at {where}.", where=place(here.where)), rack_step(shop))


def pairs(texts: list[str] | None) -> dict[str, str]:
    """Settings as typed, each SETTING=VALUE.

    Raises:
        Unreadable: one has no equals sign.
    """
    found = {}
    for text in texts or ():
        name, sign, value = text.partition("=")
        if not sign:
            raise Unreadable(text, 'SETTING=VALUE, such as kerf="3.2 mm"')
        found[name.strip()] = value.strip()
    return found


def check_language(typed: str) -> None:
    """A folder with another language has all its files, and sentences that can be filled in.

    Raises:
        Refused: says what is wanting.
    """
    faults = [*faults_of(Path(typed))] if Path(typed).is_dir() else []
    if faults:
        raise Refused("{language} cannot be spoken; what is wanting: {faults}",
                      "each file has the sentences of the English one, filled in with the same",
                      language=typed, faults=tuple(faults[:5]))  # fmt: skip


def settings(
    ctx: typer.Context,
    name: Annotated[
        str | None,
        typer.Argument(help="This setting alone.", autocompletion=settings_known),
    ] = None,
    value: Annotated[str | None, typer.Argument(help="Its new value, to change it.")] = None,
    machine: Annotated[
        str | None, typer.Option("--machine", help="Of this machine, though another is in use.")
    ] = None,
    odd: Odd = False,
    how: How = "table",
) -> None:
    """Show the shop's settings, or change one.

    [dim]Example: stockroom settings kerf "3.0 mm"[/dim]
    [dim]Example: stockroom settings stop inside --machine guillotine[/dim]
    """
    shop = bench(ctx).open()
    chosen = shop.settings
    other = None if machine is None else known_machine(chosen, machine)
    if name is not None and value is not None:
        if name == "language":
            check_language(value)
        chosen = set_right(shop, name, value, other, odd=odd)
    elif name is not None and name not in explained():
        raise Unknown("setting", name, near(name, explained()))
    chosen = on_machine(chosen, other or "")
    rows = [(key, spelt(chosen, key), words().say(meaning))
            for key, meaning in explained().items()
            if name in (None, "machine", key)]  # fmt: skip
    columns = [
        Column("setting", "setting"),
        Column("value", "value", wraps=True),
        Column("meaning", "meaning", wraps=True),
    ]
    show_rows(columns, rows, how_option(how))
    if name == "machine":
        done(word("{machine} is in use, with the values above; machines: {machines_known}.",
                  machine=chosen.machine, machines_known=", ".join(machines_known(chosen))),
             "stockroom settings kerf LENGTH, where these are not its own")  # fmt: skip


def set_right(shop: Shop, name: str, value: str, machine: str | None, *, odd: bool) -> Settings:
    """Changes a setting; one that is far from what is usual is asked about first."""
    try:
        return change_setting(shop, name, value, machine, odd=odd)
    except Unlikely:
        unless_odd(odd, lambda: check_machine(with_setting(shop.settings, name, value), name))
        return change_setting(shop, name, value, machine, odd=True)


def where(ctx: typer.Context) -> None:
    """Say where the shop's record is, and its last good backup.

    [dim]Example: stockroom where[/dim]
    """
    here = bench(ctx).where
    last = backup_of(here)
    answer(place(here))
    if last is None:
        done("There is no backup yet.", "stockroom backup")
    else:
        old = words().say(last.age(datetime.now(UTC)))
        done(word("The last good backup is {path}, {old}.", path=last.path, old=old),
             "keep a copy on another disk: stockroom backup --to FOLDER")  # fmt: skip


def place(shop: str) -> str:
    """Where a record is, without any password."""
    if "://" not in shop:
        return str(Path(shop).absolute())

    return shown(shop)


def demo(
    ctx: typer.Context,
    folder: Annotated[
        Path | None, typer.Option("--keep", help="Keep the workshop's record in this new folder.")
    ] = None,
) -> None:
    """Play a week in an invented workshop: plan, cut, order.

    [dim]Example: stockroom demo --keep my-demo[/dim]
    """
    play(folder)


def calibrate(
    ctx: typer.Context,
    take: Annotated[
        bool, typer.Option("--take", help="Set what was found, where the setting is off.")
    ] = False,
    machine: Annotated[
        str | None, typer.Option("--machine", help="This one; --take: the one in use.")
    ] = None,
    how: How = "table",
) -> None:
    """Say what each machine really takes at each cut, from measured leftovers.

    [dim]Example: stockroom calibrate --take[/dim]
    """
    how_option(how)
    shop = bench(ctx).open()
    chosen = None if machine is None else known_machine(shop.settings, machine)
    results = [one for one in held_against(shop) if chosen in (None, one.machine)]
    show_machines(results, how)
    if take:
        found = take_allowance(shop, chosen or shop.settings.machine)
        done(word("{machine}: clean_up is {clean_up} now.", machine=found.machine,
                  clean_up=in_mm(found.clean_up)), plan_step(shop))  # fmt: skip
        return
    for result in results:
        for line in verdict(result):
            say(f"{result.machine}: {line}")
    if all(result.found is None for result in results):
        done("Measure what is left as it is cut, along the back edge.", cut_step(shop))
    if off := [one for one in results if one.off]:
        done("Measure a few more cuts with care, and look after the blade by the machine's\n"
             "manual, before trusting a new value.", remedy(off[0]))  # fmt: skip


def show_machines(results: list[Calibration], how: str) -> None:
    """A row for each machine: what it is set to, what was found, and how far readings scatter."""
    columns = [
        Column("machine", "machine", wraps=True), Column("cutter", "cutter"),
        Column("cuts", "cuts", "right"), Column("slips", "slips", "right"),
        Column("set_um", "set", "right", in_mm), Column("found_um", "found", "right", in_mm),
        Column("error_um", "give or take", "right", in_mm),
        Column("scatter_um", "one reading", "right", in_mm),
    ]  # fmt: skip
    rows = []
    for one in results:
        found = one.found
        told = (found.slips, one.setting, found.allowance, 2 * found.error, found.scatter) if (
            found is not None) else (None, one.setting, None, None, None)  # fmt: skip
        rows.append((one.machine, one.cutter, one.measured, *told))
    show_rows(columns, rows, how)


def verdict(result: Calibration) -> list[str]:
    """What follows for one machine, in words."""
    since = (word(" since {since}, when its cutter or blade was set", since=result.since)
             if result.since else "")  # fmt: skip
    if result.found is None:
        cuts = word("{cuts:measured cut}", cuts=result.measured)
        return [f"{cuts}{since}", word("too few to say anything")]
    lines = []
    if result.found.slips:
        lines.append(word("{slips:slip} of the tape set aside", slips=result.found.slips))
    if not result.off:
        return [*lines, word("the setting holds: it is not off by more than twice the error")]
    return [*lines, word("the setting is off by more than twice the error")]


def in_mm(um: Micrometres | None) -> str:
    """A small length to a hundredth of a millimetre, whatever unit the shop prints."""
    um = (um or 0) + 5
    return word("{um}.{um_2:02d} mm", um=um // 1000, um_2=um % 1000 // 10)


def remedy(result: Calibration) -> str:
    """The command that sets what was found."""
    named = "" if result.in_use else f" --machine '{result.machine}'"
    if result.clean_up is not None:
        return (word("stockroom calibrate --take{named}, to set its clean_up to {clean_up}",
                     named=named, clean_up=in_mm(result.clean_up)))  # fmt: skip
    return (word("measure the blade: its kerf seems to be {kerf}; stockroom settings kerf LENGTH",
                 kerf=in_mm(result.kerf)))  # fmt: skip

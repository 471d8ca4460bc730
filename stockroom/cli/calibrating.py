"""The command that holds each machine's setting against its cuts: calibrate."""

from typing import TYPE_CHECKING, Annotated

import typer

from stockroom.cli.app import How, bench, counted, done, how_option, say

if TYPE_CHECKING:
    from stockroom.services.saw.calibrate import Calibration

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("calibrate", rich_help_panel="Weekly")(calibrate)


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
    from stockroom.services.saw.calibrate import calibrate as held_against
    from stockroom.services.saw.calibrate import take_allowance
    from stockroom.settings.machines import known_machine

    how_option(how)
    shop = bench(ctx).open()
    chosen = None if machine is None else known_machine(shop.settings, machine)
    results = [one for one in held_against(shop) if chosen in (None, one.machine)]
    show_machines(results, how)
    if take:
        found = take_allowance(shop, chosen or shop.settings.machine)
        done(f"{found.machine}: clean_up is {in_mm(found.clean_up)} now.", "stockroom plan")
        return
    for result in results:
        for line in verdict(result):
            say(f"{result.machine}: {line}")
    if all(result.found is None for result in results):
        done("Measure what is left, along the back edge.", "stockroom cut --leftover LENGTH")
    if off := [one for one in results if one.off]:
        done("Measure a few more cuts with care, and look after the blade by the machine's\n"
             "manual, before trusting a new value.", remedy(off[0]))  # fmt: skip


def show_machines(results: "list[Calibration]", how: str) -> None:
    """A row for each machine: what it is set to, what was found, and how far readings scatter."""
    from stockroom.screens.lists import Column, show_rows

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


def verdict(result: "Calibration") -> list[str]:
    """What follows for one machine, in words."""
    since = f" since {result.since}, when its cutter or blade was set" if result.since else ""
    if result.found is None:
        return [f"{counted(result.measured, 'measured cut')}{since}", "too few to say anything"]
    lines = []
    if result.found.slips:
        lines.append(f"{counted(result.found.slips, 'slip')} of the tape set aside")
    if not result.off:
        return [*lines, "the setting holds: it is not off by more than twice the error"]
    return [*lines, "the setting is off by more than twice the error"]


def in_mm(um: int | None) -> str:
    """A small length to a hundredth of a millimetre, whatever unit the shop prints."""
    um = (um or 0) + 5
    return f"{um // 1000}.{um % 1000 // 10:02d} mm"


def remedy(result: "Calibration") -> str:
    """The command that sets what was found."""
    named = "" if result.in_use else f" --machine '{result.machine}'"
    if result.clean_up is not None:
        return (f"stockroom calibrate --take{named}, to set its clean_up to "
                f"{in_mm(result.clean_up)}")  # fmt: skip
    return (f"measure the blade: its kerf seems to be {in_mm(result.kerf)}; "
            "stockroom settings kerf LENGTH")  # fmt: skip

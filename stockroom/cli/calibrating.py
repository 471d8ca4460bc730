"""The command that holds the saw's setting against its cuts: calibrate."""

from typing import TYPE_CHECKING

import typer

from stockroom.cli.app import bench, counted, done

if TYPE_CHECKING:
    from stockroom.calibration import Estimate
    from stockroom.services.calibrating import Calibration
    from stockroom.services.shop import Shop

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Puts this command into the program."""
    app.command("calibrate", rich_help_panel="Weekly")(calibrate)


def calibrate(ctx: typer.Context) -> None:
    """Say what the saw really takes at each cut, from measured leftovers; change nothing.

    [dim]Example: stockroom calibrate[/dim]
    """
    from stockroom.services.calibrating import calibrate as held_against

    shop = bench(ctx).open()
    result = held_against(shop)
    since = f" since {result.since}, when the cutter or its blade was set" if result.since else ""
    if result.found is None:
        done(f"{counted(result.measured, 'measured cut')}{since}: too few to say anything.",
             "stockroom cut --leftover LENGTH, measured along the back edge")  # fmt: skip
        return
    print(told(shop, result, result.found, since))
    if not result.off:
        done("The setting holds: it is not off by more than twice the error.")
    else:
        done("The setting is off by more than twice the error. Measure a few more cuts with care, "
             "and look after the blade by the machine's manual, before trusting a new one.",
             remedy(result))  # fmt: skip


def told(shop: "Shop", result: "Calibration", found: "Estimate", since: str) -> str:
    """The estimate in the shop's words."""
    slips = f", {counted(found.slips, 'slip')} of the tape set aside" if found.slips else ""
    return (
        f"{shop.settings.cutter}: {counted(found.cuts, 'measured cut')}{since}{slips}\n"
        f"cut allowance set: {in_mm(result.setting)}\n"
        f"cut allowance found: {in_mm(found.allowance)}, give or take {in_mm(2 * found.error)}\n"
        f"one measured leftover scatters by {in_mm(found.scatter)}"
    )


def in_mm(um: int) -> str:
    """A small length to a hundredth of a millimetre, whatever unit the shop prints."""
    return f"{(um + 5) // 1000}.{(um + 5) % 1000 // 10:02d} mm"


def remedy(result: "Calibration") -> str:
    """The command that sets what was found."""
    if result.clean_up is not None:
        return f"stockroom settings clean_up '{in_mm(result.clean_up)}', to take the new value"
    return (f"measure the blade: its kerf seems to be {in_mm(result.kerf or 0)}; "
            "stockroom settings kerf LENGTH")  # fmt: skip

"""Commands that draw pictures: picture plan, picture rack."""

from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import PlanNumber, bench, done
from stockroom.files.new_file import write_new
from stockroom.paper.drawing import Drawing, png, svg
from stockroom.paper.pictures import plan_picture, rack_picture
from stockroom.refusals import Unreadable
from stockroom.screens.plan_screen import show_plan
from stockroom.screens.rack_screen import show_rack
from stockroom.services.morning.sheets import newest_plan, sheet_of
from stockroom.services.rack.pieces import find
from stockroom.views.rack_row import RackRow

__all__ = ["save_picture"]

File = Annotated[
    Path | None,
    typer.Argument(metavar="FILE", help="A new file, .svg or .png; the screen if left out."),
]


pictures = typer.Typer(
    no_args_is_help=True, help="Draw a plan or the rack, to a file or on the screen."
)


@pictures.command()
def plan(
    ctx: typer.Context,
    number: PlanNumber = None,
    file: File = None,
) -> None:
    """Draw a plan to a picture: every piece to one scale, with the rails to cut.

    [dim]Example: stockroom picture plan 7 plan.svg[/dim]
    """
    shop = bench(ctx).open()
    sheet = sheet_of(shop, number or newest_plan(shop, ("drafted", "accepted", "finished")))
    if file is None:
        show_plan(sheet, shop.settings)
    else:
        save_picture(plan_picture(sheet, shop.settings), file)


@pictures.command()
def rack(
    ctx: typer.Context,
    file: File = None,
    at: Annotated[str | None, typer.Option("--at", help="Places that begin so.")] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
) -> None:
    """Draw the rack to a picture: every piece to one scale, by its place.

    [dim]Example: stockroom picture rack rack.png --at A[/dim]
    """
    shop = bench(ctx).open()
    rows = [RackRow(p.id, p.profile, p.batch, p.kind, p.spot, p.length, p.flaws, p.held_by)
            for p in find(shop, profile, spot=at)]  # fmt: skip
    if file is None:
        show_rack(rows, shop.settings)
    else:
        save_picture(rack_picture(rows, shop.settings, shop.hand.day), file)


def save_picture(picture: Drawing, file: Path) -> None:
    """Writes a picture; the file's suffix decides what it is.

    Raises:
        Unreadable: the suffix is neither .svg nor .png.
    """
    writer = {".svg": svg, ".png": png}.get(file.suffix.lower())
    if writer is None:
        raise Unreadable(file.name, "a name that ends in .svg or .png")
    write_new(file, [writer(picture)])
    done(f"{picture.title}: drawn to {file}.")

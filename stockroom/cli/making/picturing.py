"""Commands that draw pictures: picture plan, picture rack, picture job."""

from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from stockroom.cli.app import JobNumber, NewFile, PlanNumber, bench, done, new_name
from stockroom.cli.making.printing import tell_lost
from stockroom.files.new_file import made_whole, write_new
from stockroom.frame.ticket_told import Bench
from stockroom.paper.drawing import Drawing, png, svg
from stockroom.paper.page import Pages
from stockroom.paper.pictures import plan_picture, rack_pictures
from stockroom.paper.sawn.front_drawing import front_picture
from stockroom.refusals import Unreadable
from stockroom.screens.plan_screen import show_plan
from stockroom.screens.rack_screen import show_rack
from stockroom.services.counter.job_list import newest_job
from stockroom.services.counter.make_ticket import ticket_of
from stockroom.services.morning.sheets import newest_plan, sheet_of
from stockroom.services.rack.mark_pieces import marks_of
from stockroom.services.rack.pieces import find
from stockroom.views.rack_row import RackRow
from stockroom.words.language import word

__all__ = ["save_picture"]

File = Annotated[
    Path | None,
    typer.Argument(metavar="FILE", help="A new file, .svg or .png; the screen if left out."),
]


pictures = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    help="Draw a plan or the rack, to a file or on the screen; a job's frame from its front.",
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
    """Draw the rack to pictures: every piece to one scale, by its place, a screenful each.

    [dim]Example: stockroom picture rack rack.png --at A[/dim]
    """
    shop = bench(ctx).open()
    rows = [RackRow(p.id, p.profile, p.batch, p.kind, p.spot, p.length, p.flaws, p.held_by,
                    marks_of(p))
            for p in find(shop, profile, spot=at)]  # fmt: skip
    if file is None:
        show_rack(rows, shop.settings)
    else:
        of = ", ".join(
            filter(None, (profile and profile.upper(), at and word("places {at}", at=at.upper())))
        )
        save_pictures(rack_pictures(rows, shop.settings, shop.hand.day, of), file)


@pictures.command()
def job(ctx: typer.Context, typed: JobNumber = None, file: NewFile = None) -> None:
    """Draw a job's frame from its front to a picture: its rails, and what is set on the saw.

    [dim]Example: stockroom picture job J12 job-J12.svg[/dim]
    """
    shop = bench(ctx).open()
    found = ticket_of(shop, typed or newest_job(shop), Bench())
    save_picture(front_picture(found, shop.settings), new_name(file, f"job-{found.label}", "svg"))


def save_pictures(pages: Sequence[Drawing], file: Path) -> None:
    """Writes pictures: one to the file, several to files beside it with their number, all new.

    Raises:
        Unreadable: the suffix is neither .svg nor .png.
        NoShop: one of the files is there already, or cannot be written.
    """
    if len(pages) == 1:
        save_picture(pages[0], file)
        return
    names = [file.with_stem(f"{file.stem}-{at}") for at in range(1, len(pages) + 1)]
    made = [drawn(page, file) for page in pages]
    with ExitStack() as whole:  # All of them or none.
        for name, content in zip(names, made, strict=True):
            whole.enter_context(made_whole(name)).write_bytes(content)
    tell_lost("".join(dict.fromkeys("".join(content.lost for content in made))))
    done(word("{title}: drawn to {names} .. {name}.", title=pages[0].title, names=names[0],
              name=names[-1].name))  # fmt: skip


def save_picture(picture: Drawing, file: Path) -> None:
    """Writes a picture; the file's suffix decides what it is.

    Raises:
        Unreadable: the suffix is neither .svg nor .png.
    """
    content = drawn(picture, file)
    write_new(file, [content])
    tell_lost(content.lost)
    done(word("{title}: drawn to {file}.", title=picture.title, file=file))


def drawn(picture: Drawing, file: Path) -> Pages:
    """A picture as the file's suffix says.

    Raises:
        Unreadable: the suffix is neither .svg nor .png.
    """
    writer = {".svg": svg, ".png": png}.get(file.suffix.lower())
    if writer is None:
        raise Unreadable(file.name, "a name that ends in .svg or .png")
    return writer(picture)

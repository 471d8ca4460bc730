"""Commands for the morning: what matters now, plan, show, plans, accept, drop."""

from dataclasses import replace
from typing import Annotated

import typer

from stockroom.cli.app import (
    How,
    PlanNumber,
    answer,
    bench,
    day_typed,
    done,
    how_option,
    say,
)  # fmt: skip
from stockroom.cli.asking.questions import taken_out
from stockroom.cli.making.printing import print_sheet
from stockroom.cli.next_steps import plan_step
from stockroom.cli.remedies import batch_said
from stockroom.record.jobs import job_number
from stockroom.refusals import Unreadable
from stockroom.screens.lists import Column, show_rows
from stockroom.screens.plan_screen import show_plan
from stockroom.screens.working import working
from stockroom.services.morning.day_plan import accept as hold
from stockroom.services.morning.day_plan import drop as let_go
from stockroom.services.morning.day_plan import last_choices, plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.run_out import tied_frames
from stockroom.services.morning.sheets import newest_plan, plan_rows, problem_text, sheet_of
from stockroom.services.saw.take_out import take_out
from stockroom.services.shop import Shop
from stockroom.views.sheet import Sheet, plan_state
from stockroom.words.language import day_told, word
from stockroom.words.plan_reasons import in_words

__all__ = ["next_step", "show_sheet"]

Until = Annotated[
    str | None,
    typer.Option("--until", metavar="DAY", help="Frames due by this day; today if not given."),
]


def plan(
    ctx: typer.Context,
    until: Until = None,
    pin: Annotated[
        list[str] | None,
        typer.Option("--pin", metavar="JOB=PIECE", help="This job from this piece."),
    ] = None,
    alone: Annotated[
        list[int] | None,
        typer.Option("--leave-alone", metavar="PIECE", help="Do not cut this piece today."),
    ] = None,
    without: Annotated[
        list[str] | None, typer.Option("--without", metavar="JOB", help="Hold this job back today.")
    ] = None,
    apart: Annotated[
        list[str] | None,
        typer.Option("--apart", metavar="JOB", help="Its frames may come from different batches."),
    ] = None,
    profile: Annotated[
        str | None, typer.Option("--profile", "-p", help="One profile only.")
    ] = None,
    ahead: Annotated[
        int | None,
        typer.Option(
            "--ahead",
            metavar="DAYS",
            min=0,
            max=365,
            help="Look at jobs due so many days later too, and cut them where that pays.",
        ),
    ] = None,
    weighed: Annotated[
        bool,
        typer.Option("--weighed", help="Weigh new sticks against what stays, instead of in order."),
    ] = False,
    seconds: Annotated[
        float | None, typer.Option("--seconds", min=0.1, max=3600, help="How long to try.")
    ] = None,
    again: Annotated[
        bool, typer.Option("--again", help="Keep what the last proposed plan was told.")
    ] = False,
    tight: Annotated[
        bool, typer.Option("--tight", help="Rails may take the margin kept back on offcuts.")
    ] = False,
    take: Annotated[bool, typer.Option("--accept", help="Accept the plan at once.")] = False,
    paper: Annotated[
        bool, typer.Option("--sheet", help="Print its cut sheet to a PDF too, once accepted.")
    ] = False,
) -> None:
    """Decide which pieces to cut for the frames that are due.

    [dim]Example: stockroom plan --ahead 10 --pin J12=214 --leave-alone 87 --without J5[/dim]
    """
    shop = bench(ctx).open()
    chosen = choices(shop, until, pin, alone, without, apart, profile, ahead, weighed, seconds,
                     again)  # fmt: skip
    chosen = replace(chosen, tight=tight or chosen.tight)
    with working("planning") as tell:
        sheet = plan_day(shop, chosen, on_progress=tell, on_gap=lambda profile, how_far: tell.gap(
            profile, in_words(how_far, shop.settings)))  # fmt: skip
    if take and sheet.pieces:
        sheet = hold(shop, sheet.plan or 0)
    show_sheet(sheet, shop)
    if paper and sheet.state == "accepted":
        print_sheet(shop, sheet)
    next_step(sheet, shop)


def choices(
    shop: Shop,
    until: str | None,
    pin: list[str] | None,
    alone: list[int] | None,
    without: list[str] | None,
    apart: list[str] | None,
    profile: str | None,
    ahead: int | None,
    weighed: bool,
    seconds: float | None,
    again: bool,
) -> Choices:
    """What was chosen, as the planner's service takes it."""
    last = last_choices(shop) if again else Choices(shop.hand.day, ahead=shop.settings.ahead)
    return Choices(
        until=day_typed(shop, until) or last.until,
        pins={**last.pins, **pins(pin)},
        left_alone=last.left_alone | frozenset(alone or ()),
        without=last.without | frozenset(job_number(job) for job in without or ()),
        profile=profile.strip().upper() if profile else last.profile,
        aims="weighed" if weighed else last.aims,
        seconds=seconds or shop.settings.seconds,
        ahead=last.ahead if ahead is None else ahead,
        stock=last.stock,
        tight=last.tight,
        apart=last.apart | frozenset(job_number(job) for job in apart or ()),
    )


def pins(texts: list[str] | None) -> dict[str, int]:
    """Pins as typed, each JOB=PIECE.

    Raises:
        Unreadable: one is not.
    """
    found = {}
    for text in texts or ():
        job, _, piece = text.partition("=")
        piece = piece.strip()
        plain = piece.isascii() and piece.isdecimal() and len(piece) < 10
        if not (job.strip() and plain):
            raise Unreadable(text, "JOB=PIECE, such as J12=214")
        label = job.strip().upper()
        found[label if label.startswith("J") else f"J{label}"] = int(piece)
    return found


def show_sheet(sheet: Sheet, shop: Shop) -> None:
    """Draws a plan, and says what can be done about batches that do not yield it."""
    show_plan(sheet, shop.settings)
    short = {label for label, _ in sheet.short}
    for one in tied_frames(shop) if short else ():
        if one.label in short:
            say(batch_said(one))


def to_cut(plan: int | None) -> str:
    """What follows an accepted plan."""
    return word("stockroom cut {plan}; on paper: stockroom sheet {plan}", plan=plan)


def next_step(sheet: Sheet, shop: Shop) -> None:
    """Says what follows a plan."""
    if sheet.state == "accepted":
        done(word("Plan {plan} is accepted; its pieces are held.", plan=sheet.plan),
             to_cut(sheet.plan))  # fmt: skip
    elif sheet.state != "drafted":
        done(word("Plan {plan} is {plan_state}.", plan=sheet.plan,
                  plan_state=plan_state(sheet.state)), plan_step(shop))  # fmt: skip
    elif sheet.pieces:
        done(word("Plan {plan} is proposed.", plan=sheet.plan),
             word("stockroom accept {plan}, or plan --again with --pin, --leave-alone or "
                  "--without", plan=sheet.plan))  # fmt: skip
    else:
        done("Nothing can be cut from this rack.", "stockroom order")


def show(
    ctx: typer.Context,
    number: PlanNumber = None,
    problem: Annotated[
        bool, typer.Option("--problem", help="Print the problem, as the planner reads it.")
    ] = False,
) -> None:
    """Show a plan again.

    [dim]Example: stockroom show 7[/dim]
    """
    shop = bench(ctx).open()
    number = number or newest_plan(shop, ("drafted", "accepted", "finished"))
    if problem:
        answer(problem_text(shop, number))
        return
    sheet = sheet_of(shop, number)
    show_sheet(sheet, shop)
    next_step(sheet, shop)


def plans(ctx: typer.Context, how: How = "table") -> None:
    """List the plans, newest first.

    [dim]Example: stockroom plans[/dim]
    """
    columns = [Column("plan", "plan", "right"), Column("state", "state",
                                                       show=lambda state: word(plan_state(state))),
               Column("who", "by"), Column("day", "day"), Column("until", "for frames due by",
                                                                 show=day_told), Column("pieces",
                                                                                        "pieces",
                                                                                        "right"),
               Column("waiting", "to cut", "right")]  # fmt: skip
    shop = bench(ctx).open()
    rows = [(r.number, r.state, r.who, r.day, r.until, r.pieces, r.waiting)
            for r in plan_rows(shop)]  # fmt: skip
    show_rows(columns, rows, how_option(how))
    if not rows:
        done("No plan was made yet.", plan_step(shop))


def accept(ctx: typer.Context, number: PlanNumber = None) -> None:
    """Accept a proposed plan: its pieces and frames are held until they are cut.

    [dim]Example: stockroom accept 7[/dim]
    """
    shop = bench(ctx).open()
    sheet = hold(shop, number or newest_plan(shop, ("drafted",), own=True))
    done(word("Plan {plan} is accepted; {pieces:piece} held.", plan=sheet.plan,
              pieces=len(sheet.pieces)),
         to_cut(sheet.plan))  # fmt: skip


def drop(
    ctx: typer.Context,
    number: PlanNumber = None,
    job: Annotated[
        str | None,
        typer.Option("--job", metavar="JOB", help="This job alone is taken out of its plan."),
    ] = None,
    why: Annotated[str, typer.Option("--why", help="The reason, for the record.")] = "",
) -> None:
    """Let a plan go; what it still holds is free again.

    [dim]Example: stockroom drop 7 --why "saw is down"[/dim]
    """
    shop = bench(ctx).open()
    if job is not None:
        done(taken_out(job, take_out(shop, job, why)), plan_step(shop))
        return
    number = number or newest_plan(shop, ("drafted", "accepted"), own=True)
    freed = let_go(shop, number, why)
    done(word("Plan {number} is let go; {freed:piece} free again.", number=number, freed=freed),
         plan_step(shop))  # fmt: skip

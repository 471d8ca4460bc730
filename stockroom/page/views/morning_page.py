"""The morning: what is due, the plan worked out before one's eyes, its walk, accepted, printed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from starlette.responses import Response

from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.sent_body import number_typed
from stockroom.paper.cut_sheet import cut_sheet
from stockroom.record.jobs import job_number
from stockroom.refusals import Refused, Unreadable
from stockroom.services.counter.job_list import job_rows
from stockroom.services.morning.day_plan import accept, drop, last_choices
from stockroom.services.morning.problem import Choices
from stockroom.services.morning.sheets import plan_rows, sheet_of
from stockroom.services.now.what_now import is_free
from stockroom.views.collating import alike_told
from stockroom.views.sheet import CAUTIONS, Sheet
from stockroom.words.language import word
from stockroom.words.plan_reasons import whole

__all__ = ["ROUTES"]

DAYS = (("0", "Today"), ("1", "Until tomorrow"), ("4", "Four days"), ("7", "A week"))
FAR = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class ShortFrame:
    """Frames that can't be cut for one reason, folded into one line."""

    frames: Sequence[str]
    why: str


def morning(ask: Ask) -> Response:
    """What is due, the plans that stand, and what to plan."""
    today = ask.shop.hand.day
    due = [row for row in job_rows(ask.shop, until=today + timedelta(days=7))
           if row.state in ("open", "part cut")]  # fmt: skip
    standing = [row for row in plan_rows(ask.shop, states=("drafted", "accepted"))
                if row.state == "accepted"
                or (row.who == ask.device.who and is_free(ask.shop, row.number))]  # fmt: skip
    return render(ask, "morning.html", due=due, today=today, plans=standing, days=DAYS,
                  run=ask.served.runs.of(ask.device.who))  # fmt: skip


def start(ask: Ask) -> Response:
    """Begins to plan what is due; the page that follows shows how far it is."""
    ask.served.runs.start(ask.device.who, ask.shop, choices(ask))
    return go("/morning/working")


def choices(ask: Ask) -> Choices:
    """What is to be planned: until when, which jobs wait, which pieces are left alone, pins."""
    settings, today = ask.shop.settings, ask.shop.hand.day
    if ask.form.get("again") == "yes":
        last = last_choices(ask.shop)
        pins = {**last.pins, **pinned(ask)}
        left_alone = last.left_alone | frozenset(number_typed(n) for n in ask.many.get("alone", ()))
        return replace(last, pins=pins, left_alone=left_alone, seconds=settings.seconds,
                       without=last.without | jobs_typed(ask, "wait"),
                       apart=last.apart | jobs_typed(ask, "apart"))  # fmt: skip
    days = ask.form.get("days", "0")
    until = today + timedelta(days=number_typed(days)) if len(days) < 4 else until_typed(ask, today)
    return Choices(until, seconds=settings.seconds, ahead=settings.ahead)


def jobs_typed(ask: Ask, name: str) -> frozenset[int]:
    """Jobs as typed in a field, such as J5 J12.

    Raises:
        Unreadable: one is none.
    """
    return frozenset(map(job_number, ask.form.get(name, "").replace(",", " ").split()))


def until_typed(ask: Ask, today: date) -> date:
    """The day that was picked.

    Raises:
        Unreadable: it is none, or more than a year off.
    """
    try:
        until = date.fromisoformat(ask.form.get("days", ""))
    except ValueError as error:
        raise Unreadable(ask.form.get("days", ""), "a day") from error
    if until - today > FAR:
        raise Unreadable(until.isoformat(), "a day within a year")
    return until


def pinned(ask: Ask) -> dict[str, int]:
    """A job that is to come from a piece, as it was filled in."""
    job, piece = (ask.form.get(name, "").strip() for name in ("pin_job", "pin_piece"))
    if not job and not piece:
        return {}
    if not (job and piece):
        raise Refused("a job is pinned to a piece", "fill in both the job and the piece")
    return {f"J{number_typed(job.upper().removeprefix('J'))}": number_typed(piece)}


def working(ask: Ask) -> Response:
    """How far the plan is; its draft as soon as there is one."""
    run = ask.served.runs.of(ask.device.who)
    if run is None or (run.refusal and run.halt.thrown):
        return go("/morning")
    if run.plan is not None:
        return go(f"/morning/{run.plan}")
    return render(ask, "working.html", run=run)


def halt(ask: Ask) -> Response:
    """Enough is known, or the plan is not wanted."""
    run = ask.served.runs.of(ask.device.who)
    if run is None:
        return go("/morning")
    if ask.form.get("how") == "throw away":
        run.halt.throw_away()
        return go("/morning")
    run.halt.enough()
    return go("/morning/working")


def plan(ask: Ask) -> Response:
    """A plan: the walk along the rack, the proof, what can't be cut and what would cure it."""
    number = ask.path["number"]
    sheet = sheet_of(ask.shop, number)
    drafts = plan_rows(ask.shop, states=("drafted",))
    # Who drafted it may plan it again: the new draft takes its place.
    mine = any(row.number == number and row.who == ask.device.who for row in drafts)
    return render(ask, "plan.html", sheet=sheet, short=folded(ask, sheet), cautions=CAUTIONS,
                  longest=max((piece.length for piece in sheet.pieces), default=1),
                  mine=mine)  # fmt: skip


def folded(ask: Ask, sheet: Sheet) -> list[ShortFrame]:
    """The frames that can't be cut, those of a job that are told the same together."""
    return [
        ShortFrame([word(called)], whole(why, ask.shop.settings))
        for called, _, why in alike_told(sheet.short)
    ]


def take(ask: Ask) -> Response:
    """The draft is accepted: its pieces are held until they are cut."""
    accept(ask.shop, ask.path["number"])
    return go(f"/morning/{ask.path['number']}")


def let_go(ask: Ask) -> Response:
    """The plan is dropped; what it still holds is free again."""
    drop(ask.shop, ask.path["number"], ask.form.get("why", ""))
    return go("/morning")


def sheet(ask: Ask) -> Response:
    """The cut sheet of an accepted plan, to print."""
    number = ask.path["number"]
    found = sheet_of(ask.shop, number)
    if found.state not in ("accepted", "finished"):
        raise Refused("plan {number} is {state}; only an accepted plan is cut",
                      "accept it first", number=number, state=word(found.state))  # fmt: skip
    settings = ask.shop.settings
    made = cut_sheet(found, settings, settings.page)
    named = {"Content-Disposition": f'inline; filename="plan-{number}.pdf"'}
    return Response(made, media_type="application/pdf", headers=named)


ROUTES = (
    shown("/morning", morning),
    changes("/morning/plan", start, "owner", again=morning),
    shown("/morning/working", working, "owner"),
    changes("/morning/halt", halt, "owner"),
    shown("/morning/{number:number}", plan),
    shown("/morning/{number:number}/sheet", sheet),
    changes("/morning/{number:number}/accept", take, "owner", again=plan),
    changes("/morning/{number:number}/drop", let_go, "owner", again=plan),
)

"""The counter: jobs as they stand, one taken in while its sizes are drawn, its ticket."""

from collections.abc import Mapping
from datetime import timedelta

from starlette.responses import Response

from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.views.chops import awaited
from stockroom.page.views.drawn import Drawn, drawn
from stockroom.page.wording import words
from stockroom.paper.ticket_page import ticket_page
from stockroom.refusals import Refused, StockroomError
from stockroom.services.catalogue.load import profile_rows
from stockroom.services.counter.amend import cancel, hold, release
from stockroom.services.counter.job_list import LOOKED_THROUGH, job_row, job_rows, jobs_found
from stockroom.services.counter.make_ticket import bench_told, section_tried, ticket_of
from stockroom.services.counter.stages import stages_after
from stockroom.services.counter.take import take, try_jobs
from stockroom.services.counter.typed_jobs import ARTWORK, KINDS, change_told, job_told
from stockroom.services.rack.rails_back import rails_to_told
from stockroom.services.record.history import job_life
from stockroom.services.weekly.job_cost import price_job, priced_ticket, ways_for
from stockroom.services.weekly.promise import promise_for
from stockroom.words.promises import promise_said

__all__ = ["ROUTES", "job", "new_job"]

USUAL_DAYS = 14
"""How far off a job's day is proposed, where none is typed; common practice of small shops."""
CHANGED = tuple(name for name in KINDS if name not in ("number", "held"))
"""What a job's page can change of it."""
DRAWN = (*ARTWORK, "around", "fillet")
"""What its sizes and section come from, besides its moulding."""


def jobs(ask: Ask) -> Response:
    """The jobs that wait for something, late ones first and marked."""
    wanted = ask.query.get("find", "").strip()
    rows = jobs_found(ask.shop, wanted) if wanted else job_rows(ask.shop)
    return render(ask, "counter.html", rows=rows, wanted=wanted, today=ask.shop.hand.day,
                  through=f"{LOOKED_THROUGH:,}")  # fmt: skip


def new_job(ask: Ask) -> Response:
    """An empty job to be typed, or what was typed with its sizes."""
    told = {**ask.query, **ask.form}
    due = (ask.shop.hand.day + timedelta(days=USUAL_DAYS)).isoformat()
    return render(ask, "take.html", told=told, due=due, mouldings=profile_rows(ask.shop),
                  drawn=drawings(ask, told), promised=promised(ask, told))  # fmt: skip


def promised(ask: Ask, told: Mapping[str, str]) -> list[str]:
    """Whether what is typed can be ready by its day, where that was asked; why it can't be told."""
    if told.get("ready") != "yes":
        return []
    asked = {name: text for name, text in told.items()
             if text.strip() and name not in ("beside", "key", "ready")}  # fmt: skip
    try:
        one = promise_for(ask.shop, job_told({"customer": "nobody", **asked}, ask.shop))
    except StockroomError as error:
        return [words(ask.shop.settings).whole(error)]
    return promise_said(one.answer, one.by, one.cut_by, one.day, one.pieces, one.alike)


def sizes(ask: Ask) -> Response:
    """The sizes and sections of what is typed so far, as a part of the page."""
    return render(ask, "sizes_part.html", drawn=drawings(ask, ask.form))


def drawings(ask: Ask, told: Mapping[str, str]) -> list[Drawn]:
    """The frame in its moulding, and in the one it is compared with."""
    if not any(told.get(name, "").strip() for name in ("width", "height", "lengths")):
        return []
    if not told.get("shape") and not (told.get("width") and told.get("height")):
        return []
    codes = [told.get(name, "").strip().upper() for name in ("profile", "beside")]
    return [drawing(ask, told, code) for code in dict.fromkeys(codes) if code]


def drawing(ask: Ask, told: Mapping[str, str], code: str) -> Drawn:
    """One frame's sizes and section; what forbids it is said in its place."""
    artwork = {name: told[name] for name in DRAWN if told.get(name, "").strip()}
    tried = {"customer": "nobody", "due": ask.shop.hand.day.isoformat(), "proud": "yes",
             "profile": code, "quantity": told.get("quantity") or "1", **artwork}  # fmt: skip
    try:
        job = job_told(tried, ask.shop)
        layers = try_jobs(ask.shop, [job])[0].layers
    except StockroomError as error:
        return Drawn(code, refused=words(ask.shop.settings).whole(error))
    return drawn(code, layers, job.quantity, ask.shop.settings,
                 lambda: section_tried(ask.shop, job))  # fmt: skip


def take_in(ask: Ask) -> Response:
    """The job is taken in, and its page shown."""
    told = {name: text for name, text in ask.form.items()
            if text.strip() and name not in ("beside", "key")}  # fmt: skip
    taken = take(ask.shop, job_told(told, ask.shop))
    return go(f"/counter/{taken.number}")


def job(ask: Ask) -> Response:
    """One job: where it stands, its sizes and section, what can be done with it."""
    typed = f"J{ask.path['number']}"
    row, layers = job_row(ask.shop, typed)
    shown_so = drawn(row.profile, layers, row.quantity, ask.shop.settings,
                     lambda: ticket_of(ask.shop, typed, bench_told({}, ask.shop)))  # fmt: skip
    # It takes the planner, and all that was ever asked for: only where somebody wants to know.
    asked = ask.query.get("price") == "yes" and ask.may("owner")
    price, compared, why = None, [], ""
    try:
        if asked:
            price, compared = price_job(ask.shop, typed), ways_for(ask.shop, typed)
    except Refused as error:
        why = words(ask.shop.settings).whole(error)
    return render(ask, "job.html", row=row, drawn=[shown_so],
                  later=stages_after(row.state),
                  life=job_life(ask.shop, typed), price=price, ways=compared, why_not=why,
                  awaited=awaited(ask, row.number, layers), mouldings=profile_rows(ask.shop),
                  today=ask.shop.hand.day)  # fmt: skip


def hold_back(ask: Ask) -> Response:
    """The job stays out of plans until it is let in again."""
    hold(ask.shop, f"J{ask.path['number']}", ask.form.get("why", ""))
    return go(f"/counter/{ask.path['number']}")


def let_in(ask: Ask) -> Response:
    """A job that was held goes into plans again."""
    release(ask.shop, f"J{ask.path['number']}", ask.form.get("why", ""))
    return go(f"/counter/{ask.path['number']}")


def call_off(ask: Ask) -> Response:
    """The job is cancelled; why is asked."""
    if not (why := ask.form.get("why", "").strip()):
        raise Refused("a job is cancelled for a reason", "say why, in a few words")
    cancel(ask.shop, f"J{ask.path['number']}", why, rails_to_told(ask.form.get("rails")))
    return go(f"/counter/{ask.path['number']}")


def change(ask: Ask) -> Response:
    """What was filled in changes; what was left empty stays."""
    told = {name: ask.form[name].strip() for name in CHANGED if ask.form.get(name, "").strip()}
    if not told:
        raise Refused("nothing was filled in", "fill in what is different now")
    change_told(ask.shop, f"J{ask.path['number']}", told, rails_to_told(ask.form.get("rails")))
    return go(f"/counter/{ask.path['number']}")


def ticket(ask: Ask) -> Response:
    """The job's ticket as a page to print."""
    typed = f"J{ask.path['number']}"
    made = ticket_page(
        priced_ticket(ask.shop, typed, ticket_of(ask.shop, typed, bench_told({}, ask.shop))),
        ask.shop.settings,
        ask.shop.settings.page,
    )
    named = {"Content-Disposition": f'inline; filename="{typed}.pdf"'}
    return Response(made, media_type="application/pdf", headers=named)


ROUTES = (
    shown("/counter", jobs),
    shown("/counter/new", new_job, "owner"),
    changes("/counter/sizes", sizes),
    changes("/counter/take", take_in, "owner", again=new_job),
    shown("/counter/{number:number}", job),
    shown("/counter/{number:number}/ticket", ticket),
    changes("/counter/{number:number}/hold", hold_back, "owner", again=job),
    changes("/counter/{number:number}/release", let_in, "owner", again=job),
    changes("/counter/{number:number}/cancel", call_off, "owner", again=job),
    changes("/counter/{number:number}/change", change, "owner", again=job),
)

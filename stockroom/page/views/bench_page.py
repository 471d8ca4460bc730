"""What becomes of a job at the bench: joined, fitted, ready, collected; cut afresh; chops came."""

from starlette.responses import Response

from stockroom.page.asking import Ask, changes, go
from stockroom.page.views.chops import note_chops
from stockroom.page.views.counter_page import job
from stockroom.refusals import Unreadable
from stockroom.services.counter.cut_afresh import cut_afresh
from stockroom.services.counter.stages import reach, stages_after
from stockroom.services.saw.take_out import take_out
from stockroom.views.collating import job_of

__all__ = ["ROUTES"]


def stage(ask: Ask) -> Response:
    """The job is joined, fitted, ready or collected."""
    told = ask.form.get("stage", "")
    if told not in (stages := stages_after("cut")):
        raise Unreadable(told, "of_choices", choices=stages)
    reach(ask.shop, [f"J{ask.path['number']}"], told)
    return go(f"/counter/{ask.path['number']}")


def afresh(ask: Ask) -> Response:
    """A frame, or the job's only one, waits for all its rails again."""
    frame, number = ask.form.get("frame", "").strip().upper(), ask.path["number"]
    if job_of(frame) != f"J{number}":
        raise Unreadable(frame, "a frame of this job, such as J12.2")
    cut_afresh(ask.shop, frame, ask.form.get("why", "").strip())
    return go(f"/counter/{number}")


def out_of_plan(ask: Ask) -> Response:
    """The job is taken out of the plan that is about to cut it; others on its pieces wait again."""
    take_out(ask.shop, f"J{ask.path['number']}", ask.form.get("why", "").strip())
    return go(f"/counter/{ask.path['number']}")


def chops(ask: Ask) -> Response:
    """Rails came from the supplier, cut to size."""
    note_chops(ask)
    return go(f"/counter/{ask.path['number']}")


ROUTES = (
    changes("/counter/{number:number}/stage", stage, again=job),
    changes("/counter/{number:number}/afresh", afresh, "owner", again=job),
    changes("/counter/{number:number}/out", out_of_plan, "owner", again=job),
    changes("/counter/{number:number}/chops", chops, "owner", again=job),
)

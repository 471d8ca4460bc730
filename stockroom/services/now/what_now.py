"""What matters in the shop now: late, to plan, drafted, to cut, to label, arriving."""

from dataclasses import dataclass
from datetime import date

from stockroom.record.database import reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import on_rack
from stockroom.record.orders import OrderState
from stockroom.record.tables import Plan
from stockroom.services.counter.job_list import JobRow, job_rows
from stockroom.services.morning.sheets import PlanRow, plan_rows
from stockroom.services.planning import read_back
from stockroom.services.saw.unlabelled import unlabelled
from stockroom.services.shop import Shop
from stockroom.services.weekly.purchase_orders import order_rows

__all__ = ["WhatNow", "is_free", "next_cut", "what_now"]

WAITING = ("open", "part cut")


@dataclass(frozen=True, slots=True)
class WhatNow:
    """Jobs late and jobs to be planned, plans drafted and to be cut, pieces without a label,
    orders that are to come (the late ones first) and those that are not placed yet, jobs to be
    joined or fitted, and those ready to be collected."""

    day: date
    late: tuple[JobRow, ...]
    to_plan: tuple[JobRow, ...]
    next_cut: date | None
    drafted: tuple[PlanRow, ...]
    to_cut: tuple[PlanRow, ...]
    unlabelled: tuple[int, ...]
    arriving: tuple[OrderState, ...]
    unplaced: tuple[OrderState, ...]
    at_bench: tuple[JobRow, ...] = ()
    ready: tuple[JobRow, ...] = ()


def what_now(shop: Shop) -> WhatNow:
    """What matters now, to whoever stands at the bench."""
    today = shop.hand.day
    jobs = job_rows(shop)
    waiting = [job for job in jobs if job.state in WAITING]
    plans = plan_rows(shop, states=("drafted", "accepted"))
    orders = order_rows(shop)
    coming = [order for order in orders if order.to_come]
    return WhatNow(
        today, tuple(job for job in jobs if job.late(today)),
        tuple(job for job in waiting if job.cut_by <= today),
        min((job.cut_by for job in waiting if job.cut_by > today), default=None),
        tuple(plan for plan in plans if plan.state == "drafted" and plan.pieces
              and plan.who == shop.hand.who and is_free(shop, plan.number)),
        tuple(plan for plan in plans if plan.state == "accepted" and plan.waiting),
        tuple(piece.id for piece in unlabelled(shop)),
        tuple(sorted(coming, key=lambda order: (order.due or date.max, order.number))),
        tuple(order for order in orders if order.state == "draft"),
        tuple(job for job in jobs if job.state in ("cut", "joined", "fitted")),
        tuple(job for job in jobs if job.state == "ready"),
    )  # fmt: skip


def is_free(shop: Shop, draft: int) -> bool:
    """True where the rack still has all that a draft takes, held by no other plan."""
    with reading(shop.engine) as session:
        kept = session.get_one(Plan, draft)
        cuts = read_back(kept.problem, kept.answer)[1].cuts
        used = sorted({int(cut.piece) for cut in cuts if cut.rails})
        there = on_rack(session, ids=used)
    return [piece.id for piece in there if piece.held_by is None] == used


def next_cut(shop: Shop) -> date | None:
    """The first day by which a frame that is in no plan is to be cut; none where none waits."""
    with reading(shop.engine) as session:
        frames = open_frames(session, bench=shop.settings.bench)
    return min((frame.cut_by for frame in frames if not frame.held), default=None)

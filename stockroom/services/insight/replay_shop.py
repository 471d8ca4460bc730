"""A shop's own days cut again, with its frames, its sticks and its rack, planned otherwise."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from sqlalchemy import func
from sqlmodel import select

from planner.values import Curve
from stockroom.record.catalogue import profile_named, profiles
from stockroom.record.database import reading
from stockroom.record.tables import Entry
from stockroom.refusals import Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.replay import POLICIES, Figures, Policy, Run, figures, pooled, replay
from stockroom.replay.deliveries import RecordedSupply
from stockroom.replay.policies import learned, learned_together
from stockroom.services.insight.replayed_days import Lived, lived
from stockroom.services.past.kept_worth import curves_kept
from stockroom.services.planning import planning
from stockroom.services.shop import Shop
from stockroom.units.texts import near

__all__ = ["ALL", "AS_IT_WAS", "Relived", "last_days", "month_replayed", "policies_named", "relive"]

ALL = "all"
AS_IT_WAS = "as it happened"
OWN = "worth as learned"
OWN_TOGETHER = f"{OWN}, together"
AHEAD = re.compile(r", \d+ days ahead$")
USUAL = ("picked by eye", "oldest offcut that fits", "worth alone, frame by frame", OWN,
         OWN_TOGETHER)  # fmt: skip
Told = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class Relived:
    """What a span of days came to for a profile, or for all, in one way of planning.

    ``late`` counts the frames cut after their due day, ``uncut`` those that the sticks which had
    come did not yield by the last day.
    """

    profile: str
    way: str
    found: Figures
    late: int
    uncut: int


def policies_named(shop: Shop, typed: Sequence[str], ahead: int = 0) -> list[Policy]:
    """The ways of planning of these names, or parts of names; the usual ones where none is given.

    Raises:
        Unknown: no way of planning is called that.
        Refused: it looks ahead a number of days that is none.
    """
    if not 0 <= ahead <= 60:
        raise Refused("look_ahead_bounds", ahead=ahead)
    with reading(shop.engine) as session:
        curves = curves_kept(session, [profile.code for profile in profiles(session)])
    every = {one.name: one for one in POLICIES}
    for name in [name for name in every if AHEAD.sub("", name) != name]:
        if AHEAD.sub("", name) in every:
            del every[name]
    if curves:
        every[OWN] = Policy(OWN, learned(curves))
        every[OWN_TOGETHER] = Policy(OWN_TOGETHER, pick=learned_together(curves))
    chosen: list[Policy] = []
    for name in typed or [name for name in USUAL if name in every]:
        hits = [every[name]] if name in every else [
            one for known, one in every.items() if name.strip().lower() in known
        ]  # fmt: skip
        if not hits:
            raise Unknown("unknown_way_of_planning", name, near(name, every) or tuple(every))
        chosen += [one for one in hits if one not in chosen]
    if not ahead:
        return chosen
    return [replace(one, name=f"{AHEAD.sub('', one.name)}, {ahead} days ahead", ahead=ahead)
            for one in chosen]  # fmt: skip


def relive(
    shop: Shop,
    policies: Sequence[Policy],
    since: date,
    until: date,
    profile: str | None = None,
    *,
    as_needed: bool = False,
    tell: Told | None = None,
) -> list[Relived]:
    """The days from ``since`` to ``until`` as they were, then under each policy, by profile.

    The rails are those that were cut in these days, each due when its job was. The rack begins as
    it lay on the evening before. Sticks come on the days on which they were received, or
    ``as_needed``. The last rows are of all profiles together, where there are more than one.

    Raises:
        Refused: the days are the wrong way round, or nothing was cut in them.
        Unknown: no profile has this code.
    """
    if since > until:
        raise Refused("no_day_between", Remedy(Do.EARLIER_DAY_FIRST), since=since, until=until)
    with reading(shop.engine) as session:
        chosen = [profile_named(session, profile)] if profile else profiles(session)
        past = lived(session, shop.settings, chosen, since, until)
    if not past:
        raise Refused("nothing_cut_between", Remedy(Do.OTHER_DAYS), since=since, until=until)
    rows: list[Relived] = []
    for number, one in enumerate(past):
        if tell is not None:
            tell(one.demand.profile, number, len(past))
        rows.append(Relived(one.demand.profile, AS_IT_WAS, one.happened, one.late, 0))
        rows += [again(one, policy, as_needed=as_needed) for policy in policies]
    return rows if len(past) == 1 else rows + together(rows)


def again(past: Lived, policy: Policy, *, as_needed: bool) -> Relived:
    """One profile's days under one policy; the first day of the run is the evening before."""
    supply = RecordedSupply(past.arrivals, past.demand, as_needed=as_needed)
    with planning():
        run: Run = replay(past.demand, past.orders, policy, 0, past.days + 1, supply)
    found, late = figures(run, 1, past.days + 1), sum(day.late for day in run.days)
    found = replace(found, grown=found.grown - past.brought)
    return Relived(past.demand.profile, policy.name, found, late, run.uncut)


def together(rows: Sequence[Relived]) -> list[Relived]:
    """All profiles together, a row for each way of planning."""
    return [
        Relived(ALL, way, pooled([row.found for row in rows if row.way == way]),
                sum(row.late for row in rows if row.way == way),
                sum(row.uncut for row in rows if row.way == way))
        for way in dict.fromkeys(row.way for row in rows)
    ]  # fmt: skip


def month_replayed(
    shop: Shop, code: str, curves: Sequence[Curve | None], days: int = 30
) -> list[Figures]:
    """The last days of a profile cut again, frame by frame, once under each curve.

    The rack is as it lay, sticks come as they are needed; nothing where nothing was cut.
    """
    with reading(shop.engine) as session:
        profile = profile_named(session, code)
        past = lived(session, shop.settings, [profile], *last_days(shop, days))
    return [
        again(one, Policy("", learned({profile.code: curve} if curve else {})),
              as_needed=True).found
        for one in past for curve in curves
    ]  # fmt: skip


def last_days(shop: Shop, days: int) -> tuple[date, date]:
    """So many of the shop's last days, today the last of them; fewer where the record is young."""
    with reading(shop.engine) as session:
        first = session.exec(select(func.min(Entry.day))).one() or shop.hand.day
    start = max(first, shop.hand.day - timedelta(days - 1))
    return min(start, shop.hand.day), shop.hand.day

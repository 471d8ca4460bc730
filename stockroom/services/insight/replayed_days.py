"""What a span of days really held: rails cut, pieces that came, and what it came to."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean

from sqlmodel import Session

from planner.values import Frame, Piece, Rules
from stockroom.record.jobs import FOR_STOCK
from stockroom.record.tables import Job, Profile
from stockroom.replay import Figures, Order, ShopDemand
from stockroom.replay.asked_frames import FIRST_DAY
from stockroom.replay.deliveries import Arriving
from stockroom.services.past.past_days import (
    Moved,
    Span,
    Stay,
    jobs_of,
    moved_in,
    stays_in,
    stock_cuts,
    without_sent_back,
    without_stock,
)
from stockroom.services.planning import rules_for
from stockroom.settings.shop_settings import Settings

__all__ = ["Lived", "lived"]


@dataclass(frozen=True, slots=True)
class Lived:
    """One profile's span of days, ready to be cut again, and what really happened in it.

    Day 0 is the evening before the first day. ``late`` counts frames cut after their due day.
    """

    demand: ShopDemand
    days: int
    orders: tuple[Order, ...]
    arrivals: tuple[Arriving, ...]
    happened: Figures
    late: int

    @property
    def brought(self) -> int:
        """The length of the offcuts that came from outside in these days, um."""
        return sum(piece.length for one in self.arrivals for piece in one.pieces
                   if one.day and piece.kind == "offcut")  # fmt: skip


def lived(
    session: Session, settings: Settings, chosen: Sequence[Profile], since: date, until: date
) -> list[Lived]:
    """The days of those of these profiles that were cut in them; both days included.

    What was cut for stock is left out, piece and rails: nobody asked for it, and no stick was
    opened for it. What that left of a piece counts as from outside, and an offcut of these days
    that went into it as gained.
    """
    span, codes = Span(since, until), [profile.code for profile in chosen]
    moved, stays = moved_in(session, codes, span), stays_in(session, codes, span)
    span = Span(since, until, min((one.entry for one in moved if one.kind == "cut"), default=0))
    jobs, stock = jobs_of(session, moved), stock_cuts(session, moved)
    moved = without_sent_back([one for one in moved if one.entry not in stock])
    stays = [without_stock(one, stock) for one in stays]
    stays = [one for one in stays if one.left_by != FOR_STOCK or one.born_at(span) is None]
    found = []
    for profile in chosen:
        mine = [one for one in moved if one.line.profile_code == profile.code]
        if any(one.kind == "cut" and one.line.place == "rails" for one in mine):
            here = [stay for stay in stays if stay.row.profile_code == profile.code]
            found.append(one_profile(profile, rules_for(settings, profile), span, mine, here, jobs))
    return found


def one_profile(
    profile: Profile, rules: Rules, span: Span, moved: Sequence[Moved], stays: Sequence[Stay],
    jobs: Mapping[int, tuple[Job, date]],
) -> Lived:  # fmt: skip
    """One profile's days."""
    cut = [one for one in moved if one.kind == "cut" and one.line.place == "rails"]
    longest = max(one.line.length_um for one in cut)
    stick = max(profile.stick_length_um, longest + 2 * rules.end_trim)
    demand = ShopDemand(profile.code, "", 1.0, rules, profile.batch_matched, sides=(1, longest),
                    sticks=(stick, stick), delivery=1, minimum=1)  # fmt: skip
    orders = orders_of(profile.code, span, cut, jobs)
    return Lived(
        demand, span.days, orders, arrivals_of(stays, span),
        happened(rules, span, moved, stays, len(orders)), late_of(cut, jobs),
    )  # fmt: skip


def orders_of(
    code: str, span: Span, cut: Sequence[Moved], jobs: Mapping[int, tuple[Job, date]]
) -> tuple[Order, ...]:
    """The rails that were cut, frame by frame, each due when its job was."""
    rails: dict[int, dict[int, int]] = defaultdict(dict)
    for one in cut:
        rails[one.line.frame_id or 0][one.line.rail or 0] = one.line.length_um
    found = []
    for number, lengths in sorted(rails.items()):
        job, taken = jobs[number]
        due = span.number(job.due)
        frame = Frame(f"F{number:07d}", code, tuple(lengths[rail] for rail in sorted(lengths)),
                      FIRST_DAY + timedelta(due), job.one_batch, job.one_piece)  # fmt: skip
        found.append(Order(min(span.number(taken), due), due, frame))
    return tuple(found)


def arrivals_of(stays: Sequence[Stay], span: Span) -> tuple[Arriving, ...]:
    """What lay on the rack the evening before, and what came from outside on which day.

    Pieces that left otherwise than by being cut could not have been cut, and are left out.
    """
    groups: dict[tuple[int, int, str], list[Stay]] = defaultdict(list)
    for stay in stays:
        lost = stay.left is not None and stay.left <= span.until and stay.left_by != "cut"
        if (day := stay.born_at(span)) is not None and not lost:
            groups[day, stay.row.came_in if day else 0, stay.row.kind if day else ""].append(stay)
    return tuple(
        Arriving(day, tuple(piece_of(stay, span) for stay in group))
        for (day, _, _), group in sorted(groups.items())
    )


def piece_of(stay: Stay, span: Span) -> Piece:
    """A piece as the replay takes it; its days are counted from the replay's first."""
    row = stay.row
    return Piece(
        str(row.id), row.profile_code, row.batch_code, row.kind,  # type: ignore[arg-type]
        stay.length, FIRST_DAY + (row.since - span.since) + timedelta(1), stay.flaws,
        (row.label_end, row.far_end),  # type: ignore[arg-type]
    )  # fmt: skip


def happened(
    rules: Rules, span: Span, moved: Sequence[Moved], stays: Sequence[Stay], frames: int
) -> Figures:
    """The figures of what was really cut, reckoned like those of a replay."""
    kinds = {stay.row.id: stay.row.kind for stay in stays}
    cuts = [one for one in moved if one.kind == "cut"]
    used = [one.line for one in cuts if one.line.place == "rack" and one.line.length_um < 0]
    rails = [one.line.length_um for one in cuts if one.line.place == "rails"]
    scrap = [one.line for one in moved if one.line.place == "scrap"]
    trims = sum(line.length_um for line in scrap if line.cause == "end trim")
    opened = -sum(line.length_um for line in used if kinds.get(line.piece_id or 0) == "stick")
    lay = [[stay for stay in stays if stay.row.kind == "offcut" and stay.lay(span, number)]
           for number in range(span.days + 1)]  # fmt: skip
    ages = [(span.since - stay.row.since).days + number - 1
            for number, there in enumerate(lay) for stay in there if number]  # fmt: skip
    return Figures(
        bought=opened - trims,
        needed=sum(rails) + rules.cut_allowance * len(rails),
        grown=length_of(lay[-1]) - length_of(lay[0]) - brought(stays, span)
        + length_of([stay for stay in stays if stay.left_by == FOR_STOCK]),
        scrap=sum(line.length_um for line in scrap) - trims,
        frames=frames,
        handled=len(used),
        offcuts=fmean(map(len, lay[1:])),
        most=max(map(len, lay[1:])),
        oldest=max(ages, default=0),
        seconds=0.0,
    )  # fmt: skip


def length_of(stays: Sequence[Stay]) -> int:
    """The length of these pieces, um."""
    return sum(stay.length for stay in stays)


def brought(stays: Sequence[Stay], span: Span) -> int:
    """The length of the offcuts that came from outside in these days, um: no gain of cutting."""
    return length_of([stay for stay in stays if stay.row.kind == "offcut" and stay.born_at(span)])


def late_of(cut: Sequence[Moved], jobs: Mapping[int, tuple[Job, date]]) -> int:
    """How many frames had a rail cut after the day they were due."""
    last: dict[int, date] = {}
    for one in cut:
        number = one.line.frame_id or 0
        last[number] = max(one.day, last.get(number, one.day))
    return sum(day > jobs[number][0].due for number, day in last.items())

"""The shop's rack and open frames as the planner's problem."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from sqlmodel import Session, col, select

from planner.values import Aims, Frame, Problem, Rules
from stockroom.frame.shapes import FRAME, JobShape
from stockroom.record.catalogue import profiles
from stockroom.record.jobs import OpenFrame, job_number, open_frames
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.stocktake import UNKNOWN_BATCH, not_seen
from stockroom.record.tables import Job, PlanRail, Profile
from stockroom.refusals import Clash, Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.kept_for import taken_by
from stockroom.services.past.kept_worth import curves_kept
from stockroom.services.planning import limits_of, rules_for, settable_piece
from stockroom.settings.shop_settings import Settings

__all__ = ["Choices", "TodaysWork", "nothing_waits", "planner_frame", "todays_work"]


@dataclass(frozen=True, slots=True)
class Choices:
    """What the framer chose for a plan: up to which due date, pins, what is left alone.

    ``pins`` maps a job or frame label to the number of the piece it must come from. Jobs due up
    to ``ahead`` days later are looked at too, and cut where that pays. ``stock`` plans the frames
    for stock and no others, from offcuts alone. ``tight`` lets rails take the margin
    that is else kept back on offcuts. The frames of a job in ``apart`` may come from different
    batches.
    """

    until: date
    pins: Mapping[str, int] = field(default_factory=dict)
    left_alone: frozenset[int] = frozenset()
    without: frozenset[int] = frozenset()
    profile: str | None = None
    aims: Aims = "ordered"
    seconds: float = 10.0
    ahead: int = 0
    stock: bool = False
    tight: bool = False
    apart: frozenset[int] = frozenset()


@dataclass(frozen=True)
class TodaysWork:
    """A problem for the planner, with what it was made from; ``later`` frames may wait.

    ``margins`` are those of the profiles where this plan may take them.
    """

    problem: Problem
    frames: Mapping[str, OpenFrame]
    pieces: Mapping[int, RackPiece]
    later: frozenset[str] = frozenset()
    margins: Mapping[str, int] = field(default_factory=dict)

    @property
    def allowances(self) -> dict[str, int]:
        """What each cut takes of the profiles cut to other shapes than frames, um."""
        return {
            profile: rules.cut_allowance
            for profile, rules in self.problem.profile_rules.items()
            if shapes_of(self.frames.values(), profile) != {FRAME}
        }


def nothing_waits(session: Session, settings: Settings, choices: Choices) -> Refused:
    """Why there is nothing to plan: all that is due is in accepted plans, or nothing is due."""
    due = open_frames(session, choices.until, profile=choices.profile, bench=settings.bench)
    if not any(frame.held for frame in due):
        return Refused("no_frame_waits", Remedy(Do.TAKE_OR_AHEAD), until=choices.until)
    held = select(PlanRail.plan_id).where(col(PlanRail.settled_in).is_(None)).distinct()
    plans = tuple(sorted(session.exec(held)))
    return Refused("frames_in_plans", Remedy(Do.CUT_OR_LET_GO, plans[0]), until=choices.until,
                   plans=plans)  # fmt: skip


def ruled(rules: Rules, choices: Choices) -> Rules:
    """The rules of a plan: without a margin where tight fits are allowed."""
    return replace(rules, margin=0) if choices.tight else rules


def todays_work(session: Session, settings: Settings, choices: Choices) -> TodaysWork:
    """What is to be cut, from what, by which rules.

    Raises:
        Unknown, Clash, Refused: a pin, a piece left alone or a job left out makes no sense.
    """
    every = {profile.code: profile for profile in profiles(session)}
    until = choices.until + timedelta(choices.ahead)
    waiting = [
        frame for frame in open_frames(
            session, until, profile=choices.profile, bench=settings.bench,
            stock="alone" if choices.stock else "without",
        )
        if not frame.held and frame.job not in choices.without
    ]  # fmt: skip
    check_without(session, choices)
    wanted = {frame.profile for frame in waiting}
    pieces = free_pieces(session, sorted(wanted), choices)
    pins = pins_by_label(session, choices, waiting, pieces)
    for number in sorted(choices.left_alone):
        check_piece(session, number)
        pieces.pop(number, None)
    frames = [
        planner_frame(frame, pieces.values(), pins, every[frame.profile], choices.apart)
        for frame in waiting
    ]
    problem = Problem(
        rules=Rules(settings.cut_allowance_um, 0, 0),
        pieces=tuple(settable_piece(piece, settings) for piece in pieces.values()),
        frames=tuple(frames),
        profile_rules={
            code: ruled(rules_for(settings, every[code], shapes=shapes_of(waiting, code)), choices)
            for code in sorted(wanted)
        },
        worth=curves_kept(session, wanted),
        aims=choices.aims,
        limits=limits_of(settings, choices.seconds),
    )
    later = frozenset(f.label for f in waiting if f.cut_by > choices.until and f.label not in pins)
    margins = {code: rules_for(settings, every[code]).margin for code in wanted if choices.tight}
    return TodaysWork(problem, {frame.label: frame for frame in waiting}, pieces, later, margins)


def shapes_of(frames: Iterable[OpenFrame], profile: str) -> frozenset[JobShape]:
    """The shapes of the frames that wait for a profile."""
    return frozenset(frame.shape for frame in frames if frame.profile == profile)


def free_pieces(
    session: Session, profiles: Sequence[str], choices: Choices
) -> dict[int, RackPiece]:
    """The pieces that a plan may take: held by none; looked for in vain only where pinned."""
    free = {
        piece.id: piece
        for code in profiles
        for piece in on_rack(session, code)
        if piece.held_by is None and not (choices.stock and piece.kind == "stick")
    }
    lost = not_seen(session, free.keys() - set(choices.pins.values()))
    return {number: piece for number, piece in free.items() if number not in lost}


def check_without(session: Session, choices: Choices) -> None:
    """The jobs to leave out exist."""
    for job in sorted(choices.without):
        if session.get(Job, job) is None:
            raise Unknown("unknown_job", f"J{job}", (), Remedy(Do.SEE_JOBS_ALL))


def check_piece(session: Session, number: int) -> RackPiece:
    """The piece on the rack, held or not.

    Raises:
        Unknown: there is none of this number on the rack.
    """
    found = on_rack(session, ids=[number])
    if not found:
        raise Unknown("unknown_piece_on_the_rack", str(number), (), Remedy(Do.SEE_RACK))
    return found[0]


def pins_by_label(
    session: Session,
    choices: Choices,
    waiting: Sequence[OpenFrame],
    pieces: Mapping[int, RackPiece],
) -> dict[str, str]:
    """Each pinned frame's label with its piece.

    Raises:
        Refused, Clash, Unknown: the frame does not wait, or the piece cannot serve it.
    """
    pins: dict[str, str] = {}
    for typed, number in sorted(choices.pins.items()):
        hit = [frame for frame in waiting if typed.upper() in (frame.label, f"J{frame.job}")]
        if not hit:
            job_number(typed.split(".")[0])
            raise Refused("not_waiting_by", Remedy(Do.SEE_JOBS), typed=typed, until=choices.until)
        piece = check_piece(session, number)
        if piece.held_by is not None:
            raise Clash("piece_held_by_plan", Remedy(Do.LET_GO, piece.held_by), number=number,
                        plan=piece.held_by)  # fmt: skip
        if number in choices.left_alone:
            raise Refused("pinned_and_left_alone", number=number)
        of_it = [frame for frame in hit if frame.profile == piece.profile]
        for frame in of_it if hit[0].layered and of_it else hit:
            if piece.profile != frame.profile:
                raise Refused("pinned_to_other_profile", number=number, profile=piece.profile,
                              frame=frame.label, wanted=frame.profile)  # fmt: skip
            pins[frame.label] = str(number)
    return pins


def planner_frame(
    frame: OpenFrame, pieces: Collection[RackPiece], pins: Mapping[str, str],
    profile: Profile, apart: Collection[int] = (),
) -> Frame:  # fmt: skip
    """A waiting frame as the planner takes it; one begun keeps to the batch it was begun in.

    So does one whose job or set was begun, unless its frames may come from different batches; else
    it is cut with all of the set or not at all. What lies in one another is too.
    """
    rack = [piece for piece in pieces if piece.profile == frame.profile]
    return Frame(
        id=frame.label, profile=frame.profile, rails=tuple(frame.rails.values()),
        due=frame.cut_by,
        one_batch=frame.one_batch, one_piece=frame.one_piece, pin=pins.get(frame.label),
        batch=batch_to_match(frame, rack, bound=frame.one_batch or profile.batch_matched)
        or frame.match or (job_batch(frame) if frame.job not in apart else None),
        pairs=frame.shape == FRAME,
        link=(frame.set_name if frame.job not in apart else None) or frame.link,
        takes=taken_by(frame.takes, frame.customer),
    )  # fmt: skip


def job_batch(frame: OpenFrame) -> str | None:
    """The batch that the other frames of a frame's job were cut from, where it has to match."""
    return min(frame.job_batches) if frame.one_batch and len(frame.job_batches) == 1 else None


def batch_to_match(frame: OpenFrame, rack: Sequence[RackPiece], *, bound: bool) -> str | None:
    """The batch that the rest of a begun frame is cut from.

    A frame bound to one batch must have it; another has it where the rack still holds enough.
    """
    if len(frame.batches) != 1:
        return None
    (batch,) = frame.batches
    longest = max(frame.rails.values(), default=0)
    there = batch != UNKNOWN_BATCH and any(
        piece.batch == batch and piece.length >= longest for piece in rack
    )
    return batch if bound or there else None

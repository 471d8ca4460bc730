"""Which batch a frame of a matched profile comes from, where a plan weighs what stays."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import timedelta

from planner.values import Frame
from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.services.morning.problem import TodaysWork
from stockroom.services.past.frames_asked import frames_asked
from stockroom.services.planning import rules_for
from stockroom.services.shop import Shop
from stockroom.worth.by_batch import BatchWorth
from stockroom.worth.choose_batch import Batches

__all__ = ["with_batches_chosen"]


def with_batches_chosen(shop: Shop, work: TodaysWork) -> TodaysWork:
    """Today's work, its matched frames each tied to the batch that is missed the least.

    Only where a plan weighs sticks against what stays, and only for profiles of which every frame
    can be cut so: what a batch is worth together, no plan sees from the worth of single offcuts.
    """
    if work.problem.aims != "weighed":
        return work
    codes = sorted({frame.profile for frame in work.problem.frames})
    tied = {
        name: batch
        for code, worth in batch_worths(shop, [c for c in codes if to_choose(work, c)]).items()
        for name, batch in chosen(work, code, worth).items()
    }
    frames = tuple(replace(f, batch=tied.get(f.id, f.batch)) for f in work.problem.frames)
    return replace(work, problem=replace(work.problem, frames=frames))


def to_choose(work: TodaysWork, code: str) -> bool:
    """Whether a profile's frames all need a batch, nothing more, and have more than one to ask."""
    frames = [frame for frame in work.problem.frames if frame.profile == code]
    pieces = [piece for piece in work.problem.pieces if piece.profile == code]
    # Bowed pieces, those kept for some jobs, and ornament are for the plan to see to.
    odd = any(p.kept_for or p.longest is not None for p in pieces)
    if odd or work.problem.rules_of(code).repeat:
        return False
    return len({piece.batch for piece in pieces}) > 1 and all(map(by_batch, frames))


def by_batch(frame: Frame) -> bool:
    """Whether a frame's rails must match, but no others, and may be cut from several pieces."""
    free = frame.pin is None and not frame.one_piece and frame.link is None
    return free and (frame.one_batch or frame.batch is not None)


def batch_worths(shop: Shop, codes: Collection[str]) -> dict[str, BatchWorth]:
    """What batches of these profiles are worth by the frames asked for so far."""
    found = {}
    with reading(shop.engine) as session:
        for code in codes:
            profile = profile_named(session, code)
            asked = frames_asked(session, profile, until=shop.hand.day + timedelta(30))
            rules = rules_for(shop.settings, profile)
            found[code] = BatchWorth([rails for _, rails in asked], rules, profile.stick_length_um)
    return found


def chosen(work: TodaysWork, code: str, worth: BatchWorth) -> dict[str, str]:
    """Each frame's batch, if all find one; else none, and the plan is free to choose."""
    frames: Sequence[Frame] = [f for f in work.problem.frames if f.profile == code]
    taken = Batches(work.problem, code, worth).plan(frames, {frame.id for frame in frames})
    return {one.frame: one.batch for one in taken} if len(taken) == len(frames) else {}

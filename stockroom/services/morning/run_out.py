"""Frames that must match what is cut, and those whose batch the rack cannot give any more."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.values import Frame
from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.record.jobs import OpenFrame, open_frames
from stockroom.record.ledger import RackPiece, on_rack
from stockroom.record.stocktake import not_seen
from stockroom.services.morning.problem import planner_frame
from stockroom.services.shop import Shop

__all__ = ["Tied", "batch_is_there", "run_out", "tied_frames"]


@dataclass(frozen=True, slots=True)
class Tied:
    """A frame that must match what is cut: its label, job, profile, that batch, whether rails of it
    are cut (else of other frames of its job), and whether the rack has that batch no more."""

    label: str
    job: int
    profile: str
    batch: str
    begun: bool
    gone: bool


def batch_is_there(wanted: Frame, rack: Sequence[RackPiece]) -> bool:
    """True where a frame may come from any batch, or the rack has a piece of its own that is long
    enough for one of its rails."""
    return wanted.batch is None or any(
        piece.batch == wanted.batch and piece.length >= max(wanted.rails)
        for piece in rack
        if piece.profile == wanted.profile
    )


def tied_frames(
    shop: Shop, *, job: int | None = None, profile: str | None = None
) -> tuple[Tied, ...]:
    """The waiting frames that must match a batch; of one job or profile where one is named."""
    with reading(shop.engine) as session:
        frames = [frame for frame in open_frames(session, profile=profile)
                  if begun(frame) and not frame.held and job in (None, frame.job)]  # fmt: skip
        if not frames:
            return ()
        every = {one.code: one for one in profiles(session)}
        free = [piece for piece in on_rack(session) if piece.held_by is None]
        lost = not_seen(session, [piece.id for piece in free])
        rack = [piece for piece in free if piece.id not in lost]
    found = []
    for frame in frames:
        wanted = planner_frame(frame, rack, {}, every[frame.profile])
        if wanted.batch is not None:
            gone, cut = not batch_is_there(wanted, rack), len(frame.rails) < len(frame.whole)
            found.append(Tied(frame.label, frame.job, frame.profile, wanted.batch, cut, gone))
    return tuple(found)


def run_out(shop: Shop, *, job: int | None = None, profile: str | None = None) -> tuple[Tied, ...]:
    """The waiting frames whose batch the rack has no more."""
    return tuple(one for one in tied_frames(shop, job=job, profile=profile) if one.gone)


def begun(frame: OpenFrame) -> bool:
    """True where something of a frame, or of its job, is cut already."""
    return bool(frame.batches or frame.job_batches)

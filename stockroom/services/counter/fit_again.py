"""Which cut rails still fit a job's frames as they are told now, and which go back."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sqlmodel import Session

from stockroom.record.jobs import job_named, standing_frames
from stockroom.record.ledger import Flow
from stockroom.record.tables import Frame
from stockroom.services.counter.sized_layers import SizedLayer
from stockroom.services.rack.rails_back import StandingRail, rails_standing

__all__ = ["Refit", "cut_for_job", "refit", "reopen"]


@dataclass(frozen=True, slots=True)
class Refit:
    """What becomes of a job's frames and rails where it changes.

    ``kept`` has for each frame that stands the rails that still fit, by their numbers now; the
    other rails go ``back``. ``new`` frames are wanted: each its number and its moulding.
    """

    kept: Mapping[int, Mapping[int, StandingRail]]
    back: tuple[StandingRail, ...]
    new: tuple[tuple[int, SizedLayer], ...]

    @property
    def moves(self) -> Iterator[Flow]:
        """The lines of rails that serve another side now: the artwork was told turned."""
        for slots in self.kept.values():
            for number, rail in slots.items():
                if number != rail.rail:
                    yield rail.out
                    yield Flow("rails", rail.length, rail.profile, rail.batch, frame=rail.frame,
                               rail=number)  # fmt: skip


def refit(
    frames: Sequence[Frame], rails: Sequence[StandingRail], layers: Sequence[SizedLayer],
    quantity: int, used: int,
) -> Refit:  # fmt: skip
    """The rails that still are right; frames with the most of them stand first.

    Frames of one number lie in one another, and stand or go together. ``used`` is the highest
    number that a frame of the job ever had.
    """
    wanted = {one.number: one for one in layers}
    mine: dict[int, list[StandingRail]] = {frame.id: [] for frame in frames}
    for rail in rails:
        mine[rail.frame].append(rail)
    fits = {frame.id: still_right(mine[frame.id], wanted[frame.layer])
            for frame in frames if frame.layer in wanted}  # fmt: skip
    right: dict[int, int] = {}
    for frame in frames:
        right[frame.number] = right.get(frame.number, 0) + len(fits.get(frame.id, ()))
    copies = sorted(right, key=lambda number: -right[number])[:quantity]
    kept = {frame.id: fits[frame.id] for number in copies for frame in frames
            if frame.number == number and frame.id in fits}  # fmt: skip
    stay = {(rail.frame, rail.rail) for slots in kept.values() for rail in slots.values()}
    there = {(frame.number, frame.layer) for frame in frames}
    more = range(used + 1, used + 1 + quantity - len(copies))
    new = tuple((number, one) for number in (*sorted(copies), *more) for one in layers
                if (number, one.number) not in there)  # fmt: skip
    back = tuple(rail for rail in rails if (rail.frame, rail.rail) not in stay)
    return Refit(kept, back, new)


def still_right(rails: Sequence[StandingRail], one: SizedLayer) -> dict[int, StandingRail]:
    """The rails of a frame that still serve it in this moulding and these sizes."""
    of_it = [rail for rail in rails if rail.profile == one.layer.profile.code]
    return in_their_places(of_it, one.sizes.lengths_um)


def in_their_places(rails: Sequence[StandingRail], sides: Sequence[int]) -> dict[int, StandingRail]:
    """The rails of a frame by the numbers that they fit: their own, or another of that length."""
    slots: dict[int, StandingRail] = {}
    turned: list[StandingRail] = []
    for rail in rails:
        if rail.rail < len(sides) and rail.length == sides[rail.rail]:
            slots[rail.rail] = rail
        else:
            turned.append(rail)
    for rail in turned:
        free = [
            number
            for number, length in enumerate(sides)
            if number not in slots and length == rail.length
        ]
        if free:
            slots[free[0]] = rail
    return slots


def cut_for_job(session: Session, typed: str) -> tuple[list[Frame], list[StandingRail]]:
    """A job's frames that stand, and their rails that are cut."""
    frames = [frame for _, frame in standing_frames(session, [job_named(session, typed)])]
    return frames, rails_standing(session, frames)


def reopen(frames: Sequence[Frame], back: Sequence[StandingRail]) -> dict[str, int]:
    """Frames that lost a rail are not done any more; gives by which entries they were."""
    lost = {rail.frame for rail in back}
    was: dict[str, int] = {}
    for frame in frames:
        if frame.id in lost and frame.done_in is not None:
            was[str(frame.id)] = frame.done_in
            frame.done_in = None
    return was

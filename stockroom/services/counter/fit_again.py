"""Which cut rails still fit a job's frames as they are told now, and which go back."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sqlmodel import Session

from stockroom.record.jobs import job_named, standing_frames
from stockroom.record.ledger import Flow
from stockroom.record.tables import Frame
from stockroom.services.rack.rails_back import StandingRail, rails_standing

__all__ = ["Refit", "cut_for_job", "refit", "reopen"]


@dataclass(frozen=True, slots=True)
class Refit:
    """What becomes of a job's frames and rails where it changes.

    ``kept`` has for each frame that stands the rails that still fit, by their numbers now; the
    other rails go ``back``.
    """

    kept: Mapping[int, Mapping[int, StandingRail]]
    back: tuple[StandingRail, ...]

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
    frames: Sequence[Frame], rails: Sequence[StandingRail], profile: str,
    sides: Sequence[int], quantity: int,
) -> Refit:  # fmt: skip
    """The rails that still are right; frames with the most of them stand first.

    ``sides`` are the long points of all rails by their numbers, um.
    """
    mine: dict[int, list[StandingRail]] = {frame.id: [] for frame in frames}
    for rail in rails:
        if rail.profile == profile:
            mine[rail.frame].append(rail)
    fits = {number: in_their_places(found, sides) for number, found in mine.items()}
    order = sorted(fits, key=lambda number: -len(fits[number]))[:quantity]
    kept = {number: fits[number] for number in order}
    stay = {(rail.frame, rail.rail) for slots in kept.values() for rail in slots.values()}
    return Refit(kept, tuple(rail for rail in rails if (rail.frame, rail.rail) not in stay))


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

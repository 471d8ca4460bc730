"""What came in every stretch of days of a profile's past, and the new sticks that it would take.

A window is so many days of the past, as they were; the frames asked for in it are cut after the
open jobs by the planner's own hand rule, from the rack, from what is on order, and from as many
new sticks as it takes. All windows are counted and none is drawn, so that a list is the same
whenever it is made. Lengths are micrometres.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.heuristics.best_fit import hand_laid
from planner.values import Frame, Piece, Problem, Rules
from stockroom.buying.forecast import Forecast
from stockroom.units.lengths import Micrometres

__all__ = ["Asking", "Case", "WindowOutcome", "as_free", "outcomes", "sticks_opened",
           "stretches_apart", "with_order"]  # fmt: skip

Pair = tuple[int, int]

WEEK = 7
NEW = "new"
FEWEST_LENGTHS = 3


@dataclass(frozen=True, slots=True)
class Asking:
    """A job that came in on a day, with the pair of rails of each of its frames (um), or all
    rails of each of what is no frame of two pairs."""

    day: date
    pairs: tuple[Pair, ...]
    others: tuple[tuple[int, ...], ...] = ()

    @property
    def count(self) -> int:
        """How many frames it has."""
        return len(self.pairs) + len(self.others)

    @property
    def frames(self) -> tuple[tuple[int, ...], ...]:
        """The rails of all its frames."""
        return (*(pair * 2 for pair in self.pairs), *self.others)


@dataclass(frozen=True, slots=True)
class Case:
    """One profile on the day of the review.

    ``pieces`` are free on the rack or on order, as offcuts that cost nothing; ``known`` the frames
    of open jobs; ``past`` the jobs that came in since ``since``, oldest first; ``days``, from this
    one on, whose frames are due before an order of the next review would be there; ``early``, the
    first of them, whose frames are due before today's order is.
    """

    profile: str
    rules: Rules
    stick_length: Micrometres
    pieces: tuple[Piece, ...]
    known: tuple[Frame, ...]
    past: tuple[Asking, ...]
    since: date
    one_batch: bool
    forecast: Forecast
    day: date
    days: int
    early: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.early <= self.days or self.stick_length <= 2 * self.rules.end_trim:
            raise ValueError(
                f"{self.profile}: {self.days} days, {self.early} of them early, "
                f"a stick of {self.stick_length}"
            )


@dataclass(frozen=True, slots=True)
class WindowOutcome:
    """What the days to come may bring: frames, new sticks beyond those of the open jobs, and the
    share of all outcomes that this one is; of them, the frames due before today's order is there,
    and their sticks."""

    frames: int
    sticks: int
    share: float
    early_frames: int = 0
    early_sticks: int = 0


def outcomes(case: Case) -> list[WindowOutcome]:
    """What the days to come may bring, shares that add up to 1.

    Each window of the past that goes on as the newest weeks do counts the same. Where less is
    expected than they brought, since demand fades, the rest of the share is nothing at all.
    """
    found = [] if not (case.days and case.forecast.rate) else list(windows(case))
    if not any(found):
        return [WindowOutcome(0, 0, 1.0)]
    mean = sum(map(len, found)) / len(found)
    share = min(1.0, case.forecast.rate * case.days / WEEK / mean)
    jobs, known = sticks_opened(case, ()), dict[object, int]()

    def beyond(frames: tuple[Frame, ...]) -> int:
        alike = in_turn(case, frames)
        if alike not in known:
            known[alike] = sticks_opened(case, frames) if frames else jobs
        return max(0, known[alike] - jobs)

    soon = case.day + timedelta(case.early)
    told = [WindowOutcome(0, 0, 1 - share)]
    for frames in found:
        early = tuple(frame for frame in frames if frame.due and frame.due <= soon)
        told.append(WindowOutcome(len(frames), beyond(frames), share / len(found),
                                  len(early), beyond(early)))  # fmt: skip
    return told


def windows(case: Case) -> Iterator[tuple[Frame, ...]]:
    """The frames of each window, due day by day from the case's day on.

    Each begins half a window before the next, so that every day is in two.
    """
    first, last = window_starts(case)
    days = [ask.day for ask in case.past]
    for back in range(0, (last - first).days + 1, max(1, case.days // 2)):
        start = last - timedelta(back)
        end = start + timedelta(case.days)
        inside = case.past[bisect_left(days, start) : bisect_left(days, end)]
        yield tuple(expected(case, inside, start))


def in_turn(case: Case, frames: Sequence[Frame]) -> object:
    """What the hand rule sees of a window: its frames' rails, and which are due before which.

    Windows that differ in nothing else take the same sticks.
    """
    turns = sorted({frame.due or date.max for frame in (*case.known, *frames)})
    place = {day: turn for turn, day in enumerate(turns)}
    return tuple((frame.rails, frame.pairs, place[frame.due or date.max]) for frame in frames)


def window_starts(case: Case) -> tuple[date, date]:
    """The first and the last day on which a window begins.

    They lie in the newest weeks, as far back as demand has not changed, and in three lengths of a
    window at least where the past is as long.
    """
    last = case.day + timedelta(1 - case.days)
    back = max(WEEK * case.forecast.recent, FEWEST_LENGTHS * case.days)
    first = max(case.since, case.day + timedelta(1 - back))
    return min(first, last), last


def stretches_apart(case: Case) -> float:
    """How many windows that share no day the past would have."""
    first, last = window_starts(case)
    return (last - first).days / max(1, case.days) + 1


def expected(case: Case, asks: Iterable[Asking], start: date) -> Iterator[Frame]:
    """The frames of these jobs as they would come again, were the window to begin today."""
    for number, ask in enumerate(asks):
        due = case.day + (ask.day - start) + timedelta(1)
        for at, rails in enumerate(ask.frames):
            yield Frame(f"expected-{number}-{at}", case.profile, rails, due,
                        one_batch=case.one_batch, pairs=at < len(ask.pairs))  # fmt: skip


def sticks_opened(case: Case, expected: Sequence[Frame]) -> int:
    """New sticks that the hand rule opens for the known frames and these, earliest due first."""
    frames = (*case.known, *expected)
    most = sum(len(frame.rails) for frame in frames)
    usable = case.stick_length - 2 * case.rules.end_trim
    length = sum(rail + case.rules.cut_allowance for frame in frames for rail in frame.rails)
    likely = min(most, 4 * length // (3 * usable) + 2)
    opened, all_cut = opened_of(case, frames, likely)
    return opened if all_cut or likely == most else opened_of(case, frames, most)[0]


def opened_of(case: Case, frames: Sequence[Frame], sticks: int) -> tuple[int, bool]:
    """New sticks that the hand rule opens of so many, and whether it cut all of the frames."""
    new = tuple(
        Piece(f"new-{number:04d}", case.profile, NEW, "stick", case.stick_length)
        for number in range(sticks)
    )
    laid = hand_laid(Problem(case.rules, (*able(case, frames), *new), tuple(frames)))
    cut = {frame for rails in laid.values() for frame, _ in rails}
    opened = {piece for piece, _ in laid if piece.startswith("new-")}
    return len(opened), len(cut) == len(frames)


def with_order(profile: str, stick_length: Micrometres, sticks: int) -> tuple[Piece, ...]:
    """Sticks that this order brings anyway, of one batch with those that cover adds."""
    return tuple(
        Piece(f"bought-{number:04d}", profile, NEW, "stick", stick_length)
        for number in range(sticks)
    )


def able(case: Case, frames: Sequence[Frame]) -> tuple[Piece, ...]:
    """The free pieces that can serve any of these frames; the hand rule passes the others by.

    One shorter than every rail cannot, nor, where every frame must come from one batch, one whose
    batch is shorter than the least of them.
    """
    least = min((min(frame.rails) for frame in frames), default=0)
    long = [piece for piece in case.pieces if piece.length >= least]
    if not all(frame.one_batch for frame in frames):
        return tuple(long)
    whole = min((sum(frame.rails) for frame in frames), default=0)
    room: dict[str, int] = {}
    for piece in long:
        room[piece.batch] = room.get(piece.batch, 0) + piece.length
    return tuple(piece for piece in long if room[piece.batch] >= whole)


def as_free(piece: Piece) -> Piece:
    """A piece that the shop has already, as one that costs nothing."""
    return replace(piece, kind="offcut")

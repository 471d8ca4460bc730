"""How many new sticks waiting frames need beyond the rack, by the planner's own yield."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.score import clear_left
from planner.values import Frame, Limits, Piece, Plan, Problem, Rules
from stockroom.buying.windows import as_free
from stockroom.record.jobs import OpenFrame
from stockroom.record.ledger import RackPiece
from stockroom.record.tables import Profile
from stockroom.services.morning.problem import planner_frame
from stockroom.services.morning.run_out import batch_is_there
from stockroom.services.planning import Stop, planned, planner_piece, rules_for
from stockroom.services.shop import Shop
from stockroom.services.weekly.profile_state import Shelf

__all__ = ["Need", "Needs", "asked", "new_sticks", "sticks_coming"]


@dataclass(frozen=True, slots=True)
class Need:
    """New sticks that frames need, the whole sticks that are left after them, those on order among
    them, the labels of the frames that the rack alone cannot yield, and what the new sticks leave
    that is kept (um)."""

    sticks: int
    left: int
    short: frozenset[str] = frozenset()
    leftovers: tuple[int, ...] = ()


class Needs:
    """What frames of one profile need, each reckoning made once, all before one deadline."""

    def __init__(self, shop: Shop, shelf: Shelf, stop: Stop) -> None:
        self.shop, self.shelf, self.stop = shop, shelf, stop
        self._known: dict[tuple[frozenset[str], tuple[int, ...]], Need] = {}

    @property
    def rules(self) -> Rules:
        """How the profile is cut: the widest cut of all that waits counts."""
        shapes = {frame.shape for frame in self.shelf.waiting}
        return rules_for(self.shop.settings, self.shelf.profile, shapes=shapes)

    def of(self, frames: Sequence[OpenFrame], coming: Sequence[int] = ()) -> Need:
        """What these frames need beyond the rack and the sticks on order.

        Raises:
            PlannerFault: the planner finds an answer of its own wrong.
        """
        key = frozenset(frame.label for frame in frames), tuple(coming)
        if key not in self._known:
            self._known[key] = reckoned(self, frames, coming)
        return self._known[key]


def reckoned(needs: Needs, frames: Sequence[OpenFrame], coming: Sequence[int]) -> Need:
    """What these frames need beyond the rack and the sticks on order, those of each delivery.

    First the planner cuts what the rack can yield. The frames that stay short, begun ones cut
    again whole, are then planned with what is left and as many new sticks as could ever be
    wanted, where the rest of the rack costs nothing: the new sticks that it opens are the need.
    Leftovers are worth what the shop has learned that they are, where it has.
    """
    shelf, profile = needs.shelf, needs.shelf.profile
    whole = {str(piece.id) for piece in shelf.rack if piece.kind == "stick" and not piece.grade}
    if not frames:
        return Need(0, len(whole) + sum(coming))
    rules = needs.rules
    wanted = [asked(frame, shelf.rack, profile) for frame in frames]
    pieces = tuple(planner_piece(piece) for piece in shelf.rack)
    first = laid_out(needs, pieces, wanted)
    opened = {cut.piece for cut in first.cuts}
    names = frozenset(short.frame for short in first.short)
    still = [anew(frame, one) for frame, one in zip(frames, wanted, strict=True)
             if one.id in names]  # fmt: skip
    if not still:
        return Need(0, len(whole - opened) + sum(coming))
    ordered = sticks_coming(profile, coming)
    rest = [as_free(piece) for piece in (*pieces, *ordered) if piece.id not in opened]
    new = new_sticks(profile, still)
    second = laid_out(needs, (*rest, *new), still)
    opened |= {cut.piece for cut in second.cuts}
    unopened = {*whole, *(piece.id for piece in ordered)} - opened
    by_id = {piece.id: piece for piece in new}
    leftovers = tuple(clear_left(by_id[cut.piece], rules, cut) for cut in second.cuts
                      if cut.piece in by_id and cut.kept)  # fmt: skip
    return Need(len(opened & set(by_id)), len(unopened), names, leftovers)


def laid_out(needs: Needs, pieces: Sequence[Piece], frames: Sequence[Frame]) -> Plan:
    """The planner's answer for one profile, by its learned worth.

    It takes no more than half of the time that its profile has left.
    """
    shop, shelf = needs.shop, needs.shelf
    code = shelf.profile.code
    worth = {} if shelf.worth is None else {code: shelf.worth}
    problem = Problem(needs.rules, tuple(pieces), tuple(frames), worth=worth,
                      limits=Limits(shop.settings.seconds))  # fmt: skip
    return planned(problem, stop=needs.stop.within(needs.stop.left() / 2))


def asked(frame: OpenFrame, rack: Sequence[RackPiece], profile: Profile) -> Frame:
    """A waiting frame for the reckoning.

    A begun one that must match a batch which the rack cannot give any more is cut again whole.
    """
    wanted = planner_frame(frame, rack, {}, profile)
    return wanted if batch_is_there(wanted, rack) else anew(frame, wanted)


def anew(frame: OpenFrame, wanted: Frame) -> Frame:
    """A frame for new sticks: one that must match a batch is cut again whole, since what comes is
    of another, unless the supplier has more of it."""
    if wanted.batch is None:
        return wanted
    return replace(wanted, rails=frame.whole, batch=None)


def new_sticks(profile: Profile, frames: Sequence[Frame]) -> list[Piece]:
    """Sticks not yet bought, as many as these frames could want, named apart from the rack's."""
    return [
        Piece(f"new-{number:04d}", profile.code, "new", "stick", profile.stick_length_um)
        for number in range(sum(len(frame.rails) for frame in frames))
    ]


def sticks_coming(profile: Profile, deliveries: Sequence[int]) -> list[Piece]:
    """Sticks on order, as they will be when they come: each delivery of a batch of its own."""
    return [
        Piece(f"coming-{place:02d}-{number:04d}", profile.code, f"coming {place:02d}", "stick",
              profile.stick_length_um)
        for place, count in enumerate(deliveries)
        for number in range(count)
    ]  # fmt: skip

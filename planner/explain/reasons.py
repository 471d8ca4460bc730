"""Why a frame is short and what would cure it; why a stick was opened."""

from collections import defaultdict
from collections.abc import Sequence

from planner.explain.cure import least_sticks
from planner.explain.serving import LeftRack
from planner.values import Cut, Frame, Micrometres, Problem, Reason, Rules, Score, Short, Told

__all__ = ["why_opened", "why_short"]


def why_opened(problem: Problem, cuts: tuple[Cut, ...], bounds: Score) -> dict[str, Reason]:
    """For each stick opened: the frames it serves, and that offcuts alone would not do."""
    sticks = {p.id: p for p in problem.pieces if p.kind == "stick"}
    served: dict[str, dict[str, None]] = defaultdict(dict)
    for cut in cuts:
        if cut.piece in sticks:
            served[cut.piece].update(dict.fromkeys(rail.frame for rail in cut.rails))
    opened = sum(sticks[name].length for name in served)
    return {
        name: _needed(problem, tuple(frames), opened, sticks[name].length, bounds)
        for name, frames in served.items()
    }


def _needed(
    problem: Problem, frames: tuple[str, ...], opened: int, length: Micrometres, bounds: Score
) -> Reason:
    """What is proven of opening a stick: the bound, and whether the other sticks alone meet it."""
    if problem.aims == "weighed":
        return Reason("opened_weighed", {"frames": frames})
    if not bounds.stick_opened:
        return Reason("opened_no_way_found", {"frames": frames})
    about: dict[str, Told] = {"frames": frames, "least_um": bounds.stick_opened}
    if opened - length < bounds.stick_opened:
        return Reason("opened_needed", about)
    return Reason("opened_not_proven_needed", {**about, "opened_um": opened})


def why_short(
    problem: Problem, cuts: tuple[Cut, ...], frames: Sequence[Frame], optimal: bool
) -> tuple[Short, ...]:
    """Each of these frames of one profile, which are left out, why, and what would cure it."""
    if not frames:
        return ()
    profile = frames[0].profile
    rack, rules = LeftRack(problem, profile, cuts), problem.rules_of(profile)
    known = max((piece.length for piece in rack.pieces if piece.kind == "stick"), default=0)
    told = []
    for frame in frames:
        why = _why(rack, rules, frame, optimal)
        told.append(Short(frame.id, why, _cure(rack, rules, known, frame, why)))
    return tuple(told)


def _why(rack: LeftRack, rules: Rules, frame: Frame, optimal: bool) -> Reason:
    served = rack.served(frame)
    pin, batch = frame.pin or "", frame.batch or ""
    if not rack.pieces:
        return Reason("no_piece", {"profile": frame.profile})
    if not served.pieces and rack.kept_for.isdisjoint(frame.takes):
        return Reason("all_kept_for_others", {"profile": frame.profile})
    if not served.pieces and pin:
        return Reason("pin_of_other_batch", {"piece": pin, "batch": batch})
    if not served.pieces:
        return Reason("no_piece_of_batch", {"batch": batch})
    rail = max(frame.rails)
    if rail > served.longest:
        about: dict[str, Told] = {"rail_um": rail, "longest_um": served.longest}
        if pin:
            return Reason("rail_longer_than_pin", {**about, "piece": pin})
        return Reason("rail_longer_than_any", about)
    need = sum(map(rules.taken, frame.rails)) - rules.cut_allowance
    if served.most < sum(frame.rails):
        told = {"piece": pin} if pin else {}
        return Reason(_too_short(frame), {"need_um": need, "most_um": served.most, **told})
    return Reason("cannot_be_laid_out" if optimal else "was_not_laid_out")


def _too_short(frame: Frame) -> str:
    """What to say where the best pieces that a frame may come from are too short together."""
    if frame.pin is not None:
        return "pin_has_less"
    if frame.one_piece:
        return "no_piece_has_more"
    return "no_batch_has_more" if frame.one_batch or frame.batch else "rack_has_less"


def _cure(rack: LeftRack, rules: Rules, known: Micrometres, frame: Frame, why: Reason) -> Reason:
    """The least to buy that would let the frame be cut beside the frames cut, where sticks are
    known to be as long as this."""
    if frame.pin is not None:
        also = why.code == "pin_of_other_batch"
        return Reason("take_off_pin_or_batch" if also else "take_off_pin")
    if "" not in frame.takes:
        return Reason("more_from_its_owner")
    usable = least_sticks(frame, rack.served(frame).left(frame), rules)
    if 0 in usable:
        return Reason("plan_with_more_time")
    # A new stick loses its trims, and up to a motif.
    ends = 2 * rules.end_trim + rules.repeat
    least = {count: length + ends for count, length in usable.items()}
    fewest, most = min(least), max(least)
    if not known and most > fewest:
        other: dict[str, Told] = {"or_sticks": most, "or_least_um": least[most]}
        return _buy("buy_either", frame, fewest, least[fewest], other)
    # As few as will do of the length that the rack knows, or else as short as can be.
    count = next((n for n in sorted(least) if least[n] <= known), most)
    return _buy("buy", frame, count, least[count], {})


def _buy(code: str, frame: Frame, count: int, least: int, other: dict[str, Told]) -> Reason:
    about: dict[str, Told] = {"sticks": count, "least_um": least, **other}
    if frame.batch is None:
        return Reason(code, about)
    return Reason(f"{code}_of_batch", {**about, "batch": frame.batch})

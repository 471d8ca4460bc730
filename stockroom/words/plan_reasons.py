"""What is said of a plan: why a frame is short, a stick opened, what a pin costs, how sure it is.

Each of the planner's codes, and of those that the shop adds, has its words here and nowhere else.
In them ``{least:up}`` is a length rounded up, ``{sticks:more stick}`` a count with its noun.
"""

from collections.abc import Callable, Sequence

from planner.values import Reason
from stockroom.units.lengths import Micrometres, Rounding

__all__ = ["WORDS", "Lengths", "in_words", "proof_in_words", "whole"]

Lengths = Callable[[int, Rounding], str]
"""How a length (um), rounded so, is written, its unit with it."""

WORDS = {
    # Why a frame is short.
    "no_piece": "no piece of {profile} is on the rack",
    "no_piece_of_batch": "no piece of batch {batch} is on the rack",
    "pin_of_other_batch": "piece {piece} is not of batch {batch}",
    "rail_longer_than_pin": "a rail of {rail} is longer than piece {piece} (longest stretch "
    "{longest})",
    "rail_longer_than_any": "a rail of {rail} is longer than any piece it may come from (longest "
    "stretch {longest})",
    "pin_has_less": "its rails take {need} and piece {piece} has {most}",
    "no_piece_has_more": "its rails take {need} and no single piece has more than {most}",
    "no_batch_has_more": "its rails take {need} and no batch on the rack has more than {most}",
    "rack_has_less": "its rails take {need} and the rack has no more than {most}",
    "cannot_be_laid_out": "what the rack holds cannot be laid out for it beside the frames cut",
    "was_not_laid_out": "what the rack holds was not laid out for it beside the frames cut",
    "no_batch_for_job": "no batch on the rack yields all {frames:frame} of {job}",
    # What would cure it.
    "take_off_pin": "take off the pin",
    "take_off_pin_or_batch": "take off the pin or the batch",
    "plan_with_more_time": "the rack would do: plan again with more time",
    "buy": "{sticks:more stick}, {least:up} or longer would do",
    "buy_of_batch": "{sticks:more stick} of batch {batch}, {least:up} or longer would do",
    "buy_either": "{sticks:more stick}, {least:up} or longer, or {or_sticks:more stick}, "
    "{or_least:up} or longer, would do",
    "buy_either_of_batch": "{sticks:more stick} of batch {batch}, {least:up} or longer, or "
    "{or_sticks:more stick} of batch {batch}, {or_least:up} or longer, would do",
    "buy_for_all": "for all {frames} together {sticks:stick} of {stick} would do",
    "buy_batch_or_apart": "buy sticks of one batch, or plan {job} apart",
    # Why a stick was opened.
    "opened_weighed": "for {frames}: weighed with what stays on the rack, no better plan was found "
    "without it",
    "opened_no_way_found": "for {frames}: no way was found to cut these frames from offcuts alone",
    "opened_needed": "for {frames}: at least {least} of sticks must be opened for these frames",
    "opened_not_proven_needed": "for {frames}: at least {least} of sticks must be opened for these "
    "frames; {opened} are, and that none can be spared is not proven",
    # What a pin costs.
    "pin_not_worked_out": "pinned to piece {piece}: what the pin costs was not worked out in the "
    "time given",
    "pin_costs_frames": "pinned to piece {piece}: the pin costs {frames:frame}",
    "pin_costs_frames_due": "pinned to piece {piece}: the pin costs {frames:frame} due {due}",
    "pin_costs_in_all": "pinned to piece {piece}: the pin costs {cost}, stick opened and worth "
    "together",
    "pin_costs_stick": "pinned to piece {piece}: the pin costs {cost} more of stick opened",
    "pin_costs_worth": "pinned to piece {piece}: the pin costs {cost} of worth on the rack",
    "pin_costs_nothing": "pinned to piece {piece}: the pin costs nothing",
    "pin_costs_nothing_found": "pinned to piece {piece}: no better plan was found without the pin",
    "pin_seems_to_cost_frames": "pinned to piece {piece}: against the best plans found, the pin "
    "costs {frames:frame}",
    "pin_seems_to_cost_frames_due": "pinned to piece {piece}: against the best plans found, the "
    "pin costs {frames:frame} due {due}",
    "pin_seems_to_cost_in_all": "pinned to piece {piece}: against the best plans found, the pin "
    "costs {cost}, stick opened and worth together",
    "pin_seems_to_cost_stick": "pinned to piece {piece}: against the best plans found, the pin "
    "costs {cost} more of stick opened",
    "pin_seems_to_cost_worth": "pinned to piece {piece}: against the best plans found, the pin "
    "costs {cost} of worth on the rack",
    # How far a search has come.
    "frames_cut": "frames cut {reached}",
    "frames_cut_of": "frames cut {reached}, at most {bound}",
    "sticks_opened": "sticks opened {reached}",
    "sticks_opened_of": "sticks opened {reached}, at least {bound}",
    "worth_gained": "worth gained {reached}",
    "worth_gained_of": "worth gained {reached}, at most {bound}",
    "weighed": "weighed {reached}",
    "weighed_of": "weighed {reached}, at most {bound}",
    # How sure a plan is.
    "proven": "Proven: no plan cuts more frames, opens less stick, or leaves a better rack",
    "not_proven": "Good, not proven best in the time given",
    "more_frames": "up to {frames:frame} might be cut",
    "less_stick": "up to {stick} less stick might be opened",
    "better_rack": "what stays on the rack might be worth more",
    # As the hand rule tells it.
    "by_hand_no_place": "picked by eye, longest first, there was no place for all of its rails",
    "by_hand_next_rail": "no offcut or opened stick took the next rail",
    # As a policy of the replay tells it.
    "by_policy": "so this policy has it",
    # As a plan made before there were codes tells it.
    "told": "{words}",
}


class Length:
    """A length within a sentence, rounded as the sentence asks."""

    def __init__(self, um: Micrometres, lengths: Lengths) -> None:
        self._um, self._lengths = um, lengths

    def __format__(self, rounding: str) -> str:
        return self._lengths(self._um, "up" if rounding == "up" else "nearest")


class Count:
    """A number within a sentence, with a noun if one is asked for."""

    def __init__(self, number: int) -> None:
        self._number = number

    def __format__(self, noun: str) -> str:
        plural = "" if self._number == 1 else "s"
        return f"{self._number} {noun}{plural}" if noun else str(self._number)


def in_words(reason: Reason, lengths: Lengths) -> str:
    """A reason as a part of a sentence."""
    about: dict[str, object] = {}
    for name, told in reason.about.items():
        if isinstance(told, int):
            length = name.endswith("_um")
            about[name.removesuffix("_um")] = Length(told, lengths) if length else Count(told)
        else:
            about[name] = ", ".join(told) if isinstance(told, tuple) else told
    return WORDS[reason.code].format_map(about)


def whole(reasons: Sequence[Reason], lengths: Lengths) -> str:
    """Reasons one after another."""
    return "; ".join(in_words(reason, lengths) for reason in reasons)


def proof_in_words(proof: Sequence[Reason], lengths: Lengths) -> str:
    """How sure a plan is, and what might still be better, as a sentence."""
    head, *gaps = proof
    return in_words(head, lengths) + (f": {whole(gaps, lengths)}" if gaps else "") + "."

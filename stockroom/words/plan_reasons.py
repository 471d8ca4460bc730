"""What is said of a plan: why a frame is short, a stick opened; what pins cost; how sure it is."""

from collections.abc import Sequence

from planner.values import Reason
from stockroom.words.language import Lengths, Voice

__all__ = ["in_words", "proof_in_words", "whole"]


def in_words(reason: Reason, lengths: Lengths) -> str:
    """A reason as a part of a sentence."""
    return Voice("on_a_page", lengths).say(reason)


def whole(reasons: Sequence[Reason], lengths: Lengths) -> str:
    """Reasons one after another."""
    return "; ".join(in_words(reason, lengths) for reason in reasons)


def proof_in_words(proof: Sequence[Reason], lengths: Lengths) -> str:
    """How sure a plan is, and what might still be better, as a sentence."""
    head, *gaps = proof
    return in_words(head, lengths) + (f": {whole(gaps, lengths)}" if gaps else "") + "."

"""What pieces are kept for, and what jobs take beside them: seconds, a customer's own moulding."""

from stockroom.refusals import Unreadable

__all__ = ["OWN", "kept_for", "taken_by", "takes_told"]

SECONDS, OWN, USUAL = "seconds", "own", "usual"


def kept_for(grade: str, owner: str) -> str:
    """What a piece of this grade and owner is kept for: a customer's own, second or not, for that
    customer however the name is spelt in capitals."""
    if owner:
        return f"own:{' '.join(owner.split()).casefold()}"
    return SECONDS if grade else ""


def taken_by(takes: str, customer: str) -> tuple[str, ...]:
    """What the pieces of a job may be kept for: nothing, seconds too, or its customer alone."""
    return {SECONDS: ("", SECONDS), OWN: (kept_for("", customer),)}.get(takes, ("",))


def takes_told(text: str) -> str:
    """What a job takes, as typed: nothing out of the way unless seconds or own.

    Raises:
        Unreadable: it is none of the three.
    """
    typed = text.strip().casefold()
    if typed not in (SECONDS, OWN, USUAL):
        raise Unreadable(text, "of_takes")
    return "" if typed == USUAL else typed

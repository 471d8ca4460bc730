"""What to do about a refusal, as a value: each front words it for the hand that is at it."""

from dataclasses import dataclass
from enum import Enum, auto

__all__ = ["Do", "Remedy"]


class Do(Enum):
    """A kind of remedy; each front has its own words for it."""

    ACCEPT = auto()
    ACCEPT_OTHERS = auto()
    ACCEPT_ONE = auto()
    COME_AGAIN = auto()
    COUNT = auto()
    CUT_OR_LET_GO = auto()
    DEEPER_OR_PROUD = auto()
    EARLIER_DAY_FIRST = auto()
    GIVE = auto()
    GIVE_ALL = auto()
    GIVE_REASON = auto()
    GOOD_ROWS = auto()
    LARGER_LABELS = auto()
    LAST_BACKUP = auto()
    LET_GO = auto()
    LET_THAT_GO = auto()
    LOG_FOUND = auto()
    MEASURE_BLADE = auto()
    MEASURE_LEFTOVERS = auto()
    NEWER = auto()
    ODD_LENGTH = auto()
    TAKE_OUT = auto()
    OTHER_DAYS = auto()
    OTHER_SHOP = auto()
    OTHER_SHOP_OR_MOVE = auto()
    PLAN = auto()
    PLAN_HERE = auto()
    PLAN_AGAIN = auto()
    QUOTE_AGAIN = auto()
    REPEAT_UNDER_KEY = auto()
    SEE_AUDIT = auto()
    SEE_ENTRIES = auto()
    SEE_JOBS = auto()
    SEE_JOBS_ALL = auto()
    SEE_LAST_ENTRIES = auto()
    SEE_LIFE = auto()
    SEE_ORDERS = auto()
    SEE_PIECES = auto()
    SEE_PLANS = auto()
    SEE_QUOTES = auto()
    SEE_RACK = auto()
    SEE_WHY = auto()
    SET_NAME = auto()
    SET_PRICE = auto()
    SET_UP = auto()
    SET_VALUES = auto()
    SHOP_FILE = auto()
    TAKE_OR_AHEAD = auto()
    UNDO_FIRST = auto()
    WHERE_IT_WENT = auto()
    WHO = auto()


@dataclass(frozen=True, slots=True)
class Remedy:
    """What to do: its kind, and the number, code or name that it is about."""

    do: Do
    about: str | int = ""

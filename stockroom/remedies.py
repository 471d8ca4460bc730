"""What to do about a refusal, as a value: each front words it for the hand that is at it."""

from dataclasses import dataclass
from enum import Enum

__all__ = ["Do", "Remedy"]


class Do(Enum):
    """A kind of remedy, with words that are true anywhere; ``{about}`` is what it is about."""

    ACCEPT = "accept plan {about} first"
    ACCEPT_OTHERS = "accept plan {about} by its number, if it is meant"
    ACCEPT_ONE = "accept a plan first"
    COME_AGAIN = "look at the entry, or say that they came again"
    COUNT = "take the number from the count's sheet"
    CUT_OR_LET_GO = "cut plan {about}, or let it go"
    DEEPER_OR_PROUD = "choose a deeper profile, or say that it may stand proud if that is wanted"
    EARLIER_DAY_FIRST = "give the earlier day first"
    GIVE = "give the {about}"
    GIVE_ALL = "give the {about}"
    GIVE_REASON = "give the reason"
    GOOD_ROWS = "mend them, or take the other rows alone; nothing was taken"
    LARGER_LABELS = "set larger labels"
    LAST_BACKUP = "restore the last good backup"
    LET_GO = "let plan {about} go first"
    LET_THAT_GO = "let that plan go first"
    LOG_FOUND = "log it by itself as found"
    MEASURE_BLADE = "measure the blade, and set its kerf"
    MEASURE_LEFTOVERS = "say what is left when cutting, measured along the back edge"
    NEWER = "restore it all the same if that is wanted; what is replaced is kept"
    ODD_LENGTH = "check the unit, or say that the lengths are right"
    TAKE_OUT = "take {about} out of its plan first"
    OTHER_DAYS = "give other days"
    OTHER_SHOP = "name another place for the record"
    OTHER_SHOP_OR_MOVE = "name another place for the record, or move it away yourself"
    PLAN = "plan the cuts first"
    PLAN_HERE = "plan on this computer"
    PLAN_AGAIN = "plan again"
    REPEAT_UNDER_KEY = "repeat it under its key {about}: then it is recorded once"
    SEE_AUDIT = "audit the record, or restore the last good backup"
    SEE_ENTRIES = "look at what happened last"
    SEE_JOBS = "see which jobs wait"
    SEE_JOBS_ALL = "see all jobs"
    SEE_LAST_ENTRIES = "see which before trying again"
    SEE_LIFE = "see what became of piece {about}"
    SEE_ORDERS = "see all orders"
    SEE_PIECES = "see the pieces of plan {about}"
    SEE_PLANS = "see the plans"
    SEE_WHY = "see why on plan {about}"
    SET_NAME = "give its name"
    SET_PRICE = "set the price of a stick of {about}"
    SET_UP = "set a shop up"
    SET_VALUES = "give each its value"
    SHOP_FILE = "name a file for the record"
    TAKE_OR_AHEAD = "take jobs in, or plan further ahead"
    UNDO_FIRST = "undo entry {about} first"
    WHERE_IT_WENT = "see where piece {about} went"
    WHO = "say who is at the bench"


@dataclass(frozen=True, slots=True)
class Remedy:
    """What to do: its kind, and the number, code or name that it is about."""

    do: Do
    about: str | int = ""

    def __str__(self) -> str:
        return self.do.value.format(about=self.about)

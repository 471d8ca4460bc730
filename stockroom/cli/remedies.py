"""What to do about a refusal, as the command that does it."""

from typing import TYPE_CHECKING

from stockroom.refusals import StockroomError
from stockroom.remedies import Do, Remedy

if TYPE_CHECKING:
    from stockroom.services.morning.run_out import Tied

__all__ = ["WORDS", "batch_said", "worded"]

WORDS = {
    Do.ACCEPT: "stockroom accept {about}",
    Do.ACCEPT_OTHERS: "name it if you mean it: stockroom accept {about}",
    Do.ACCEPT_ONE: "stockroom accept",
    Do.COME_AGAIN: "see: stockroom entries --last 3; or say --odd, if they came again",
    Do.COUNT: "take the number from its sheet: stockroom count",
    Do.CUT_OR_LET_GO: "cut that plan, or let it go: stockroom drop {about}",
    Do.DEEPER_OR_PROUD: "choose a deeper profile, or say --proud if that is wanted",
    Do.EARLIER_DAY_FIRST: "give the earlier day to --since",
    Do.GIVE: "give --{about}",
    Do.GIVE_ALL: "give {options}, or nothing at all to be asked",
    Do.GIVE_REASON: "give it with --why",
    Do.GOOD_ROWS: "mend them, or take the other rows with --good-rows; nothing was taken",
    Do.LARGER_LABELS: "load larger labels: stockroom settings labels 'roll 62x29'",
    Do.LAST_BACKUP: "restore the last good backup; where it is says: stockroom where",
    Do.LET_GO: "let it go first: stockroom drop {about}",
    Do.LET_THAT_GO: "let it go first: stockroom drop PLAN",
    Do.LOG_FOUND: "log it by itself: stockroom found",
    Do.MEASURE_BLADE: "measure the blade: stockroom settings kerf LENGTH",
    Do.MEASURE_LEFTOVERS: "stockroom cut --leftover LENGTH, measured along the back edge",
    Do.NEWER: "restore all the same with --newer; what is replaced is kept",
    Do.ODD_LENGTH: "check the unit, or say --odd",
    Do.OTHER_DAYS: "give other days with --since and --until",
    Do.OTHER_SHOP: "name another with --shop",
    Do.OTHER_SHOP_OR_MOVE: "name another with --shop; or move it away yourself",
    Do.PLAN: "stockroom plan",
    Do.PLAN_HERE: "plan on this computer: stockroom settings workers auto",
    Do.PLAN_AGAIN: "plan again: stockroom plan",
    Do.REPEAT_UNDER_KEY: "repeat it under its key, and it is recorded once: stockroom --key "
    "{about} ...; see: stockroom entries --last 3",
    Do.SEE_AUDIT: "see: stockroom audit; or restore the last good backup; where it is says: "
    "stockroom where",
    Do.SEE_ENTRIES: "see: stockroom entries",
    Do.SEE_JOBS: "see what is: stockroom jobs",
    Do.SEE_JOBS_ALL: "see: stockroom jobs --all",
    Do.SEE_LAST_ENTRIES: "see which before trying again: stockroom entries --last 3",
    Do.SEE_LIFE: "see what became of it: stockroom history piece {about}",
    Do.SEE_ORDERS: "see: stockroom orders list --all",
    Do.SEE_PIECES: "see its pieces: stockroom show {about}",
    Do.SEE_PLANS: "stockroom plans",
    Do.SEE_WHY: "see why: stockroom show {about}",
    Do.SET_NAME: "give --set name=NAME",
    Do.SET_PRICE: "stockroom profile {about} --set price_per_stick=20.00",
    Do.SET_UP: "make one: stockroom setup",
    Do.SET_VALUES: "give --set NAME=VALUE",
    Do.SHOP_FILE: "name one with --shop",
    Do.TAKE_OR_AHEAD: "take jobs in, or plan further ahead with --until",
    Do.TAKE_OUT: "take it out of its plan first: stockroom drop --job {about}",
    Do.UNDO_FIRST: "undo that first: stockroom undo {about}",
    Do.WHERE_IT_WENT: "see where it went: stockroom history piece {about}",
    Do.WHO: "say who is at the bench with --who",
}
"""For each remedy what is typed; ``{about}`` is the number, code or name that it is about, or
``{options}`` its names as options."""


def worded(error: StockroomError) -> str:
    """A refusal as the command line says it."""
    remedy = error.remedy
    if isinstance(remedy, Remedy):
        options = " ".join(f"--{name}" for name in str(remedy.about).split())
        remedy = WORDS[remedy.do].format(about=remedy.about, options=options)
    return error.with_remedy(remedy)


def batch_said(frame: "Tied") -> str:
    """What can be done about a frame that must match a batch which does not yield it."""
    gone = f"{frame.label}: batch {frame.batch} "
    gone += "has run out on the rack. " if frame.gone else "does not yield the rest of it. "
    if frame.begun:
        return (f"{gone}Cut it from another batch: stockroom afresh {frame.label}, and what is "
                "cut of it goes back on the rack.")  # fmt: skip
    return (f"{gone}Its frames may differ: stockroom plan --apart J{frame.job}; or cut the others "
            f"afresh too: stockroom afresh J{frame.job}.NUMBER.")  # fmt: skip

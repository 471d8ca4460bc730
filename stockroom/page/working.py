"""Plans that are being worked out, one a device: how far each is, and how it is ended."""

from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock, Thread

from stockroom.page.wording import Worded, worded
from stockroom.refusals import StockroomError
from stockroom.services.morning.day_plan import plan_day
from stockroom.services.morning.halt import Halt
from stockroom.services.morning.problem import Choices
from stockroom.services.shop import Shop
from stockroom.words.language import Shown

__all__ = ["PlanRun", "Runs"]


@dataclass
class PlanRun:
    """A plan being worked out: what it is at, then the draft's number or why there is none."""

    halt: Halt = field(default_factory=Halt)
    done: int = 0
    of: int = 0
    at: str = ""
    plan: int | None = None
    refusal: Worded | None = None

    @property
    def over(self) -> bool:
        """True where there is a draft, or a reason why not."""
        return self.plan is not None or self.refusal is not None

    def counted(self, profile: str, done: int, of: int) -> None:
        """A profile is planned."""
        self.at, self.done, self.of = profile, done, of


class Runs:
    """The plans being worked out, by the device that asked; a newer one takes an older's place."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._runs: dict[str, PlanRun] = {}

    def start(self, who: str, shop: Shop, choices: Choices) -> PlanRun:
        """Begins to plan in a thread of its own; what the device began before is thrown away."""
        run = PlanRun()
        with self._lock:
            if before := self._runs.get(who):
                before.halt.throw_away()
            self._runs[who] = run
        told = (run, lambda: self._plan(run, shop, choices), shop.settings)
        Thread(target=worked_out, args=told, daemon=True).start()
        return run

    @staticmethod
    def _plan(run: PlanRun, shop: Shop, choices: Choices) -> int:
        return plan_day(shop, choices, on_progress=run.counted, halt=run.halt).plan or 0

    def of(self, who: str) -> PlanRun | None:
        """What this device has being worked out, or worked out last."""
        with self._lock:
            return self._runs.get(who)

    def end(self) -> None:
        """Ends all of them; the server stops."""
        with self._lock:
            for run in self._runs.values():
                run.halt.throw_away()


def worked_out(run: PlanRun, plan: Callable[[], int], shown: Shown) -> None:
    """Works a plan out; a refusal is kept to be shown."""
    try:
        run.plan = plan()
    except StockroomError as error:
        run.refusal = worded(error, shown)
    finally:
        if not run.over:
            run.refusal = Worded(500, "fault", "A fault of the program",
                                 "The plan could not be worked out.", "")  # fmt: skip

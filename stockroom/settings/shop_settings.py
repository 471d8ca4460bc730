"""The shop's settings: one frozen value, kept in the record as text."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Literal

from sqlmodel import Session, select

from stockroom.frame.cutters import cut_allowance
from stockroom.frame.sizes import Stop
from stockroom.frame.standard_sizes import STARTERS, Size, read_sizes
from stockroom.record.tables import Setting
from stockroom.refusals import StockroomError
from stockroom.settings.label_sheet import CodeKind
from stockroom.settings.machines import MAIN
from stockroom.settings.stored_settings import stored_value
from stockroom.settings.wait_cost import USUALLY
from stockroom.units.bench_days import BenchDays
from stockroom.units.lengths import (
    HALF_MM,
    SIXTEENTH,
    Micrometres,
    Rounding,
    Unit,
    format_length,
    on_step,
)
from stockroom.units.money import format_money
from stockroom.units.shop_unit import SHOP_UNITS, ShopUnit

__all__ = ["AUTO", "BESIDE", "DAYS", "NO_BACKUPS", "Settings", "load", "not_understood", "store"]

KERF, CLEAN_UP, SHORTEST = Micrometres(3_200), Micrometres(500), Micrometres(150_000)
ONE_PERSON = Micrometres(1_200_000)
LARGE_LENGTH = Micrometres(30_000_000)
"""A dozen frames of two and a half metres each."""
LABELS = "letter 3x10 of 66.675x25.4 from 4.7625x12.7 every 69.85x25.4"
"""Labels of 2 5/8 by 1 in, thirty on a sheet: a common size, from memory."""
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
BESIDE, NO_BACKUPS = "beside the record", "none"
AUTO = "auto"
"""As many workers as the computer has processors."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How this shop measures, cuts and prints. Lengths in micrometres.

    ``machine`` is the one in use; ``machines`` keeps what the others are set to, as JSON. A limit
    that is None is none; other lengths that are None, and a step of nothing, are the usual ones
    of the shop's unit.
    """

    name: str = "The workshop"
    unit: Unit = "in"
    step: str = ""
    machine: str = MAIN
    machines: str = "{}"
    cutter: str = "saw"
    kerf_um: Micrometres = KERF
    clean_up_um: Micrometres = CLEAN_UP
    stop: Stop = "long point"
    shortest_um: Micrometres = SHORTEST
    margin_um: Micrometres | None = None
    widest_um: Micrometres | None = None
    tallest_um: Micrometres | None = None
    gap_um: Micrometres | None = None
    allowance_um: Micrometres | None = None
    overlap_um: Micrometres | None = None
    cover_least_um: Micrometres | None = None
    cover_most_um: Micrometres | None = None
    bench_days: int = 0
    closed: str = "sat sun"
    promise: int = 14
    wait_cost: str = USUALLY
    price_rule: str = "waste 20 %"
    quote_days: int = 30
    large_job: int = 12
    large_length_um: Micrometres | None = LARGE_LENGTH
    last_buy_days: int = 91
    dates: Literal["auto", "dmy", "mdy"] = "auto"
    csv: Literal["comma", "semicolon"] = "comma"
    paper: Literal["auto", "a4", "letter"] = "auto"
    address: str = ""
    font: str = ""
    language: str = "english"
    currency: str = "$"
    timezone: str = "UTC"
    seconds: int = 10
    workers: str = AUTO
    ahead: int = 0
    fixings: str = "1/3"
    one_person_kg: int = 15
    one_person_um: Micrometres = ONE_PERSON
    labels: str = LABELS
    label_code: CodeKind = "qr"
    backups: str = BESIDE
    sizes: str = ""

    @property
    def cut_allowance_um(self) -> Micrometres:
        """Stick length lost at each rail end cut, along the back edge."""
        return self.allowance_of(4)

    def allowance_of(self, sides: int | None) -> Micrometres:
        """That of a frame of so many sides; None is a square cut."""
        return cut_allowance(self.kerf_um, self.clean_up_um, self.cutter, sides)

    @property
    def measure(self) -> ShopUnit:
        """The shop's unit, with all that follows from it."""
        return SHOP_UNITS[self.unit]

    @property
    def separator(self) -> str:
        """What parts the cells of the CSV files that this shop saves."""
        return ";" if self.csv == "semicolon" else ","

    @property
    def letterhead(self) -> tuple[str, ...]:
        """The shop's name and address, a line each, as they stand on what leaves the shop."""
        lines = (line.strip() for line in self.address.split("/"))
        return (self.name, *filter(None, lines))

    @property
    def ready_made(self) -> tuple[Size, ...]:
        """The sizes that this shop sells ready made; what is usual in its unit until it says."""
        usual = STARTERS["in" if self.measure.inches else "mm"]
        return read_sizes(self.sizes, self.unit) if self.sizes else usual

    @property
    def sizes_known(self) -> tuple[Size, ...]:
        """The sizes that are known by their names: those of the list, then the usual ones."""
        first, last = ("in", "mm") if self.measure.inches else ("mm", "in")
        return (*self.ready_made, *STARTERS[first], *STARTERS[last])

    @property
    def page(self) -> str:
        """The size of paper that is printed on: a4 or letter."""
        return ("letter" if self.measure.inches else "a4") if self.paper == "auto" else self.paper

    @property
    def day_first(self) -> bool:
        """True where 4/12 is the fourth of December."""
        return self.dates == "dmy" or (self.dates == "auto" and not self.measure.inches)

    @property
    def step_um(self) -> Fraction:
        """The step that lengths are set and printed in, exactly."""
        steps = self.measure.steps
        return steps.get(self.step, next(iter(steps.values())))

    @property
    def tape(self) -> dict[str, str | int | bool]:
        """How a device reads lengths: in which unit, how long one is (um), in how many parts each.

        Half a millimetre; in inches the shop's step, a thirty-second at the finest.
        """
        unit = self.measure
        step = max(self.step_um, SIXTEENTH / 2) if unit.inches else HALF_MM
        return {"unit": unit.name, "um": unit.um, "parts": int(unit.um / step),
                "inches": unit.inches}  # fmt: skip

    @property
    def bench(self) -> BenchDays:
        """How long frames are at the bench after they are cut."""
        return BenchDays(self.bench_days, frozenset(map(DAYS.index, self.closed.split())))

    @property
    def processes(self) -> int | None:
        """How many processes plan side by side; None for one a processor, 1 beside a cluster."""
        if self.workers == AUTO:
            return None
        return int(self.workers) if self.workers.isdecimal() else 1

    @property
    def cluster(self) -> str:
        """The address of the Dask scheduler that plans; none where this computer does."""
        return self.workers if "://" in self.workers else ""

    def usual(self, name: str) -> Micrometres:
        """The gap, allowance, overlap, cover or margin as it is set, or the unit's usual one."""
        chosen: Micrometres | None = getattr(self, f"{name}_um")
        return self.measure.usual[name] if chosen is None else chosen

    def is_large(self, frames: Sequence[Sequence[int]]) -> bool:
        """True of a job of so many frames, or so long rails (um), that none is stocked for."""
        most = self.large_length_um
        return len(frames) > self.large_job or (most is not None and sum(map(sum, frames)) > most)

    def length(self, um: Micrometres, rounding: Rounding = "nearest") -> str:
        """A length as this shop prints it, without its unit."""
        return format_length(um, self.unit, step=self.step_um, rounding=rounding)

    def settable(self, um: Micrometres, rounding: Rounding) -> Micrometres:
        """A length that this shop can set and read: on its step."""
        return on_step(um, self.step_um, rounding)

    def stock(self, um: Micrometres) -> str:
        """What a piece has, rounded down as it is planned: what is printed fits what is there."""
        return self.length(self.settable(um, "down"))

    def stock_with_unit(self, um: Micrometres) -> str:
        """What a piece has, rounded down, with its unit."""
        return f"{self.stock(um)} {self.unit}"

    def length_with_unit(self, um: Micrometres, rounding: Rounding = "nearest") -> str:
        """A length as this shop prints it, with its unit."""
        return f"{self.length(um, rounding)} {self.unit}"

    def money(self, minor: int) -> str:
        """An amount of money with this shop's mark."""
        return format_money(minor, self.currency)


def load(session: Session) -> Settings:
    """The shop's settings; what was never set, or cannot be understood, has its default."""
    return Settings(**understood(session)[0])  # type: ignore[arg-type]


def not_understood(session: Session) -> list[str]:
    """The settings that are kept as no command could have kept them."""
    return understood(session)[1]


def understood(session: Session) -> tuple[dict[str, object], list[str]]:
    """The settings that are kept, by name, and the names of those that cannot be understood."""
    kept = dict(session.exec(select(Setting.name, Setting.value)).all())
    values: dict[str, object] = {}
    faults = []
    for field in fields(Settings):
        if field.name not in kept:
            continue
        is_text = isinstance(field.default, str)
        try:
            value = stored_value(field.name, kept[field.name], is_text=is_text)
            if value is None and field.default is not None:
                raise ValueError("it is empty")
            values[field.name] = value
        except (StockroomError, ValueError):
            faults.append(field.name)
    return values, faults


def store(session: Session, settings: Settings) -> None:
    """Keeps these settings in the record; what is none as an empty text."""
    for field in fields(Settings):
        value = getattr(settings, field.name)
        session.merge(Setting(name=field.name, value="" if value is None else str(value)))
    session.flush()

"""Problems and plans as JSON text and back: decimal millimetres outside, micrometres inside.

One schema reads and writes both. Every length is read exactly from its decimal digits; whatever
cannot be read is refused with what was read and where, all faults at once.
"""

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, ClassVar, Self

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, ValidationError, model_validator

from planner import values
from planner.errors import ProblemRefused
from planner.io import fields
from planner.io.fields import Because, Mm, Number, Text, Truth, Whole, shown
from planner.io.json_faults import said, twice
from planner.values import Aims, End, Plan, Problem, Proof, Reason, Rules

__all__ = ["plan_from_json", "plan_to_json", "problem_from_json", "problem_to_json", "told_plainly"]


class Written(BaseModel):
    """A value as it is written, and what it stands for."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    of: ClassVar[Any]

    _value: Any = PrivateAttr(None)

    @model_validator(mode="after")
    def makes_sense(self) -> Self:
        """The planner's own value is made, which refuses nonsense."""
        told = {name: _value(getattr(self, name)) for name in self.model_fields_set}
        self._value = self.of(**told)
        return self

    @property
    def value(self) -> Any:
        """The planner's own value."""
        return self._value


def _value(written: Any) -> Any:
    if isinstance(written, Written):
        return written.value
    if isinstance(written, tuple):
        return tuple(map(_value, written))
    if isinstance(written, dict):
        return {name: _value(one) for name, one in written.items()}
    return written


class RulesWritten(Written):
    """The general rules."""

    of = Rules
    cut_allowance: Mm = Field(alias="cut_allowance_mm")
    end_trim: Mm = Field(alias="end_trim_mm")
    keep: Mm = Field(alias="keep_mm")
    margin: Mm = Field(0, alias="margin_mm")
    repeat: Mm = Field(0, alias="repeat_mm")


class SomeRules(Written):
    """A profile's own rules, perhaps in part: the rest is as in general."""

    cut_allowance: Mm = Field(0, alias="cut_allowance_mm")
    end_trim: Mm = Field(0, alias="end_trim_mm")
    keep: Mm = Field(0, alias="keep_mm")
    margin: Mm = Field(0, alias="margin_mm")
    repeat: Mm = Field(0, alias="repeat_mm")

    @staticmethod
    def of(**told: int) -> dict[str, int]:
        """What is told, which makes sense beside rules of nothing."""
        replace(Rules(0, 0, 0), **told)
        return told


class PieceWritten(Written):
    """A piece on the rack."""

    of = values.Piece
    id: Text
    profile: Text
    batch: fields.Batch
    kind: Any
    length: Mm = Field(alias="length_mm")
    ends: tuple[End, ...] = ()
    flaws: tuple[fields.Flaw, ...] = Field((), alias="flaws_mm")
    since: fields.Day = None
    longest: Mm | None = Field(None, alias="longest_rail_mm")
    kept_for: fields.Batch = ""
    motif: Mm | None = Field(None, alias="motif_mm")


class FrameWritten(Written):
    """A frame still to be cut."""

    of = values.Frame
    id: Text
    profile: Text
    rails: tuple[Mm, ...] = Field(alias="rails_mm")
    one_batch: Truth = False
    one_piece: Truth = False
    pin: Text | None = None
    due: fields.Day = None
    batch: Text | None = None
    link: Text | None = None
    pairs: Truth = True
    takes: tuple[fields.Batch, ...] = ("",)


class LimitsWritten(Written):
    """When to stop."""

    of = values.Limits
    seconds: fields.Seconds = 10.0
    workers: Whole = 1


class ProblemWritten(Written):
    """Today's frames, the rack, and the rules."""

    rules: RulesWritten
    profile_rules: dict[Text, SomeRules] = Field({}, alias="profiles")
    pieces: tuple[PieceWritten, ...]
    frames: tuple[FrameWritten, ...]
    worth: dict[Text, tuple[fields.Point, ...]] = {}
    aims: Aims = "ordered"
    limits: LimitsWritten = LimitsWritten()

    @staticmethod
    def of(**told: Any) -> Problem:
        """The problem, each profile's rules with what is as in general."""
        some: Mapping[str, Any] = told.pop("profile_rules", {})
        own = {name: replace(told["rules"], **rules) for name, rules in some.items()}
        return Problem(profile_rules=own, **told)


class RailWritten(Written):
    """One rail to cut."""

    of = values.RailCut
    frame: Text
    rail: Whole
    length: Mm = Field(alias="length_mm")


class CutWritten(Written):
    """What is cut from one stretch of a piece."""

    of = values.Cut
    piece: Text
    stretch: Whole
    rails: tuple[RailWritten, ...]
    leftover: Mm = Field(alias="leftover_mm")
    kept: Truth


class ShortWritten(Written):
    """A frame that is not cut, and why."""

    of = values.Short
    frame: Text
    why: Because
    cure: Because | None = None


class ScoreWritten(Written):
    """The first three aims."""

    of = values.Score
    frames_cut: Whole
    stick_opened: Mm = Field(alias="stick_opened_mm")
    worth: Mm = Field(alias="worth_mm")


class PlanWritten(Written):
    """The answer."""

    of = Plan
    cuts: tuple[CutWritten, ...]
    short: tuple[ShortWritten, ...]
    reached: ScoreWritten
    bounds: ScoreWritten
    proof: Proof
    seconds: fields.Seconds
    why_opened: dict[Text, Because]
    why_pinned: dict[Text, Because] = {}
    why_matched: dict[Text, Because] = {}


def problem_from_json(text: str) -> Problem:
    """The problem written in this text.

    Raises:
        ProblemRefused: with every fault found.
    """
    problem: Problem = _read(ProblemWritten, text)
    return problem


def plan_from_json(text: str) -> Plan:
    """The plan that was written as this text by ``plan_to_json``.

    Raises:
        ProblemRefused: it is none, with every fault found.
    """
    plan: Plan = _read(PlanWritten, text)
    return plan


def problem_to_json(problem: Problem) -> str:
    """The problem as JSON text that reads back to the same problem."""
    return json.dumps(_written(ProblemWritten, problem), ensure_ascii=False)


def plan_to_json(plan: Plan) -> str:
    """The plan as JSON text, lengths in decimal mm; the same plan always reads the same."""
    rounded = replace(plan, seconds=round(plan.seconds, 3))
    return json.dumps(_written(PlanWritten, rounded), indent=1, ensure_ascii=False)


def told_plainly(reason: Reason) -> str:
    """A reason as a program shows it: its code, then what it is about."""
    what = reason.code.removesuffix("_of").replace("_", " ")
    _, *about = fields.reason_written(reason).items()
    return f"{what}: " + ", ".join(f"{name} {told}" for name, told in about)


def _written(schema: type[Written], value: Any) -> Any:
    made = schema.model_validate(value, from_attributes=True, by_alias=False, by_name=True)
    return made.model_dump(mode="json", by_alias=True, exclude_none=True)


def _read(schema: type[Written], text: str) -> Any:
    faults: list[str] = []
    data = _loaded(faults, text)
    try:
        value = schema.model_validate(data).value
    except ValidationError as error:
        faults += [said(schema, fault) for fault in error.errors()]
    if faults:
        raise ProblemRefused((*faults, *twice(data)))
    return value


def _loaded(faults: list[str], text: str) -> Any:
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        read = dict(pairs)
        for key in read:
            if len(read) < len(pairs) and [name for name, _ in pairs].count(key) > 1:
                faults.append(f"problem: key {shown(key)} is given twice in one object")
            if not fields.is_text(key):
                faults.append(f"problem: key {shown(key)} is no text that can be written")
        return read

    try:
        # NaN and Infinity are taken as numbers here, and refused where a number is read.
        return json.loads(
            text, parse_float=Number, parse_int=Number, parse_constant=Number,
            object_pairs_hook=once,
        )  # fmt: skip
    except json.JSONDecodeError as error:
        raise ProblemRefused(
            (f"problem: not JSON at line {error.lineno}, column {error.colno}: {error.msg}",)
        ) from None
    except RecursionError:
        raise ProblemRefused(("problem: nested too deeply to be read",)) from None

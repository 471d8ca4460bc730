"""Problems and plans as JSON text and back: decimal millimetres outside, micrometres inside.

One schema reads and writes both: the planner's values, field by field. Every length is read exactly
from its decimal digits; whatever cannot be read is refused with what was read and where, all faults
at once.
"""

import json
from collections import Counter
from collections.abc import Mapping
from dataclasses import MISSING, Field, is_dataclass, replace
from dataclasses import fields as fields_of
from functools import cache
from types import NoneType
from typing import Any, Literal, get_args, get_origin, get_type_hints

from pydantic_core import CoreSchema, SchemaSerializer, SchemaValidator, ValidationError
from pydantic_core import core_schema as cs

from planner.errors import ProblemRefused
from planner.io.fields import PLAIN, decimal_of, is_text, pair, reason_written, shown
from planner.io.json_faults import said, twice
from planner.values import Micrometres, Plan, Problem, Reason

__all__ = ["plan_from_json", "plan_to_json", "problem_from_json", "problem_to_json", "told_plainly"]

NAMES = {"longest": "longest_rail_mm", "profile_rules": "profiles"}
"""Fields that are called otherwise in JSON: the others by their name, lengths with ``_mm``."""
INSIDE = {"stands_for"}
"""Fields that JSON has not: the planner's own."""


def problem_from_json(text: str) -> Problem:
    """The problem written in this text.

    Raises:
        ProblemRefused: with every fault found.
    """
    problem: Problem = _read(Problem, text)
    return problem


def plan_from_json(text: str) -> Plan:
    """The plan that was written as this text by ``plan_to_json``.

    Raises:
        ProblemRefused: it is none, with every fault found.
    """
    plan: Plan = _read(Plan, text)
    return plan


def problem_to_json(problem: Problem) -> str:
    """The problem as JSON text that reads back to the same problem."""
    return json.dumps(_written(problem), ensure_ascii=False)


def plan_to_json(plan: Plan) -> str:
    """The plan as JSON text, lengths in decimal mm; the same plan always reads the same."""
    return json.dumps(_written(replace(plan, seconds=round(plan.seconds, 3))), indent=1,
                      ensure_ascii=False)  # fmt: skip


def told_plainly(reason: Reason) -> str:
    """A reason as a program shows it: its code, then what it is about."""
    what = reason.code.removesuffix("_of").replace("_", " ")
    _, *about = reason_written(reason).items()
    return f"{what}: " + ", ".join(f"{name} {told}" for name, told in about)


@cache
def _schema(kind: Any) -> CoreSchema:
    """What reads and writes values of a type."""
    if kind in PLAIN:
        return PLAIN[kind]
    if is_dataclass(kind):
        return _object(kind)
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Literal:
        return cs.literal_schema(list(parts))
    if NoneType in parts:
        return cs.nullable_schema(_schema(parts[0]))
    if origin is Mapping:
        return cs.dict_schema(PLAIN[str], _schema(parts[1]))
    if parts[-1] is not Ellipsis:
        return cs.no_info_before_validator_function(
            pair, cs.tuple_schema([_schema(part) for part in parts])
        )
    return cs.tuple_schema([_schema(parts[0])], variadic_item_index=0)


def _object(kind: Any) -> CoreSchema:
    types = get_type_hints(kind, include_extras=True)
    held = [_field(field, types[field.name]) for field in fields_of(kind)]
    return cs.dataclass_schema(
        kind,
        cs.dataclass_args_schema(kind.__name__, held),
        list(types),
        post_init=hasattr(kind, "__post_init__"),
        slots=True,
        config=cs.CoreConfig(extra_fields_behavior="forbid"),
    )


def _field(field: "Field[Any]", kind: Any) -> cs.DataclassField:
    schema, name = _schema(kind), _key(field.name, kind)
    if field.default is not MISSING:
        schema = cs.with_default_schema(schema, default=field.default)
    elif field.default_factory is not MISSING:
        schema = cs.with_default_schema(schema, default_factory=field.default_factory)
    own = field.name in INSIDE
    return cs.dataclass_field(field.name, schema, validation_alias=name, serialization_alias=name,
                              init=not own, serialization_exclude=own or None)  # fmt: skip


def _key(name: str, kind: Any) -> str:
    """What a field is called in JSON."""
    return NAMES.get(name) or (f"{name}_mm" if _is_length(kind) else name)


def _is_length(kind: Any) -> bool:
    """A length, or several in a list."""
    within = get_origin(kind) is not Mapping and not is_dataclass(kind)
    return kind is Micrometres or (within and any(map(_is_length, get_args(kind))))


@cache
def _reader(kind: Any) -> SchemaValidator:
    return SchemaValidator(_schema(kind))


@cache
def _writer(kind: Any) -> SchemaSerializer:
    return SchemaSerializer(_schema(kind))


def _written(value: Any) -> Any:
    kind: Any = type(value)
    return _writer(kind).to_python(value, mode="json", by_alias=True, exclude_none=True)


def _read(kind: Any, text: str) -> Any:
    faults: list[str] = []
    data = _loaded(faults, text)
    try:
        value = _reader(kind).validate_python(_with_general_rules(data))
    except ValidationError as error:
        found = [fault for fault in error.errors() if not _of_general_rules(data, fault["loc"])]
        faults += [said(fault, _known(kind, fault["loc"][:-1])) for fault in found]
    if faults:
        raise ProblemRefused((*faults, *twice(data)))
    return value


def _with_general_rules(data: Any) -> Any:
    """A problem's data in which each profile's rules say what is as in general too."""
    general, own = _rules_in(data)
    whole = {name: {**general, **rules} if isinstance(rules, dict) else rules
             for name, rules in own.items()}  # fmt: skip
    return {**data, "profiles": whole} if own else data


def _rules_in(data: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """The general rules and those of profiles, as they were written."""
    found = (data.get(key) if isinstance(data, dict) else None for key in ("rules", "profiles"))
    general, own = (rules if isinstance(rules, dict) else {} for rules in found)
    return general, own


def _of_general_rules(data: Any, loc: tuple[Any, ...]) -> bool:
    """A fault of a profile's rules is one of the general rules, which is told there."""
    return loc[:1] == ("profiles",) and len(loc) > 2 and loc[2] not in _rules_in(data)[1][loc[1]]


def _known(kind: Any, loc: tuple[Any, ...]) -> list[str]:
    """The keys of the object at a place."""
    types = get_type_hints(kind, include_extras=True)
    held = {_key(name, of): _held(of) for name, of in types.items() if name not in INSIDE}
    for at, part in enumerate(loc):
        if held.get(str(part)):
            return _known(held[str(part)], loc[at + 1 :])
    return list(held)


def _held(kind: Any) -> Any:
    """The value that a field holds one or several of; None where it holds a plain type."""
    return next((part for part in (kind, *get_args(kind)) if is_dataclass(part)), None)


def _loaded(faults: list[str], text: str) -> Any:
    keys = set[str]()

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        read = dict(pairs)
        keys.update(read)
        if len(read) < len(pairs):
            twice = [key for key, times in Counter(key for key, _ in pairs).items() if times > 1]
            faults.extend(f"problem: key {shown(key)} is given twice in one object"
                          for key in twice)  # fmt: skip
        return read

    try:
        # NaN and Infinity are taken as numbers here, and refused where a number is read.
        data = json.loads(
            text, parse_float=decimal_of, parse_int=decimal_of, parse_constant=decimal_of,
            object_pairs_hook=once,
        )  # fmt: skip
    except json.JSONDecodeError as error:
        raise ProblemRefused(
            (f"problem: not JSON at line {error.lineno}, column {error.colno}: {error.msg}",)
        ) from None
    except RecursionError:
        raise ProblemRefused(("problem: nested too deeply to be read",)) from None
    faults += [f"problem: key {shown(key)} is no text that can be written"
               for key in sorted(keys) if not is_text(key)]  # fmt: skip
    return data

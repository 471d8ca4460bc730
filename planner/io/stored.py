"""The other way round: a problem to JSON text, a plan back from it, as a shop keeps them."""

import json
from decimal import Decimal
from typing import Any

from planner.values import (
    Cut,
    Frame,
    Piece,
    Plan,
    Problem,
    RailCut,
    Reason,
    Rules,
    Score,
    Short,
    Told,
)

__all__ = ["plan_from_json", "problem_to_json"]


def problem_to_json(problem: Problem) -> str:
    """The problem as JSON text that reads back to the same problem."""
    return json.dumps({
        "rules": _rules(problem.rules),
        "profiles": {name: _rules(rules) for name, rules in problem.profile_rules.items()},
        "pieces": [_piece(piece) for piece in problem.pieces],
        "frames": [_frame(frame) for frame in problem.frames],
        "worth": {name: [[_mm(length), _mm(worth)] for length, worth in points]
                  for name, points in problem.worth.items()},
        "aims": problem.aims,
        "limits": {"seconds": problem.limits.seconds, "workers": problem.limits.workers},
    }, ensure_ascii=False)  # fmt: skip


def plan_from_json(text: str) -> Plan:
    """The plan that was written as this text by ``plan_to_json``."""
    data = json.loads(text, parse_float=Decimal)
    return Plan(
        cuts=tuple(_cut(cut) for cut in data["cuts"]),
        short=tuple(_short(short) for short in data["short"]),
        reached=_score(data["reached"]), bounds=_score(data["bounds"]), proof=data["proof"],
        seconds=float(data["seconds"]), why_opened=_reasons(data["why_opened"]),
        why_pinned=_reasons(data.get("why_pinned", {})),
    )  # fmt: skip


def _rules(rules: Rules) -> dict[str, Any]:
    return {
        "cut_allowance_mm": _mm(rules.cut_allowance),
        "end_trim_mm": _mm(rules.end_trim),
        "keep_mm": _mm(rules.keep),
        "margin_mm": _mm(rules.margin),
    }


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "id": piece.id, "profile": piece.profile, "batch": piece.batch, "kind": piece.kind,
        "length_mm": _mm(piece.length), "ends": list(piece.ends),
        "flaws_mm": [[_mm(start), _mm(end)] for start, end in piece.flaws],
        **({"since": piece.since.isoformat()} if piece.since else {}),
    }  # fmt: skip


def _frame(frame: Frame) -> dict[str, Any]:
    return {
        "id": frame.id, "profile": frame.profile, "rails_mm": [_mm(rail) for rail in frame.rails],
        "one_batch": frame.one_batch, "one_piece": frame.one_piece, "pin": frame.pin,
        **({"due": frame.due.isoformat()} if frame.due else {}),
        **({"batch": frame.batch} if frame.batch is not None else {}),
    }  # fmt: skip


def _short(data: dict[str, Any]) -> Short:
    cure = data.get("cure")
    return Short(data["frame"], _reason(data["why"]), None if cure is None else _reason(cure))


def _reasons(data: dict[str, Any]) -> dict[str, Reason]:
    return {name: _reason(reason) for name, reason in data.items()}


def _reason(data: Any) -> Reason:
    """A reason as it was written; earlier plans keep it in words."""
    if isinstance(data, str):
        return Reason("told", {"words": data})
    about: dict[str, Told] = {}
    for name, told in data.items():
        if name.endswith("_mm"):
            about[name.removesuffix("_mm") + "_um"] = _um(told)
        elif name != "code":
            about[name] = tuple(told) if isinstance(told, list) else told
    return Reason(data["code"], about)


def _cut(data: dict[str, Any]) -> Cut:
    rails = (RailCut(r["frame"], r["rail"], _um(r["length_mm"])) for r in data["rails"])
    leftover = _um(data["leftover_mm"])
    return Cut(data["piece"], data["stretch"], tuple(rails), leftover, data["kept"])


def _score(data: dict[str, Any]) -> Score:
    return Score(data["frames_cut"], _um(data["stick_opened_mm"]), _um(data["worth_mm"]))


def _mm(length: int) -> int | float:
    return length // 1000 if length % 1000 == 0 else length / 1000


def _um(mm: int | Decimal) -> int:
    return int(mm * 1000)

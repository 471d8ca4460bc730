"""Each rule of the house, broken on purpose in a house of a few modules: it is found."""

from collections.abc import Callable, Mapping
from graphlib import CycleError
from pathlib import Path

import pytest

from tests import test_architecture as house
from tests import test_signatures as signatures

BOTH = '"""Values."""\n\n\n' + "".join(
    f'class {name}:\n    """A {name.lower()}."""\n' for name in ("Frame", "Piece", "Plan")
)
SOUND = {
    "planner/__init__.py": '"""Plans."""\n',
    "stockroom/__init__.py": '"""The shop."""\n',
    "stockroom/units/__init__.py": '"""Units."""\n',
    "stockroom/units/lengths.py": '"""Lengths."""\n',
    "stockroom/frame/__init__.py": '"""Frames."""\n',
    "stockroom/frame/sides.py": '"""Sides."""\n\nfrom stockroom.units.lengths import Um\n',
    "stockroom/services/__init__.py": '"""Services."""\n',
    "planner/values.py": BOTH,
    "stockroom/record/tables.py": BOTH.replace("class Plan", "class _Plan"),
    "stockroom/record/order_tables.py": BOTH.replace("class Frame", "class _Frame").replace(
        "class Piece", "class _Piece"
    ),
}
"""A house that keeps every rule."""
UNTOLD = '''"""Rails."""

__all__ = ["rail"]


def rail(many: int) -> int:
    """A rail."""
    if many < 1:
        raise ValueError("none")
    return many
'''
BARE = '"""Rails."""\n\n\ndef rail(length: int) -> int:\n    """A rail."""\n    return length\n'
CLASS = '"""Rails."""\n\n\nclass Rail:\n    """A rail."""\n'
BROKEN: tuple[tuple[Callable[[], object], dict[str, str]], ...] = (
    (house.test_a_room_knows_only_the_rooms_that_it_may,
     {"stockroom/units/places.py": '"""Places."""\n\nimport stockroom.frame.sides\n'}),
    (house.test_rooms_know_each_other_in_no_circle,
     {"stockroom/units/places.py": '"""Places."""\n\nimport stockroom.frame.sides\n'}),
    (house.test_every_module_can_be_imported_first,
     {"stockroom/units/here.py": '"""Here."""\n\nimport stockroom.units.there\n',
      "stockroom/units/there.py": '"""There."""\n\nimport stockroom.units.here\n'}),
    (house.test_a_name_stands_for_one_module, {"stockroom/frame/lengths.py": '"""Lengths."""\n'}),
    (house.test_a_name_stands_for_one_class,
     {"stockroom/frame/rail.py": CLASS, "planner/rails.py": CLASS}),
    (house.test_no_folder_holds_more_modules_than_one_takes_in,
     {f"stockroom/frame/part_{number}.py": '"""A part."""\n' for number in range(20)}),
    (house.test_modules_and_functions_are_small,
     {"planner/long.py": '"""Long."""\n' + "one = 1\n" * 300}),
    (house.test_modules_and_functions_are_small,
     {"planner/long.py": "def long() -> None:\n" + "    one = 1\n" * 41}),
    (house.test_every_public_name_is_documented, {"planner/bare.py": "one = 1\n"}),
    (house.test_every_public_name_is_documented,
     {"planner/bare.py": '"""Bare."""\n\n\ndef bare() -> None:\n    pass\n'}),
    (house.test_no_module_imports_a_heavy_library_when_it_is_imported,
     {"planner/heavy.py": '"""Heavy."""\n\nimport ortools\n'}),
    (house.test_the_shop_plans_only_through_the_planner,
     {"stockroom/frame/heavy.py": 'def plan() -> None:\n    import highspy\n'}),
    (house.test_the_services_ask_the_planner_through_one_door,
     {"stockroom/services/day.py": "from planner.solve import plan\n"}),
    (house.test_nothing_below_the_fronts_words_a_command,
     {"stockroom/services/day.py": 'SAID = "stockroom plan"\n'}),
    (signatures.test_every_public_function_that_raises_says_so, {"planner/rails.py": UNTOLD}),
    (signatures.test_every_length_names_its_unit, {"planner/rails.py": BARE}),
)  # fmt: skip
"""Rules, and modules that break them."""
RULES = tuple(dict.fromkeys(rule for rule, _ in BROKEN))


@pytest.fixture
def built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Mapping[str, str]], None]:
    """Builds a house, which the rules are then about."""
    monkeypatch.setattr(house, "ROOT", tmp_path)

    def build(files: Mapping[str, str]) -> None:
        for name, text in files.items():
            (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
            (tmp_path / name).write_text(text, encoding="utf-8")

    return build


@pytest.mark.parametrize(("rule", "files"), BROKEN)
def test_a_rule_that_is_broken_is_found(
    rule: Callable[[], object], files: Mapping[str, str],
    built: Callable[[Mapping[str, str]], None],
) -> None:  # fmt: skip
    built({**SOUND, **files})
    with pytest.raises((AssertionError, CycleError)):
        rule()


@pytest.mark.parametrize(
    # Whatever its modules are, importing them takes a process.
    "rule", [rule for rule in RULES if rule is not house.test_every_module_can_be_imported_first]
)  # fmt: skip
def test_a_sound_house_keeps_it(
    rule: Callable[[], object], built: Callable[[Mapping[str, str]], None]
) -> None:
    built(SOUND)
    rule()

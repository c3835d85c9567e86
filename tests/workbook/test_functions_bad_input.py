"""The workbook functions as Python: blanks, ranges, faulty cells, missing models, hostile texts."""

import datetime
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wearmodel.survival.model import ReplacementCost
from wearmodel.survival.store import write_model
from workbook import functions
from workbook.example_model import EXAMPLE_MODEL
from workbook.function_list import FUNCTIONS
from workbook.function_spec import Argument

HOSTILE = [
    '=cmd|"/c calc"!A1',
    "+1+1",
    "@SUM(A1)",
    "a\nb\r\tc\x00\x1b[31m",
    "x" * 100_000,
    "'; DROP TABLE parts; --",
    "１２３",
    "1_000",
    "1e400",
    "nan",
    "{0.__class__}",
    "%s%n",
    "\u202eevil",
]


@pytest.fixture(autouse=True)
def model_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    path = tmp_path / "model.json"
    write_model(EXAMPLE_MODEL, path)
    monkeypatch.setenv("WEAR_MODEL", str(path))
    yield path


def example_of(name: str, **changes: Any) -> list[Any]:
    """Arguments of a call that works, in order, some of them changed."""
    spec = FUNCTIONS[name]
    rest = [None] * (len(spec.arguments) - len(spec.example))
    known = dict(zip([argument.name for argument in spec.arguments], [*spec.example, *rest], strict=True))
    return list((known | changes).values())


def pairs(kind: str) -> list[tuple[str, Argument]]:
    return [(n, a) for n, spec in FUNCTIONS.items() for a in spec.arguments if a.kind in kind.split()]


def assert_one_readable_line(text: Any) -> None:
    assert isinstance(text, str)
    assert text.isprintable()
    assert 5 < len(text) <= 250
    assert not text.startswith(("=", "+", "-", "@"))
    for word in ("Traceback", "Error", "failed:", "dtype"):
        assert word not in text


NUMBERS = pairs("number interval")
TEXTS = pairs("text")


@pytest.mark.parametrize(("name", "argument"), NUMBERS, ids=lambda item: getattr(item, "name", item))
def test_every_number_names_argument_value_and_rule(name: str, argument: Argument) -> None:
    call = getattr(functions, name)
    start = f"{argument.name} must be a number, not "
    assert call(*example_of(name, **{argument.name: "ten"})) == f"{start}the text 'ten'"
    assert call(*example_of(name, **{argument.name: True})) == f"{start}TRUE"
    assert call(*example_of(name, **{argument.name: "#N/A"})) == f"{start}'#N/A'"
    assert call(*example_of(name, **{argument.name: datetime.datetime(2026, 1, 1)})) == f"{start}a date"
    assert call(*example_of(name, **{argument.name: float("nan")})) == f"{argument.name} must be a number"


@pytest.mark.parametrize(("name", "argument"), NUMBERS, ids=lambda item: getattr(item, "name", item))
def test_every_number_keeps_to_its_bounds(name: str, argument: Argument) -> None:
    call = getattr(functions, name)
    low, high = argument.low, argument.high
    below = call(*example_of(name, **{argument.name: low - 1.0}))
    rule = f"above {low:,.0f}" if argument.low_open else f"{low:,.0f} or more"
    assert below == f"{argument.name} must be {rule}, not {low - 1.0:.0f}"
    above = call(*example_of(name, **{argument.name: high * 2.0}))
    rule = f"below {high:,.0f}" if argument.high_open else f"at most {high:,.0f}"
    assert above == f"{argument.name} must be {rule}, not {high * 2.0:.0f}"
    for value in (float("inf"), 10**400):
        assert_one_readable_line(call(*example_of(name, **{argument.name: value})))
    if argument.low_open:
        assert_one_readable_line(call(*example_of(name, **{argument.name: low})))
    if argument.high_open:
        assert_one_readable_line(call(*example_of(name, **{argument.name: high})))


@pytest.mark.parametrize(("name", "argument"), TEXTS, ids=lambda item: getattr(item, "name", item))
def test_every_text_says_what_there_is(name: str, argument: Argument) -> None:
    call = getattr(functions, name)
    assert call(*example_of(name, **{argument.name: 5.0})) == f"{argument.name} must be a text, not 5"
    unknown = call(*example_of(name, **{argument.name: "u_jiont"}))
    if argument.name == "component":
        assert unknown == "component 'u_jiont' is not in the model (nearest: u_joint)"
    else:
        assert unknown == "duty 'u_jiont' is not in the model of u_joint; it has: fleet, highway, site"


@pytest.mark.parametrize(("name", "argument"), NUMBERS + TEXTS, ids=lambda item: getattr(item, "name", item))
def test_hostile_texts_come_back_harmless(name: str, argument: Argument) -> None:
    call = getattr(functions, name)
    for text in HOSTILE:
        assert_one_readable_line(call(*example_of(name, **{argument.name: text})))
    block = call(*example_of(name, **{argument.name: [[text] for text in HOSTILE]}))
    assert len(block) == len(HOSTILE)
    for row in block:
        assert_one_readable_line(row[0])


@pytest.mark.parametrize(("name", "argument"), NUMBERS + TEXTS, ids=lambda item: getattr(item, "name", item))
def test_blank_cells(name: str, argument: Argument) -> None:
    call = getattr(functions, name)
    good = call(*example_of(name))
    value = example_of(name)[[a.name for a in FUNCTIONS[name].arguments].index(argument.name)]
    block = call(*example_of(name, **{argument.name: [[value], [None], ["  "], [value]]}))
    assert block[0] == block[3] == [good]
    if argument.required:
        assert block[1] == block[2] == [None]
        assert call(*example_of(name, **{argument.name: None})) is None
    else:
        default = argument.default if argument.default is not None else None
        left_out = call(*example_of(name, **{argument.name: default}))
        assert block[1] == block[2] == [left_out]


def test_a_faulty_cell_marks_its_own_row_only() -> None:
    block = functions.WEAR_SURVIVAL("u_joint", [[1_000.0], [-5.0], [None], ["x"], [2_000]])
    alone = [functions.WEAR_SURVIVAL("u_joint", value) for value in (1_000.0, 2_000.0)]
    assert block == [
        [alone[0]],
        ["distance must be 0 or more, not -5"],
        [None],
        ["distance must be a number, not the text 'x'"],
        [alone[1]],
    ]


def test_the_first_faulty_argument_is_the_one_named() -> None:
    both = functions.WEAR_FAIL_WITHIN("u_joint", -1, -2)
    assert both == "age must be 0 or more, not -1"


def test_a_blank_row_stays_blank_whatever_else_is_wrong() -> None:
    assert functions.WEAR_SURVIVAL([["gearbox"], ["gearbox"]], [[None], [5]])[0] == [None]
    assert functions.WEAR_SURVIVAL([["gearbox"], ["gearbox"]], [[None], [5]])[1] != [None]


def test_a_faulty_single_cell_marks_every_row() -> None:
    block = functions.WEAR_SURVIVAL("u_joint", [[1.0], [2.0]], "site", 900)
    assert block == [["lift must be at most 500, not 900"]] * 2


def test_shapes_in_shapes_out() -> None:
    scalar = functions.WEAR_SURVIVAL("u_joint", 50_000)
    assert isinstance(scalar, float)
    assert functions.WEAR_SURVIVAL([["u_joint"]], [[50_000]]) == [[scalar]]
    wide = functions.WEAR_SURVIVAL("u_joint", [[50_000, 60_000, 70_000]])
    assert (len(wide), len(wide[0])) == (1, 3)
    block = functions.WEAR_SURVIVAL("u_joint", [[50_000, 1], [2, 3], [4, 5]], [["site"]])
    assert [len(row) for row in block] == [2, 2, 2]
    assert functions.WEAR_SURVIVAL("u_joint", [50_000, 60_000]) == wide[0][:2]
    assert functions.WEAR_SURVIVAL("u_joint", ((50_000.0,), (60_000.0,))) == [[wide[0][0]], [wide[0][1]]]
    assert functions.WEAR_SURVIVAL("u_joint", np.array([[50_000], [60_000]])) == [[wide[0][0]], [wide[0][1]]]
    assert functions.WEAR_SURVIVAL(np.str_("u_joint"), np.float64(50_000)) == scalar


def test_rows_of_several_components_duties_and_lifts_keep_their_places() -> None:
    cells = [("u_joint", "site", 0.0), ("slip_spline", "highway", 0.0), ("u_joint", "fleet", 75.0)]
    block = functions.WEAR_MEAN_LIFE(*([[cell[part]] for cell in cells] for part in range(3)))
    for (component, duty, lift), row in zip(cells, block, strict=True):
        assert row == [functions.WEAR_MEAN_LIFE(component, duty, lift)]


def test_ranges_that_do_not_match() -> None:
    found = functions.WEAR_SURVIVAL("u_joint", [[1.0], [2.0]], [["site"], ["site"], ["site"]])
    assert found == (
        "distance is 2 x 1 cells, duty is 3 x 1 cells: ranges must have the same shape, or be one cell"
    )
    assert functions.WEAR_SURVIVAL("u_joint", [[1.0, 2.0], [3.0]]) == "distance must be a rectangular range"
    assert functions.WEAR_SURVIVAL("u_joint", [[1.0], 3.0]) == "distance must be a rectangular range"


def test_empty_ranges_are_blank() -> None:
    assert functions.WEAR_SURVIVAL("u_joint", [[]]) == [[None]]
    assert functions.WEAR_SURVIVAL("u_joint", []) == [None]


@pytest.mark.parametrize("name", [name for name, spec in FUNCTIONS.items() if "component" in str(spec.arguments)])
def test_too_few_failures_is_said_instead_of_a_number(name: str) -> None:
    found = getattr(functions, name)(*example_of(name, component="slip_spline"))
    if name == "WEAR_MODEL_NOTE":
        assert found == "Slip spline. No failure was seen among 30 lives."
    else:
        assert found == "too few failures of slip_spline were seen for a life curve"


@pytest.mark.parametrize("name", ["WEAR_INTERVAL", "WEAR_COST_RATE", "WEAR_INSPECT_EVERY", "WEAR_BUDGET"])
def test_no_costs_in_the_model_file(name: str, model_file: Path) -> None:
    write_model(replace(EXAMPLE_MODEL, costs={}), model_file)
    call = getattr(functions, name)
    found = call(*example_of(name))
    assert found.startswith("the model file has no costs of u_joint: give ")
    planned = "found_cost" if name == "WEAR_INSPECT_EVERY" else "planned_cost"
    assert isinstance(call(*example_of(name, failed_cost=600.0, **{planned: 150.0})), float)
    assert call(*example_of(name, failed_cost=600.0)) == found
    mixed = call(*example_of(name, failed_cost=[[600.0], [600.0]], **{planned: [[150.0], [None]]}))
    assert isinstance(mixed[0][0], float)
    assert mixed[1][0] == found


def test_costs_of_a_model_file_that_make_no_sense(model_file: Path) -> None:
    odd = {"u_joint": ReplacementCost(planned=0.0, failed=-3.0)}
    write_model(replace(EXAMPLE_MODEL, costs=odd), model_file)
    for name in ("WEAR_INTERVAL", "WEAR_COST_RATE", "WEAR_INSPECT_EVERY", "WEAR_BUDGET"):
        found = getattr(functions, name)(*example_of(name))
        assert found.startswith("model.json: costs.u_joint: 'planned' and 'failed' must be amounts of money")


def test_lifts_that_a_shaft_does_not_allow() -> None:
    block = functions.WEAR_JOINT_ANGLE([[4], [4], [-4]], [[420], [50], [300]], [[75], [75], [20]])
    assert block[0][0] == functions.WEAR_JOINT_ANGLE(4, 420, 75)
    assert block[1][0] == "lift 75 mm is more than a shaft of 50 mm allows"
    assert block[2][0] == functions.WEAR_JOINT_ANGLE(-4, 300, 20)


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("WEAR_CRITICAL_SPEED", (80, 41, 1200)),
        ("WEAR_TORSION", (900, 80, 41)),
        ("WEAR_TWIST", (900, 80, 41, 1200)),
    ],
)
def test_walls_beyond_the_radius(name: str, row: tuple[float, ...]) -> None:
    good = FUNCTIONS[name].example
    columns = [[[first], [second]] for first, second in zip(good, row, strict=True)]
    block = getattr(functions, name)(*columns)
    assert block[0][0] == getattr(functions, name)(*good)
    assert block[1][0] == "tube_wall 41 mm is beyond the radius of a tube of 80 mm"


def test_a_wall_of_the_radius_is_a_solid_bar() -> None:
    assert isinstance(functions.WEAR_TORSION(900, 80, 40), float)


def test_joints_that_cancel_leave_nothing() -> None:
    assert functions.WEAR_RESIDUAL_ANGLE(5, 5) == pytest.approx(0.0, abs=1e-6)
    assert functions.WEAR_RESIDUAL_ANGLE(5, 90) == "second_angle must be below 90, not 90"


def test_variance_far_beyond_the_mean() -> None:
    block = functions.WEAR_STOCK_LEVEL([[2.0], [2.0]], 0.9, [[3.0], [5_000.0]])
    assert isinstance(block[0][0], float)
    assert block[1][0] == "variance must be at most 1,000 times mean_demand"


def test_no_model(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    with_model = [name for name, spec in FUNCTIONS.items() if spec.arguments[:1] and spec.arguments[0].kind == "text"]
    for setting, words in [
        ("", "no model: set WEAR_MODEL to the file that 'wearmodel fit' wrote"),
        (str(tmp_path / "gone.json"), "no model file at 'gone.json': write it with 'wearmodel fit'"),
        ("\0", "no model file at ' ': write it with 'wearmodel fit'"),
    ]:
        if "\0" not in setting:
            monkeypatch.setenv("WEAR_MODEL", setting)
            for name in [*with_model, "WEAR_COMPONENTS"]:
                assert getattr(functions, name)(*example_of(name)) == words
    monkeypatch.delenv("WEAR_MODEL")
    assert functions.WEAR_COMPONENTS().startswith("no model")
    assert functions.WEAR_SPEED_RIPPLE(10) > 0.0


def test_a_model_file_that_is_none(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for number, text in enumerate(["", "{}", "not json", "[" * 100_000, '{"schema": "other"}', "\ufeff\x00"]):
        path = tmp_path / f"bad{number}.json"
        path.write_text(text, encoding="utf-8")
        monkeypatch.setenv("WEAR_MODEL", str(path))
        found = functions.WEAR_SURVIVAL("u_joint", 1)
        assert f"bad{number}.json" in found
        assert found.isprintable()
        assert len(found) <= 250
    monkeypatch.setenv("WEAR_MODEL", str(tmp_path))
    assert "is not a plain file" in functions.WEAR_SURVIVAL("u_joint", 1)


def test_a_hazard_without_bound_is_said_in_words(model_file: Path) -> None:
    young = replace(
        EXAMPLE_MODEL.components["u_joint"],
        values=(*EXAMPLE_MODEL.components["u_joint"].values[:-1], float(np.log(0.8))),
    )
    write_model(replace(EXAMPLE_MODEL, components={"u_joint": young}), model_file)
    assert functions.WEAR_HAZARD("u_joint", 0) == "beyond any number"
    assert functions.WEAR_INTERVAL("u_joint") == "run to failure"


def test_a_curve_too_steep_for_the_renewal_function(model_file: Path) -> None:
    steep = replace(
        EXAMPLE_MODEL.components["u_joint"],
        values=(*EXAMPLE_MODEL.components["u_joint"].values[:-1], float(np.log(40.0))),
    )
    write_model(replace(EXAMPLE_MODEL, components={"u_joint": steep}), model_file)
    assert functions.WEAR_DEMAND("u_joint", 0, 1_000) == "shape 40 of the life curve is out of reach here"

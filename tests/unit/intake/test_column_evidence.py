"""What the cells of a column say about it."""

import numpy as np
import pytest

from wearmodel.intake.headings.column_evidence import SAMPLED_ROWS, ColumnContext, column_evidence, sampled_rows
from wearmodel.intake.headings.content_fit import column_fit, may_be
from wearmodel.intake.values.name_index import build_name_index

DAYS = np.arange(np.datetime64("2022-01-01"), np.datetime64("2022-04-11")).astype(str).tolist()
WORDING = [
    "Replaced rear u-joint, worn", "Customer reports clunk engaging gear", "Greased prop shaft, all ok",
    "New brake pads front axle", "LH outer CV boot split, renewed",
]  # fmt: skip
COLUMNS = {
    "date": [
        DAYS, ["03/04/21", "25/12/21", "1/2/2021"], ["3 Jan 2024", "Feb 4, 2024", ""], ["44562", "44563", "44800"],
    ],
    "month": [["2024-01", "2024-02"], ["Jan 2024", "Feb 2024"], ["202401", "202402"], ["2024-01-31", "2024-02-29"]],
    "text": [WORDING],
    "driveline": [["rear_two_piece", "rear_one_piece+steering_shaft"], ["Front Half Shafts", "all-wheel"]],
    "position": [["rear.joint_rear", "left.outboard_boot"], ["LH outer boot", "RH inner joint"]],
    "component": [["u_joint", "Universal joint", "support bearing"]],
    "reason": [["failed", "worn", "PM"], ["breakdown", "Scheduled"]],
    "finding": [["ok", "worn", "OK"], ["good", "fair", "poor"]],
    "order": [[f"WO{i // 2:05d}" for i in range(80)]],
    "unit_price": [["45.60", "€12.00", "1,250.75"]],
}


CASES = [(kind, values) for kind, columns in COLUMNS.items() for values in columns]


@pytest.mark.parametrize(("kind", "values"), CASES)
def test_a_column_fits_its_own_kind_best(kind, values):
    evidence = column_evidence(values)
    rivals = ["date", "month", "text", "driveline", "position", "component", "order", "odometer"]
    rivals += [kind] if kind not in rivals else []
    if kind == "month":
        rivals.remove("date")  # the last day of a month is a date too
    fits = {name: column_fit(name, evidence) for name in rivals}
    assert fits[kind] >= 0.6
    assert max(fits, key=fits.get) == kind
    assert may_be(kind, evidence)


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("date", ["soon", "today"]), ("date", ["104500", "98250"]), ("date", ["", " ", "n/a"]), ("date", []),
        ("odometer", DAYS), ("odometer", WORDING), ("odometer", ["12O4", "unknown", "see sheet"]),
        ("quantity", WORDING), ("unit_price", ["on request", "n/a", "ask"]), ("text", DAYS), ("text", ["1", "2", "3"]),
        ("order", WORDING), ("unit", WORDING), ("part_number", WORDING), ("month", ["soon", "later"]),
        ("depot", [f"{text} number {i}" for i, text in enumerate(WORDING)]),
    ],
)  # fmt: skip
def test_contents_of_another_kind(name, values):
    assert not may_be(name, column_evidence(values))


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("odometer", ["104500 km", "98250"]), ("order", ["1001", "1002"]), ("depot", ["north_yard", "south_yard"]),
        ("driveline", ["4x4 solid axle", "two piece prop shaft"] * 6), ("text", ["worn"]), ("finding", ["B", "A"]),
        ("quantity", ["1", "", "2"]), ("date", ["44562", "44563"]),
    ],
)  # fmt: skip
def test_contents_that_may_be(name, values):
    assert may_be(name, column_evidence(values))


def fleet_rows(vehicles=6, visits=30):
    """Units, dates, odometers and running order numbers as a shop writes them, by date."""
    rng = np.random.default_rng(5)
    days = np.sort(rng.integers(0, 1500, vehicles * visits))
    units = np.array([f"T-{i % vehicles}" for i in range(len(days))], dtype=object)
    start = dict(zip(dict.fromkeys(units), rng.integers(5_000, 300_000, vehicles), strict=True))
    odometers = [str(start[unit] + 90 * day) for unit, day in zip(units, days, strict=True)]
    dates = np.datetime64("2020-01-01", "ns") + days.astype("timedelta64[D]")
    orders = [str(100_000 + i) for i in range(len(days))]
    return units, dates, odometers, orders


def test_odometers_grow_unit_by_unit():
    units, dates, odometers, orders = fleet_rows()
    known = ColumnContext(units=build_name_index(units), row_units=units, row_dates=dates)
    assert column_fit("odometer", column_evidence(odometers, context=known)) == 1.0
    assert column_fit("odometer", column_evidence(orders, context=known)) == 0.0, "a running number grows for all"
    assert column_fit("odometer", column_evidence(odometers[::-1], context=known)) < 0.3
    assert column_fit("odometer", column_evidence(odometers)) == 0.5, "without units and dates it may be anything"


def test_an_order_belongs_to_one_unit():
    units, dates, odometers, orders = fleet_rows()
    known = ColumnContext(units=build_name_index(units), row_units=units, row_dates=dates)
    assert column_fit("order", column_evidence(orders, context=known)) == 1.0
    assert column_fit("order", column_evidence(odometers, context=known)) == 0.0
    parts = [f"P-{i % 50}" for i in range(len(units))]
    assert column_fit("order", column_evidence(parts, context=known)) < 0.2


def test_known_units_and_part_numbers():
    known = ColumnContext(units=build_name_index(["T-1", "000123"]), parts=build_name_index(["UJ-1"]))
    assert column_evidence(["t 1", "123", "", "T-1"], context=known)["unit"] == 1.0
    assert column_evidence(["T-1", "X-9"], context=known)["unit"] == 0.5
    assert column_evidence(["UJ1", "uj-1"], context=known)["part_number"] == 1.0


def test_text_that_names_driveline_parts_fits_better():
    other = ["Replaced the front brake pads", "Washed the vehicle and swept it out", "New bulb for the left head lamp"]
    assert column_fit("text", column_evidence(WORDING)) > column_fit("text", column_evidence(other)) > 0.5


def test_figures_and_repeated_words_alone_prove_nothing():
    """Else any column of figures would be proposed as lead time, pack or ride height."""
    evidence = column_evidence(["1", "2", "3", "2"] * 5)
    assert max(column_fit(name, evidence) for name in ("lift", "quantity", "on_hand", "distance")) <= 0.5
    evidence = column_evidence(["blue", "red"] * 9)
    assert max(column_fit(name, evidence) for name in ("duty", "depot", "vehicle_class")) <= 0.5


def test_a_sample_is_spread_over_the_table():
    places = sampled_rows(1_000_000)
    assert (places[0], places[-1], len(places)) == (0, 999_999, SAMPLED_ROWS)
    assert sampled_rows(3).tolist() == [0, 1, 2]
    assert column_evidence(["x"] * 500_000 + ["2024-01-03"] * 500_000)["date"] == 0.5


def test_shares_are_of_filled_cells():
    evidence = column_evidence(["2024-01-03", "2024-01-03", "word", "", "-"])
    assert (evidence["filled"], evidence["distinct"]) == (0.6, pytest.approx(2 / 3))
    assert evidence["date"] == pytest.approx(2 / 3)


@pytest.mark.parametrize("text", ["\x00", "\u202e" * 9, "x" * 100_000, "=1+1", "😀", "9" * 400, "1e999", "(" * 500])
def test_hostile_cells(text):
    evidence = column_evidence([text, "T-1", text * 2])
    assert all(0.0 <= fit <= 1.0 for fit in evidence.values())

"""Sheet "Ride height and angles": answers, tables and charts say what the tables of the plan say."""

import re
import zipfile
from pathlib import Path

import pytest
from planner_example import build_example_plan
from recalculation import open_book
from ride_height_example import HOSTILE_CLASS

from workbook.planner import write_planner

SHEET = "Ride height and angles"


@pytest.fixture(scope="module")
def planner(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("planner") / "planner.xlsx"
    write_planner(build_example_plan(), path)
    return path


@pytest.fixture(scope="module")
def rows(planner: Path) -> list[tuple[object, ...]]:
    return list(open_book(planner, values=True)[SHEET].iter_rows(values_only=True))


def body(rows: list[tuple[object, ...]], header: str) -> list[dict[str, object]]:
    """Rows of the table that has this heading, by heading."""
    start = next(i for i, row in enumerate(rows) if header in row)
    names = rows[start]
    found = []
    for row in rows[start + 1 :]:
        if row[0] is None or row[1] is None:
            break
        found.append({str(name): value for name, value in zip(names, row, strict=True) if name is not None})
    return found


def test_each_class_has_its_answer(rows: list[tuple[object, ...]]) -> None:
    said = [str(row[0]) for row in rows if row[0]]
    limits = build_example_plan().tables["ride_height_limits"]
    for line in limits.itertuples():
        assert f"{line.vehicle_class}: {line.sentence} {line.life_sentence}" in said
    assert len(limits) == 3


def test_cautions_stand_before_any_figure(rows: list[tuple[object, ...]]) -> None:
    first = " ".join(str(row[0]) for row in rows[:5])
    assert "may need approval" in first
    assert "makers of vehicle, joint and shaft come first" in first


def test_sides_and_alike_drivelines_stand_once(rows: list[tuple[object, ...]]) -> None:
    table = body(rows, "Angle (deg)")
    keys = [(row["Vehicle class"], row["Position"], row["Lift (mm)"]) for row in table]
    assert len(keys) == len(set(keys))
    assert ("van", "left and right outboard_joint", 25) in keys
    assert not [key for key in keys if "(" in str(key[1])]
    # A joint that ride height does not move has one row.
    assert [key[2] for key in keys if key[:2] == ("crew truck", "rear.joint_front")] == [0]


def test_figures_are_those_of_the_table(rows: list[tuple[object, ...]]) -> None:
    heights = build_example_plan().tables["ride_heights"]
    row = next(
        r for r in body(rows, "Angle (deg)")
        if (r["Vehicle class"], r["Position"], r["Lift (mm)"]) == ("crew truck", "rear.joint_rear", 100)
    )  # fmt: skip
    there = heights[(heights["vehicle_class"] == "crew truck") & (heights["position"] == "rear.joint_rear")]
    wanted = there[there["lift"] == 100.0].iloc[0]
    assert row["Angle (deg)"] == pytest.approx(wanted["angle"])
    assert row["Life ratio, record"] == pytest.approx(wanted["life_ratio"])
    assert row["Life ratio, bearing formula"] == pytest.approx(wanted["bearing_ratio"])
    assert row["Angle is"] == "high"
    assert row["Record"] == "beyond what the record saw"


def test_shafts_are_checked(rows: list[tuple[object, ...]]) -> None:
    table = body(rows, "Critical speed (rpm)")
    assert [row["Shaft from front"] for row in table] == [1, 2]
    assert all(row["Top speed (rpm)"] == 5200 for row in table)


def test_charts_draw_settled_ratios_and_limits(planner: Path) -> None:
    with zipfile.ZipFile(planner) as archive:
        charts = [archive.read(n).decode() for n in archive.namelist() if n.startswith("xl/charts/chart")]
    names = {
        title: re.findall(r"<c:tx>.*?<c:v>(.*?)</c:v>", chart)
        for chart in charts
        for title in re.findall(r"<a:t>(.*?)</a:t>", chart)[:1]
        if "joint angle" in title or "life over life" in title
    }
    assert len(names) == 6
    assert "high side, degrees: 10" in names["crew truck: joint angle"]
    assert "rear.joint_rear" in names["crew truck: joint angle"]
    assert "rear.joint_front" not in names["crew truck: joint angle"]
    # The support bearing's interval reaches over 1.
    assert names["van: life over life at factory height"] == ["Outboard CV joint", "Universal joint"]


def test_a_hostile_class_stays_text(planner: Path) -> None:
    sheet = open_book(planner, values=False)[SHEET]
    cells = [cell for row in sheet.iter_rows() for cell in row if str(cell.value).startswith(HOSTILE_CLASS)]
    assert cells
    assert {cell.data_type for cell in cells} == {"s"}

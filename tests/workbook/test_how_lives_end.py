"""Sheet "How lives end": charts of shares, comebacks by part, and clocks with what to do."""

import re
import zipfile
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from planner_example import LABELS, ExamplePlan, build_example_plan
from questions_example import HOSTILE
from recalculation import read_book

from workbook.planner import write_planner


@pytest.fixture(scope="module")
def plan() -> ExamplePlan:
    return build_example_plan()


@pytest.fixture(scope="module")
def planner(plan: ExamplePlan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("ends") / "planner.xlsx"
    write_planner(plan, path)
    return path


def sheet_rows(planner: Path) -> list[list[object]]:
    return [list(row) for row in read_book(planner, values=True)["How lives end"].iter_rows(values_only=True)]


def section(planner: Path, heading: str) -> tuple[list[object], list[list[object]]]:
    """Header and rows of the table below a heading."""
    rows = sheet_rows(planner)
    at = next(i for i, row in enumerate(rows) if row[0] == heading)
    head = next(i for i in range(at, len(rows)) if rows[i][0] == "Component")
    body = []
    for row in rows[head + 1 :]:
        if row[0] is None:
            break
        body.append(row)
    return rows[head], body


def test_a_stacked_chart_a_component(planner: Path) -> None:
    with zipfile.ZipFile(planner) as archive:
        charts = [archive.read(n).decode() for n in archive.namelist() if n.startswith("xl/charts/chart")]
    stacked = [c for c in charts if "Share that has come out" in c]
    assert len(stacked) == len(LABELS)
    for chart in stacked:
        assert '<c:grouping val="stacked"/>' in chart and "<c:areaChart>" in chart
        series = re.findall(r"<c:tx>.*?<c:v>(.*?)</c:v>", chart)
        assert [name for name in series if name in ("Wear", "Planned renewal", "Damage from outside", "Comeback")] == [
            "Wear", "Planned renewal", "Damage from outside", "Comeback",
        ]  # fmt: skip
        assert '<c:max val="1"/>' in chart


def test_shares_are_listed_at_the_age_by_which_half_came_out(planner: Path, plan: ExamplePlan) -> None:
    header, body = section(planner, "Share that has come out, with limits")
    assert len(body) == 5 * len(LABELS)
    endings = plan.tables["endings"]
    first = endings[endings["component"] == "u_joint"]
    fitted = first[first["ended"] == "still_fitted"]
    half = fitted.loc[fitted["incidence"] <= 0.5, "distance"].min()
    wear = dict(zip(header, body[0], strict=True))
    assert wear["By age (km)"] == half
    expected = first[(first["ended"] == "wear") & (first["distance"] == half)].iloc[0]
    assert [wear["Share"], wear["Low (90%)"], wear["High (90%)"]] == pytest.approx(
        expected[["incidence", "lower", "upper"]].tolist()
    )


def test_counts_name_what_is_left_out(planner: Path) -> None:
    header, body = section(planner, "Parts behind the charts")
    assert len(body) == len(LABELS)
    row = dict(zip(header, body[0], strict=True))
    assert row["Wear"] == 180 and row["Left out: fitting date unknown"] == pytest.approx(54)


def test_comebacks_list_part_numbers_that_came_back(planner: Path) -> None:
    header, body = section(planner, "Comebacks")
    at = header.index("Part number")
    assert [row[at] for row in body] == ["all part numbers", "041-UJ", HOSTILE, "all part numbers"]
    assert [row[header.index("Comebacks")] for row in body] == [12, 2, 10, 0.25]
    assert body[-1][header.index("Expected by wear")] is None
    text = "\n".join(str(row[0]) for row in sheet_rows(planner))
    assert "within 90 days (comeback_days in fleet.toml)" in text


def test_clocks_say_which_and_what_to_do(planner: Path) -> None:
    header, body = section(planner, "Which clock parts age by")
    rows = [dict(zip(header, row, strict=False)) for row in body]
    assert [row["Clock"] for row in rows] == ["distance (km)", "years since fitting", "as fleet.toml says"]
    assert [row["Half worn by (years)"] for row in rows] == [None, 5.25, None]
    assert [row["Log-likelihood, years less km"] for row in rows] == [-12.0, 7.5, None]
    assert [row["What it says"] for row in rows] == [
        "u_joint goes by distance.", "cv_boot_outboard goes by age.", "support_bearing goes by hours.",
    ]  # fmt: skip


def test_hours_stand_beside_where_they_are_on_record(plan: ExamplePlan, tmp_path: Path) -> None:
    clocks = plan.tables["clocks"]
    hours = clocks[clocks["clock"] == "age"].assign(
        clock="hours", difference=[-8.0, 3.0, 21.0], z=[-2.0, 1.0, 4.5], chosen=[False, False, True],
        sentence=["", "", "support_bearing goes by engine hours."],
    )  # fmt: skip
    tables = {**plan.tables, "clocks": pd.concat([clocks, hours], ignore_index=True)}
    path = tmp_path / "planner.xlsx"
    write_planner(replace(plan, tables=tables), path)
    header, body = section(path, "Which clock parts age by")
    rows = [dict(zip(header, row, strict=False)) for row in body]
    assert [row["Clock"] for row in rows] == ["distance (km)", "years since fitting", "engine hours"]
    assert [row["Log-likelihood, engine hours less distance"] for row in rows] == [-8.0, 3.0, 21.0]
    assert [row["Hours: times its error"] for row in rows] == [-2.0, 1.0, 4.5]
    assert [row["Half worn by (years)"] for row in rows] == [None, 5.25, None]
    assert rows[2]["What it says"].endswith("support_bearing goes by engine hours.")
    book = read_book(path, values=True)
    ends, due = (
        "\n".join(str(cell) for row in book[name].iter_rows(values_only=True) for cell in row)
        for name in ("How lives end", "Due list")
    )
    assert "due dates and forecasts go by each vehicle's own hours" in ends
    assert "Where a part ages by engine hours" in due and "Where a part ages by time" in due


def test_without_hours_the_sheet_does_not_speak_of_them(planner: Path) -> None:
    header, _ = section(planner, "Which clock parts age by")
    assert not any("hours" in str(cell).casefold() for cell in header)

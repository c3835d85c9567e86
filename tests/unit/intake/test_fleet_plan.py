"""Rows of the fleet plan: what is carried out, and one sentence for each row that cannot be."""

import pandas as pd
import pytest

from wearmodel.intake.tables.row_log import SET_ASIDE, sentence

TOML = 'as_of = 2026-06-30\nset_aside_limit = 1.0\n'


@pytest.fixture
def planned(fleet):
    """Two classes at two depots; T-4 has left."""
    for row, (name, depot) in enumerate([("van", "north"), ("van", "north"), ("pickup", "south"), ("van", "north")]):
        fleet.set("vehicles", row + 2, "vehicle_class", name)
        fleet.set("vehicles", row + 2, "depot", depot)
    fleet.set("vehicles", 5, "out_of_service_date", "2026-01-31")
    return fleet


def sentences(result):
    return [sentence(finding) for finding in result.findings if finding.table == "fleet_plan"]


def test_a_sound_plan_is_kept_as_it_is_meant(planned):
    planned.add("fleet_plan", unit="t 1", month="2026-09", leaves="1")
    planned.add("fleet_plan", vehicle_class="VAN", depot="North", month="2026-10", joins="3")
    result = planned.read(TOML)
    assert sentences(result) == []
    plan = result.tables["fleet_plan"]
    assert plan[["unit", "vehicle_class", "depot"]].to_numpy().tolist() == [["T-1", "", ""], ["", "van", "north"]]
    assert plan[["joins", "leaves"]].to_numpy().tolist() == [[0.0, 1.0], [3.0, 0.0]]
    assert plan["month"].to_list() == [pd.Timestamp("2026-09-01"), pd.Timestamp("2026-10-01")]


VAN = {"vehicle_class": "van", "month": "2026-09"}
FAULTS = {
    "neither": ([{"month": "2026-09"}], "column joins: the row lets no vehicle join and none leave; left out."),
    "twice": ([{**VAN, "joins": "2"}] * 2, "row 3: the row repeats row 2; left out; keep the row that is right."),
    "two of one": (
        [{"unit": "T-1", "month": "2026-09", "leaves": "2"}],
        f"column unit: 'T-1' is one vehicle, and joins or leaves once; {SET_ASIDE}; write 1 or 0.",
    ),
    "there already": (
        [{**VAN, "unit": "T-1", "joins": "1"}],
        f"column unit: 'T-1' is in the vehicles table already, so that it cannot join; {SET_ASIDE}.",
    ),
    "not there": (
        [{"unit": "T-11", "month": "2026-09", "leaves": "1"}],
        f"column unit: 'T-11' is not in the vehicles table (nearest: 'T-1'); {SET_ASIDE}.",
    ),
    "gone": (
        [{"unit": "T-4", "month": "2026-09", "leaves": "1"}],
        "column unit: 'T-4' has left already by the vehicles table; left out.",
    ),
    "leaves twice": (
        [{"unit": "T-1", "month": "2026-09", "leaves": "1"}, {"unit": "T-1", "month": "2026-11", "leaves": "1"}],
        f"row 3, column unit: 'T-1' is planned to do so in an earlier row already; {SET_ASIDE}.",
    ),
    "leaves before it joins": (
        [{**VAN, "unit": "N-1", "joins": "1"}, {"unit": "N-1", "month": "2026-08", "leaves": "1"}],
        f"row 3, column month: '2026-08' does not come after a month in which N-1 joins; {SET_ASIDE}.",
    ),
    "unknown class": (
        [{**VAN, "vehicle_class": "vam", "joins": "1"}],
        f"column vehicle_class: 'vam' is not a class of the vehicles table (nearest: 'van'); {SET_ASIDE}.",
    ),
    "no class": (
        [{"month": "2026-09", "joins": "1"}],
        f"column vehicle_class: the cell is empty; {SET_ASIDE}; name the class of the vehicles that join.",
    ),
    "no such depot": (
        [{"month": "2026-09", "depot": "sooth", "leaves": "1"}],
        f"column depot: 'sooth' has no vehicle in service (nearest: 'south'); {SET_ASIDE}.",
    ),
    "over": (
        [{**VAN, "month": "2026-06", "joins": "1"}],
        "column month: '2026-06' lies before 2026-07, the first month after the as-of date 2026-06-30; left out.",
    ),
    "no month": (
        [{**VAN, "month": "soon", "joins": "1"}],
        f"column month: 'soon' is not a month of the years 1950 to 2100; {SET_ASIDE}.",
    ),
    "negative": ([{**VAN, "joins": "-1"}], f"column joins: '-1' is below 0, the least this can be; {SET_ASIDE}."),
    "part of one": ([{**VAN, "leaves": "1.5"}], f"column leaves: '1.5' is not a whole number; {SET_ASIDE}."),
}


@pytest.mark.parametrize("rows, expected", FAULTS.values(), ids=FAULTS)
def test_each_row_that_cannot_be_carried_out_is_one_sentence(planned, rows, expected):
    for row in rows:
        planned.add("fleet_plan", **row)
    result = planned.read(TOML)
    (said,) = sentences(result)
    assert said.startswith("fleet_plan.csv row ") and said.endswith(expected)
    assert len(result.tables["fleet_plan"]) == len(rows) - 1


def test_a_new_depot_is_taken_for_those_that_join_and_said(planned):
    planned.add("fleet_plan", **VAN, depot="east", joins="1")
    result = planned.read(TOML)
    (said,) = sentences(result)
    assert "'east' has no vehicle in service" in said and said.endswith("taken as a new depot for those that join.")
    assert result.tables["fleet_plan"]["depot"].to_list() == ["east"]


def test_the_class_of_a_fleet_of_one_class_goes_without_saying(planned):
    planned.column("vehicles", "vehicle_class", lambda _: "van")
    planned.add("fleet_plan", month="2026-09", joins="1")
    result = planned.read(TOML)
    assert sentences(result) == [] and result.tables["fleet_plan"]["vehicle_class"].to_list() == ["van"]


def test_too_many_faulty_rows_stop_the_run(planned):
    planned.add("fleet_plan", unit="T-11", month="2026-09", leaves="1")
    assert any("'T-11' is not in the vehicles table" in problem for problem in planned.problems("as_of = 2026-06-30"))

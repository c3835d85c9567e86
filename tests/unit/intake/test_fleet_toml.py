"""`fleet.toml`: what it may say, what it means, and every refusal."""

import math

import pandas as pd
import pytest

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.errors import InputError
from wearmodel.intake.fleet_toml.settings import ComponentSpec, read_settings


@pytest.fixture
def settings(tmp_path):
    def read(text=None):
        if text is not None:
            (tmp_path / "fleet.toml").write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_settings(tmp_path)

    return read


@pytest.fixture
def problems(settings):
    def refusal(text):
        with pytest.raises(InputError) as caught:
            settings(text)
        return list(caught.value.problems)

    return refusal


def test_everything_has_a_default_and_says_so(settings):
    found = settings()
    assert (found.distance_unit, found.currency, found.service_interval) == ("km", "EUR", 15000.0)
    assert (found.labour_rate, found.downtime_cost) == (70.0, 40.0)
    assert (found.service_level, found.set_aside_limit) == (0.95, 0.05)
    assert found.as_of is None and found.records_from is None
    assert set(found.costs) == set(COMPONENTS) and all(cost.is_default for cost in found.costs.values())
    top = {"distance_unit", "currency", "as_of", "records_from", "service_interval", "labour_rate", "downtime_cost"}
    named = {name for name in found.defaults if "." not in name}
    shares = {"service_level", "set_aside_limit", "review_threshold"}
    ahead = {"price_growth", "spread_backlog_months"}
    stock = {"service_measure", "holding_rate", "order_cost"}
    assert named == top | shares | ahead | stock | {"comeback_days", "greasing_intervals"}
    assert (found.service_measure, found.holding_rate, found.order_cost) == ("cycle", 0.2, 15.0)
    assert (found.price_growth, found.spread_backlog_months, dict(found.own_policy)) == (0.0, 0.0, {})
    # Without one the rate is estimated from the record.
    assert math.isnan(found.leaving_rate)
    assert "cost.u_joint.failed_extra" in found.defaults


def test_service_interval_by_unit(settings):
    assert settings('distance_unit = "mi"').service_interval == 10000.0
    assert math.isnan(settings('distance_unit = "hours"').service_interval)
    assert "service_interval" not in settings('distance_unit = "hours"').defaults


FULL = """
distance_unit = "km"
currency = "GBP"
as_of = 2026-06-30
records_from = "2019-01-01"
service_interval = 20000
labour_rate = 72.0
downtime_cost = 38
service_level = 0.9
set_aside_limit = 0.1
review_threshold = 0.9
comeback_days = 60
greasing_intervals = 3
leaving_rate = 0.1
price_growth = 0.02
service_measure = "standing"
holding_rate = 0.1
order_cost = 0
spread_backlog_months = 6

[own_policy]
u_joint = 90000

[cost.u_joint]
planned_hours = 1.4
planned_downtime_hours = 2.0
failed_hours = 2.6
failed_downtime_hours = 10.0

[geometry.crew_truck]
rear.shaft_lengths = [760, 1040]
rear.joint_angles = [1.5, 2.0, 2.5]
half_shaft_length = 420
half_shaft_angle = 4.0

[components.pto_joint]
clock = "hours"

[layouts]
pto_shaft = { "pto.joint_front" = "pto_joint", pto.joint_rear = "pto_joint" }

[tables.repairs]
file = "workorders.xlsx"
sheet = "Lines"
columns = { date = "Closed", unit = "Asset" }
values.reason = { PM = "planned", BRK = "failed" }
date_order = "dmy"
unit = "mi"
decimal = ","
"""


def test_everything_said_is_kept(settings):
    found = settings(FULL)
    assert (found.as_of, found.records_from) == (pd.Timestamp("2026-06-30"), pd.Timestamp("2019-01-01"))
    assert (found.currency, found.service_interval, found.labour_rate) == ("GBP", 20000.0, 72.0)
    assert (found.comeback_days, found.greasing_intervals) == (60.0, 3.0)
    assert (found.leaving_rate, found.price_growth, found.spread_backlog_months) == (0.1, 0.02, 6.0)
    assert (found.service_measure, found.holding_rate, found.order_cost) == ("standing", 0.1, 0.0)
    assert dict(found.own_policy) == {"u_joint": 90000.0}
    assert found.costs["u_joint"].planned_hours == 1.4 and not found.costs["u_joint"].is_default
    assert found.costs["cv_joint_inboard"].is_default and "pto_joint" not in found.costs
    geometry = found.geometry["crew_truck"]
    assert geometry.shaft_lines["rear"].joint_angles == (1.5, 2.0, 2.5)
    assert (geometry.half_shaft_length, geometry.half_shaft_angle) == (420.0, 4.0)
    assert found.components["pto_joint"] == ComponentSpec("pto_joint", "Pto joint", "hours")
    assert dict(found.layouts["pto_shaft"]) == {"pto.joint_front": "pto_joint", "pto.joint_rear": "pto_joint"}
    (source,) = found.tables["repairs"]
    assert (source.file, source.sheet, source.date_order, source.unit) == ("workorders.xlsx", "Lines", "dmy", "mi")
    assert source.columns["date"] == ("Closed",) and source.values["reason"]["PM"] == "planned"
    assert source.decimal == ","
    assert [name for name in found.defaults if name.startswith("cost.u_joint")] == ["cost.u_joint.failed_extra"]
    assert not {name for name in found.defaults if "." not in name}


REFUSALS = [
    ("labor_rate = 70", "fleet.toml, key labor_rate: not a known key (nearest: 'labour_rate'); correct or remove it."),
    (
        "[cost.u_joint]\nplaned_hours = 1",
        "fleet.toml, key cost.u_joint.planed_hours: not a known key (nearest: 'planned_hours'); correct or remove it.",
    ),
    (
        "[cost.u_jiont]\nplanned_hours = 1",
        "fleet.toml, key cost.u_jiont: not a known key (nearest: 'u_joint'); correct it or add it under [components].",
    ),
    (
        "[tables.repair]\nfile = 'x.csv'",
        "fleet.toml, key tables.repair: not a known key (nearest: 'repairs'); correct or remove it.",
    ),
    (
        "[tables.repairs.columns]\nodo = 'Meter'",
        "fleet.toml, key tables.repairs.columns.odo: not a known key (nearest: 'odometer'); correct or remove it.",
    ),
    (
        "[tables.repairs.values.reason]\nPM = 'plannd'",
        "fleet.toml, key tables.repairs.values.reason.PM: 'plannd' is not a reason (nearest: 'planned'); use failed, "
        "worn, planned, collateral, damage, comeback.",
    ),
    (
        "distance_unit = 'miles'",
        "fleet.toml, key distance_unit: 'miles' is not one of 'km', 'mi', 'hours', 'days'; choose one of them.",
    ),
    ("labour_rate = '72 euro'", "fleet.toml, key labour_rate: '72 euro' is not a number; write a plain number."),
    (
        "labour_rate = 1_000_001",
        "fleet.toml, key labour_rate: 1000001 is out of range; a number from 0 to 1,000,000 is needed here.",
    ),
    ("labour_rate = true", "fleet.toml, key labour_rate: True is not a number; write a plain number."),
    ("labour_rate = inf", "fleet.toml, key labour_rate: inf is not a number; write a plain number."),
    (
        "service_level = 1.0",
        "fleet.toml, key service_level: 1 is out of range; a number more than 0 to 0.9999 is needed here.",
    ),
    (
        "as_of = 'soon'",
        "fleet.toml, key as_of: 'soon' is not a date of the years 1950 to 2100; write it as 2026-06-30.",
    ),
    (
        "as_of = '2026-02-30'",
        "fleet.toml, key as_of: '2026-02-30' is not a date of the years 1950 to 2100; write it as 2026-06-30.",
    ),
    ("cost = 3", "fleet.toml, key cost: 3 is not a section; write [cost] above its keys."),
    (
        "[geometry.van]\nrear.shaft_lengths = [760, 1040]\nrear.joint_angles = [1, 2]",
        "fleet.toml, key geometry.van.rear: 2 shaft lengths and 2 joint angles; give one length a shaft and one angle "
        "a joint, which is one more.",
    ),
    (
        "[geometry.van]\nhalf_shaft_length = 400",
        "fleet.toml, key geometry.van.half_shaft_length: stands alone; give half_shaft_length and half_shaft_angle "
        "together.",
    ),
    (
        "[geometry.van]\nraer.shaft_lengths = [1]",
        "fleet.toml, key geometry.van.raer: not a known key (nearest: 'rear'); correct or remove it.",
    ),
    (
        "[layouts]\nown = { 'a.joint' = 'u_jiont' }",
        "fleet.toml, key layouts.own.a.joint: 'u_jiont' is not a known component (nearest: 'u_joint'); add it under "
        "[components].",
    ),
    (
        "[layouts]\nrear_one_piece = { 'a.joint' = 'u_joint' }",
        "fleet.toml, key layouts.rear_one_piece: a shipped layout has that name; give yours another name.",
    ),
    (
        "[components.'PTO joint']\nclock = 'hours'",
        "fleet.toml, key components.PTO joint: not a component code; use lower-case letters, digits and _, 40 at most.",
    ),
    (
        "[tables.repairs]\nunit = 'hours'",
        "fleet.toml, key tables.repairs.unit: 'hours' cannot be turned into 'km'; only km and mi convert.",
    ),
    (
        "[tables.repairs]\ndate_order = 'american'",
        "fleet.toml, key tables.repairs.date_order: 'american' is not one of 'dmy', 'mdy', 'ymd'; choose one of them.",
    ),
]


@pytest.mark.parametrize(("text", "expected"), REFUSALS)
def test_refusal(problems, text, expected):
    assert problems(text) == [expected]


def test_all_problems_of_the_file_come_together(problems):
    assert len(problems("labor_rate = 1\ndowntime_cost = 1e9\n[cost.u_joint]\nfailed_hours = 'x'\n")) == 3


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("labour_rate = = 3", "fleet.toml is broken: Invalid value (at line 1, column 15); correct that line."),
        ("a = 1\na = 2\n", "fleet.toml is broken: Cannot overwrite a value (at line 2, column 6); correct that line."),
        (b"\xff\xfea", "fleet.toml is not UTF-8 text; save it as UTF-8."),
        ("a = " + "[" * 5000, "fleet.toml is nested too deeply; write plain sections and lists."),
        (".".join("a" * 5000) + " = 1", "fleet.toml is nested too deeply; write plain sections and lists."),
        ("#" * 1_000_001, "fleet.toml is larger than 1,000,000 bytes; it holds settings only."),
    ],
)
def test_broken_file(problems, text, expected):
    assert problems(text) == [expected]


@pytest.mark.parametrize("number", ["9" * 5000, "0x" + "f" * 5000, "[0x" + "f" * 5000 + "]"])
def test_number_without_end(problems, number):
    (problem,) = problems(f"labour_rate = {number}")
    assert problem.startswith("fleet.toml") and len(problem) < 400


def test_byte_order_mark_is_no_fault(settings):
    assert settings(b"\xef\xbb\xbflabour_rate = 5").labour_rate == 5.0


def test_link_out_of_the_folder(settings, problems, tmp_path):
    (tmp_path / "inner").mkdir()
    (tmp_path / "secret").write_text("labour_rate = 1")
    (tmp_path / "inner" / "fleet.toml").symlink_to(tmp_path / "secret")
    with pytest.raises(InputError, match=r"fleet.toml is not a plain file of the fleet folder"):
        read_settings(tmp_path / "inner")


def test_shared_work_has_defaults_that_say_so(settings):
    found = settings()
    assert (found.together.shaft, found.together.half_shaft, found.together.corner) == (0.4, 0.5, 0.8)
    assert (found.together.visit_hours, found.together.visit_downtime_hours) == (0.25, 1.0)
    named = {name for name in found.defaults if name.startswith("together.")}
    assert named == {f"together.{k}" for k in ("visit_hours", "visit_downtime_hours", "shaft", "half_shaft", "corner")}


def test_shared_work_as_given(settings):
    found = settings(
        """
[together]
corner = 0.7
[together.groups.pto]
positions = ["pto.joint_front", "pto.joint_rear"]
share = 0.6
[layouts]
pto_shaft = { "pto.joint_front" = "u_joint", "pto.joint_rear" = "u_joint" }
"""
    )
    assert found.together.corner == 0.7 and "together.corner" not in found.defaults
    group = found.together.groups["pto"]
    assert group.positions == ("pto.joint_front", "pto.joint_rear") and group.share == 0.6


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[together]\ncorners = 0.5", "key together.corners: not a known key (nearest: 'corner'); correct or remove"),
        ("[together]\nshaft = 1.5", "key together.shaft: 1.5 is out of range"),
        ("[together]\nvisit_hours = 'one'", "key together.visit_hours: 'one' is not a number"),
        (
            "[together.groups.a]\npositions = ['rear.joint_front', 'rear.joint_reer']\nshare = 0.1",
            "key together.groups.a.positions: 'rear.joint_reer' is in no layout",
        ),
        ("[together.groups.a]\npositions = ['rear.joint_front']\nshare = 0.1", "fewer than two positions"),
        ("[together.groups.a]\npositions = ['rear.joint_front', 'rear.joint_rear']", "groups.a.share: is missing"),
        (
            "[together.groups.a]\npositions = ['rear.joint_front', 'rear.joint_rear']\nshare = 0.1\nhours = 2",
            "key together.groups.a.hours: not a known key",
        ),
    ],
)
def test_shared_work_refused(problems, text, sentence):
    assert any(sentence in problem for problem in problems(text)), problems(text)


def test_caps_on_road_failures(settings, problems):
    assert dict(settings().road_caps) == {}
    found = settings("road_failures_a_year = 0.1\n[cost.u_joint]\nroad_failures_a_year = 0.02\n").road_caps
    assert found["u_joint"] == 0.02 and found["support_bearing"] == 0.1 and set(found) == set(COMPONENTS)
    assert dict(settings("[cost.u_joint]\nroad_failures_a_year = 0.02\n").road_caps) == {"u_joint": 0.02}
    for text in ("road_failures_a_year = 0", "[cost.u_joint]\nroad_failures_a_year = 0"):
        (problem,) = problems(text)
        assert "0 is out of range; a number more than 0 to 100 is needed here" in problem
    (problem,) = problems("road_failure_a_year = 0.1")
    assert "not a known key (nearest: 'road_failures_a_year')" in problem
    (problem,) = problems("[cost.u_joint]\nroad_failures_year = 0.1")
    assert "cost.u_joint.road_failures_year" in problem and "nearest: 'road_failures_a_year'" in problem
    assert len(problems("[cost]\nu_joint = 3\n")) == 1


def test_hours_of_kits(settings, problems):
    assert dict(settings().together.kit_hours) == {}
    assert dict(settings('[together.kit_hours]\n"052-HSA" = 2.2\n').together.kit_hours) == {"052-HSA": 2.2}
    (problem,) = problems('[together.kit_hours]\n"052-HSA" = -1\n')
    assert "together.kit_hours.052-HSA" in problem and "out of range" in problem


def test_a_negative_cost_is_one_sentence_and_leaves_out_what_it_prices(settings):
    found = settings("[cost.u_joint]\nfailed_extra = -180\nplanned_hours = 1\n")
    assert found.notes == (
        "fleet.toml, key cost.u_joint.failed_extra: -180 is out of range; a number from 0 to 10,000,000 is needed "
        "here, and until then no cost of u_joint is used.",
    )
    assert set(found.costs) == set(COMPONENTS) - {"u_joint"}
    rates = settings("labour_rate = -1\n")
    assert rates.notes == (
        "fleet.toml, key labour_rate: -1 is out of range; a number from 0 to 1,000,000 is needed here, and until then "
        "nothing is priced by it.",
    )
    assert math.isnan(rates.labour_rate) and rates.downtime_cost == 40.0

"""Blank components, positions and reasons: filled where the line leaves no choice, set aside where it does."""

import pytest

LINE = {"order": "N1", "date": "2021-01-01", "unit": "T-2", "odometer": "30000", "quantity": "1"}
FRONT = {**LINE, "unit": "000123"}


def read(fleet, **cells):
    fleet.add("repairs", **cells)
    result = fleet.read()
    kept = result.tables["repairs"][result.tables["repairs"]["order"] == "N1"]
    return result, kept


# what the line says, what it is read as (component, position, reason), what the finding says of it
FILLED = [
    ({**LINE, "text": "rear u-joint worn, replaced"}, ("u_joint", "rear.joint_rear", "worn"),
     "read from the words as component u_joint, position rear.joint_rear, reason worn"),
    ({**LINE, "text": "seized", "part_number": "UJ-1"}, ("u_joint", "", "failed"),
     "read from the words as reason failed"),
    ({**LINE, "component": "u_joint", "reason": "worn"}, ("u_joint", "", "worn"), ""),
    ({**LINE, "position": "rear.joint_rear", "reason": "worn"}, ("u_joint", "rear.joint_rear", "worn"), ""),
    ({**LINE, "unit": "T-1", "component": "support_bearing", "reason": "worn"},
     ("support_bearing", "rear.support_bearing", "worn"), ""),
    ({**LINE, "unit": "T-1", "text": "centre bearing collapsed"}, ("support_bearing", "rear.support_bearing", "failed"),
     "read from the words as component support_bearing, reason failed"),
    ({**FRONT, "text": "LH outer boot split"}, ("cv_boot_outboard", "left.outboard_boot", "worn"),
     "read from the words as component cv_boot_outboard, position left.outboard_boot, reason worn"),
    ({**FRONT, "text": "boot split, left", "part_number": "42"}, ("cv_boot_outboard", "left.outboard_boot", "worn"),
     "read from the words as position left.outboard_boot, reason worn"),
    ({**LINE, "component": "U-Joint", "position": "Rear / Joint-Rear", "reason": "Failed"},
     ("u_joint", "rear.joint_rear", "failed"), "read from the words as position rear.joint_rear"),
    ({**FRONT, "component": "Outboard CV boot", "position": "left", "reason": "worn"},
     ("cv_boot_outboard", "left.outboard_boot", "worn"), "read from the words as position left.outboard_boot"),
    ({**LINE, "component": "u_joint", "reason": "preventive"}, ("u_joint", "", "planned"), ""),
]  # fmt: skip


@pytest.mark.parametrize(("cells", "expected", "action"), FILLED)
def test_filled(fleet, cells, expected, action):
    result, kept = read(fleet, **cells)
    assert tuple(kept[["component", "position", "reason"]].iloc[0]) == expected
    assert [finding.action for finding in result.findings] == ([action] if action else [])
    assert all(finding.used for finding in result.findings)


# what the line says, the problem it is set aside for
OPEN = [
    ({**LINE, "text": "u-joint replaced"}, "does not settle the blank reason: no word of it tells one"),
    ({**LINE, "component": "u_joint"}, "does not settle the blank reason: no word of it tells one"),
    ({**LINE, "text": "uj failed before planned replacement"},
     "does not settle the blank reason: its words hint at failed and planned"),
    ({**FRONT, "text": "CV boot split, renewed"}, "could mean cv_boot_inboard or cv_boot_outboard"),
    ({**LINE, "unit": "T-1", "text": "u-joint or centre bearing worn, replaced"},
     "does not tell which of the parts it names was renewed"),
    ({**LINE, "unit": "T-1", "text": "propshaft snapped, replaced"}, "names a whole shaft, not which of its parts"),
    ({**FRONT, "text": "u-joint worn, replaced"}, "names a u_joint, which front_half_shafts does not have"),
    ({**LINE, "component": "u_joint", "part_number": "CSB", "reason": "failed"},
     "is a support_bearing in the parts table, the line says u_joint"),
    ({**LINE, "text": "u-joints greased"}, "no part renewed"),
    ({**LINE, "text": "service: u-joints greased", "component": "u_joint", "reason": "planned"}, "no part renewed"),
    ({**LINE, "text": "u-joint checked, play found"}, "does not tell whether a part was renewed"),
    ({**LINE, "text": "front brake pads renewed"}, "no driveline part recognised"),
    ({**LINE, "component": "BRAKES", "reason": "failed"}, "no driveline part recognised"),
    ({**LINE, "component": "other", "text": "u-joint failed"}, "no driveline part recognised"),
    ({**LINE, "text": ""}, "no driveline part recognised"),
    ({**LINE, "part_number": "BRK-9", "text": "pads worn"}, "no driveline part recognised"),
]  # fmt: skip


@pytest.mark.parametrize(("cells", "problem"), OPEN)
def test_set_aside_without_being_faulty(fleet, cells, problem):
    fleet_limit_zero = "set_aside_limit = 0.0"
    fleet.add("repairs", **cells)
    result = fleet.read(fleet_limit_zero)
    (finding,) = result.findings
    assert (finding.row, finding.problem, finding.used) == (42, problem, False)
    assert len(result.tables["repairs"]) == 40


FAULTY = [
    {**FRONT, "component": "u_joint", "reason": "worn"},
    {**LINE, "component": "u_joint", "reason": "worn", "position": "left.outboard_boot"},
    {**LINE, "part_number": "UJ-9", "text": "u-joint worn"},
    {**LINE, "component": "u_joint", "reason": "mystery"},
    {**LINE, "component": "u_joint", "reason": "worn", "position": "rear.joint_fornt"},
]


@pytest.mark.parametrize("cells", FAULTY)
def test_faulty(fleet, cells):
    fleet.add("repairs", **cells)
    problems = fleet.problems("set_aside_limit = 0.0")
    assert problems[0].startswith("repairs.csv row 42, column ") and len(problems) == 2
    assert len(fleet.read("set_aside_limit = 0.05").tables["repairs"]) == 40


class TestKits:
    @pytest.fixture
    def kit(self, fleet):
        fleet.add("parts", part_number="HSA", component="cv_joint_outboard", unit_price="300", lead_time_days="9",
                  renews="cv_joint_outboard; cv_boot_outboard;cv_joint_inboard;cv_boot_inboard")  # fmt: skip
        return fleet

    def test_the_kit_tells_what_it_renews(self, kit):
        result, kept = read(kit, **FRONT, part_number="HSA", reason="failed")
        assert tuple(kept[["component", "position"]].iloc[0]) == ("", "") and not result.findings
        assert result.tables["parts"]["renews"].iloc[-1].count(";") == 3

    def test_the_part_that_made_it_necessary_is_taken_from_the_text(self, kit):
        result, kept = read(kit, **FRONT, part_number="HSA", text="left outer CV joint seized, complete half shaft")
        expected = ("cv_joint_outboard", "left.outboard_joint", "failed")
        assert tuple(kept[["component", "position", "reason"]].iloc[0]) == expected
        assert result.findings[0].used

    def test_stated_component_within_the_kit(self, kit):
        result, kept = read(kit, **FRONT, part_number="HSA", component="cv_boot_inboard", reason="worn")
        assert kept["component"].iloc[0] == "cv_boot_inboard" and not result.findings

    def test_a_position_of_the_catalogue(self, fleet):
        fleet.add("parts", part_number="UJF", component="u_joint", unit_price="1", lead_time_days="1",
                  position="rear.joint_front")  # fmt: skip
        result, kept = read(fleet, **LINE, part_number="UJF", reason="worn")
        assert kept["position"].iloc[0] == "rear.joint_front" and not result.findings


def test_codes_read_and_taken_for_another_system_are_noted(fleet):
    fleet.set("repairs", 2, "reason", "Breakdown")
    fleet.set("repairs", 3, "component", "U-Joint")
    fleet.add("repairs", **{**LINE, "component": "TYRES"})
    notes = fleet.read().notes
    for column, read in (("reason", "'Breakdown' as failed"), ("component", "'U-Joint' as u_joint")):
        assert f"repairs.csv, column {column}: read {read}; map them with values.{column} if that is wrong." in notes
    assert any("'TYRES' (1 rows) were taken for no part of a driveline" in note for note in notes)


def test_mapped_codes(fleet):
    fleet.column("repairs", "reason", lambda _: "PM")
    result = fleet.read("[tables.repairs]\nvalues.reason = { pm = 'planned' }\n")
    assert set(result.tables["repairs"]["reason"]) == {"planned"} and not result.findings
    fleet.column("inspections", "finding", lambda _: "A")
    result = fleet.read("[tables.inspections]\nvalues.finding = { A = 'ok' }\n")
    assert set(result.tables["inspections"]["finding"]) == {"ok"}


@pytest.mark.parametrize(
    ("written", "finding"),
    [("OK", "ok"), ("passed", "ok"), ("no play", "ok"), ("worn out", "worn"), ("Broken", "failed")],
)
def test_findings_in_words(fleet, written, finding):
    fleet.set("inspections", 2, "finding", written)
    assert fleet.read().tables["inspections"].loc[0, "finding"] == finding


def test_without_a_parts_table_any_part_number_goes(fleet):
    fleet.drop("parts", "stock")
    _, kept = read(fleet, **LINE, part_number="ANY-1", component="u_joint", reason="worn")
    assert kept["part_number"].iloc[0] == "ANY-1"

"""Lines on greasing: which positions they are about, and which are no routine."""

import numpy as np
import pandas as pd
import pytest
from greasing_fleets import write_fleet

from wearmodel.driveline.layouts import COMPONENTS, positions_of
from wearmodel.intake.fleet import read_fleet
from wearmodel.intake.repairs.greasing_lines import greased_positions
from wearmodel.intake.words.repair_text import build_lexicon, wording

LEXICON = build_lexicon(COMPONENTS)
LAYOUT = positions_of("four_wheel_independent+slip_spline")
REAR = ("rear.joint_front", "rear.joint_centre", "rear.joint_rear")
FRONT = ("front.joint_front", "front.joint_rear")


def greased(text, component="", position=""):
    return greased_positions(wording(text, lexicon=LEXICON), component=component, position=position, positions=LAYOUT)


@pytest.mark.parametrize(
    ("text", "positions"),
    [
        ("Greased all u-joints", (*REAR, *FRONT)),
        ("U-joints checked and greased", (*REAR, *FRONT)),
        ("Rear prop rear UJ lubed at service", ("rear.joint_rear",)),
        ("greased uj centre and uj rear", ("rear.joint_centre", "rear.joint_rear", "front.joint_rear")),
        ("Gave the uj at the centre of the rear shaft a pump of grease", ("rear.joint_centre",)),
        ("Replaced rear uj, greased front joint of rear shaft", ("rear.joint_front",)),
        ("slip spline greased", ("rear.slip_spline",)),
        ("no play in uj, greased", (*REAR, *FRONT)),
        # Greased because it told on itself.
        ("front shaft u-joints squeaking, greased", ()),
        ("uj dry, greased", ()),
        ("uj worn, greased until parts arrive", ()),
        # Not greased, or not by routine.
        ("rear uj renewed and greased", ()),
        ("LH outer CV boot split, grease lost, failed - replaced", ()),
        ("regreased CV joint", ()),
        ("engine oil and lube service", ()),
        ("u-joints checked, ok", ()),
    ],
)
def test_lines(text, positions):
    assert greased(text) == positions


def test_a_whole_shaft_is_all_its_joints():
    assert set(REAR) <= set(greased("Propshaft greased"))
    assert not {position for position in greased("Propshaft greased") if "boot" in position or "outboard" in position}


def test_columns_tell_what_the_text_does_not():
    assert greased("greased", component="slip_spline") == ("rear.slip_spline",)
    assert greased("greased", component="u_joint", position="rear.joint_rear") == ("rear.joint_rear",)
    assert greased("greased", component="cv_boot_outboard", position="left.outboard_boot") == ()
    assert greased("greased") == ()
    assert greased("u-joint greased", component="u_joint", position="rear.joint_rear") == ("rear.joint_rear",)


def test_a_folder_s_greasings(tmp_path):
    """Lines by routine are kept with unit, day and position; they stay out of the lives, each with a finding."""
    write_fleet(tmp_path, np.random.default_rng(3), ratio=1.0, vehicles=4)
    lines = pd.read_csv(tmp_path / "repairs.csv", dtype=str).fillna("")
    again = pd.concat([lines, lines[lines["reason"] == ""].head(1).assign(date="2025-06-01")])
    again.to_csv(tmp_path / "repairs.csv", index=False)
    fleet = read_fleet(tmp_path, as_of=pd.Timestamp("2025-01-01"))
    routine = lines[(lines["reason"] == "") & ~lines["text"].str.contains("squeaking")]
    assert len(routine) > 20
    expected = {(row.unit, row.date, position) for row in routine.itertuples() for position in REAR}
    found = fleet.greasings
    joints = found[found["position"].isin(REAR)]
    assert {(r.unit, f"{r.date:%Y-%m-%d}", r.position) for r in joints.itertuples()} == expected
    assert (fleet.tables["repairs"]["reason"] != "").all()
    aside = {(f.row, f.problem) for f in fleet.findings if f.table == "repairs"}
    left_out = {row for row, problem in aside if problem in ("no part renewed", "no driveline part recognised")}
    assert set(found["row"]) <= left_out

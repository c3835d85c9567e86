"""Whether both sides do the same work, in one sentence."""

import pandas as pd
import pytest

from wearmodel.policy.comparison.overlap import build_overlap


def pieces(*rows):
    return pd.DataFrame(rows, columns=["duty", "lift", "distance"])


def test_shares_and_sides():
    table = build_overlap(
        pieces(("site", 50.0, 30.0), ("town", 50.0, 10.0), ("town", 0.0, 20.0), ("highway", 0.0, 60.0))
    ).set_index("duty")
    assert table["share_raised"].to_dict() == {"highway": 0.0, "site": 0.75, "town": 0.25}
    assert table["share_factory"].to_dict() == {"highway": 0.75, "site": 0.0, "town": 0.25}
    assert table["side"].to_dict() == {"highway": "factory", "site": "raised", "town": "both"}
    sentence = table.loc["site", "sentence"]
    assert sentence == (
        "Only raised vehicles do site work and no raised vehicle does highway work: there the comparison of ride "
        "heights rests on the life model alone."
    )
    assert table.loc["town", "sentence"] == ""


@pytest.mark.parametrize(
    ("factory_duty", "ending"),
    [
        ("site", "so that they can be compared with factory height in that work alone."),
        ("town", "there is nothing to hold them against but the life model."),
    ],
)
def test_raised_vehicles_of_one_duty(factory_duty, ending):
    table = build_overlap(pieces(("site", 50.0, 10.0), (factory_duty, 0.0, 30.0), ("highway", 0.0, 5.0)))
    said = table["sentence"][table["sentence"] != ""].unique()
    assert len(said) == 1
    assert said[0].startswith("All raised vehicles do site work, ")
    assert said[0].endswith(ending)


def test_both_sides_in_every_duty_says_nothing_and_nothing_raised_has_no_rows():
    both = pieces(("site", 50.0, 10.0), ("site", 0.0, 10.0), ("town", 20.0, 10.0), ("town", -10.0, 10.0))
    assert (build_overlap(both)["sentence"] == "").all()
    assert build_overlap(pieces(("site", 0.0, 10.0))).empty

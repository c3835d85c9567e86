"""Exports of simulated shops, read and scored against the truth.

The figures asked of the reader (`AIM`) hold on the shops it was mended on, with jobs and wordings drawn anew. On
shops whose wording nobody who works on the reader has seen they are not reached yet: `REACHED` is what is, so
that a change that loses ground shows. Only figures leave the fixtures: no line of a held-out shop may show.
"""

import pandas as pd
import pytest
from exporting import export_fleet
from scoring import score
from shops import DEVELOPMENT, HELD_OUT, shop_named

VEHICLES, YEARS, SEED = 100, 6, 101
AIM = {"component": 0.97, "place": 0.95, "reason": 0.93, "wrong without review": 0.01}
#: What the shops it was mended on are read to, so that a change that loses ground shows before the aim is missed.
KEPT = {"component": 0.973, "place": 0.972, "reason": 0.972, "wrong without review": 0.008}
#: Held-out shops by how far they are read; the last two came later and word things further from what is known.
REACHED = {
    ("I", "O", "P", "Z"): {
        "component": 0.90, "place": 0.90, "reason": 0.89, "wrong without review": 0.04,
        "foreign taken for renewals": 0.015,
    },
    ("AA", "AB"): {
        "component": 0.79, "place": 0.75, "reason": 0.80, "wrong without review": 0.04,
        "foreign taken for renewals": 0.015,
    },
}  # fmt: skip
BAD = ("wrong without review", "foreign taken for renewals")


def figures_of(name, folder):
    export = export_fleet(shop_named(name), folder, seed=SEED, vehicles=VEHICLES, years=YEARS)
    scores = score(export)
    unnamed = sum(v.read.problem == "no finding names the row" for v in scores.verdicts)
    return {**scores.figures, "rows nobody accounts for": unnamed}


@pytest.fixture(scope="module")
def figures(tmp_path_factory):
    """Figures by shop."""
    folder = tmp_path_factory.mktemp("exports")
    return pd.DataFrame({name: figures_of(name, folder / name) for name in DEVELOPMENT + HELD_OUT})


@pytest.mark.parametrize("floors", [AIM, KEPT], ids=["aim", "kept"])
@pytest.mark.parametrize("name", sorted(AIM))
def test_the_aim_holds_on_the_shops_the_reader_was_mended_on(figures, name, floors):
    mean = figures.loc[name, list(DEVELOPMENT)].mean()
    assert mean <= floors[name] if name in BAD else mean >= floors[name]


def test_every_held_out_shop_has_its_floors():
    assert sorted(sum(REACHED, ())) == sorted(HELD_OUT)


@pytest.mark.parametrize("shops", REACHED, ids=" ".join)
def test_no_ground_is_lost_on_wording_nobody_tuned_for(figures, shops):
    for name, floor in REACHED[shops].items():
        mean = figures.loc[name, list(shops)].mean()
        assert mean <= floor if name in BAD else mean >= floor, name


def test_hardly_anything_foreign_or_unsaid_is_used(figures):
    assert figures.loc["foreign taken for renewals", list(DEVELOPMENT)].max() <= 0.01
    assert figures.loc["reason guessed"].mean() <= 0.01


def test_every_row_is_accounted_for(figures):
    assert (figures.loc["rows nobody accounts for"] == 0).all()

"""Exports of simulated shops whose wordings the reader's authors have not seen, read and scored against the truth.

The figures are those asked of the reader; the seed is fixed, so the outcome does not vary from run to run. Only
figures leave the fixture: no line of these shops may show in a failure.
"""

import pytest
from exporting import export_fleet
from scoring import score
from shops import HELD_OUT, shop_named

VEHICLES, YEARS, SEED = 40, 4, 3
AT_LEAST = {"component": 0.97, "place": 0.95, "reason": 0.93}
AT_MOST = {"wrong without review": 0.01, "reason guessed": 0.01, "foreign taken for renewals": 0.01}


@pytest.fixture(scope="session", params=HELD_OUT)
def figures(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("exports") / request.param
    export = export_fleet(shop_named(request.param), folder, seed=SEED, vehicles=VEHICLES, years=YEARS)
    scores = score(export)
    unnamed = sum(v.read.problem == "no finding names the row" for v in scores.verdicts)
    return {**scores.figures, "rows nobody accounts for": unnamed}


@pytest.mark.parametrize("name", sorted(AT_LEAST))
def test_recognised(figures, name):
    assert figures[name] >= AT_LEAST[name]


@pytest.mark.parametrize("name", sorted(AT_MOST))
def test_hardly_anything_is_wrong_without_being_sent_to_review(figures, name):
    assert figures[name] <= AT_MOST[name]


def test_every_row_is_accounted_for(figures):
    assert figures["rows nobody accounts for"] == 0

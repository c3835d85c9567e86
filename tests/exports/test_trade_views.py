"""The chances of the shipped classifier on shops it has not learnt from: as honest as they claim to be.

Only counts are told, no line of a shop that is held out is shown.
"""

import numpy as np
import pytest
from exporting import export_fleet
from shops import HELD_OUT, shop_named

from wearmodel.driveline.layouts import COMPONENTS
from wearmodel.intake.learning.trade_reader import UNSAID, load_trade_reader
from wearmodel.intake.words.repair_text import build_lexicon, wording


@pytest.fixture(scope="module")
def judged(tmp_path_factory):
    """Chance of each view on the held-out shops, and whether it is right, by target."""
    lexicon, reader = build_lexicon(COMPONENTS, steering_side="left"), load_trade_reader()
    told = {"deed": [], "reason": []}
    for name in HELD_OUT:
        export = export_fleet(shop_named(name), tmp_path_factory.mktemp(name), seed=31, vehicles=60, years=5)
        for row in export.rows:
            if row.repeats or row.coded:
                continue
            view = reader.view(row.words, wording(row.words, lexicon=lexicon))
            deed = {"renewal": "renewed", "other": "other"}.get(row.kind, "idle")
            told["deed"].append((view.deed_chance, view.deed == deed))
            if row.kind == "renewal" and len(row.parts) == 1:
                reason = row.parts[0].reason if row.parts[0].reason_said else UNSAID
                told["reason"].append((view.reason_chance, view.reason == reason))
    return {target: tuple(np.array(column) for column in zip(*pairs, strict=True)) for target, pairs in told.items()}


@pytest.mark.parametrize("target", ["deed", "reason"])
def test_what_is_sure_is_right(judged, target):
    chance, right = judged[target]
    sure = chance >= 0.9
    assert sure.mean() >= 0.6, f"{target}: only {sure.mean():.0%} are sure"
    assert right[sure].mean() >= 0.95, f"{target}: only {right[sure].mean():.1%} of the sure ones are right"
    assert right.mean() >= 0.9, f"{target}: only {right.mean():.1%} are right"

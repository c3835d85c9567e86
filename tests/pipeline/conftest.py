"""One plan of the demo fleet and one of each published record, made once for all tests here."""

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def plan_of():
    from wearmodel.intake.fleet import read_fleet
    from wearmodel.plan import build_plan

    made = {}

    def plan(name):
        if name not in made:
            made[name] = build_plan(read_fleet(ROOT / "data" / name), months=12, seed=1)
        return made[name]

    return plan


@pytest.fixture(scope="session")
def demo(plan_of):
    return plan_of("demo")

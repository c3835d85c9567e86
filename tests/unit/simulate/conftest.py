import numpy as np
import pytest

from wearmodel.simulate.fleet import SimulatedFleet, simulate_fleet


@pytest.fixture(scope="session")
def clean_fleet() -> SimulatedFleet:
    return simulate_fleet(np.random.default_rng(11), vehicles=220, years=8, dirt=False)


@pytest.fixture(scope="session")
def dirty_fleet() -> SimulatedFleet:
    return simulate_fleet(np.random.default_rng(11), vehicles=220, years=8, dirt=True)

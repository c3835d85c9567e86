"""Hand-made fitted parts on a plain clock: pace 1, so that ages are operational ages."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.vehicle_frailties import alike


@pytest.fixture
def make_parts():
    def parts_of(ages, *, unseen=None, known=None, condemned=None, since_look=None):
        ages = np.asarray(ages, dtype=float)
        count = len(ages)
        frame = pd.DataFrame(
            {
                "vehicle": np.arange(count),
                "unit": [f"T{i}" for i in range(count)],
                "position": "rear.joint_front",
                "component": "u_joint",
                "part_number": "",
                "depot": "north",
                "vehicle_class": "van",
                "duty": "road",
                "lift": 0.0,
                "age_known": np.ones(count, dtype=bool) if known is None else known,
                "condemned": np.zeros(count, dtype=bool) if condemned is None else condemned,
                "end_day": 0.0,
                "age": ages,
            }
        )
        return FittedParts(
            frame=frame,
            part=np.arange(count),
            start=np.arange(count),
            design=np.ones((count, 1)),
            run=ages,
            unseen=np.zeros(count) if unseen is None else np.asarray(unseen, dtype=float),
            tail=np.zeros(count),
            since_look=np.zeros(count) if since_look is None else np.asarray(since_look, dtype=float),
            frailties=alike(count),
        )

    return parts_of

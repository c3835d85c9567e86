"""Tables on raised vehicles and part makes of an invented fleet, for the planner workbook's tests."""

import numpy as np
import pandas as pd


def build_comparison_tables(labels: dict[str, str], *, hostile: str) -> dict[str, pd.DataFrame]:
    """Second answers, steps, makes and the return to factory height of the first components."""
    codes = list(labels)[:3]
    count = len(codes)
    weighted = pd.DataFrame(
        {
            "component": codes, "life_ratio": [0.82, np.nan, 0.9], "lower": [0.7, np.nan, 0.75],
            "upper": [0.96, np.nan, 1.05], "failures_raised": [31, 2, 20], "failures_factory": [60, 9, 41],
            "effective_raised": [70.2, np.nan, 44.0], "effective_factory": [210.0, np.nan, 160.0],
            "share_truncated": [0.11, np.nan, 0.0], "share_left_out": [0.0, 0.6, 0.0],
            "note": ["Warning: for 11% the groups hardly overlap.", f"Left out: {hostile}", "All fine."],
        }
    )  # fmt: skip
    balance = pd.DataFrame(
        [
            ("duty", "town", 0.1, 0.4, 0.26, 0.27, -0.7, -0.02),
            ("duty", hostile, 0.9, 0.6, 0.74, 0.73, 0.7, 0.02),
            ("depot", "north", 0.5, 0.5, 0.5, 0.5, 0.0, 0.0),
        ],
        columns=[
            "covariate", "level", "share_raised", "share_factory", "weighted_raised", "weighted_factory", "difference",
            "difference_weighted",
        ],
    ).assign(component=codes[0])  # fmt: skip
    overlap = pd.DataFrame(
        {
            "duty": ["town", "site"], "share_raised": [0.0, 1.0], "share_factory": [0.8, 0.2],
            "side": ["factory", "both"], "sentence": ["No raised vehicle does town work.", ""],
        }
    )  # fmt: skip
    steps = pd.DataFrame(
        {
            "component": codes[0], "over": ["lift", "lift", "angle", "angle"], "low": [0.0, 50.0, 2.0, 4.5],
            "high": [0.0, 75.0, 4.0, 9.0], "middle": [0.0, 60.0, 3.1, 6.0], "lives": [400, 150, 300, 250],
            "failures": [80, 42, 60, 62], "life_ratio": [1.0, 0.78, 1.0, 0.75], "lower": [1.0, 0.7, 1.0, 0.66],
            "upper": [1.0, 0.87, 1.0, 0.85], "steps_ratio": [1.0, 0.74, 1.0, 0.8], "steps_lower": [1.0, 0.6, 1.0, 0.66],
            "steps_upper": [1.0, 0.91, 1.0, 0.97], "p_value": [np.nan] * 4, "note": [""] * 4,
        }
    )  # fmt: skip
    makes = pd.DataFrame(
        {
            "component": codes[0], "make": ["100-A", hostile, "300-C"], "build": ["sealed", "greasable", ""],
            "against": ["", "100-A", ""], "vehicle_classes": ["van", "van, truck", "bus"], "lives": [120, 40, 12],
            "failures": [40, 12, 1], "life_ratio": [np.nan, 1.21, np.nan], "lower": [np.nan, 0.98, np.nan],
            "upper": [np.nan, 1.49, np.nan], "crude_ratio": [np.nan, 1.05, np.nan],
            "position_price": [38.0, 52.0, 61.0], "cost_per_1000": [2.1, 1.93, np.nan],
            "extra_cost_per_1000": [np.nan, -0.17, np.nan], "extra_cost_per_1000_lower": [np.nan, -0.5, np.nan],
            "extra_cost_per_1000_upper": [np.nan, 0.2, np.nan], "chance_cheaper": [np.nan, 0.79, np.nan],
            "sentence": ["The others are held against it.", "Lasts 1.21 times as long as 100-A.", "No other make."],
        }
    )  # fmt: skip
    returned = pd.DataFrame(
        {
            "component": [*codes, "all"], "vehicles": [12, 8, 12, 14], "parts": [24, 8, 40, 72],
            "distance_year": [600_000.0, 200_000.0, 9e5, 1.7e6],
            "cost_year_raised": [4_000.0, 900.0, 7_000.0, 11_900.0],
            "cost_year_factory": [3_000.0, 950.0, 5_000.0, 8_950.0],
            "saving": [1_000.0, -50.0, 2_000.0, 2_950.0], "p10": [400.0, -300.0, 1_200.0, 1_900.0],
            "p90": [1_700.0, 180.0, 2_900.0, 4_100.0], "chance_saving": [0.98, 0.4, 1.0, 1.0],
        }
    )  # fmt: skip
    assert count == 3
    return {
        "compare_weighted": weighted, "balance": balance, "overlap": overlap, "dose_response": steps,
        "compare_makes": makes, "return_to_factory": returned,
    }  # fmt: skip

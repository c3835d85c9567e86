"""Invented tables on how lives end, for the planner workbook's example."""

from collections.abc import Iterable, Mapping

import numpy as np
import pandas as pd


def build_ending_tables(scales: Mapping[str, float], *, hostile: str) -> dict[str, pd.DataFrame]:
    """Tables `endings`, `ending_counts`, `comebacks` and `clocks` of components with these lives."""
    return {
        "endings": _endings(scales),
        "ending_counts": _ending_counts(scales),
        "comebacks": _comebacks(hostile),
        "clocks": _clocks(),
    }


def _endings(scales: Mapping[str, float]) -> pd.DataFrame:
    """Shares that ended in each way and what is still fitted; they sum to 1."""
    pieces = []
    for component, scale in scales.items():
        distance = np.arange(0, 31) * 10_000.0
        left = np.exp(-((distance / scale) ** 2))
        shares = {"wear": 0.6, "planned": 0.1, "collateral": 0.25, "damage": 0.02, "comeback": 0.03}
        curves = {way: share * (1 - left) for way, share in shares.items()} | {"still_fitted": left}
        pieces += [
            pd.DataFrame(
                {"component": component, "ended": way, "distance": distance, "incidence": curve,
                 "lower": np.where(curve > 0, curve * 0.8, np.nan), "upper": np.where(curve > 0, curve**0.8, np.nan),
                 "at_risk": 200.0}
            )
            for way, curve in curves.items()
        ]  # fmt: skip
    return pd.concat(pieces, ignore_index=True)


def _ending_counts(components: Iterable[str]) -> pd.DataFrame:
    """Lives behind the shares."""
    ways = {"wear": 180.0, "planned": 30.0, "collateral": 75.0, "damage": 6.0, "comeback": 9.0, "still_fitted": 240.0}
    rows = [(component, way, count, count / 10) for component in components for way, count in ways.items()]
    return pd.DataFrame(rows, columns=["component", "ended", "lives", "left_out"])


def _comebacks(hostile: str) -> pd.DataFrame:
    """Comebacks by component and part number; one part number is hostile text."""
    rows = [
        ("u_joint", "all", 300.0, 12.0, 2.0, 0.6, "12 of 300 fittings came back within 90 days (4.0%; 2.3% to 6.4%)."),
        ("u_joint", "041-UJ", 120.0, 2.0, 0.0, 0.3, "2 of 120 fittings came back within 90 days."),
        ("u_joint", hostile, 30.0, 10.0, 2.0, 0.1, "That is more than chance explains: look at this part."),
        ("u_joint", "052-UJ", 150.0, 0.0, 0.0, 0.2, "0 of 150 fittings came back within 90 days."),
        ("support_bearing", "all", 0.75, 0.25, 0.0, np.nan, "0.2 of 0.8 fittings came back within 90 days."),
    ]
    columns = ["component", "part_number", "fittings", "comebacks", "early_failures", "expected_early", "sentence"]
    frame = pd.DataFrame(rows, columns=columns)
    frame["share"] = frame["comebacks"] / frame["fittings"]
    return frame.assign(lower=frame["share"] * 0.6, upper=frame["share"] ** 0.7, fleet_share=0.04, window_days=90.0)


def _clocks() -> pd.DataFrame:
    """One component by distance, one by age with years to look at, one for which fleet.toml speaks."""
    rows = []
    for component, chosen, difference in (
        ("u_joint", "distance", -12.0), ("cv_boot_outboard", "age", 7.5), ("support_bearing", "", np.nan),
    ):  # fmt: skip
        for clock in ("distance", "age", "mixed"):
            told = f"{component} goes by {chosen or 'hours'}." if clock == (chosen or "distance") else ""
            rows.append((component, clock, difference if clock == "age" else 0.0, clock == chosen, told))
    frame = pd.DataFrame(rows, columns=["component", "clock", "difference", "chosen", "sentence"])
    frame["failures"], frame["z"], frame["rate"] = 60.0, frame["difference"] / 3, 20.0
    return frame.assign(log_likelihood=-300.0, b10_years=2.5, median_years=5.25)

"""The advice beside each interval, as a formula and as its cached value."""

import numpy as np
import pandas as pd

from wearmodel.policy.intervals import ADVICE, CAPPED, MOSTLY_FOUND

__all__ = ["advice_formula", "advice_now"]

_ON_CAP = (
    'IF(COUNT({{worked_road_cap}},{{planned_cost}})<2,"",'
    "IF(AND(ISNUMBER({{worked_allowed}}),NOT(ISNUMBER({{worked_cap_0}})),N({{worked_allowed}})*N({{worked_scaled_mean}})<1),"
    '"{unreachable}",IF(ISNUMBER({{interval}}),IF(AND(ISNUMBER({{worked_uncapped}}),N({{interval}})=N({{worked_uncapped}})),'
    '"",IF(N({{interval}})<N(service_interval),"{short}","{shortened}")),"")))'
).format(**CAPPED)
_ADVICE = (
    '=IF(COUNT({{shape}},{{scale}})<2,"{too_few}",IF(COUNT({{planned_cost}},{{failed_cost}})<2,"{no_cost}",'
    'IF(ISNUMBER({{interval}}),"{replace}",IF({{worn_share_name}}>{found},"{condition}","{run}"))'
).format(**ADVICE, found=MOSTLY_FOUND)


def advice_formula(*, capped: bool) -> str:
    """Advice of a row.

    Parameters
    ----------
    capped : bool
        Whether failures on the road are limited in any row.

    Returns
    -------
    str
        The cells of the row's workings stand for `worked_...`.
    """
    return f"{_ADVICE}&{_ON_CAP}))" if capped else f"{_ADVICE}))"


def advice_now(frame: pd.DataFrame, worked: pd.DataFrame, *, service_interval: float) -> list[str]:
    """Cached values of the advice.

    Parameters
    ----------
    frame : pandas.DataFrame
        Rows of the sheet with their live values.
    worked : pandas.DataFrame
        Their workings.
    service_interval : float
        Distance between services [distance].

    Returns
    -------
    list of str
        As the formula gives them.
    """
    interval = frame["interval"].notna()
    advice = np.select(
        [
            frame["shape"].isna() | frame["scale"].isna(),
            frame["planned_cost"].isna() | frame["failed_cost"].isna(),
            interval,
            frame["worn"] > MOSTLY_FOUND,
        ],
        [ADVICE["too_few"], ADVICE["no_cost"], ADVICE["replace"], ADVICE["condition"]],
        ADVICE["run"],
    )
    if "allowed" not in worked:
        return advice.tolist()
    priced = frame[["shape", "scale", "planned_cost", "failed_cost", "road_failures_cap"]].notna().all(axis=1)
    out_of_reach = worked["allowed"].notna() & worked["cap_0"].isna() & (worked["allowed"] * worked["mean"] < 1.0)
    on_cap = np.select(
        [
            ~priced, out_of_reach, ~interval | (frame["interval"] == worked["uncapped"]),
            frame["interval"] < service_interval,
        ],
        ["", CAPPED["unreachable"], "", CAPPED["short"]],
        CAPPED["shortened"],
    )  # fmt: skip
    return [f"{first}{then}" for first, then in zip(advice, on_cap, strict=True)]

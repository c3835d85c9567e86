"""What a backtest says, in a sentence."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["last_forecast_sentence"]


def last_forecast_sentence(totals: "pd.DataFrame") -> str:
    """The latest earlier forecast of all parts beside what came.

    Parameters
    ----------
    totals : pandas.DataFrame
        Table `backtest_totals`, at least one row of component `all`.

    Returns
    -------
    str
        One sentence.
    """
    last = totals[totals["component"] == "all"].sort_values("origin").iloc[-1]
    came, low, high = (int(last[name]) for name in ("actual", "p10", "p90"))
    verdict = "inside" if low <= came <= high else "outside"
    return (
        f"The forecast made on {last['origin']} from what was known then expected {last['mean']:,.0f} parts in "
        f"{last['months']} months (80 % range {low:,} to {high:,}); {came:,} came, {verdict} that range."
    )

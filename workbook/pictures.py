"""Life curves and budget as PNG pictures for a report, in the colours and units of the workbook."""

import importlib.util
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from wearmodel.errors import OutputError
from wearmodel.output_files import whole_file
from workbook.planner.formats import BAND_BLUE, BLUE, GREY, INK, ORANGE, POLICY_COLOURS, RULE
from workbook.planner.life_curves import curve_pair
from workbook.planner.words import POLICY_LABELS

if TYPE_CHECKING:
    from wearmodel.plan import Plan

__all__ = ["check_pictures", "write_pictures"]

_DPI = 150


def check_pictures() -> None:
    """Stop before the work where pictures cannot be drawn.

    Raises
    ------
    OutputError
        If the drawing library is not installed.
    """
    if importlib.util.find_spec("matplotlib") is None:
        raise OutputError("--charts needs matplotlib: run pip install 'wearmodel[charts]', or leave --charts out.")


def write_pictures(plan: "Plan", folder: Path) -> list[Path]:
    """Write one picture of each component's life curve and one of the budget by month.

    Parameters
    ----------
    plan : Plan
        What is shown.
    folder : Path
        Made where it is missing.

    Returns
    -------
    list of Path
        The pictures written.

    Raises
    ------
    OutputError
        If the folder or a picture cannot be written.
    """
    check_pictures()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder} cannot be made: {error.strerror}; choose another folder.") from None
    written = []
    curves = plan.tables.get("curves", pd.DataFrame())
    if not curves.empty:
        for code, own in curves.groupby("component", sort=False):
            path = folder / f"life_curve_{re.sub('[^A-Za-z0-9_]', '_', str(code))[:80]}.png"
            _save(_life_curve(plan, str(code), own), path)
            written.append(path)
    budget = plan.tables.get("budget", pd.DataFrame())
    if not budget.empty:
        path = folder / "budget_by_month.png"
        _save(_budget(plan, budget), path)
        written.append(path)
    return written


def _axes(title: str, *, across: str, up: str) -> tuple[Any, Any]:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7.5, 4.2), layout="constrained")
    axes = figure.subplots()
    axes.set_title(title, color=INK, fontweight="bold", loc="left", parse_math=False)
    axes.set_xlabel(across, color=INK, parse_math=False)
    axes.set_ylabel(up, color=INK, parse_math=False)
    axes.grid(color=RULE, linewidth=0.7)
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def _life_curve(plan: "Plan", code: str, curves: pd.DataFrame) -> Any:
    """Survival at factory height with its band, and at the lift that most raised vehicles have."""
    spec = plan.settings.components.get(code)
    title = spec.label if spec else code
    figure, axes = _axes(title, across=f"Age ({plan.settings.distance_unit})", up="Still good (%)")
    due = plan.tables.get("due", pd.DataFrame(columns=["component", "duty", "lift"]))
    pair = curve_pair(curves, due[due["component"] == code])
    factory, raised = pair.factory, pair.raised
    if len(factory):
        axes.fill_between(
            factory["distance"], 100 * factory["lower"], 100 * factory["upper"], color=BAND_BLUE, linewidth=0,
            label=f"{plan.model.confidence:.0%} band",
        )  # fmt: skip
        axes.plot(factory["distance"], 100 * factory["survival"], color=BLUE, linewidth=2.2, label="Factory height")
    if len(raised):
        for name, style in (("survival", "-"), ("lower", "--"), ("upper", "--")):
            label = f"Raised {pair.lift:g} mm" if name == "survival" else None
            width = 2.2 if label else 1.0
            axes.plot(raised["distance"], 100 * raised[name], style, color=ORANGE, linewidth=width, label=label)
    axes.set_ylim(0, 100)
    axes.set_xlim(left=0)
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.legend(frameon=False)
    return figure


def _budget(plan: "Plan", budget: pd.DataFrame) -> Any:
    """Total of each policy by month."""
    figure, axes = _axes("Expected cost by month", across="Month", up=f"Total ({plan.settings.currency})")
    for policy, rows in budget.groupby("policy", sort=False):
        colour = POLICY_COLOURS.get(str(policy), GREY)
        label = POLICY_LABELS.get(str(policy), str(policy))
        axes.plot(rows["month"].astype(str), rows["total"], color=colour, linewidth=2.2, label=label)
    axes.set_ylim(bottom=0)
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.xaxis.get_figure().autofmt_xdate(rotation=45)
    axes.legend(frameon=False)
    return figure


def _save(figure: Any, path: Path) -> None:
    with whole_file(path) as temporary:
        figure.savefig(temporary, dpi=_DPI, format="png")

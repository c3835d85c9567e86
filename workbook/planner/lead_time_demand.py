"""Sheet "Lead-time demand": how much is taken while an order is under way, and the reorder points that follow."""

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.typed import LONGEST_LEAD_TIME

__all__ = ["LEAD_SHEET", "add_reorder_points", "spread_levels", "write_lead_time_demand"]

LEAD_SHEET = "Lead-time demand"
_HOW_TO_READ = (
    "Reorder point: the least number of pieces that lasts through a lead time with the service level asked for. At "
    "a lead time listed below it is that of the tool, at any service level. Between two of them the numbers of "
    "pieces are interpolated and rounded up, which may be a piece more or less than a run of the tool with that "
    "lead time gives; how much lead times vary stays as in the parts table. Beyond the longest listed nothing is "
    "said: run the tool."
)

Array = NDArray[np.float64]
_KEYS = ["part_number", "depot"]
#: A wanted chance is met when it is missed by no more than rounding.
_ROUNDING = 1e-9


def spread_levels(stock: pd.DataFrame, levels: pd.DataFrame) -> pd.DataFrame:
    """Demand by lead time, one row a part, place and lead time, in the order of the stock rows.

    Parameters
    ----------
    stock : pandas.DataFrame
        Table `stock`.
    levels : pandas.DataFrame
        Table `lead_demand`.

    Returns
    -------
    pandas.DataFrame
        `row` (of `stock`), `part_number, depot, lead_time_days, mean, start`, and columns `step_0, step_1, ...`: the
        chance that demand is at most `start` and so many pieces. A part that nobody is expected to take has demand 0 at
        any lead time; one whose demand by lead time is not known has no row.
    """
    wide = levels.sort_values([*_KEYS, "lead_time_days", "pieces"], kind="stable")
    at = [*_KEYS, "lead_time_days"]
    start = wide.groupby(at)["pieces"].transform("min")
    wide = wide.assign(start=start, step=(wide["pieces"] - start).astype(int))
    pivot = wide.pivot_table(index=[*at, "mean", "start"], columns="step", values="chance").fillna(1.0)
    table = pivot.rename(columns=lambda step: f"step_{step}").reset_index()
    rows = stock[_KEYS].reset_index(names="row")
    found = rows.merge(table, on=_KEYS)
    idle = rows[~rows["row"].isin(found["row"]) & (stock["mean_lead_demand"] == 0.0).to_numpy()]
    zeros = [idle.assign(lead_time_days=days, mean=0.0, start=0.0) for days in (0.0, LONGEST_LEAD_TIME)]
    out = pd.concat([found, *zeros], ignore_index=True)
    steps = _steps(out) or ["step_0"]
    out[steps] = out.reindex(columns=steps).astype(float).fillna(1.0)
    out = out.sort_values(["row", "lead_time_days"], kind="stable", ignore_index=True)
    return out[["row", *at, "mean", "start", *steps]]


def _steps(table: pd.DataFrame) -> list[str]:
    return [str(name) for name in table.columns if str(name).startswith("step_")]


def add_reorder_points(stock: pd.DataFrame, table: pd.DataFrame, *, service_level: float) -> pd.DataFrame:
    """What the cells make of lead time and service level.

    Parameters
    ----------
    stock : pandas.DataFrame
        Table `stock`, with `days`, the lead time in its input cell [d].
    table : pandas.DataFrame
        From `spread_levels`.
    service_level : float
        Wanted chance that stock lasts through a lead time.

    Returns
    -------
    pandas.DataFrame
        One row for each of `stock`: `lower` (which lead time of its own list stands at or before the one asked for,
        counted from 1), `weight` of the next one, `level_low` and `level_high` (pieces), `reorder`, `reached`
        and `lead_mean`; NaN where it cannot be said.
    """
    names = ["lower", "weight", "level_low", "level_high", "reorder", "reached", "lead_mean"]
    out = pd.DataFrame(np.nan, index=stock.index, columns=names)
    steps = _steps(table)
    for row in table["row"].unique().tolist():
        mine = table[table["row"] == row]
        leads, days = mine["lead_time_days"].to_numpy(), float(stock["days"].iloc[row])
        if not days <= leads[-1]:
            continue
        chances, starts = mine[steps].to_numpy(), mine["start"].to_numpy()
        lower = int(np.searchsorted(leads, days, side="right")) - 1
        upper = min(lower + 1, len(leads) - 1)
        weight = (days - leads[lower]) / (leads[upper] - leads[lower]) if upper > lower else 0.0
        out.loc[row, ["lower", "weight", "lead_mean"]] = (
            lower + 1, weight, _between(mine["mean"].to_numpy(), lower, upper, weight)
        )  # fmt: skip
        if np.isfinite(service_level):
            ends = [starts[i] + (chances[i] < service_level - _ROUNDING).sum() for i in (lower, upper)]
            reorder = float(np.ceil(ends[0] + weight * (ends[1] - ends[0]) - _ROUNDING))
            reached = np.array([_chance(chances[i], reorder - starts[i]) for i in range(len(leads))])
            out.loc[row, ["level_low", "level_high", "reorder", "reached"]] = (
                *ends, reorder, _between(reached, lower, upper, weight)
            )  # fmt: skip
    return out


def _between(values: Array, lower: int, upper: int, weight: float) -> float:
    return float(values[lower] + weight * (values[upper] - values[lower]))


def _chance(chances: Array, above_start: float) -> float:
    """Chance of at most so many pieces above the first one listed."""
    if above_start < 0:
        return 0.0
    return float(chances[int(above_start)]) if above_start < len(chances) else 1.0


def _formulas(width: int) -> Mapping[str, str]:
    """Formulas of a row's workings."""
    known = "ISNUMBER({lower})"

    def level(at: str) -> str:
        return f"INDEX({{starts}},{at})+SUMPRODUCT(--(INDEX({{chances}},{at},0)<service_level-{_ROUNDING:.0E}))"

    def reached(at: str) -> str:
        above = f"({{reorder}}-INDEX({{starts}},{at}))"
        return f"IF({above}<0,0,IF({above}>={width},1,INDEX({{chances}},{at},MIN(MAX({above},0),{width - 1})+1)))"

    def both(first: str, second: str) -> str:
        return f"{first}+{{weight}}*({second}-{first})"

    asked = "IF(ISNUMBER({reorder})"
    return {
        "lower": '=IF(ISNUMBER({days}),IF({days}<=MAX({leads}),MATCH({days},{leads},1),""),"")',
        "weight": f"=IF({known},IF({{lower}}<ROWS({{leads}}),({{days}}-INDEX({{leads}},{{lower}}))"
        '/(INDEX({leads},{lower}+1)-INDEX({leads},{lower})),0),"")',
        "level_low": f'=IF(AND({known},COUNT(service_level)=1),{level("{lower}")},"")',
        "level_high": f'=IF(AND({known},COUNT(service_level)=1),{level("MIN({lower}+1,ROWS({leads}))")},"")',
        "reorder": f'=IF(ISNUMBER({{level_low}}),-INT(-({both("{level_low}", "{level_high}")}-{_ROUNDING:.0E})),"")',
        "reached": f'={asked},{both(reached("{lower}"), reached("MIN({lower}+1,ROWS({leads}))"))},"")',
        "lead_mean": f"=IF({known},"
        f'{both("INDEX({means},{lower})", "INDEX({means},MIN({lower}+1,ROWS({leads})))")},"")',
    }


def write_lead_time_demand(
    book: Book, stock: pd.DataFrame, lead_cells: Sequence[str]
) -> "tuple[pd.DataFrame, list[dict[str, str]]]":
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    stock : pandas.DataFrame
        Table `stock`, with `days`.
    lead_cells : sequence of str
        Input cell of the lead time of each row.

    Returns
    -------
    pandas.DataFrame
        Values of the workings, from `add_reorder_points`.
    list of dict
        By row of `stock`, the cells of `reorder`, `reached` and `lead_mean`; empty where nothing is known by lead time.
    """
    page = book.pages[LEAD_SHEET]
    page.title(LEAD_SHEET, subtitle="What is taken while an order is under way; the sheet Stock follows from it.")
    table = spread_levels(stock, book.table("lead_demand"))
    if table.empty:
        page.paragraph("Nothing is known of the demand by lead time: reorder points stay as written.", role="missing")
        page.finish(footer=book.footer)
        return pd.DataFrame(index=stock.index), [{} for _ in range(len(stock))]
    told_row = page.row
    page.row += 2
    answers = add_reorder_points(stock, table, service_level=book.inputs.service_level)
    rows = sorted(table["row"].unique())
    workings_row = page.row
    page.row += len(rows) + 4
    page.heading("Chance that demand over a lead time is at most so many pieces")
    levels = _write_levels(book, table)
    bottom = page.row
    page.row = workings_row
    page.heading("Workings, one row for each of the sheet Stock")
    place = _write_workings(book, stock, answers, table, levels, rows, lead_cells)
    page.row = bottom
    page.sheet.freeze_panes(2, 2)
    # On paper the workings: a list of chances is nothing to read.
    printed = max(place.columns.values())
    page.across(told_row, 0, _HOW_TO_READ, last=printed, role="note")
    page.finish(footer=book.footer, printed=printed, printed_rows=place.last_row + 1)
    at = {row: index for index, row in enumerate(rows)}
    names = ("reorder", "reached", "lead_mean")
    cells = [
        {f"worked_{name}": place.cell(name, at[row]) for name in names} if row in at else {}
        for row in range(len(stock))
    ]
    return answers, cells


def _write_levels(book: Book, table: pd.DataFrame) -> Place:
    columns = [
        Column("part_number", "Part number"),
        Column("depot", "Depot"),
        Column("lead_time_days", "Lead time (days)", "decimal1"),
        Column("mean", "Expected (pieces)", "decimal2"),
        Column("start", "Pieces of the first column", "count"),
        *(
            Column(step, f"{number} more" if number else "At most so many", "decimal3")
            for number, step in enumerate(_steps(table))
        ),
    ]
    return book.pages[LEAD_SHEET].table(table, columns)


def _write_workings(
    book: Book, stock: pd.DataFrame, answers: pd.DataFrame, table: pd.DataFrame, levels: Place, rows: list[int],
    lead_cells: Sequence[str],
) -> Place:  # fmt: skip
    steps = _steps(table)
    shown = answers.join(stock[[*_KEYS, "days"]]).loc[rows].reset_index(drop=True)
    numbers = table.groupby("row").groups
    references = []
    for row in rows:
        first, last = int(numbers[row].min()), int(numbers[row].max())
        corner = levels.cell(steps[-1], last).split("!")[1]
        references.append(
            {
                "lead_cell": lead_cells[row],
                "leads": levels.range("lead_time_days", first=first, last=last),
                "means": levels.range("mean", first=first, last=last),
                "starts": levels.range("start", first=first, last=last),
                "chances": f"{levels.cell(steps[0], first)}:{corner}",
            }
        )
    live = _formulas(len(steps))
    columns = [
        Column("part_number", "Part number"),
        Column("depot", "Depot"),
        Column("days", "Lead time now (days)", "decimal1", "live", '=IF(ISNUMBER({lead_cell}),{lead_cell},"")'),
        Column("lower", "Its place in the list", "count", "live", live["lower"]),
        Column("weight", "Share of the way to the next", "decimal3", "live", live["weight"]),
        Column("level_low", "Pieces at that lead time", "count", "live", live["level_low"]),
        Column("level_high", "Pieces at the next", "count", "live", live["level_high"]),
        Column("reorder", "Reorder point", "count", "live", live["reorder"]),
        Column("reached", "Service level reached (%)", "percent", "live", live["reached"]),
        Column("lead_mean", "Expected demand in the lead time", "decimal2", "live", live["lead_mean"]),
    ]
    return book.pages[LEAD_SHEET].table(shown, columns, references=references)

"""Findings: every input row that was not used exactly as given, and the reconciliation of counts.

A finding is data, not an exception. `used=False` means the row took no further part; `used=True`
means it was used after a repair named in `action`; `waits=True` means it is not used until a person has
answered the question it raises.
"""

from collections.abc import Iterable
from typing import NamedTuple

import pandas as pd

__all__ = ["Finding", "build_reconciliation", "build_set_aside"]


class Finding(NamedTuple):
    """One remark on one input row.

    Parameters
    ----------
    table : str
        Canonical table name (`repairs`, `readings`, ...).
    file : str
        File name as the user knows it.
    row : int
        Row number in that file as a spreadsheet shows it (the header is row 1); 0 = the whole file.
    column : str
        Column as headed in the file; empty when the whole row is meant.
    value : str
        The offending value, as text.
    problem : str
        What is wrong, one plain clause.
    action : str
        What was done about it, and what the person can do.
    used : bool
        False when the row was set aside, True when it was used after a repair.
    waits : bool
        True when the row is not used until a question about it is answered; then `used` is False.
    """

    table: str
    file: str
    row: int
    column: str
    value: str
    problem: str
    action: str
    used: bool
    waits: bool = False


def build_set_aside(findings: Iterable[Finding]) -> pd.DataFrame:
    """Table `set_aside`: one line a finding, in file and row order.

    Parameters
    ----------
    findings : iterable of Finding
        Of all stages, in any order; none gives an empty table.

    Returns
    -------
    pandas.DataFrame
        Columns `file, row, column, value, problem, action, table, used, waits`.
    """
    frame = pd.DataFrame(list(findings), columns=Finding._fields)
    frame = frame.sort_values(["file", "row", "column", "problem"], kind="stable", ignore_index=True)
    return frame[["file", "row", "column", "value", "problem", "action", "table", "used", "waits"]]


def build_reconciliation(counts: pd.DataFrame, set_aside: pd.DataFrame) -> pd.DataFrame:
    """Rows read = used as given + used after repair + set aside + waiting for review, by file and table.

    Parameters
    ----------
    counts : pandas.DataFrame
        Columns `table, file, rows_read`.
    set_aside : pandas.DataFrame
        As built by `build_set_aside`.

    Returns
    -------
    pandas.DataFrame
        Columns `file, table, rows_read, used_as_given, used_repaired, set_aside, waiting_for_review`.
    """
    rows = set_aside[set_aside["row"] > 0]
    # A row with several findings is out as soon as one of them says so; it waits where nothing but a
    # question stands against it.
    rows = rows.assign(out=~rows["used"].astype(bool) & ~rows["waits"].astype(bool), waits=rows["waits"].astype(bool))
    state = rows.groupby(["file", "table", "row"])[["out", "waits"]].any().reset_index()
    state["set_aside"] = state["out"]
    state["waiting_for_review"] = state["waits"] & ~state["out"]
    state["used_repaired"] = ~state["out"] & ~state["waits"]
    names = ["used_repaired", "set_aside", "waiting_for_review"]
    tally = state.groupby(["file", "table"])[names].sum().reset_index()
    out = counts.merge(tally, on=["file", "table"], how="left")
    for name in names:
        out[name] = out[name].fillna(0).astype(int)
    out["used_as_given"] = out["rows_read"] - out[names].sum(axis=1)
    return out[["file", "table", "rows_read", "used_as_given", *names]]

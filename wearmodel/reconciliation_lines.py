"""The reconciliation and the findings of a fleet as lines for a terminal."""

from collections.abc import Iterator

import pandas as pd

from wearmodel.frame_rows import frame_rows

__all__ = ["reconciliation_lines"]

_MOST_FINDINGS = 20


def reconciliation_lines(reconciliation: pd.DataFrame, set_aside: pd.DataFrame) -> Iterator[str]:
    """Lines that say what became of the rows read.

    Parameters
    ----------
    reconciliation, set_aside : pandas.DataFrame
        The tables of these names.

    Yields
    ------
    str
        One line: a file, then a kind of finding, those that cost rows first.
    """
    wide = max([22, *map(len, reconciliation["file"])]) + 2
    counts = f"{'rows read':>10}{'as given':>10}{'repaired':>10}{'set aside':>10}{'waiting':>10}"
    yield f"{'file':<{wide}}{'table':<14}{counts}"
    for row in frame_rows(reconciliation):
        yield (
            f"{row.file:<{wide}}{row.table:<14}{row.rows_read:>10}{row.used_as_given:>10}{row.used_repaired:>10}"
            f"{row.set_aside:>10}{row.waiting_for_review:>10}"
        )
    if set_aside.empty:
        return
    # One line a kind of finding, the ones that cost rows first: thousands of alike rows tell no more than one.
    keys = ["file", "column", "problem"]
    kinds = set_aside.groupby(keys, sort=False).agg(
        rows=("row", "size"), row=("row", "first"), value=("value", "first"), action=("action", "first"),
        used=("used", "all"),
    ).reset_index().sort_values(["used", "rows"], ascending=[True, False], kind="stable")  # fmt: skip
    for kind in frame_rows(kinds.head(_MOST_FINDINGS)):
        count = f" and {kind.rows - 1:,} more rows" if kind.rows > 1 else ""
        value = f"{kind.value!r}: " if kind.value else ""
        where = f"{kind.file} row {kind.row}{count}, column {kind.column or '(row)'}"
        yield f"{where}: {value}{kind.problem}; {kind.action}."
    if len(kinds) > _MOST_FINDINGS:
        yield f"... and {len(kinds) - _MOST_FINDINGS} further kinds; the table set_aside has every row."

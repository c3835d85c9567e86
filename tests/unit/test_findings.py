"""Findings as a table, and the reconciliation of counts."""

import pandas as pd
import pytest

from wearmodel.findings import Finding, build_reconciliation, build_set_aside


def finding(
    row, *, used=False, waits=False, table="repairs", file="repairs.csv", column="date", problem="is not a date"
):
    return Finding(table, file, row, column, "x", problem, "the row was set aside", used, waits)


def test_order_and_columns():
    table = build_set_aside([finding(9), finding(2, column="unit"), finding(2), finding(1, file="a.csv")])
    assert list(table.columns) == ["file", "row", "column", "value", "problem", "action", "table", "used", "waits"]
    assert list(zip(table["file"], table["row"], table["column"], strict=True)) == [
        ("a.csv", 1, "date"), ("repairs.csv", 2, "date"), ("repairs.csv", 2, "unit"), ("repairs.csv", 9, "date"),
    ]  # fmt: skip


def test_no_findings():
    table = build_set_aside([])
    assert table.empty and next(iter(table.columns)) == "file"
    counts = pd.DataFrame([("repairs", "repairs.csv", 7)], columns=["table", "file", "rows_read"])
    (row,) = build_reconciliation(counts, table).to_dict("records")
    assert row == {
        "file": "repairs.csv", "table": "repairs", "rows_read": 7,
        "used_as_given": 7, "used_repaired": 0, "set_aside": 0, "waiting_for_review": 0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        ([finding(2)], (9, 0, 1)),
        ([finding(2, used=True)], (9, 1, 0)),
        ([finding(2), finding(2, column="unit"), finding(2, used=True)], (9, 0, 1)),
        ([finding(2, used=True), finding(2, used=True, column="unit"), finding(3)], (8, 1, 1)),
        ([finding(0)], (10, 0, 0)),
        ([finding(2, waits=True), finding(3, waits=True), finding(3)], (8, 0, 1)),
        ([finding(2, waits=True), finding(2, used=True)], (9, 0, 0)),
        ([finding(2, table="stock"), finding(2, file="other.csv")], (10, 0, 0)),
    ],
)
def test_a_row_counts_once(findings, expected):
    counts = pd.DataFrame([("repairs", "repairs.csv", 10)], columns=["table", "file", "rows_read"])
    table = build_reconciliation(counts, build_set_aside(findings))
    assert tuple(table[["used_as_given", "used_repaired", "set_aside"]].iloc[0]) == expected
    assert table["waiting_for_review"].iloc[0] == 10 - sum(expected)


def test_tables_of_one_workbook_are_kept_apart():
    counts = pd.DataFrame(
        [("repairs", "fleet.xlsx", 5), ("stock", "fleet.xlsx", 5)], columns=["table", "file", "rows_read"]
    )
    table = build_reconciliation(counts, build_set_aside([finding(2, file="fleet.xlsx")]))
    assert list(table["set_aside"]) == [1, 0]

"""Whatever is in the cells: every row is used or named, and the same rows give the same answer."""

import csv
import io
import random
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wearmodel.errors import InputError
from wearmodel.findings import build_reconciliation, build_set_aside
from wearmodel.intake.fleet import read_fleet

VEHICLES = [
    ["unit", "driveline", "in_service_date"],
    ["A1", "rear_two_piece", "2019-01-01"],
    ["0007", "front_half_shafts", "2020-06-01"],
]
DATES = st.sampled_from(["2020-03-01", "1.4.2021", "2021-02-30", "", "2062-01-01", "43900", "soon"])
UNITS = st.sampled_from(["A1", "a 1", "7", "0007", "", "B9"])
ODOMETERS = st.sampled_from(["10000", "12,500", "-4", "", "1O4", "9e99"])
REPAIRS = st.tuples(
    st.sampled_from(["W1", "W2", "W3", ""]),
    DATES,
    UNITS,
    ODOMETERS,
    st.sampled_from(
        [
            "", "rear u-joint worn, replaced", "LH outer boot split", "brakes", "u-joint greased", "cv boot", "\x00?",
            "x" * 300,
        ]
    ),
    st.sampled_from(["1", "", "2", "-1", "1.5", "many"]),
    st.sampled_from(["", "u_joint", "CV boot outboard", "u_jont", "BRAKES"]),
    st.sampled_from(["", "rear.joint_rear", "left.outboard_boot", "rear", "nowhere"]),
    st.sampled_from(["", "failed", "Worn", "BRK"]),
)
READINGS = st.tuples(UNITS, DATES, ODOMETERS)
HEADERS = ["order", "date", "unit", "odometer", "text", "quantity", "component", "position", "reason"]


def write(folder: Path, repairs, readings) -> None:
    tables = {
        "vehicles": VEHICLES,
        "repairs": [HEADERS, *repairs, ["W0", "2020-02-01", "A1", "9000", "", "1", "u_joint", "", "failed"]],
        "readings": [["unit", "date", "odometer"], *readings, ["A1", "2020-02-01", "9000"]],
    }
    for name, rows in tables.items():
        out = io.StringIO()
        csv.writer(out).writerows(rows)
        (folder / f"{name}.csv").write_text(out.getvalue(), encoding="utf-8", newline="")
    (folder / "fleet.toml").write_text("set_aside_limit = 1.0\n")


def stands_alone(repair):
    """Whether a line says itself what it belongs to: one without order, date and unit continues the line above."""
    return any(cell.strip() for cell in repair[:3])


def filled(rows):
    return [row for row in rows if any(cell.strip() for cell in row)]


@settings(deadline=None, max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(repairs=st.lists(REPAIRS, max_size=12), readings=st.lists(READINGS, max_size=6))
def test_every_row_is_used_or_named(tmp_path, repairs, readings):
    write(tmp_path, repairs, readings)
    result = read_fleet(tmp_path)
    table = build_reconciliation(result.counts, build_set_aside(result.findings)).set_index("table")
    assert table.loc["repairs", "rows_read"] == len(filled(repairs)) + 1
    for name in ("vehicles", "repairs", "readings"):
        frame = result.tables[name]
        # A line that names several parts is one row read and several rows of the clean table.
        used = len(frame.drop_duplicates(["file", "row"]))
        assert table.loc[name, "rows_read"] == used + table.loc[name, ["set_aside", "waiting_for_review"]].sum()
        named = {f.row for f in result.findings if f.table == name and not f.used}
        assert not named & set(frame["row"])
    for finding in result.findings:
        assert len(finding.value) <= 200 and finding.value.isprintable() and finding.row >= 2
    kept = result.tables["repairs"]
    assert (kept["component"] != "").all() and kept["reason"].isin(["failed", "worn"]).all()
    assert kept["date"].notna().all() and (kept["date"] <= result.as_of).all() and (kept["quantity"] >= 1).all()
    assert set(kept["unit"]) <= {"A1", "0007"}


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(repairs=st.lists(REPAIRS.filter(stands_alone), max_size=10, unique=True), seed=st.integers(0, 10**6))
def test_row_order_does_not_matter(tmp_path, repairs, seed):
    """Beside the order of the rows themselves and which of two equal rows is called the repeat."""
    write(tmp_path, repairs, [])
    first = read_fleet(tmp_path)
    shuffled = list(repairs)
    random.Random(seed).shuffle(shuffled)
    write(tmp_path, shuffled, [])
    second = read_fleet(tmp_path)
    assert first.as_of == second.as_of

    def lines(result):
        frame = result.tables["repairs"].drop(columns=["file", "row"]).fillna(-1)
        return sorted(map(str, frame.itertuples(index=False)))

    assert lines(first) == lines(second)
    # Which of two equal rows is the repeat, and so in which row it stands, depends on the order.
    def problems(result):
        return sorted(re.sub(r"row \d+", "row", f.problem) for f in result.findings)

    assert problems(first) == problems(second)


@pytest.mark.parametrize("limit", [0.0, 0.1, 0.5, 0.99])
@given(bad=st.integers(0, 20), good=st.integers(1, 20))
@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_limit_is_kept_exactly(tmp_path, limit, bad, good):
    rows = [["A1", "soon", "1"]] * bad + [["A1", f"2020-01-{i + 1:02d}", "1"] for i in range(good - 1)]
    write(tmp_path, [], rows)
    (tmp_path / "fleet.toml").write_text(f"set_aside_limit = {limit}\n")
    if bad > limit * (bad + good):
        with pytest.raises(InputError, match="set_aside_limit"):
            read_fleet(tmp_path)
    else:
        assert len(read_fleet(tmp_path).tables["readings"]) == good

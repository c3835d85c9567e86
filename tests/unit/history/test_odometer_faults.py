"""Each kind of odometer fault by hand: what is read, what is said, what is asked, what an answer does."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.history.odometer import build_odometer_curves, days_since_epoch
from wearmodel.questions import Answer, question_key

START = pd.Timestamp("2020-01-01")
MILE = 1.609344


def true_rows(count=60, *, every=14, begin=0.0, seed=3):
    """Readings a fortnight apart of a vehicle that runs 60 to 140 km a day."""
    run = np.random.default_rng(seed).integers(60, 141, count) * every
    dates = [START + pd.Timedelta(days=every * (k + 1)) for k in range(count)]
    return list(zip(dates, (begin + np.cumsum(run)).tolist(), strict=True))


def table(rows, name):
    out = pd.DataFrame(rows, columns=["date", "odometer"])
    out["unit"], out["file"], out["row"] = "A", f"{name}.csv", range(2, len(out) + 2)
    out["date"] = pd.to_datetime(out["date"])
    return out.astype({"odometer": float})


def solved(readings, *, repairs=(), begin=0.0, unit="km", **more):
    cars = pd.DataFrame(
        {"unit": ["A"], "in_service_date": [START], "in_service_odometer": [begin], "file": ["v.csv"], "row": [2]}
    )
    return build_odometer_curves(
        cars,
        readings=table(readings, "readings"),
        repairs=table(list(repairs), "repairs"),
        inspections=table([], "inspections"),
        distance_unit=unit,
        **more,
    )


def at(result, date):
    return float(result.curves.distance_at(0, days_since_epoch(pd.DatetimeIndex([date])))[0])


def totals(result, rows):
    return result.curves.distance_at(0, days_since_epoch(pd.DatetimeIndex([date for date, _ in rows])))


def spoilt(rows, place, figure):
    return [*rows[:place], (rows[place][0], figure), *rows[place + 1 :]]


ROWS = [(date, figure + 120_000.0) for date, figure in true_rows()]
PLACE = 20
TRUE = int(ROWS[PLACE][1])
DIGITS = str(TRUE)


SLIPS = {
    "first digit": (float("7" + DIGITS[1:]), "one digit was wrong"),
    "second digit": (float(DIGITS[0] + str((int(DIGITS[1]) + 5) % 10) + DIGITS[2:]), "one digit was wrong"),
    "swapped": (float(DIGITS[1] + DIGITS[0] + DIGITS[2:]), "two neighbouring digits were swapped"),
    "doubled": (float(DIGITS[:2] + DIGITS[1:]), "a digit was doubled"),
    "first digit lost": (float(DIGITS[1:]), "the digits in front were left out"),
    "zero too many": (TRUE * 10.0, "there was a zero too many, or the decimal point was lost"),
    "decimal point": (TRUE / 10.0, "there was a zero too few, or a decimal point too many"),
    "miles": (TRUE / MILE, "it was in the other unit"),
}


@pytest.mark.parametrize(("figure", "words"), SLIPS.values(), ids=SLIPS)
def test_a_slip_of_the_pen_is_read_as_it_was_meant(figure, words):
    result = solved(spoilt(ROWS, PLACE, figure), begin=120_000.0)
    (finding,) = result.findings
    assert (finding.row, finding.used) == (PLACE + 2, True)
    assert finding.action == f"read as {TRUE:,} km: {words}"
    assert at(result, ROWS[PLACE][0]) == pytest.approx(TRUE, abs=1.0)
    assert result.questions == ()


@pytest.mark.parametrize("figure", [999_999.0, 5.0, 50_505.0])
def test_a_figure_that_could_be_anything_is_set_aside(figure):
    result = solved(spoilt(ROWS, PLACE, figure), begin=120_000.0)
    (finding,) = result.findings
    assert not finding.used
    others = ROWS[:PLACE] + ROWS[PLACE + 1 :]
    np.testing.assert_allclose(totals(result, others), [figure for _, figure in others])


@pytest.mark.parametrize("place", [0, len(ROWS) - 1])
def test_false_figures_at_either_end_are_found(place):
    result = solved(spoilt(ROWS, place, ROWS[place][1] * 10.0), begin=120_000.0)
    assert [f.row for f in result.findings] == [place + 2]


def test_a_wrong_date_is_named():
    """The reading of 2021-03-10 dated 2020-03-10: its figure is far ahead of that spring's."""
    rows = [(date, figure) for date, figure in ROWS]
    wrong = rows[30][0] - pd.DateOffset(years=1)
    result = solved([*rows[:30], (wrong, rows[30][1]), *rows[31:]], begin=120_000.0)
    (finding,) = result.findings
    assert not finding.used
    assert f"it would fit {rows[30][0]:%Y-%m-%d}, the year may be wrong" in finding.problem


def test_a_five_digit_clock_rolls_over():
    rows = true_rows(begin=60_000.0)
    shown = [(date, figure % 100_000.0) for date, figure in rows]
    assert shown[-1][1] < 60_000.0 < rows[-1][1] - 40_000.0
    result = solved(shown, begin=60_000.0)
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows])
    rolled = [k for k, (_, figure) in enumerate(rows) if figure >= 100_000.0]
    assert [f.row - 2 for f in result.findings] == rolled
    assert all(f.used for f in result.findings)
    assert "went past its last figure" in result.findings[0].problem
    assert result.questions == ()


def test_tenths_and_a_million_roll_over_too():
    rows = [(date, figure + 0.4) for date, figure in true_rows(begin=970_000.0)]
    result = solved([(date, figure % 1e6) for date, figure in rows], begin=970_000.0)
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows])


def test_a_leading_digit_left_out_now_and_then_is_no_rollover():
    rows = true_rows(begin=98_000.0)
    shown = [(date, figure % 100_000.0 if k in (20, 33) else figure) for k, (date, figure) in enumerate(rows)]
    result = solved(shown, begin=98_000.0)
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows])
    assert [f.row - 2 for f in result.findings] == [20, 33]


def changed_clock(*, new_begins=0.0):
    """The clock is changed half-way between two readings."""
    rows = true_rows()
    base = (rows[29][1] + rows[30][1]) / 2.0
    return rows, [*rows[:30], *((date, figure - base + new_begins) for date, figure in rows[30:])]


@pytest.mark.parametrize("new_begins", [0.0, 180_000.0, 5_000.0])
def test_a_changed_clock_goes_on_and_is_asked_about_once(new_begins):
    rows, shown = changed_clock(new_begins=new_begins)
    result = solved(shown)
    gap = rows[30][1] - rows[29][1]
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows], atol=gap)
    np.testing.assert_allclose(np.diff(totals(result, rows[30:])), np.diff([figure for _, figure in rows[30:]]))
    assert [f.row - 2 for f in result.findings] == list(range(30, 60))
    (question,) = result.questions
    assert (question.kind, question.rows, question.unit, question.row) == ("odometer", 30, "A", 32)
    assert question.key == question_key("odometer", "A", f"{rows[30][0]:%Y-%m-%d}", f"{shown[30][1]:.12g}")
    assert float(question.suggestion.odometer) == pytest.approx(rows[30][1], abs=gap)
    # What the change left unknown is carried on to all later days.
    day = days_since_epoch(pd.DatetimeIndex([rows[10][0], rows[50][0]]))
    before, after = result.curves.distance_sd_at(0, day)
    assert after > 5.0 * before


def test_the_answer_on_a_changed_clock_settles_all_its_figures():
    rows, shown = changed_clock()
    (question,) = solved(shown).questions
    answers = {question.key: Answer(odometer=f"{rows[30][1]:.0f}")}
    result = solved(shown, corrections=answers)
    assert result.questions == ()
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows], atol=1.0)
    assert {f.problem for f in result.findings} == {"corrected by a person's answer"}


def test_ignoring_a_changed_clock_leaves_all_its_figures_out():
    rows, shown = changed_clock(new_begins=180_000.0)
    (question,) = solved(shown).questions
    result = solved(shown, corrections={question.key: Answer(odometer="ignore")})
    assert result.questions == ()
    assert result.curves.odometer[-1] == rows[29][1]
    assert not any(f.used for f in result.findings)


def test_a_jump_that_is_right_was_run():
    rows, shown = changed_clock(new_begins=180_000.0)
    (question,) = solved(shown).questions
    result = solved(shown, corrections={question.key: Answer(odometer="right")})
    assert result.questions == ()
    assert result.findings == ()
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in shown])


def test_one_figure_is_no_new_clock():
    rows = true_rows()
    result = solved([*rows[:40], (rows[40][0], 350.0)])
    (finding,) = result.findings
    assert finding.row == 42
    assert not finding.used


@pytest.mark.parametrize(("unit", "factor"), [("km", 1.0 / MILE), ("mi", MILE)])
def test_the_other_unit_from_a_date_on(unit, factor):
    rows = true_rows(begin=40_000.0)
    shown = [*rows[:30], *((date, round(figure * factor)) for date, figure in rows[30:])]
    result = solved(shown, begin=40_000.0, unit=unit)
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows], atol=1.5)
    assert [f.row - 2 for f in result.findings] == list(range(30, 60))
    (question,) = result.questions
    assert question.rows == 30
    assert question.probability > 0.9
    assert float(question.suggestion.odometer) == pytest.approx(rows[30][1], abs=1.5)


def test_the_other_unit_until_a_date():
    rows = true_rows(begin=40_000.0)
    shown = [*((date, round(figure / MILE)) for date, figure in rows[:30]), *rows[30:]]
    result = solved(shown, begin=round(40_000.0 / MILE))
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows], atol=1.5)
    assert len(result.questions) == 1


def test_a_table_in_the_other_unit_is_told_by_overlap():
    rows = true_rows(begin=40_000.0)
    jobs = [(date + pd.Timedelta(days=3), figure + 300.0) for date, figure in rows[5:55:5]]
    shown = [(date, round(figure / MILE)) for date, figure in jobs]
    result = solved(rows, repairs=shown, begin=40_000.0)
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows])
    assert [f.table for f in result.findings] == ["repairs"] * 10
    np.testing.assert_allclose(totals(result, jobs), [figure for _, figure in jobs], atol=1.5)
    (question,) = result.questions
    assert (question.table, question.rows) == ("repairs", 10)
    right = solved(rows, repairs=shown, begin=40_000.0, corrections={question.key: Answer(odometer="right")})
    assert len({q.key for q in right.questions} & {question.key}) == 0


def test_a_vehicle_wholly_in_the_other_unit_is_left():
    rows = [(date, round(figure / MILE)) for date, figure in true_rows()]
    assert solved(rows).findings == ()


def test_copied_readings_give_way_to_what_other_tables_saw():
    rows = true_rows()
    jobs = [(date + pd.Timedelta(days=1), figure + 90.0) for date, figure in rows]
    shown = [(date, rows[20][1] if 20 < k < 28 else figure) for k, (date, figure) in enumerate(rows)]
    result = solved(shown, repairs=jobs)
    assert [(f.table, f.row - 2) for f in result.findings] == [("readings", k) for k in range(21, 28)]
    assert "it repeats the line before while the vehicle ran" in result.findings[-1].problem
    np.testing.assert_allclose(totals(result, jobs), [figure for _, figure in jobs])


def test_a_vehicle_that_stands_is_believed():
    rows = true_rows()
    shown = [*rows[:30], *((date, rows[29][1]) for date, _ in rows[30:40])]
    later = [(date, figure - rows[39][1] + rows[29][1]) for date, figure in rows[40:]]
    assert solved([*shown, *later]).findings == ()


def test_a_long_trip_is_believed():
    """Nine days at 800 km."""
    rows = true_rows()
    shown = [*rows[:30], *((date, figure + 7_200.0) for date, figure in rows[30:])]
    assert solved(shown).findings == ()


def test_jobs_dated_a_day_late_are_evened_out():
    rows = true_rows()
    job = (rows[10][0] + pd.Timedelta(days=1), rows[10][1] - 60.0)
    result = solved(rows, repairs=[job])
    assert {f.used for f in result.findings} == {True}
    assert all("evened out" in f.action for f in result.findings)
    assert at(result, rows[10][0]) == pytest.approx(rows[10][1] - 30.0, abs=1.0)


@pytest.mark.parametrize("written", [0.0, 500_000.0])
def test_a_false_in_service_figure_costs_itself(written):
    rows = [(date, figure + 150_000.0) for date, figure in true_rows()]
    result = solved(rows, begin=written)
    (finding,) = result.findings
    assert (finding.table, finding.column, finding.used) == ("vehicles", "in_service_odometer", True)
    np.testing.assert_allclose(totals(result, rows), [figure for _, figure in rows])


def test_answers_on_single_figures():
    shown = spoilt(ROWS, PLACE, 50_505.0)
    key = question_key("odometer", "A", f"{ROWS[PLACE][0]:%Y-%m-%d}", "50505")
    for answer, finding in (("ignore", "left out by a person's answer"), (str(TRUE), "corrected by a person's answer")):
        result = solved(shown, begin=120_000.0, corrections={key: Answer(odometer=answer)})
        assert [f.problem for f in result.findings] == [finding]
    assert at(result, ROWS[PLACE][0]) == TRUE
    odd = spoilt(ROWS, len(ROWS) - 1, ROWS[-1][1] + 60_000.0)
    key = question_key("odometer", "A", f"{odd[-1][0]:%Y-%m-%d}", f"{odd[-1][1]:.12g}")
    assert len(solved(odd, begin=120_000.0).findings) == 1
    assert solved(odd, begin=120_000.0, corrections={key: Answer(odometer="right")}).findings == ()


def test_two_readings_about_equally_likely_are_asked():
    """100 km a day; 12,500 between 119,500 and 122,500 lost a digit: 120,500 and 121,500 are equally near 121,000.

    What is left to 1 is the chance that it is neither.
    """
    rows = [(START + pd.Timedelta(days=15 * k), 100_000.0 + 1_500.0 * k) for k in range(1, 30)]
    assert rows[13][1] == 121_000.0
    result = solved(spoilt(rows, 13, 12_500.0), begin=100_000.0)
    (question,) = result.questions
    assert (question.text, question.row, question.rows) == ("12500", 15, 1)
    assert question.suggestion.odometer in ("120500", "121500")
    assert 0.2 < question.probability < 0.5
    assert not result.findings[0].used
    answered = solved(
        spoilt(rows, 13, 12_500.0), begin=100_000.0, corrections={question.key: Answer(odometer="121500")}
    )
    assert answered.questions == ()
    assert at(answered, rows[13][0]) == 121_500.0


def test_further_rows_are_evidence_only():
    seen = (ROWS[PLACE][0] + pd.Timedelta(days=2), ROWS[PLACE][1] + 200.0)
    further = table([seen], "repairs").assign(table="repairs")
    gap = [*ROWS[:15], *ROWS[25:]]
    result = solved(gap, begin=120_000.0, further=further)
    assert result.findings == ()
    assert at(result, further["date"][0]) == ROWS[PLACE][1] + 200.0
    false = further.assign(odometer=77.0, row=99)
    (finding,) = solved(gap, begin=120_000.0, further=false).findings
    assert (finding.table, finding.row, finding.used) == ("repairs", 99, False)

"""Sheet "Intervals": when to replace each component before it fails, and what that costs, live."""

import numpy as np
import pandas as pd
from scipy.special import gamma, gammainc
from xlsxwriter.utility import xl_rowcol_to_cell

from wearmodel.policy.inspection_plan import DEFAULT_FIND_CHANCE, DEFAULT_LOOK_HOURS
from wearmodel.survival.weibull import mean_pace
from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.interval_advice import advice_formula, advice_now
from workbook.planner.interval_savings import (
    RANK_COLUMN,
    SavingPlaces,
    add_savings,
    ordered_by_use,
    rank_cells,
    saving_columns,
)
from workbook.planner.interval_workings import add_workings, write_interval_workings
from workbook.planner.page import Page
from workbook.planner.typed import INTERVALS_SHEET
from workbook.planner.words import Words

__all__ = ["write_intervals"]

_MISSING = (
    "No replacement interval can be given: no component has enough failures in the record for a life curve. "
    "The notes on the sheet Read first say what is missing."
)

_UNLIKE = (
    "Where a spread of wear between vehicles is given, vehicles wear unlike: B10, median and mean life are of a part "
    "on a vehicle taken at random; the interval, shape and scale are of a usual vehicle, and the costs are the mean "
    "of all vehicles, each renewed the sooner or later as it wears faster or slower than a usual one."
)
_YEAR = 365.25
#: Below this variance the mean pace is 1 to seven digits, and its formula would lose as many.
_LEAST_VARIANCE = 1e-6
#: Mean over vehicles of how fast they wear, as a formula.
_PACE = (
    "IF({frailty_variance}>0.000001,{frailty_variance}^(1/{shape})"
    "*EXP(GAMMALN(1/{frailty_variance}+1/{shape})-GAMMALN(1/{frailty_variance})),1)"
)


def _rate_formula(age: str) -> str:
    """Cost per 1000 when a part is replaced at `age` or at failure; blank where a figure is missing."""
    # In brackets: a spreadsheet takes the minus of -x^y with x.
    power = f"(({age}/{{scale}})^{{shape}})"
    expected = f"{{scale}}*EXP(GAMMALN(1+1/{{shape}}))*_xlfn.GAMMA.DIST({power},1/{{shape}},1,TRUE)"
    cost = f"{{planned_cost}}*EXP(-{power})+{{failed_cost}}*(1-EXP(-{power}))"
    known = f"COUNT({age},{{shape}},{{scale}},{{planned_cost}},{{failed_cost}})=5"
    return f'=IF({known},1000*({cost})/({expected})*{_PACE},"")'


_AT_FAILURE = (
    '=IF(COUNT({shape},{scale},{failed_cost})=3,1000*{failed_cost}/({scale}*EXP(GAMMALN(1+1/{shape})))*'
    f'{_PACE},"")'
)
#: Share of failures that happen on the road times the yearly running of all parts on a vehicle.
_YEARLY = "{yearly_running}*(1-{worn_share_name})"


def _road_formula(age: str) -> str:
    """Failures on the road a vehicle-year at an interval; run to failure where the cell is blank."""
    power = f"(({age}/{{scale}})^{{shape}})"
    known = "COUNT({yearly_running},{shape},{scale})=3"
    mean = "({scale}*EXP(GAMMALN(1+1/{shape})))"
    reached = f"(1-EXP(-{power}))/_xlfn.GAMMA.DIST({power},1/{{shape}},1,TRUE)"
    return f'=IF({known},{_YEARLY}*{_PACE}/{mean}*IF(ISNUMBER({age}),{reached},1),"")'


def _own_road_formula() -> str:
    """The same at the interval to try; blank without one."""
    return f'=IF(ISNUMBER({{own}}),{_road_formula("{own}")[1:]},"")'


_UNCAPPED = (
    f'=IF(ISNUMBER({{interval_uncapped}}),{_rate_formula("{interval_uncapped}")[1:]},'
    'IF(ISNUMBER({road_failures_cap}),{rate_failure},""))'
)
_PRICE = (
    '=IF(COUNT({road_failures_cap},{rate_uncapped})=2,'
    'IF(ISNUMBER({interval}),{rate},{rate_failure})-{rate_uncapped},"")'
)
_SAVING = '=IF(COUNT({rate},{rate_failure})=2,1-{rate}/{rate_failure},"")'


_MOVED = (
    '=IF(ISNUMBER({interval})<>ISNUMBER({written}),"moved",'
    'IF(ABS(N({interval})-N({written}))>0.000001*N({written}),"moved",""))'
)


def _with_costs(frame: pd.DataFrame, book: Book) -> pd.DataFrame:
    """The rows with the costs of their components now, and what the cap on road failures hangs on."""
    inputs = book.inputs

    def of_component(name: str) -> list[float]:
        return [inputs.value(name, code) if inputs.has(code) else np.nan for code in frame["component"]]

    variance = frame["frailty_variance"].fillna(0.0)
    return frame.assign(
        planned_cost=of_component("planned_cost"),
        failed_cost=of_component("failed_cost"),
        worn=np.nan_to_num(of_component("worn_share")),
        frailty_variance=variance,
        pace=mean_pace(frame["shape"].fillna(1.0), variance.where(variance > _LEAST_VARIANCE, 0.0)),
        written=frame["interval"],
        label=frame["component"].map(book.words.component),
        duty_label=frame["duty"].map(book.words.duty),
    )


def _write_workings(
    book: Book, frame: pd.DataFrame, references: list[dict[str, str]], *, capped: bool
) -> "tuple[pd.DataFrame, Place]":
    """The workings of every row on their own sheet."""
    names = ["label", "duty_label", "lift", "shape", "scale", "yearly_running", "worn", "pace"]
    terms = frame[names].assign(
        planned=frame["planned_cost"], failed=frame["failed_cost"], cap=frame["road_failures_cap"]
    )
    worked = add_workings(
        terms, service_interval=book.inputs.service_interval, unit=book.words.distance, capped=capped
    )
    return worked, write_interval_workings(book, worked, references, capped=capped)


def _with_live_values(frame: pd.DataFrame, worked: pd.DataFrame, book: Book, *, capped: bool) -> pd.DataFrame:
    """Cached values of the live columns, from the same closed forms."""
    out = frame.copy()
    out["interval"] = worked["interval" if capped else "uncapped"]
    out["interval_low"], out["interval_high"] = worked["low"], worked["high"]
    out["interval_years"] = out["interval"] / _yearly_distance(frame, book)
    with_cap = out["road_failures_cap"].notna()
    out["interval_uncapped"] = worked["uncapped"].where(with_cap)
    apart = (out["interval"] - out["written"]).abs() > 1e-6 * out["written"]
    out["moved"] = np.where(apart | (out["interval"].isna() != out["written"].isna()), "moved", "")
    pace = out["pace"]
    mean = out["scale"] * gamma(1 + 1 / out["shape"])
    out["pace_by_mean"] = pace / mean
    out["rate"] = pace * _rate(out, out["interval"])
    out["rate_failure"] = pace * 1000 * out["failed_cost"] / mean
    out["saving"] = 1 - out["rate"] / out["rate_failure"]
    out["rate_uncapped"] = (pace * _rate(out, out["interval_uncapped"])).fillna(out["rate_failure"]).where(with_cap)
    out["cap_price"] = out["rate"].fillna(out["rate_failure"]) - out["rate_uncapped"]
    out["road"] = _road_failures(out, book, out["interval"]).where(out["interval"].notna(), _road_failures(out, book))
    out["own"] = _own_intervals(book, out)
    out["rate_own"] = pace * _rate(out, out["own"])
    out["advice"] = advice_now(out, worked, service_interval=book.inputs.service_interval)
    return add_savings(out).assign(road_own=_road_failures(out, book, out["own"]))


def _rate(frame: pd.DataFrame, age: "pd.Series[float]") -> "pd.Series[float]":
    """Cost per 1000 of a usual vehicle when a part is replaced at an age or at failure."""
    power = (age / frame["scale"]) ** frame["shape"]
    survive = np.exp(-power)
    cost = frame["planned_cost"] * survive + frame["failed_cost"] * (1 - survive)
    reached = frame["scale"] * gamma(1 + 1 / frame["shape"]) * gammainc(1 / frame["shape"], power)
    return 1000 * cost / reached


def _yearly_distance(frame: pd.DataFrame, book: Book) -> "pd.Series[float]":
    """Distance that stands for a year, of components that age by time; NaN for the others."""
    models = book.plan.model.components
    counts = [models[code].day_counts if code in models else 0.0 for code in frame["component"]]
    return pd.Series(counts, index=frame.index, dtype=float).replace(0.0, np.nan) * _YEAR


def _road_failures(frame: pd.DataFrame, book: Book, interval: "pd.Series[float] | None" = None) -> "pd.Series[float]":
    """Cached value of the failures on the road a vehicle-year, run to failure without intervals."""
    inputs = book.inputs
    worn = np.array(
        [inputs.value("worn_share", code) if inputs.has(code) else np.nan for code in frame["component"]]
    )
    yearly = frame["yearly_running"] * (1 - np.nan_to_num(worn)) * frame["pace_by_mean"]
    if interval is None:
        return yearly
    power = (interval / frame["scale"]) ** frame["shape"]
    return yearly * (1 - np.exp(-power)) / gammainc(1 / frame["shape"], power)


def _own_intervals(book: Book, frame: pd.DataFrame) -> "pd.Series[float]":
    """Own intervals that a person typed into an earlier workbook; NaN for none."""
    keys = zip(frame["component"].map(book.words.component), frame["duty"].map(book.words.duty), frame["lift"],
               strict=True)  # fmt: skip
    texts = book.carried.beside(INTERVALS_SHEET, keys)
    return pd.Series([float(text or "nan") for text in texts], index=frame.index, dtype=float)


_BY_TIME = (
    "Some parts age by time rather than by distance (sheet How lives end): their lives and intervals are told as the "
    "distance that the fleet runs in them on average, and the interval in years beside it holds for every vehicle."
)

_CAPPED = (
    "A cap on road failures is set in fleet.toml (road_failures_a_year): the interval is the longest one up to the "
    "least cost at which all such parts of a vehicle are expected to fail on the road no oftener than that, in the "
    "running of the vehicles of its row. What the cap costs stands beside it; 'as good up to' ends at the cap, and the "
    "chance that another interval would be cheaper counts those the cap rules out. The cap limits what is expected: it "
    "does not make a part safe, and one that is worn, noisy or loose is replaced at once."
)


def _known(name: str) -> str:
    """The cell of that name, blank where it is."""
    return f'=IF(ISNUMBER({{{name}}}),{{{name}}},"")'


def _cap_columns(words: Words) -> list[Column]:
    """Columns on the cap, shown where one is set."""
    rate = f"({words.currency} per 1000 {words.distance})"
    return [
        Column("road_failures_cap", "Cap on road failures (a vehicle-year)", "decimal3"),
        Column("interval_uncapped", f"Interval without the cap ({words.distance})", "distance", "live",
               '=IF(ISNUMBER({road_failures_cap}),{worked_uncapped},"")'),
        Column("rate_uncapped", f"Cost without the cap {rate}", "money2", "live", _UNCAPPED),
        Column("cap_price", f"Price of the cap {rate}", "money2", "live", _PRICE),
    ]  # fmt: skip


def _columns(words: Words, *, by_time: bool, capped: bool) -> list[Column]:
    unit = words.distance
    rate = f"({words.currency} per 1000 {unit})"
    a_year = "(a vehicle-year)"
    in_years = '=IF(AND(ISNUMBER({interval}),{yearly_distance}>0),{interval}/{yearly_distance},"")'
    years = (
        [Column("interval_years", "Interval of parts that age by time (years)", "decimal1", "live", in_years)]
        if by_time
        else []
    )
    return [
        Column("label", "Component"),
        Column("duty_label", "Duty"),
        Column("lift", "Lift (mm)", "count"),
        Column("failures", "Failures in the record", "count"),
        Column("interval", f"Recommended interval ({unit})", "distance", "live", _known("worked_interval")),
        Column("interval_low", f"As good from ({unit})", "distance", "live", _known("worked_low")),
        Column("interval_high", f"As good up to ({unit})", "distance", "live", _known("worked_high")),
        *years,
        Column("saving", "Saving against run to failure (%)", "percent", "live", _SAVING),
        *saving_columns(words),
        Column("rate", f"Cost at the interval {rate}", "money2", "live", _rate_formula("{interval}")),
        Column("rate_failure", f"Cost run to failure {rate}", "money2", "live", _AT_FAILURE),
        Column("road", f"Road failures at the interval {a_year}", "decimal3", "live", _road_formula("{interval}")),
        *(_cap_columns(words) if capped else []),
        Column("chance_dearer", "Chance that another one was over 3% cheaper, at the last run (%)", "percent0"),
        Column("advice", "Advice", role="live", formula=advice_formula(capped=capped), widest=240),
        Column("own", f"Own interval to try ({unit})", "distance", "input"),
        Column("rate_own", f"Cost at own interval {rate}", "money2", "live", _rate_formula("{own}")),
        Column("road_own", f"Road failures at own interval {a_year}", "decimal3", "live", _own_road_formula()),
        Column("written", f"Interval of the last run ({unit})", "distance"),
        Column("moved", "Moved since the last run", role="live", formula=_MOVED),
        RANK_COLUMN,
        Column("b10", f"1 in 10 failed by, B10 ({unit})", "distance"),
        Column("b10_lower", f"B10, lower bound ({unit})", "distance"),
        Column("b10_upper", f"B10, upper bound ({unit})", "distance"),
        Column("median", f"Half failed by, median ({unit})", "distance"),
        Column("mean", f"Mean life ({unit})", "distance"),
        Column("shape", "Weibull shape", "decimal2"),
        Column("scale", f"Weibull scale ({unit})", "distance"),
        Column("frailty_variance", "Spread of wear between vehicles (variance)", "decimal2"),
        Column("yearly_running", f"Running of all such parts on a vehicle ({unit} a year)", "distance"),
        Column("planned_cost", f"Planned replacement ({words.currency})", "money", "live", "={planned_name}"),
        Column("failed_cost", f"Failure on average ({words.currency})", "money", "live", "={failed_name}"),
        Column("note", "Note", widest=340),
    ]


def write_intervals(book: Book) -> SavingPlaces | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    SavingPlaces or None
        Where the savings stand; None where there are no intervals.
    """
    page = book.pages[INTERVALS_SHEET]
    page.title(
        "Intervals", subtitle="At what age to replace a part before it fails, and what it costs either way."
    )
    frame = ordered_by_use(book.table("intervals"))
    if frame.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return None
    page.paragraph(
        "Blue figures are formulas on the costs and the distance between services on the sheet Assumptions: the "
        "intervals too, by the steps on the sheet Interval workings. The due list, the visits and the forecast keep "
        "to the intervals of the last run, which stand behind the advice; where one has moved, run the tool again with "
        "the new costs in fleet.toml. In the yellow column try an interval of your own: its cost stands beside it. "
        "Between 'as good from' and 'as good up to' the cost hardly changes: choose what fits the service. Blank "
        "interval: nothing is gained by replacing before failure, or a cost is missing; the advice says which. How "
        "sure an interval is: the chance that, if the true curve were known, another one would save more than 3%."
    )
    if (frame["frailty_variance"] > 0).any():
        page.paragraph(_UNLIKE)
    if frame["interval_years"].notna().any():
        page.paragraph(_BY_TIME)
    if frame["road_failures_cap"].notna().any():
        page.paragraph(_CAPPED)
    savings = _write_rows(book, page, frame)
    place = savings.place
    _write_looks(book, page)
    page.finish(footer=book.footer, repeat=place.first_row - 1, printed=place.columns["advice"])
    return savings


def _references(book: Book, frame: pd.DataFrame) -> list[dict[str, str]]:
    """By row, the names of the costs of its component."""
    inputs = book.inputs

    def of(name: str, code: str, absent: str) -> str:
        return inputs.name(name, code) if inputs.has(code) else absent

    years = _yearly_distance(frame, book).fillna(0.0)
    return [
        {
            "planned_name": of("planned_cost", code, '""'),
            "failed_name": of("failed_cost", code, '""'),
            "worn_share_name": f"N({of('worn_share', code, '0')})",
            "yearly_distance": repr(float(distance)),
        }
        for code, distance in zip(frame["component"], years, strict=True)
    ]


def _write_rows(book: Book, page: Page, frame: pd.DataFrame) -> SavingPlaces:
    frame = _with_costs(frame, book)
    capped = bool(frame["road_failures_cap"].notna().any())
    by_time = bool(_yearly_distance(frame, book).notna().any())
    references = _references(book, frame)
    worked, workings = _write_workings(book, frame, references, capped=capped)
    for index, names in enumerate(references):
        names.update(_worked_cells(workings, index, capped=capped))
    columns = _columns(book.words, by_time=by_time, capped=capped)
    shown = _with_live_values(frame, worked, book, capped=capped)
    count_row = page.row
    page.row += 1
    for names, cells in zip(references, rank_cells(columns, header_row=page.row, rows=len(shown)), strict=True):
        names.update(cells)
    page.widen([column.name for column in columns].index("advice"), 240)
    place = page.table(shown, columns, references=references, filters=3)
    page.across(count_row, 0, "Intervals moved since the last run", last=2, role="total")
    page.put_formula(
        count_row, 3, f'=COUNTIF({place.range("moved")},"moved")', kind="count", role="total",
        cached=float((shown["moved"] == "moved").sum()),
    )  # fmt: skip
    page.sheet.freeze_panes(place.first_row, place.columns["lift"] + 1)
    _add_rules(book, page, place)
    return SavingPlaces(place, shown)


def _worked_cells(workings: Place, index: int, *, capped: bool) -> dict[str, str]:
    """Cells of a row's workings that its formulas refer to."""
    interval = "interval" if capped else "uncapped"
    names = {"interval": interval, "low": "low", "high": "high", "uncapped": "uncapped"}
    if capped:
        names |= {"road_cap": "cap", "allowed": "allowed", "cap_0": "cap_0", "scaled_mean": "mean"}
    return {f"worked_{name}": workings.cell(at, index) for name, at in names.items()}


def _write_looks(book: Book, page: Page) -> None:
    """How often to look at parts whose wear shows before it does harm."""
    frame = book.table("inspection_plan")
    if frame.empty:
        return
    unit = book.words.distance
    page.row += 1
    page.heading("How often to look")
    page.paragraph(
        "A torn boot or a loose bearing shows for a while before it does harm. The delay is read from how much of the "
        f"wear was found in time; a look is taken to find {DEFAULT_FIND_CHANCE:.0%} of what is there and to take "
        f"{DEFAULT_LOOK_HOURS:g} hours (common practice). A part that is worn, noisy or loose is replaced whatever the "
        "rhythm."
    )
    columns = [
        Column("label", "Component"),
        Column("source_label", "Delay from"),
        Column("found", "Found at looks", "count"),
        Column("failed", "Failed before one", "count"),
        Column("looks_every", f"Looked at every ({unit})", "distance"),
        Column("mean_delay", f"Mean delay ({unit})", "distance"),
        Column("best_every", f"Least cost, look every ({unit})", "distance"),
        Column("best_every_downtime", f"Least time standing, look every ({unit})", "distance"),
        Column("lost_half", "Failures a 100 vehicle-years, twice as many looks", "decimal1"),
        Column("lost_now", "As now", "decimal1"),
        Column("lost_double", "Half as many", "decimal1"),
        # Ends with the advice of the table above, where the paper ends.
        Column("sentence", "In words", merge=4),
    ]
    shown = frame.assign(
        label=frame["component"].map(book.words.component),
        source_label=frame["delay_source"].map({"record": "the record", "default": "an assumption"}),
    )
    for name in ("best_every", "best_every_downtime"):
        shown[name] = shown[name].where(np.isfinite(shown[name]))
    page.table(shown, columns)


def _add_rules(book: Book, page: Page, place: Place) -> None:
    own, saving = place.columns["own"], place.columns["saving"]
    page.sheet.data_validation(
        place.first_row,
        own,
        place.last_row,
        own,
        {
            "validate": "decimal",
            "criteria": ">",
            "value": 0,
            "ignore_blank": True,
            "input_title": "Own interval",
            "input_message": "Type an interval to see its cost; leave blank for none.",
            "error_title": "Not an interval",
            "error_message": "A number above 0 is needed here.",
        },
    )
    first = xl_rowcol_to_cell(place.first_row, saving)
    page.sheet.conditional_format(
        place.first_row,
        saving,
        place.last_row,
        saving,
        {
            "type": "formula",
            "criteria": f"=AND(ISNUMBER({first}),{first}>=0.1)",
            "format": book.formats.rule("strong"),
        },
    )

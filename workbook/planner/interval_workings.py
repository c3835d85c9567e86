"""Sheet "Interval workings": the age of least cost, its flat range and the cap, solved in cells step by step.

Ages are told in multiples of the Weibull scale. The best age solves h(T) I(T) + S(T) = failed / (failed - planned), I
being the integral of S (Barlow & Hunter, Operations Research 8, 1960): Newton steps on logarithms, which from the left
of the root never step over it. The range within 3 % and the cap are solved alike, its far end by halving first.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import gamma, gammainc

from wearmodel.policy.age_replacement import FLAT_TOLERANCE
from workbook.planner.book import Book
from workbook.planner.columns import Column, Place

__all__ = ["WORKINGS_SHEET", "add_workings", "write_interval_workings"]

WORKINGS_SHEET = "Interval workings"

Array = NDArray[np.float64]
Cells = Mapping[str, Array]

_BEST_STEPS, _LOW_STEPS, _CAP_STEPS = 6, 9, 12
_HALVINGS, _HIGH_STEPS = 14, 4
#: Cumulative hazard by which every part has failed.
_ALL_FAILED = 700.0
_DEARER = 1.0 + FLAT_TOLERANCE


@dataclass(frozen=True)
class _Step:
    """One column of workings: its formula, and the same computed here for its cached value; NaN is blank."""

    name: str
    header: str
    formula: str
    value: Callable[[Cells], Array]
    kind: str = "decimal3"


def _power(age: str) -> str:
    # In brackets: a spreadsheet takes the minus of -x^y with x.
    return f"({age}^{{shape}})"


def _run(age: str) -> str:
    """Integral of S up to an age, as a formula."""
    return f"({{mean}}*_xlfn.GAMMA.DIST({_power(age)},1/{{shape}},1,TRUE))"


def _paid(age: str) -> str:
    return f"({{planned}}*EXP(-{_power(age)})+{{failed}}*(1-EXP(-{_power(age)})))"


def _rate(age: str) -> str:
    return f"({_paid(age)}/{_run(age)})"


def _run_at(cells: Cells, age: Array) -> Array:
    return np.asarray(cells["mean"] * gammainc(1.0 / cells["shape"], age ** cells["shape"]), dtype=float)


def _paid_at(cells: Cells, age: Array) -> Array:
    good = np.exp(-(age ** cells["shape"]))
    return np.asarray(cells["planned"] * good + cells["failed"] * (1.0 - good), dtype=float)


def _rate_at(cells: Cells, age: Array) -> Array:
    return np.asarray(_paid_at(cells, age) / _run_at(cells, age), dtype=float)


def _terms() -> list[_Step]:
    """What all that follows hangs on."""

    def usable(c: Cells) -> Array:
        known = np.isfinite(c["shape"] + c["scale"] + c["planned"] + c["failed"])
        return np.where(known & (np.minimum(c["planned"], c["failed"]) > 0.0), 1.0, 0.0)

    def where_usable(c: Cells, values: Array) -> Array:
        return np.where(c["usable"] == 1.0, values, np.nan)

    def excess(c: Cells) -> Array:
        wears = (c["usable"] == 1.0) & (c["shape"] > 1.0) & (c["failed"] > c["planned"])
        return np.where(wears, c["planned"] / (c["failed"] - c["planned"]), np.nan)

    known = "COUNT({shape},{scale},{planned},{failed})=4"
    return [
        _Step("usable", "Costs and curve known (1: yes)", f"=IF({known},IF(MIN({{planned}},{{failed}})>0,1,0),0)",
              usable, "count"),
        _Step("mean", "Mean life", '=IF({usable}=1,EXP(GAMMALN(1+1/{shape})),"")',
              lambda c: where_usable(c, gamma(1.0 + 1.0 / c["shape"]))),
        _Step("end", "Age by which all have failed", f'=IF({{usable}}=1,{_ALL_FAILED:g}^(1/{{shape}}),"")',
              lambda c: where_usable(c, _ALL_FAILED ** (1.0 / c["shape"]))),
        _Step("excess", "Planned cost over what a failure costs more",
              '=IF({usable}=1,IF(AND({shape}>1,{failed}>{planned}),{planned}/({failed}-{planned}),""),"")', excess),
    ]  # fmt: skip


def _best_steps() -> list[_Step]:
    """Age of least cost; where waiting for the failure never costs more, the age by which all have failed."""

    def start(c: Cells) -> Array:
        return np.minimum((c["excess"] / (c["shape"] - 1.0)) ** (1.0 / c["shape"]), c["end"])

    def newton(before: str) -> Callable[[Cells], Array]:
        def value(c: Cells) -> Array:
            x, k = c[before], c["shape"]
            risen = k * x ** (k - 1.0) * _run_at(c, x)
            left = risen + np.exp(-(x**k)) - 1.0
            return np.minimum(x * np.exp(np.log(c["excess"] / left) * left / ((k - 1.0) * risen)), c["end"])

        return value

    steps = [
        _Step("best_0", "Best age: start",
              '=IF(ISNUMBER({excess}),MIN(({excess}/({shape}-1))^(1/{shape}),{end}),"")', start)
    ]  # fmt: skip
    for number in range(1, _BEST_STEPS + 1):
        x = f"{{best_{number - 1}}}"
        risen = f"({{shape}}*{x}^({{shape}}-1)*{_run(x)})"
        left = f"({risen}+EXP(-{_power(x)})-1)"
        formula = (
            f'=IF(ISNUMBER({x}),MIN({x}*EXP(LN({{excess}}/{left})*{left}/(({{shape}}-1)*{risen})),{{end}}),"")'
        )
        steps.append(_Step(f"best_{number}", f"Step {number}", formula, newton(f"best_{number - 1}")))
    last = f"best_{_BEST_STEPS}"
    return [
        *steps,
        _Step("best", "Best age", f'=IF({{usable}}=1,IF(ISNUMBER({{{last}}}),{{{last}}},{{end}}),"")',
              lambda c: np.where(np.isfinite(c[last]), c[last], c["end"])),
    ]  # fmt: skip


def _cap_steps() -> list[_Step]:
    """Longest age at which parts fail on the road no oftener than is allowed; blank where nothing limits it."""

    def allowed(c: Cells) -> Array:
        yearly = c["yearly_running"] * (1.0 - c["worn"])
        return np.where((c["usable"] == 1.0) & (yearly > 0.0), c["cap"] * c["scale"] / (yearly * c["pace"]), np.nan)

    def start(c: Cells) -> Array:
        limited = (c["allowed"] * c["mean"] < 1.0) & (c["shape"] > 1.0) & (c["allowed"] > 0.0)
        return np.where(limited, np.minimum(c["allowed"] ** (1.0 / (c["shape"] - 1.0)), c["end"]), np.nan)

    def newton(before: str) -> Callable[[Cells], Array]:
        def value(c: Cells) -> Array:
            x, k = c[before], c["shape"]
            u, run = x**k, _run_at(c, c[before])
            gone = -np.expm1(-u)
            slope = k * u * np.exp(-u) / gone - x * np.exp(-u) / run
            return np.minimum(x * np.exp(np.log(c["allowed"] * run / gone) / slope), c["end"])

        return value

    steps = [
        _Step("allowed", "Failures allowed in one scale",
              "=IF(AND({usable}=1,COUNT({cap},{yearly_running})=2),IF({yearly_running}*(1-{worn})>0,"
              '{cap}*{scale}/({yearly_running}*(1-{worn})*{pace}),""),"")', allowed),
        _Step("cap_0", "Cap: start",
              "=IF(ISNUMBER({allowed}),IF(AND({allowed}*{mean}<1,{shape}>1,{allowed}>0),"
              'MIN({allowed}^(1/({shape}-1)),{end}),""),"")', start),
    ]  # fmt: skip
    for number in range(1, _CAP_STEPS + 1):
        x = f"{{cap_{number - 1}}}"
        good, gone = f"EXP(-{_power(x)})", f"_xlfn.GAMMA.DIST({_power(x)},1,1,TRUE)"
        slope = f"({{shape}}*{_power(x)}*{good}/{gone}-{x}*{good}/{_run(x)})"
        formula = f'=IF(ISNUMBER({x}),MIN({x}*EXP(LN({{allowed}}*{_run(x)}/{gone})/{slope}),{{end}}),"")'
        steps.append(_Step(f"cap_{number}", f"Step {number}", formula, newton(f"cap_{number - 1}")))
    return steps


def _rate_steps(*, capped: bool) -> list[_Step]:
    """Cost rates that decide: at the best age, at the best one allowed, at failure, and what counts as equal."""
    cap = f"cap_{_CAP_STEPS}"
    top = f'=IF({{usable}}=1,MIN({{best}},{{{cap}}}),"")' if capped else '=IF({usable}=1,{best},"")'
    return [
        _Step("top", "Best age allowed", top, lambda c: np.fmin(c["best"], c[cap]) if capped else c["best"]),
        _Step("rate_best", "Cost at the best age", f'=IF({{usable}}=1,{_rate("{best}")},"")',
              lambda c: _rate_at(c, c["best"])),
        _Step("rate_failure", "Cost run to failure", '=IF({usable}=1,{failed}/{mean},"")',
              lambda c: np.where(c["usable"] == 1.0, c["failed"] / c["mean"], np.nan)),
        _Step("target", f"{FLAT_TOLERANCE:.0%} above the least allowed",
              f'=IF({{usable}}=1,{_rate("{top}")}*{_DEARER:g},"")', lambda c: _rate_at(c, c["top"]) * _DEARER),
    ]  # fmt: skip


def _newton_cost(before: str) -> "tuple[str, Callable[[Cells], Array]]":
    """Newton step towards the age that costs the target, as a formula and as a function."""
    x = f"{{{before}}}"
    good = f"EXP(-{_power(x)})"
    slope = f"(({{failed}}-{{planned}})*{{shape}}*{_power(x)}*{good}/{_paid(x)}-{x}*{good}/{_run(x)})"

    def value(c: Cells) -> Array:
        age, k = c[before], c["shape"]
        u = age**k
        steep = (c["failed"] - c["planned"]) * k * u * np.exp(-u) / _paid_at(c, age)
        steep = steep - age * np.exp(-u) / _run_at(c, age)
        return np.asarray(age * np.exp(np.log(c["target"] / _rate_at(c, age)) / steep), dtype=float)

    return f"{x}*EXP(LN({{target}}/{_rate(x)})/{slope})", value


def _low_steps() -> list[_Step]:
    """First age within the tolerance: the cost falls up to the best age, and is convex there on logarithms."""
    steps = [
        _Step("low_0", "As good from: start", '=IF({usable}=1,MIN(MIN({planned},{failed})/{target},{top}),"")',
              lambda c: np.minimum(np.minimum(c["planned"], c["failed"]) / c["target"], c["top"]))
    ]  # fmt: skip
    for number in range(1, _LOW_STEPS + 1):
        formula, value = _newton_cost(f"low_{number - 1}")

        def capped(c: Cells, value: Callable[[Cells], Array] = value) -> Array:
            return np.minimum(value(c), c["top"])

        steps.append(_Step(f"low_{number}", f"Step {number}", f'=IF({{usable}}=1,MIN({formula},{{top}}),"")', capped))
    return steps


def _high_steps() -> list[_Step]:
    """Last age within the tolerance, blank where running to failure is: halvings, then Newton steps."""

    def start(c: Cells) -> Array:
        dear = c["rate_failure"] > c["target"]
        return np.where(dear, c["top"] * np.exp(np.log(c["end"] / c["top"]) / 2.0), np.nan)

    def halving(before: str, number: int) -> Callable[[Cells], Array]:
        def value(c: Cells) -> Array:
            sign = np.where(_rate_at(c, c[before]) < c["target"], 1.0, -1.0)
            return np.asarray(c[before] * np.exp(sign * np.log(c["end"] / c["top"]) / 2.0 ** (number + 1)))

        return value

    steps = [
        _Step("high_0", "As good up to: start",
              '=IF({usable}=1,IF({rate_failure}>{target},{top}*EXP(LN({end}/{top})/2),""),"")', start)
    ]  # fmt: skip
    for number in range(1, _HALVINGS + _HIGH_STEPS + 1):
        before = f"high_{number - 1}"
        x = f"{{{before}}}"
        if number <= _HALVINGS:
            move = f"{x}*EXP(IF({_rate(x)}<{{target}},1,-1)*LN({{end}}/{{top}})/{2 ** (number + 1)})"
            value = halving(before, number)
        else:
            move, value = _newton_cost(before)
        steps.append(_Step(f"high_{number}", f"Step {number}", f'=IF(ISNUMBER({x}),{move},"")', value))
    return steps


def _answer_steps(unit: str, *, capped: bool) -> list[_Step]:
    """From ages to distances: moved to a service where that costs next to nothing, and the cap kept."""

    def rate_of(name: str) -> Callable[[Cells], Array]:
        return lambda c: _rate_at(c, np.where(c[name] > 0.0, c[name], np.nan) / c["scale"])

    def below(c: Cells) -> Array:
        step = c["service_interval"]
        return np.where(step > 0.0, np.floor(c["free"] / np.where(step > 0.0, step, 1.0)) * step, np.nan)

    def uncapped(c: Cells) -> Array:
        near = np.fmin(c["cost_below"], c["cost_above"]) <= c["rate_best"] * _DEARER
        first = c["cost_below"] <= c["cost_above"]
        return np.where(near, np.where(first, c["below"], c["above"]), c["free"])

    def rate_cell(name: str) -> str:
        return f'=IF(N({{{name}}})>0,{_rate(f"({{{name}}}/{{scale}})")},"")'

    steps = [
        _Step("free", f"Best age, where worth it ({unit})",
              f'=IF({{usable}}=1,IF({{rate_failure}}>{{rate_best}}*{_DEARER:g},{{best}}*{{scale}},""),"")',
              lambda c: np.where(c["rate_failure"] > c["rate_best"] * _DEARER, c["best"] * c["scale"], np.nan),
              "distance"),
        _Step("below", f"Service before it ({unit})",
              "=IF(AND(ISNUMBER({free}),N(service_interval)>0),"
              'INT({free}/service_interval)*service_interval,"")', below, "distance"),
        _Step("above", f"Service after it ({unit})", '=IF(ISNUMBER({below}),{below}+service_interval,"")',
              lambda c: c["below"] + c["service_interval"], "distance"),
        _Step("cost_below", "Cost at the service before", rate_cell("below"), rate_of("below")),
        _Step("cost_above", "Cost at the service after", rate_cell("above"), rate_of("above")),
        _Step("uncapped", f"Interval{' without the cap' if capped else ''} ({unit})",
              f"=IF(ISNUMBER({{free}}),IF(COUNT({{cost_below}},{{cost_above}})>0,"
              f"IF(MIN({{cost_below}},{{cost_above}})<={{rate_best}}*{_DEARER:g},"
              'IF(ISNUMBER({cost_below}),IF({cost_below}<={cost_above},{below},{above}),{above}),{free}),{free}),"")',
              uncapped, "distance"),
    ]  # fmt: skip
    return steps + (_capped_answer(unit, rate_cell, rate_of) if capped else []) + _range_answer(unit, capped=capped)


def _capped_answer(
    unit: str, rate_cell: Callable[[str], str], rate_of: "Callable[[str], Callable[[Cells], Array]]"
) -> list[_Step]:
    """The interval where failures on the road are limited."""
    cap = f"cap_{_CAP_STEPS}"

    def longest(c: Cells) -> Array:
        beyond = ~(c["uncapped"] <= c[cap] * c["scale"])
        return np.where(np.isfinite(c[cap]) & beyond, c["top"] * c["scale"], np.nan)

    def last(c: Cells) -> Array:
        step = c["service_interval"]
        return np.where(step > 0.0, np.floor(c["longest"] / np.where(step > 0.0, step, 1.0)) * step, np.nan)

    def interval(c: Cells) -> Array:
        kept = np.where(c["cost_last"] <= c["target"], c["last"], c["longest"])
        return np.where(np.isfinite(c["longest"]), kept, c["uncapped"])

    return [
        _Step("longest", f"Longest interval of use, where the cap shortens it ({unit})",
              f"=IF(ISNUMBER({{{cap}}}),IF(IF(ISNUMBER({{uncapped}}),{{uncapped}}>{{{cap}}}*{{scale}},TRUE),"
              '{top}*{scale},""),"")', longest, "distance"),
        _Step("last", f"Service before that ({unit})",
              "=IF(AND(ISNUMBER({longest}),N(service_interval)>0),"
              'INT({longest}/service_interval)*service_interval,"")', last, "distance"),
        _Step("cost_last", "Cost at that service", rate_cell("last"), rate_of("last")),
        _Step("interval", f"Interval ({unit})",
              "=IF(ISNUMBER({longest}),IF(ISNUMBER({cost_last}),IF({cost_last}<={target},{last},{longest}),{longest}),"
              'IF(ISNUMBER({uncapped}),{uncapped},""))', interval, "distance"),
    ]  # fmt: skip


def _range_answer(unit: str, *, capped: bool) -> list[_Step]:
    """The ages as good as the interval, in distance."""
    answer = "interval" if capped else "uncapped"
    low, high, cap = f"low_{_LOW_STEPS}", f"high_{_HALVINGS + _HIGH_STEPS}", f"cap_{_CAP_STEPS}"
    ends = f"{{{high}}},{{{cap}}}" if capped else f"{{{high}}}"

    def high_end(c: Cells) -> Array:
        return np.fmin(c[high], c[cap]) if capped else c[high]

    return [
        _Step("low", f"As good from ({unit})", f'=IF(ISNUMBER({{{answer}}}),{{{low}}}*{{scale}},"")',
              lambda c: np.where(np.isfinite(c[answer]), c[low] * c["scale"], np.nan), "distance"),
        _Step("high", f"As good up to ({unit})",
              f'=IF(AND(ISNUMBER({{{answer}}}),COUNT({ends})>0),MIN({ends})*{{scale}},"")',
              lambda c: np.where(np.isfinite(c[answer]), high_end(c) * c["scale"], np.nan), "distance"),
    ]  # fmt: skip


def _steps(unit: str, *, capped: bool) -> list[_Step]:
    cap = _cap_steps() if capped else []
    return [
        *_terms(), *_best_steps(), *cap, *_rate_steps(capped=capped), *_low_steps(), *_high_steps(),
        *_answer_steps(unit, capped=capped),
    ]  # fmt: skip


def add_workings(frame: pd.DataFrame, *, service_interval: float, unit: str, capped: bool) -> pd.DataFrame:
    """Every column of the workings, computed as the cells compute it.

    Parameters
    ----------
    frame : pandas.DataFrame
        `shape` [-], `scale` [distance], `planned` and `failed` [currency], and with a cap `cap` [1 / vehicle-year],
        `yearly_running` [distance / year], `worn` and `pace` [-]; NaN for what is not known.
    service_interval : float
        Distance between services; NaN for none [distance].
    unit : str
        Distance unit.
    capped : bool
        Whether failures on the road are limited in any row.

    Returns
    -------
    pandas.DataFrame
        With the columns of the workings; `uncapped`, with a cap `interval`, `low` and `high` are the answers
        [distance], NaN where nothing is gained by replacing before failure.
    """
    numbers = frame.select_dtypes("number")
    cells: dict[str, Array] = {str(name): numbers[name].to_numpy(dtype=float) for name in numbers}
    cells["service_interval"] = np.full(len(frame), service_interval)
    with np.errstate(all="ignore"):
        for step in _steps(unit, capped=capped):
            cells[step.name] = step.value(cells)
    del cells["service_interval"]
    return frame.assign(**cells)


def write_interval_workings(
    book: Book, frame: pd.DataFrame, references: list[dict[str, str]], *, capped: bool
) -> Place:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    frame : pandas.DataFrame
        From `add_workings`, with `label`, `duty_label` and `lift`.
    references : list of dict
        By row: cells of `planned`, `failed`, and with a cap `worn` and `pace`, as formulas.
    capped : bool
        As in `add_workings`.

    Returns
    -------
    Place
        Of the workings.
    """
    unit = book.words.distance
    page = book.pages[WORKINGS_SHEET]
    page.title(WORKINGS_SHEET, subtitle="How the sheet Intervals finds its intervals; change nothing here.")
    page.paragraph(
        "Ages are multiples of the Weibull scale up to where distances begin, costs are per scale. The best age is "
        "where the cost per distance is least. The steps run on until nothing moves any more: the answers agree with "
        "those of the tool to nine digits (costs above 0, a failure up to 10,000 times as dear as planned work). "
        f"A best age whose cost is within {FLAT_TOLERANCE:.0%} of running to failure is not worth it; one is "
        f"moved to the service before or after it where that costs no more than {FLAT_TOLERANCE:.0%} more."
    )
    page.row += 1
    columns = [
        Column("label", "Component"),
        Column("duty_label", "Duty"),
        Column("lift", "Lift (mm)", "count"),
        Column("shape", "Weibull shape", "decimal3"),
        Column("scale", f"Weibull scale ({unit})", "distance"),
        Column("planned", f"Planned replacement ({book.words.currency})", "money2", "live", "={planned_name}"),
        Column("failed", f"Failure on average ({book.words.currency})", "money2", "live", "={failed_name}"),
    ]
    if capped:
        columns += [
            Column("cap", "Cap on road failures (a vehicle-year)", "decimal3"),
            Column("yearly_running", f"Running of all such parts on a vehicle ({unit} a year)", "distance"),
            Column("worn", "Share found at inspection", "decimal3", "live", "={worn_share_name}"),
            Column("pace", "Mean pace of wear over vehicles", "decimal3"),
        ]
    columns += [
        Column(step.name, step.header, step.kind, "live", step.formula) for step in _steps(unit, capped=capped)
    ]
    place = page.table(frame, columns, references=references)
    page.sheet.freeze_panes(place.first_row, 3)
    page.finish(footer=book.footer, repeat=place.first_row - 1, printed=place.columns["lift"] + 14)
    return place

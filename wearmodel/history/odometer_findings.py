"""Sentences on odometer figures that were not taken as written, and questions on those that stay in doubt."""

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.findings import Finding
from wearmodel.frame_rows import frame_rows
from wearmodel.history.odometer_curves import OdometerCurves
from wearmodel.history.odometer_levels import Level
from wearmodel.history.odometer_repairs import DATE_FAULTS, FAULTS
from wearmodel.history.odometer_standing import Standing, figure_key, question_figure
from wearmodel.questions import Answer, Question

__all__ = ["check_odometers", "odometer_questions"]

Array = NDArray[Any]

_SURE_ROLLOVER = 0.95
# Smallest change by evening out that is worth a sentence [distance].
_SMALLEST = 0.5


def _day_text(day: float) -> str:
    return f"{pd.Timestamp(day, unit='D'):%Y-%m-%d}"


def _level_text(standing: Standing, level: Level) -> str:
    """What happened to the clock at a break."""
    figures, head = standing.figures, level.head
    when = _day_text(figures.day[head])
    shown = f"{figures.written[head]:,.0f}"
    last = f" after {figures.written[level.before]:,.0f}" if level.before >= 0 else ""
    words = {
        "rollover": f"the clock went past its last figure and shows {shown}{last} from {when} on",
        "changed": f"another clock shows {shown}{last} from {when} on",
        "unit": f"the figures from {when} on go on from the others only in the other unit ({shown}{last})",
        "decimal": f"the figures from {when} on have a decimal place too many or too few ({shown}{last})",
        "copied": f"the figure {shown} was repeated from {when} on while the vehicle ran",
        "strange": f"the figures from {when} on ({shown}{last}) fit neither before nor after",
    }
    return words.get(level.kind, f"the clock is read as before from {when} on")


class _Notes:
    """Problem and action by figure; the first note on a figure stands."""

    def __init__(self, standing: Standing, unit_name: str) -> None:
        size = len(standing.total)
        self._standing, self.unit_name = standing, unit_name
        self.problem = np.full(size, "", dtype=object)
        self.action = np.full(size, "", dtype=object)
        self.kept = np.ones(size, dtype=bool)

    def note(self, figure: int, problem: str, *, total: float | None, why: str = "") -> None:
        """The figure is read as a total, or, without one, set aside."""
        if self.problem[figure]:
            return
        self.problem[figure] = problem
        self.kept[figure] = total is not None
        self.action[figure] = f"read as {total:,.0f} {self.unit_name}{why}" if total is not None else why


def _level_notes(standing: Standing, notes: _Notes) -> None:
    """Notes on figures of clocks that are not the running total as written."""
    for level in standing.levels:
        if level.factor == 1.0 and level.offset == 0.0 and level.kind not in ("copied", "strange"):
            continue
        text = _level_text(standing, level)
        for figure in level.figures.tolist():
            total = float(standing.total[figure])
            if np.isfinite(total):
                if abs(total - standing.figures.written[figure]) > _SMALLEST:
                    notes.note(figure, text, total=total, why=" of running in all")
            else:
                notes.note(figure, text, total=None)


def _swap_notes(standing: Standing, notes: _Notes) -> None:
    for swap in standing.swaps:
        table = standing.figures.sources[swap.source]
        text = f"{table} agrees with the vehicle's other tables only if it is in the other unit"
        for figure in swap.figures[np.isfinite(standing.total[swap.figures])].tolist():
            notes.note(figure, text, total=float(standing.total[figure]))


def _repair_notes(standing: Standing, notes: _Notes) -> None:
    """Notes on single false figures."""
    figures, repairs = standing.figures, standing.repairs
    first = figures.first_row[repairs.figure]
    units = figures.rows["unit"].to_numpy(dtype=object)[first]
    words = {key: text for key, (text, _) in (*FAULTS.items(), *DATE_FAULTS.items())}
    for k, figure in enumerate(repairs.figure.tolist()):
        expected, written = float(repairs.expected[k]), float(figures.written[figure])
        step = "too low" if written < expected else "too high"
        problem = f"{step} for {units[k]} on {_day_text(figures.day[figure])}: its other readings say {expected:.0f}"
        if figures.repeats[figure]:
            problem += "; it repeats the line before while the vehicle ran"
        if repairs.sure[k]:
            notes.note(figure, problem, total=float(repairs.total[k]), why=f": {words[repairs.fault[k]]}")
        elif np.isfinite(repairs.other_day[k]):
            day = _day_text(repairs.other_day[k])
            notes.note(figure, f"{problem}; it would fit {day}, {words[repairs.fault[k]]}", total=None)
        else:
            notes.note(figure, problem, total=None)


def _answer_notes(standing: Standing, notes: _Notes) -> None:
    for figure in np.flatnonzero(standing.ignored).tolist():
        notes.note(figure, "left out by a person's answer", total=None)
    for figure in np.flatnonzero(standing.answered & np.isfinite(standing.total)).tolist():
        notes.note(figure, "corrected by a person's answer", total=float(standing.total[figure]))


def _even_notes(standing: Standing, notes: _Notes, even: Array) -> None:
    """Notes on figures that fall back by less than dates and rounding explain."""
    moved = np.abs(even - standing.total) > _SMALLEST
    for figure in np.flatnonzero(moved).tolist():
        problem = "falls back by no more than the dates or the rounding of jobs explain"
        notes.note(figure, problem, total=float(even[figure]), why=", evened out with its neighbours")


def check_odometers(
    standing: Standing, *, curves: OdometerCurves, even: Array, unit_name: str, meter: str = "odometer"
) -> tuple[Finding, ...]:
    """A finding for each row whose odometer was not taken as written.

    Parameters
    ----------
    standing : Standing
        What each figure stands for.
    curves : OdometerCurves
        Made of them.
    even : ndarray, shape (n_figures,)
        Running totals after evening out [distance]; NaN for figures not used.
    unit_name : str
        Distance unit.
    meter : str
        Column of the tables that the figures are from.

    Returns
    -------
    tuple of Finding
        In the order of vehicles and days. A reading whose odometer is set aside takes no further part; a repair or
        inspection is used with the distance of the curve. A row without its engine hours still tells the rest.
    """
    notes = _Notes(standing, unit_name)
    _answer_notes(standing, notes)
    _level_notes(standing, notes)
    _repair_notes(standing, notes)
    _swap_notes(standing, notes)
    _even_notes(standing, notes, even)
    rows = standing.figures.rows
    noted = notes.problem != ""
    some = rows[noted[rows["figure"].to_numpy()]]
    expected = curves.distance_at(some["vehicle"].to_numpy(), some["day"].to_numpy())
    found = (_finding(row, notes, float(at), unit_name) for row, at in zip(frame_rows(some), expected, strict=True))
    return tuple(found) if meter == "odometer" else tuple(_beside(finding, meter) for finding in found)


def _beside(finding: Finding, meter: str) -> Finding:
    """The finding on a meter beside the odometer: its row is used whatever becomes of the figure."""
    said = finding.action if finding.action.startswith("read as") else f"its {meter} were not used"
    return finding._replace(column=meter, action=said, used=True)


def _finding(row: Any, notes: _Notes, expected: float, unit_name: str) -> Finding:
    figure, table = int(row.figure), str(row.table)
    used = bool(notes.kept[figure]) or table != "readings"
    action = str(notes.action[figure])
    if not notes.kept[figure]:
        action = (
            "the reading was set aside; correct it in the source if it matters"
            if table == "readings"
            else f"the row was used with {expected:.0f} {unit_name} from the vehicle's other readings"
        )
    if row.further:
        used = False
        action = action if notes.kept[figure] else "the odometer was not used for the vehicle's running"
    return Finding(
        table=table,
        file=str(row.file),
        row=int(row.row),
        column="in_service_odometer" if table == "vehicles" else "odometer",
        value=f"{row.odometer:.12g}",
        problem=str(notes.problem[figure]),
        action=action,
        used=used,
    )


def _question(standing: Standing, figure: int, *, rows: int, problem: str, best: float, chance: float) -> Question:
    figures = standing.figures
    row = figures.rows.iloc[int(figures.first_row[figure])]
    return Question(
        kind="odometer",
        key=figure_key(figures, figure),
        table=str(row["table"]),
        file=str(row["file"]),
        row=int(row["row"]),
        rows=rows,
        unit=str(row["unit"]),
        date=f"{row['date']:%Y-%m-%d}",
        order="",
        text=f"{figures.written[figure]:.12g}",
        problem=problem,
        suggestion=Answer(odometer=f"{best:.0f}" if np.isfinite(best) else "ignore"),
        probability=chance,
    )


def _row_count(standing: Standing, stretch: Array) -> int:
    return int(np.isin(standing.figures.rows["figure"].to_numpy(), stretch).sum())


def _stretch_questions(standing: Standing) -> Iterator[Question]:
    """One question for each source in the other unit and each break of a clock that is not plain."""
    for swap in standing.swaps:
        figure = question_figure(standing.figures, swap.figures)
        table = standing.figures.sources[swap.source]
        yield _question(
            standing, figure, rows=_row_count(standing, swap.figures), chance=swap.probability,
            best=float(swap.factor * standing.figures.written[figure]),
            problem=f"{table} seems to be in the other unit; say the true figure of this line, or that it is right",
        )  # fmt: skip
    for level in standing.levels:
        plain = level.kind in ("back", "copied", "unit before")
        # One in-service figure is a weak witness of what the clock showed before.
        witnessed = level.before >= 0 and not standing.figures.anchor[level.before]
        if plain or (level.kind == "rollover" and level.probability >= _SURE_ROLLOVER and witnessed):
            continue
        figure = question_figure(standing.figures, level.figures)
        best = level.factor * standing.figures.written[figure] + level.offset
        yield _question(
            standing, figure, rows=_row_count(standing, level.figures), chance=level.probability,
            best=float("nan") if level.kind == "strange" else float(best),
            problem=f"{_level_text(standing, level)}; say the running total there, or that it is right",
        )  # fmt: skip


def odometer_questions(standing: Standing) -> tuple[Question, ...]:
    """What a person should settle about odometers.

    Parameters
    ----------
    standing : Standing
        What each figure stands for.

    Returns
    -------
    tuple of Question
        One for each change of clock or unit, however many rows it concerns, and one for each single figure that
        can be read in two ways which differ by more than a week's running, or is a false in-service figure.
    """
    out = list(_stretch_questions(standing))
    repairs = standing.repairs
    # A false in-service figure decides whether the first parts of the vehicle were new.
    anchors = standing.figures.anchor[repairs.figure] & (standing.figures.written[repairs.figure] > 0)
    for k in np.flatnonzero((repairs.doubtful | anchors) & ~repairs.sure).tolist():
        figure = int(repairs.figure[k])
        if standing.figures.rows["further"].iat[int(standing.figures.first_row[figure])]:
            continue
        problem = f"cannot be right, and can be read in several ways; its other readings say {repairs.expected[k]:.0f}"
        out.append(
            _question(
                standing,
                figure,
                rows=_row_count(standing, np.array([figure])),
                problem=problem,
                best=float(repairs.total[k]),
                chance=float(repairs.probability[k]),
            )
        )
    return tuple(out)

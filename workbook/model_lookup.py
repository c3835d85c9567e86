"""The life model behind the workbook functions, and what each row reads off it."""

import difflib
import math
import os
import time
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.errors import ModelError
from wearmodel.survival.coding import FLEET_MIX
from wearmodel.survival.model import ComponentModel, LifeModel, law, life_ratio_error
from wearmodel.survival.store import read_model
from workbook.cells import CellError, Rows, shown

__all__ = ["MODEL_SETTING", "current_model", "fill_costs", "fill_laws", "fill_ratio_errors", "row_components"]

Array = NDArray[Any]

#: Environment variable with the path of the model file: the one setting of the workbook functions.
MODEL_SETTING = "WEAR_MODEL"
_MOST_NAMED = 6
_LONGEST_NAME = 60
_MOST_KEPT = 4_096
#: Shorter than it takes to write a model file anew: calls that follow so fast spare the look at the file [s].
_NO_TIME = 2e-4


_last_look: dict[str, tuple[float, LifeModel]] = {}


def current_model() -> LifeModel:
    """Life model of the file that the setting names; read again when the file has changed.

    Returns
    -------
    LifeModel
        The model.

    Raises
    ------
    CellError
        If the setting is missing or the file cannot be used.
    """
    setting = os.environ.get(MODEL_SETTING, "").strip().strip('"')
    if not setting:
        raise CellError(f"no model: set {MODEL_SETTING} to the file that 'wearmodel fit' wrote")
    seen = _last_look.get(setting)
    now = time.monotonic()
    if seen is not None and now - seen[0] < _NO_TIME:
        return seen[1]
    path = _path(setting)
    try:
        state = os.stat(path)
        model = _read(path, state.st_mtime_ns, state.st_size)
        _last_look.clear()
        _last_look[setting] = (now, model)
        return model
    except (OSError, ValueError):
        raise CellError(f"no model file at {shown(Path(path).name)}: write it with 'wearmodel fit'") from None
    except ModelError as error:
        raise CellError(" ".join(str(error).split())) from None


@lru_cache(maxsize=4)
def _path(setting: str) -> str:
    return str(Path(setting).expanduser())


@lru_cache(maxsize=4)
def _read(path: str, changed: int, size: int) -> LifeModel:
    """Model of one state of a file."""
    return read_model(Path(path))


def _named_component(model: LifeModel, text: str) -> ComponentModel:
    """Component model of a code or label, whatever its case."""
    wanted = text.casefold()
    for code, component in model.components.items():
        if wanted in (code.casefold(), component.label.casefold()):
            return component
    near = difflib.get_close_matches(wanted[:_LONGEST_NAME], [code.casefold() for code in model.components], n=1)
    hint = f" (nearest: {near[0]})" if near else "; WEAR_COMPONENTS lists what there is"
    raise CellError(f"component {shown(text)} is not in the model{hint}")


def fill_laws(rows: Rows, model: LifeModel, *, factory: bool = False) -> None:
    """Add the life law of each row, and the service interval that goes with it.

    The columns are `shape` and `variance` of the frailty [-], `scale` and `service_interval` [distance], the last 0
    where services are counted on another clock than the component's lives.

    Parameters
    ----------
    rows : Rows
        Arguments with a `component`, and with `duty` and `lift` if the function has them; rows without a
        law are marked.
    model : LifeModel
        The model.
    factory : bool
        Also add `factory_scale`, the scale at factory height.
    """
    if rows.count > 1 or not rows.all_good:
        _look_up_laws(rows, model, factory=factory)
        return
    texts = [column.levels[0] for column in rows.texts.values()]
    key = (*texts, rows.columns["lift"][0] if "lift" in rows.columns else 0.0, factory)
    kept = _single_cells.of(model)
    if key not in kept:
        before = set(rows.columns)
        _look_up_laws(rows, model, factory=factory)
        columns = {name: column for name, column in rows.columns.items() if name not in before}
        for column in columns.values():
            column.flags.writeable = False
        kept[key] = columns, rows.lines.get(0, "")
        return
    columns, line = kept[key]
    rows.columns.update(columns)
    if line:
        rows.mark((0,), line)


class _KeptLaws:
    """Laws found for single cells, which ask for the same few by the thousand; of one model at a time."""

    def __init__(self) -> None:
        self._model: LifeModel | None = None
        self._kept: dict[tuple[Any, ...], tuple[dict[str, Array], str]] = {}

    def of(self, model: LifeModel) -> "dict[tuple[Any, ...], tuple[dict[str, Array], str]]":
        """Columns and line by what was asked for."""
        if model is not self._model or len(self._kept) > _MOST_KEPT:
            self._model, self._kept = model, {}
        return self._kept


_single_cells = _KeptLaws()


def _look_up_laws(rows: Rows, model: LifeModel, *, factory: bool) -> None:
    """Law of every good row."""
    for name in ("shape", "scale", "variance", "service_interval", *(("factory_scale",) if factory else ())):
        rows.columns[name] = np.full(rows.count, np.nan)
    between_services = 0.0 if math.isnan(model.service_interval) else model.service_interval
    for component, own in row_components(rows, model):
        if component.basis == "bound only":
            rows.mark(np.flatnonzero(own), f"too few failures of {component.component} were seen for a life curve")
            continue
        rows.columns["service_interval"][own] = between_services * (component.clock == model.distance_unit)
        for duty, here in _duties(rows, component, own):
            _fill_lifts(rows, component, duty, here)
            if factory:
                rows.columns["factory_scale"][here] = law(component, duty=duty).scale


def fill_ratio_errors(rows: Rows, model: LifeModel) -> None:
    """Add `ratio_error`, the standard error of the logarithm of each row's life ratio to factory height [-].

    Parameters
    ----------
    rows : Rows
        Arguments with a `component`, a `lift` and a `duty`, whose laws are filled in.
    model : LifeModel
        The model.
    """
    rows.columns["ratio_error"] = np.full(rows.count, np.nan)
    for component, own in row_components(rows, model):
        for duty, here in _duties(rows, component, own):
            places = np.flatnonzero(here)
            lifts, which = np.unique(rows.columns["lift"][places], return_inverse=True)
            errors = [life_ratio_error(component, lift=lift, duty=duty) for lift in lifts.tolist()]
            rows.columns["ratio_error"][places] = np.array(errors)[which]


def row_components(rows: Rows, model: LifeModel) -> "Iterator[tuple[ComponentModel, Array]]":
    """Component models that the rows name, one after another.

    Parameters
    ----------
    rows : Rows
        Arguments with a `component`; rows that name none of the model's are marked.
    model : LifeModel
        The model.

    Yields
    ------
    tuple of ComponentModel and ndarray of bool
        A model, and the good rows that name it.
    """
    column = rows.texts["component"]
    for code, text in enumerate(column.levels):
        here = rows.good & (column.codes == code)
        if not here.any():
            continue
        try:
            yield _named_component(model, text), here
        except CellError as problem:
            rows.mark(np.flatnonzero(here), str(problem))


def _duties(rows: Rows, component: ComponentModel, own: Array) -> "Iterator[tuple[str, Array]]":
    """Duties that the rows of a component name, each with its rows; rows of an unknown one are marked."""
    column = rows.texts.get("duty")
    if column is None:
        yield FLEET_MIX, own
        return
    known = {duty.casefold(): duty for duty in (*component.coding.duties, FLEET_MIX)}
    for code, text in enumerate(column.levels):
        here = own & (column.codes == code)
        if not here.any():
            continue
        if text.casefold() in known:
            yield known[text.casefold()], here
        else:
            names = ", ".join([FLEET_MIX, *component.coding.duties][:_MOST_NAMED])
            line = f"duty {shown(text)} is not in the model of {component.component}; it has: {names}"
            rows.mark(np.flatnonzero(here), line)


def _fill_lifts(rows: Rows, component: ComponentModel, duty: str, here: Array) -> None:
    """Laws of the rows of one component and duty, lift by lift."""
    places = np.flatnonzero(here)
    lifts = rows.columns["lift"][places] if "lift" in rows.columns else np.zeros(len(places))
    distinct, which = np.unique(lifts, return_inverse=True)
    scales, shape = np.full(len(distinct), np.nan), np.nan
    for number, lift in enumerate(distinct.tolist()):
        try:
            point = law(component, duty=duty, lift=lift)
        except ValueError:
            line = f"lift {shown(lift)} mm is more than the shafts of {component.component} allow"
            rows.mark(places[which == number], line)
            continue
        scales[number], shape = point.scale, point.shape
    rows.columns["shape"][places] = shape
    rows.columns["variance"][places] = component.frailty_variance
    rows.columns["scale"][places] = scales[which]


def fill_costs(rows: Rows, model: LifeModel, *, planned: str = "planned_cost") -> None:
    """Complete the costs of the rows from the model file, where their cells are left out.

    Parameters
    ----------
    rows : Rows
        Arguments with a `component`, the cost of a planned replacement and `failed_cost`; rows whose costs
        the model file does not hold are marked.
    model : LifeModel
        The model.
    planned : str
        Name of the argument that takes the cost of a planned replacement.
    """
    for component, own in row_components(rows, model):
        costs = model.costs.get(component.component)
        for name in (planned, "failed_cost"):
            column = rows.columns[name]
            missing = own & np.isnan(column)
            known = 0.0 if costs is None else costs.failed if name == "failed_cost" else costs.planned
            if known > 0.0:
                column[missing] = known
            elif missing.any():
                line = f"the model file has no costs of {component.component}: give {planned} and failed_cost"
                rows.mark(np.flatnonzero(missing), line)

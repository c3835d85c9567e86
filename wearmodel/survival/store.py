"""The life model as a JSON file with a schema name and a version: written whole or not at all."""

import json
import math
import re
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from wearmodel.errors import ModelError
from wearmodel.output_files import whole_file
from wearmodel.survival.coding import GROUP_KINDS, Coding, GroupLevels, SwingMix
from wearmodel.survival.model import ComponentModel, LifeModel, ReplacementCost, law

__all__ = ["SCHEMA", "VERSION", "model_from_json", "model_to_json", "read_model", "write_model"]

SCHEMA = "wearmodel/life-model"
VERSION = 4
#: Versions that are read; before 4 no component aged by engine hours.
_READ = (3, VERSION)
_LARGEST_VARIANCE = 10.0
_LARGEST_FILE = 64 * 1024 * 1024
_HEIGHTS = ("log_angle", "angle", "lift", "none")
_LARGEST_COUNT = 10**12
_LARGEST_COVARIANCE = 1e4
_LONGEST_DAY = 1e6
_NO_TEXT = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_LONGEST_TEXT = 4_000
_BASES = ("fitted", "shape given", "bound only")


def _plain(value: Any) -> Any:
    """Numbers that JSON has no word for become strings."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value


def model_to_json(model: LifeModel) -> str:
    """JSON text of a life model.

    Parameters
    ----------
    model : LifeModel
        Fitted model.

    Returns
    -------
    str
        Sorted keys, so that equal models give equal text.
    """
    body = {"schema": SCHEMA, "version": VERSION, **asdict(model)}
    return json.dumps(_plain(body), indent=1, sort_keys=True, allow_nan=False)


class _Source:
    """One JSON object with checks that name the field."""

    def __init__(self, body: Any, where: str) -> None:
        if not isinstance(body, dict):
            raise ModelError(f"{where}: an object was expected, not {type(body).__name__}.")
        self.body: dict[str, Any] = body
        self.where = where

    def value(self, name: str) -> Any:
        if name not in self.body:
            raise ModelError(f"{self.where}: field '{name}' is missing.")
        return self.body[name]

    def text(self, name: str) -> str:
        value = self.value(name)
        if not _is_text(value):
            raise ModelError(f"{self.where}: field '{name}' must be text.")
        return str(value)

    def flag(self, name: str) -> bool:
        value = self.value(name)
        if not isinstance(value, bool):
            raise ModelError(f"{self.where}: field '{name}' must be true or false.")
        return value

    def number(self, name: str) -> float:
        return _number(self.value(name), f"{self.where}: field '{name}'")

    def finite(self, name: str) -> float:
        value = self.number(name)
        if not math.isfinite(value):
            raise ModelError(f"{self.where}: field '{name}' must be finite.")
        return value

    def count(self, name: str) -> int:
        value = self.value(name)
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _LARGEST_COUNT:
            raise ModelError(f"{self.where}: field '{name}' must be a count.")
        return value

    def numbers(self, name: str) -> tuple[float, ...]:
        value = self.value(name)
        if not isinstance(value, list):
            raise ModelError(f"{self.where}: field '{name}' must be a list.")
        return tuple(_number(item, f"{self.where}: field '{name}'") for item in value)

    def texts(self, name: str) -> tuple[str, ...]:
        value = self.value(name)
        if not isinstance(value, list) or not all(map(_is_text, value)) or len(set(value)) < len(value):
            raise ModelError(f"{self.where}: field '{name}' must be a list of texts, each once.")
        return tuple(value)

    def bounded(self, name: str, low: float, high: float) -> tuple[float, ...]:
        values = self.numbers(name)
        if not all(low <= value <= high for value in values):
            raise ModelError(f"{self.where}: field '{name}' must hold numbers from {low:g} to {high:g}.")
        return values

    def shares(self, name: str, *, beside: float = 0.0) -> tuple[float, ...]:
        values = self.bounded(name, 0.0, 1.0)
        if abs(sum(values) + beside - 1.0) > 1e-6:
            raise ModelError(f"{self.where}: field '{name}' must hold shares of one whole.")
        return values


def _is_text(value: Any) -> bool:
    """Text that can be printed and put into a cell."""
    return isinstance(value, str) and len(value) <= _LONGEST_TEXT and not _NO_TEXT.search(value)


def _number(value: Any, where: str) -> float:
    if value in ("inf", "-inf", "nan"):
        return float(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ModelError(f"{where} must be a number.")
    try:
        return float(value)
    except OverflowError:
        raise ModelError(f"{where} must be a number of sensible size.") from None


def _swing_from(body: Any, where: str, *, fixed_share: float) -> SwingMix | None:
    if body is None:
        return None
    source = _Source(body, where)
    swing = SwingMix(
        source.bounded("angles", 0.0, 90.0),
        source.bounded("lengths", 1.0, math.inf),
        source.shares("weights", beside=fixed_share),
    )
    if not len(swing.angles) == len(swing.lengths) == len(swing.weights) > 0:
        raise ModelError(f"{where}: angles, lengths and weights must be lists of one length.")
    return swing


def _coding_from(body: Any, where: str) -> Coding:
    source = _Source(body, where)
    fixed_share = source.number("fixed_share")
    coding = Coding(
        duties=source.texts("duties"),
        duty_weights=source.shares("duty_weights"),
        height=source.text("height"),
        height_centre=source.number("height_centre"),
        lifts=source.bounded("lifts", -5_000.0, 5_000.0),
        swing=_swing_from(source.value("swing"), f"{where}.swing", fixed_share=fixed_share),
        fixed_share=fixed_share,
        groups=_groups_from(source.value("groups"), f"{where}.groups"),
        duty_height=source.number("duty_height"),
    )
    if not abs(coding.height_centre) <= 90.0:
        raise ModelError(f"{where}: field 'height_centre' must be an angle, its logarithm or a lift in 100 mm.")
    if not 0.0 <= fixed_share <= 1.0:
        raise ModelError(f"{where}: field 'fixed_share' must be a share.")
    if coding.height not in _HEIGHTS:
        raise ModelError(f"{where}: field 'height' must be one of {', '.join(_HEIGHTS)}.")
    if not coding.duties or len(coding.duties) != len(coding.duty_weights):
        raise ModelError(f"{where}: duties and duty_weights must be lists of one length.")
    if (coding.swing is None) == (coding.height in ("log_angle", "angle")):
        raise ModelError(f"{where}: field 'swing' must be given with an angle, and only then.")
    if not 0.0 <= coding.duty_height < math.inf:
        raise ModelError(f"{where}: field 'duty_height' must be 0 or a step of the height value above 0.")
    if coding.duty_height > 0 and (coding.height == "none" or len(coding.duties) < 2):
        raise ModelError(f"{where}: field 'duty_height' must be 0 without a height value or with one duty.")
    return coding


def _groups_from(body: Any, where: str) -> tuple[GroupLevels, ...]:
    """Kinds of groups, each once, with a share for every level."""
    if not isinstance(body, list):
        raise ModelError(f"{where} must be a list.")
    groups: list[GroupLevels] = []
    for item in body:
        source = _Source(item, where)
        group = GroupLevels(source.text("kind"), source.texts("levels"), source.shares("shares"))
        if group.kind not in GROUP_KINDS or group.kind in {other.kind for other in groups}:
            raise ModelError(f"{where}: field 'kind' must be one of {', '.join(GROUP_KINDS)}, each at most once.")
        if len(group.levels) < 2 or len(group.levels) != len(group.shares):
            raise ModelError(f"{where}: levels and shares must be lists of one length, two or more.")
        groups.append(group)
    return tuple(groups)


def _component_from(code: str, body: Any) -> ComponentModel:
    where = f"components.{code}"
    source = _Source(body, where)
    covariance = source.value("covariance")
    if not isinstance(covariance, list):
        raise ModelError(f"{where}: field 'covariance' must be a list of lists.")
    model = ComponentModel(
        component=source.text("component"),
        label=source.text("label"),
        clock=source.text("clock"),
        basis=source.text("basis"),
        values=source.numbers("values"),
        covariance=tuple(_Source({"row": row}, where).numbers("row") for row in covariance),
        coding=_coding_from(source.value("coding"), f"{where}.coding"),
        lives=source.count("lives"),
        failures=source.count("failures"),
        vehicles=source.count("vehicles"),
        log_likelihood=source.finite("log_likelihood"),
        converged=source.flag("converged"),
        note=source.text("note"),
        own_share=source.bounded("own_share", 0.0, 1.0),
        prior_precision=source.bounded("prior_precision", 0.0, math.inf),
        dated_values=source.numbers("dated_values"),
        dated_failures=source.count("dated_failures"),
        frailty_variance=source.number("frailty_variance"),
        frailty_covariance=source.numbers("frailty_covariance"),
        day_counts=source.number("day_counts"),
        hour_counts=source.number("hour_counts"),
    )
    if model.component != code:
        raise ModelError(f"{where}: field 'component' must be '{code}', as the component is called.")
    _check_component(model, where)
    _check_frailty(model, where)
    _check_laws(model, where)
    return model


def _check_component(model: ComponentModel, where: str) -> None:
    """Refuse numbers that cannot be a life model."""
    size = len(model.names)
    if len(model.values) != size:
        raise ModelError(f"{where}: {size} values expected, {len(model.values)} found.")
    if len(model.covariance) != size or any(len(row) != size for row in model.covariance):
        raise ModelError(f"{where}: the covariance must have {size} rows and columns.")
    for name in ("own_share", "prior_precision", "dated_values"):
        given = getattr(model, name)
        if given and (len(given) != size or not np.all(np.isfinite(given))):
            raise ModelError(f"{where}: field '{name}' must be empty or have {size} finite values.")
    if model.basis not in _BASES:
        raise ModelError(f"{where}: field 'basis' must be one of {', '.join(_BASES)}.")
    cov = np.array(model.covariance)
    if not np.all(np.isfinite(model.values)) or not np.all(np.isfinite(cov)):
        raise ModelError(f"{where}: values and covariance must be finite.")
    _check_covariance(cov, f"{where}: the covariance")
    if not 0.0 <= model.day_counts <= _LONGEST_DAY:
        raise ModelError(f"{where}: field 'day_counts' must be 0 or a distance for each day.")
    if not 0.0 <= model.hour_counts < math.inf or (model.hour_counts > 0 and model.day_counts > 0):
        raise ModelError(f"{where}: field 'hour_counts' must be 0 or, beside a 'day_counts' of 0, a distance an hour.")
    if abs(model.values[-1]) > 5.0 or np.abs(model.values[:-1]).max() > 60.0:
        raise ModelError(f"{where}: shape or scale is out of any sensible range.")


def _check_covariance(cov: "np.ndarray[Any, np.dtype[np.float64]]", what: str) -> None:
    if np.abs(cov).max() > _LARGEST_COVARIANCE:
        raise ModelError(f"{what} is out of any sensible range.")
    if not np.allclose(cov, cov.T) or np.linalg.eigvalsh(cov).min() < -1e-8 * max(1.0, float(np.abs(cov).max())):
        raise ModelError(f"{what} must be symmetric and not negative.")


def _check_frailty(model: ComponentModel, where: str) -> None:
    """Refuse numbers that cannot be a frailty."""
    variance, covariance = model.frailty_variance, model.frailty_covariance
    if not 0.0 <= variance <= _LARGEST_VARIANCE:
        raise ModelError(f"{where}: field 'frailty_variance' must be from 0 to {_LARGEST_VARIANCE:g}.")
    size = len(model.values) + 1
    if covariance and (variance == 0.0 or len(covariance) != size):
        raise ModelError(
            f"{where}: field 'frailty_covariance' must have {size} numbers, and none where 'frailty_variance' is 0."
        )
    if covariance and (not np.all(np.isfinite(covariance)) or covariance[-1] < 0.0):
        raise ModelError(f"{where}: field 'frailty_covariance' must be finite and its last number not negative.")
    if covariance:
        whole = np.zeros((size, size))
        whole[:-1, :-1] = model.covariance
        whole[-1] = whole[:, -1] = covariance
        _check_covariance(whole, f"{where}: field 'frailty_covariance' with the covariance")


def _check_laws(model: ComponentModel, where: str) -> None:
    """Refuse effects that together give no life anybody could mean."""
    with np.errstate(over="ignore", under="ignore", invalid="ignore"):
        for duty in model.coding.duties:
            for lift in (0.0, *model.coding.lifts):
                try:
                    scale = law(model, duty=duty, lift=lift).scale
                except ValueError as error:
                    raise ModelError(f"{where}: {error}.") from None
                if not 1e-6 < scale < 1e15:
                    raise ModelError(f"{where}: shape or scale is out of any sensible range.")


def model_from_json(text: str, *, name: str = "model") -> LifeModel:
    """Life model from JSON text, each field checked.

    Parameters
    ----------
    text : str
        As written by `model_to_json`.
    name : str
        How to call the file in messages.

    Returns
    -------
    LifeModel
        The model.

    Raises
    ------
    ModelError
        One sentence naming the field at fault.
    """
    try:
        body = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ModelError(f"{name} is not readable JSON ({error}); write it anew with 'wearmodel fit'.") from None
    if not isinstance(body, dict) or body.get("schema") != SCHEMA:
        raise ModelError(f"{name} is not a life model file; write one with 'wearmodel fit'.")
    source = _Source(body, name)
    try:
        return _model_from(source)
    except ModelError as error:
        told = str(error).rstrip(".")
        told = told if name in told else f"{name}: {told}"
        raise ModelError(f"{told}; write the file anew with 'wearmodel fit'.") from None


def _model_from(source: _Source) -> LifeModel:
    name = source.where
    if source.value("version") not in _READ:
        raise ModelError(
            f"{name} has model version {repr(source.value('version'))[:20]}, this program reads versions {_READ[0]} to "
            f"{VERSION}."
        )
    components = _Source(source.value("components"), f"{name}: components").body
    if source.value("version") < VERSION:
        components = {code: {"hour_counts": 0.0, **_Source(item, code).body} for code, item in components.items()}
    costs = _Source(source.value("costs"), f"{name}: costs").body
    if not all(map(_is_text, (*components, *costs))):
        raise ModelError(f"{name}: components and costs must be named by text.")
    model = LifeModel(
        components={code: _component_from(code, item) for code, item in components.items()},
        distance_unit=source.text("distance_unit"),
        currency=source.text("currency"),
        as_of=source.text("as_of"),
        service_interval=source.number("service_interval"),
        confidence=source.number("confidence"),
        costs={code: _cost_from(code, item) for code, item in costs.items()},
        fingerprint=source.text("fingerprint"),
    )
    _check_fleet_fields(model)
    return model


def _check_fleet_fields(model: LifeModel) -> None:
    """Refuse what no fleet can have."""
    if not 0.0 < model.confidence < 1.0:
        raise ModelError("field 'confidence' must be a share between 0 and 1.")
    if not (math.isnan(model.service_interval) or 0.0 < model.service_interval < math.inf):
        raise ModelError("field 'service_interval' must be a distance, or nan where it is not known.")
    try:
        date.fromisoformat(model.as_of)
    except ValueError:
        raise ModelError("field 'as_of' must be a date, such as 2026-06-30.") from None


def _cost_from(code: str, body: Any) -> ReplacementCost:
    source = _Source(body, f"costs.{code}")
    cost = ReplacementCost(planned=source.number("planned"), failed=source.number("failed"))
    if not all(math.isnan(value) or 0.0 <= value < math.inf for value in (cost.planned, cost.failed)):
        raise ModelError(f"costs.{code}: 'planned' and 'failed' must be amounts of money, 0 or more, or nan.")
    return cost


def read_model(path: Path) -> LifeModel:
    """Life model from a file.

    Parameters
    ----------
    path : Path
        JSON file written by `write_model`.

    Returns
    -------
    LifeModel
        The model.

    Raises
    ------
    ModelError
        If the file cannot be read or is not a valid model.
    """
    try:
        if path.exists() and not path.is_file():
            # A pipe that nobody writes to would be waited for without end.
            raise ModelError(f"Model file {path} is not a plain file; name the file that 'wearmodel fit' wrote.")
        if path.stat().st_size > _LARGEST_FILE:
            raise ModelError(f"{path.name} is larger than {_LARGEST_FILE >> 20} MiB and cannot be a life model.")
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise ModelError(f"Model file {path} cannot be read: {reason}; write it with 'wearmodel fit'.") from None
    return model_from_json(text, name=path.name)


def write_model(model: LifeModel, path: Path) -> None:
    """Write a life model; the previous file stays whole until the new one is complete.

    Parameters
    ----------
    model : LifeModel
        Fitted model.
    path : Path
        Target file.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    with whole_file(path) as temporary:
        temporary.write_text(model_to_json(model) + "\n", encoding="utf-8")

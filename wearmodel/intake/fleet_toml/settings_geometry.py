"""The sections of `fleet.toml` on shafts: geometry, tubes, and the limits of angles and shafts."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import inf, isnan
from types import MappingProxyType

from wearmodel.driveline.angle_limits import ANGLE_LIMITS, BOOT_JOINTS, AngleLimits
from wearmodel.driveline.angles import Geometry, ShaftLine
from wearmodel.driveline.shafts import MATERIALS, LineTubes, ShaftLimits
from wearmodel.intake.fleet_toml.toml_section import TomlSection

__all__ = ["GeometrySettings", "angle_limits_of", "geometry_of", "shaft_limits_of"]

_LINE_KEYS = (
    "shaft_lengths", "joint_angles", "yoke_twists", "tube_diameter", "tube_wall", "tube_material", "top_speed_rpm",
    "peak_torque",
)  # fmt: skip
_HALF_SHAFT_KEYS = ("half_shaft_length", "half_shaft_angle")
_LIMIT_KEYS = ("straight", "best_low", "best_high", "high")
_LONGEST_SHAFT, _LONGEST_HALF_SHAFT, _STEEPEST = 20_000.0, 5_000.0, 89.0
_WIDEST_TUBE, _FASTEST, _STRONGEST = 1_000.0, 100_000.0, 1e7
#: Wide enough for `TomlSection` to leave the judgement to the reader here.
_ANY = inf
_CLASS_UNKNOWN = "until then no angle of that class is used"
_TUBES_UNKNOWN = "until then the shafts of that line are not checked"


@dataclass(frozen=True)
class GeometrySettings:
    """What `[geometry]` says.

    Parameters
    ----------
    classes : mapping of str to Geometry
        By vehicle class; a class with an impossible figure has none.
    notes : tuple of str
        One sentence for each impossible figure; everything else is used.
    """

    classes: Mapping[str, Geometry]
    notes: tuple[str, ...]


def geometry_of(section: TomlSection, *, layouts: Mapping[str, Mapping[str, str]]) -> GeometrySettings:
    """Geometry by vehicle class, from `[geometry.X]`.

    Parameters
    ----------
    section : TomlSection
        `[geometry]`.
    layouts : mapping
        Known layouts: their positions give the names of the shaft lines.

    Returns
    -------
    GeometrySettings
        A figure that no shaft can have (length 0, an angle beyond 90 degrees, a wall beyond the radius) is a note, as
        the plan can be made without it; what is misspelt or of the wrong kind is a problem of `section`.
    """
    prefixes = {position.partition(".")[0] for positions in layouts.values() for position in positions}
    classes: dict[str, Geometry] = {}
    notes: list[str] = []
    for name, own in section.sections().items():
        faults: list[str] = []
        geometry = _geometry(own, prefixes, faults, notes)
        if not faults:
            classes[name] = geometry
        notes += faults
    return GeometrySettings(MappingProxyType(classes), tuple(notes))


def _geometry(own: TomlSection, prefixes: Collection[str], faults: list[str], notes: list[str]) -> Geometry:
    """One class; `faults` make its geometry unusable, `notes` only leave out checks of its shafts."""
    own.check_keys((*_HALF_SHAFT_KEYS, *sorted(prefixes)))
    lines: dict[str, ShaftLine] = {}
    for prefix in own.values:
        if prefix in prefixes:
            line = _shaft_line(own.section(prefix), own, prefix, faults, notes)
            if line is not None:
                lines[prefix] = line
    length, angle = (own.number(key, None, low=-_ANY, high=_ANY) for key in _HALF_SHAFT_KEYS)
    if (_HALF_SHAFT_KEYS[0] in own.values) != (_HALF_SHAFT_KEYS[1] in own.values):
        own.complain(_HALF_SHAFT_KEYS[0], "stands alone", "give half_shaft_length and half_shaft_angle together")
    _judge_lengths(own, _HALF_SHAFT_KEYS[0], (length,), faults, high=_LONGEST_HALF_SHAFT)
    _judge_angles(own, _HALF_SHAFT_KEYS[1], (angle,), faults)
    return Geometry(
        MappingProxyType(lines), None if isnan(length) else length, None if isnan(angle) else angle
    )


def _shaft_line(
    line: TomlSection, own: TomlSection, prefix: str, faults: list[str], notes: list[str]
) -> ShaftLine | None:
    """One line of shafts; None where it does not say what it must."""
    line.check_keys(_LINE_KEYS)
    lengths = line.numbers("shaft_lengths", low=-_ANY, high=_ANY)
    angles = line.numbers("joint_angles", low=-_ANY, high=_ANY)
    if not lengths or len(angles) != len(lengths) + 1:
        own.complain(
            prefix,
            f"{len(lengths)} shaft lengths and {len(angles)} joint angles",
            "give one length a shaft and one angle a joint, which is one more",
        )
        return None
    _judge_lengths(line, "shaft_lengths", lengths, faults, high=_LONGEST_SHAFT)
    _judge_angles(line, "joint_angles", angles, faults)
    twists = line.numbers("yoke_twists", low=-360.0, high=360.0)
    if twists and len(twists) != len(lengths):
        line.complain("yoke_twists", f"{len(twists)} twists for {len(lengths)} shafts", "give one twist a shaft")
    return ShaftLine(lengths, angles, twists, _tubes(line, len(lengths), notes))


def _judge_lengths(
    section: TomlSection, key: str, values: tuple[float, ...], faults: list[str], *, high: float
) -> None:
    span = f"more than 0 to {high:,.0f}"
    faults += [_note(section, key, v, span, _CLASS_UNKNOWN) for v in values if v <= 0.0 or v > high]


def _judge_angles(section: TomlSection, key: str, values: tuple[float, ...], faults: list[str]) -> None:
    span = f"from -{_STEEPEST:g} to {_STEEPEST:g}"
    faults += [_note(section, key, v, span, _CLASS_UNKNOWN) for v in values if abs(v) > _STEEPEST]


def _note(section: TomlSection, key: str, value: float, span: str, effect: str) -> str:
    return (
        f"fleet.toml, key {section.dotted(key)}: {value:.10g} is out of range; a number {span} is needed here, and "
        f"{effect}."
    )


def _tubes(line: TomlSection, shafts: int, notes: list[str]) -> LineTubes | None:
    """What the tubes of a line are; None where nothing, or nothing possible, is said."""
    given = {key: _for_each_shaft(line, key, shafts) for key in ("tube_diameter", "tube_wall")}
    diameters, walls = given["tube_diameter"], given["tube_wall"]
    if bool(diameters) != bool(walls):
        alone, other = ("tube_diameter", "tube_wall") if diameters else ("tube_wall", "tube_diameter")
        if alone in line.values and other not in line.values:
            line.complain(alone, "stands alone", "give tube_diameter and tube_wall together")
        return None
    material = line.text("tube_material", "steel", choices=tuple(MATERIALS), named=bool(diameters))
    single = {key: line.number(key, None, low=-_ANY, high=_ANY) for key in ("top_speed_rpm", "peak_torque")}
    faults: list[str] = []
    for key, values, high in (
        ("tube_diameter", diameters, _WIDEST_TUBE),
        ("tube_wall", walls, _WIDEST_TUBE),
        ("top_speed_rpm", (single["top_speed_rpm"],), _FASTEST),
        ("peak_torque", (single["peak_torque"],), _STRONGEST),
    ):
        faults += [
            _note(line, key, value, f"more than 0 to {high:,.0f}", _TUBES_UNKNOWN)
            for value in values
            if value <= 0.0 or value > high
        ]
    for diameter, wall in zip(diameters, walls, strict=True):
        if not faults and wall > diameter / 2.0:
            faults.append(
                f"fleet.toml, key {line.dotted('tube_wall')}: {wall:g} is beyond the radius of a tube of {diameter:g}; "
                f"correct the wall or the diameter, {_TUBES_UNKNOWN}."
            )
    notes += faults
    if faults or not (diameters or any(not isnan(value) for value in single.values())):
        return None
    return LineTubes(diameters, walls, material, single["top_speed_rpm"], single["peak_torque"])


def _for_each_shaft(line: TomlSection, key: str, shafts: int) -> tuple[float, ...]:
    """One number a shaft: a list of them, or one that holds for all; empty when missing or faulty."""
    if key not in line.values:
        return ()
    if not isinstance(line.values[key], list):
        value = line.number(key, None, low=-_ANY, high=_ANY)
        return () if isnan(value) else (value,) * shafts
    values = line.numbers(key, low=-_ANY, high=_ANY)
    if values and len(values) != shafts:
        line.complain(key, f"{len(values)} numbers for {shafts} shafts", "give one number, or one a shaft")
        return ()
    return values


def angle_limits_of(section: TomlSection, *, components: Collection[str]) -> Mapping[str, AngleLimits]:
    """Limits of joint angles by component: `[angle_limits.X]`, else common practice.

    Parameters
    ----------
    section : TomlSection
        `[angle_limits]`.
    components : collection of str
        Known component codes.

    Returns
    -------
    mapping of str to AngleLimits
        By component code; boots go by their joint and have none of their own.
    """
    known = [code for code in components if code not in BOOT_JOINTS]
    section.check_keys(known, remedy="correct it or add it under [components]; boots go by their joint")
    given = section.sections()
    limits: dict[str, AngleLimits] = {}
    for code in known:
        default = ANGLE_LIMITS.get(code)
        if code in given:
            limits[code] = _angle_limits(given[code], default)
        elif default is not None:
            limits[code] = default
            section.defaults.extend(f"{section.name}.{code}.{key}" for key in _said(default))
    return MappingProxyType(limits)


def _said(limits: AngleLimits) -> list[str]:
    """Keys that a set of limits says something in."""
    return [key for key in _LIMIT_KEYS if not isnan(getattr(limits, key)) and (key == "high" or getattr(limits, key))]


def _angle_limits(own: TomlSection, default: AngleLimits | None) -> AngleLimits:
    """Limits of one component; what is not said is common practice, or no limit."""
    own.check_keys(_LIMIT_KEYS)
    said = {} if default is None else {key: getattr(default, key) for key in _said(default)}
    figures = {key: own.number(key, said.get(key), high=_STEEPEST) for key in _LIMIT_KEYS}
    if "high" not in own.values and default is None:
        own.complain("high", "is missing", "give the angle above which the flag is raised")
    if isnan(figures["best_low"]) != isnan(figures["best_high"]):
        own.complain("best_low", "stands alone", "give best_low and best_high together")
    ordered = [figures[key] for key in _LIMIT_KEYS if not isnan(figures[key])]
    if ordered != sorted(ordered):
        shown = ", ".join(f"{key} {figures[key]:g}" for key in _LIMIT_KEYS if not isnan(figures[key]))
        own.complain("high", f"{shown} do not rise", "give straight, best_low, best_high and high in rising order")
    straight = 0.0 if isnan(figures["straight"]) else figures["straight"]
    return AngleLimits(figures["high"], straight, figures["best_low"], figures["best_high"])


def shaft_limits_of(section: TomlSection) -> ShaftLimits:
    """Limits of shafts and lines, from `[shaft_limits]`.

    Parameters
    ----------
    section : TomlSection
        `[shaft_limits]`.

    Returns
    -------
    ShaftLimits
        Complete; where `section` has complaints its figures are not to be used.
    """
    section.check_keys(("critical_speed_share", "residual_ripple", "torsional_stress"))
    usual = ShaftLimits()
    share = section.number("critical_speed_share", usual.critical_speed_share, high=1.0, open_low=True)
    ripple = section.number("residual_ripple", usual.residual_ripple, high=1.0, open_low=True)
    return ShaftLimits(share, ripple, section.number("torsional_stress", None, high=10_000.0, open_low=True))

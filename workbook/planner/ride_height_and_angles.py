"""Sheet "Ride height and angles": how far each class of vehicle can be raised, and what it costs in life."""

import pandas as pd

from wearmodel.driveline.angle_limits import BOOT_JOINTS
from wearmodel.policy.ride_heights import BEYOND, NOT_SETTLED, place_words
from workbook.planner.book import Book
from workbook.planner.charts import Line, band_chart
from workbook.planner.columns import Column, Place
from workbook.planner.formats import ALERT_INK, BLUE, GREY, ORANGE
from workbook.planner.page import GALLERY_SIZE, Page

__all__ = ["write_ride_height_and_angles"]

_MISSING = (
    "No joint angles can be shown: fleet.toml holds no [geometry.CLASS] sections with shaft lengths and angles that "
    "fit the drivelines."
)
_CAUTIONS = (
    "Raising a vehicle may need approval, and changes its handling, brakes and lights as well as its joints. The "
    "limits of the makers of vehicle, joint and shaft come first; those used here are common practice, and settings.",
    "Angles are those of the standing vehicle: suspension travel, load and steering add to them. Joints whose angle "
    "fleet.toml does not tell, such as those of a steered axle, are not shown.",
)
_HOW_TO_READ = (
    "Life ratio: life at that lift over life at factory height, in the same place and work, by the fleet's own curve "
    "with its {confidence} interval; beside it, for universal joints, the needle-bearing formula (double the angle, "
    "half the life; no gain below 1 degree). Where the record has not been, the ratio is the curve drawn on, not "
    "experience; where the interval reaches over 1 the record does not settle it, and the charts draw no line. "
    "Ripple: how far the speed behind one joint swings within a turn; of the line: what is left behind all its "
    "universal joints, with the yokes of each shaft in line unless fleet.toml says otherwise."
)
_NO_TUBES = (
    "No shaft can be checked: give tube_diameter and tube_wall, and top_speed_rpm and peak_torque where they are "
    "known, to a line of shafts in fleet.toml, as it is or as it is to be: rear.tube_diameter = 76.2, rear.tube_wall = "
    "2.1."
)
_FLAGS = {
    "straight": "nearly straight",
    "low": "below best",
    "best": "best",
    "raised": "above best",
    "high": "high",
    "within": "within reach",
}
_COLOURS = (BLUE, ORANGE, GREY)
_DASHES = ("solid", "dash", "round_dot")
_MOST_LINES = len(_COLOURS) * len(_DASHES)
_LIMIT = "high side, degrees:"
#: A limit is drawn where a joint comes nearer to it than this share of it.
_NEAR = 0.8
_KEYS = ["vehicle_class", "place", "component", "lift"]


def write_ride_height_and_angles(book: Book) -> None:
    """Write the sheet and its rows of chart data.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Ride height and angles"]
    page.title("Ride height and angles", subtitle="How far can we raise it? By class of vehicle, in steps of lift.")
    for caution in _CAUTIONS:
        page.paragraph(caution, role="caution")
    page.row += 1
    heights = _one_row_a_place(book)
    if heights.empty:
        page.paragraph(_MISSING, role="missing")
    else:
        _write_answers(book, page)
        page.break_here()
        classes = [(str(name), mine) for name, mine in heights.groupby("vehicle_class")]
        page.gallery([chart for name, mine in classes for chart in _charts(book, name, mine)])
        page.heading("Every joint, step by step")
        page.paragraph(_HOW_TO_READ.format(confidence=book.confidence))
        place = page.table(heights, _columns(book))
        _mark(book, page, place, "verdict", "high")
    page.row += 1
    _write_shaft_checks(book, page)
    page.finish(footer=book.footer)


def _one_row_a_place(book: Book) -> pd.DataFrame:
    """Rows with left and right in one, and drivelines of a class that do not differ in one."""
    heights = book.table("ride_heights")
    heights["place"] = heights["position"].map(place_words)
    heights["label"] = heights["component"].map(book.words.component)
    heights["verdict"] = heights["flag"].map(_FLAGS).fillna("")
    heights = heights[(heights["lift"] == 0.0) | _moves(heights)]
    figures = ["angle", "residual_ripple"]
    heights = heights.drop_duplicates([*_KEYS, *figures], ignore_index=True)
    # The same place in two drivelines of one class may stand at other angles: then the driveline tells them apart.
    twice = heights.duplicated(_KEYS, keep=False)
    heights.loc[twice, "place"] = heights["place"] + " (" + heights["driveline"] + ")"
    return heights


def _moves(heights: pd.DataFrame) -> "pd.Series[bool]":
    """Whether ride height changes the angle of each row's place."""
    angle = heights.groupby(["vehicle_class", "driveline", "position"])["angle"]
    return angle.transform("max") > angle.transform("min")


def _mark(book: Book, page: Page, place: Place, column: str, word: str) -> None:
    """Make a word stand out wherever it stands in a column."""
    at = place.columns[column]
    rule = {"type": "cell", "criteria": "==", "value": f'"{word}"', "format": book.formats.rule("alert")}
    page.sheet.conditional_format(place.first_row, at, place.last_row, at, rule)


def _write_answers(book: Book, page: Page) -> None:
    page.heading("How far can we raise it?")
    for row in book.table("ride_height_limits").to_dict("records"):
        page.paragraph(f"{row['vehicle_class']}: {row['sentence']} {row['life_sentence']}")


def _columns(book: Book) -> list[Column]:
    return [
        Column("vehicle_class", "Vehicle class"),
        Column("place", "Position"),
        Column("label", "Component"),
        Column("lift", "Lift (mm)", "count"),
        Column("angle", "Angle (deg)", "decimal1"),
        Column("verdict", "Angle is"),
        Column("ripple", "Speed ripple (%)", "percent2"),
        Column("residual_ripple", "Ripple left by the line (%)", "percent2"),
        Column("line_remark", "Line is"),
        Column("life_ratio", "Life ratio, record", "decimal2"),
        Column("lower", f"Low ({book.confidence})", "decimal2"),
        Column("upper", f"High ({book.confidence})", "decimal2"),
        Column("bearing_ratio", "Life ratio, bearing formula", "decimal2"),
        Column("record", "Record"),
    ]


def _charts(book: Book, name: str, mine: pd.DataFrame) -> list[object]:
    """Angle and life ratio of one class against lift."""
    joints = mine[(mine["flag"] != "") & ~mine["component"].isin(BOOT_JOINTS)]
    angles = _with_limits(_wide(joints, "angle"), joints)
    settled = ~mine["component"].isin(mine.loc[mine["record"].str.contains(NOT_SETTLED, regex=False), "component"])
    ratios = _wide(mine[mine["life_ratio"].notna() & settled], "life_ratio")
    beyond = mine.loc[mine["record"].str.contains(BEYOND, regex=False) & (mine["lift"] > 0), "lift"]
    lift = "Lift (mm)" if beyond.empty else f"Lift (mm); from {beyond.min():g} on beyond what the record saw in part"
    charts = []
    for title, wide, unit, number, top in (
        (f"{name}: joint angle", angles, "degrees", "0", None),
        (f"{name}: life over life at factory height", ratios, "life ratio", "0.0", 1.0),
    ):
        if wide.empty or len(wide) < 2:
            continue
        place = _write_chart_rows(book, title, wide, "decimal1" if top is None else "decimal3")
        highest = None if top is None or wide.drop(columns="lift").max().max() > top else top
        charts.append(
            band_chart(
                book.workbook,
                title,
                categories=place.series("lift"),
                band=None,
                lines=_lines(place, [column for column in wide.columns if column != "lift"]),
                x_name=lift,
                y_name=unit,
                x_format="0",
                y_format=number,
                y_max=highest,
                size=GALLERY_SIZE,
            )
        )
    return charts


def _with_limits(wide: pd.DataFrame, joints: pd.DataFrame) -> pd.DataFrame:
    """The same with a level line for each limit that one of its joints comes near."""
    near = joints[joints["angle"] > _NEAR * joints["limit"]]
    return wide.assign(**{f"{_LIMIT} {limit:g}": limit for limit in sorted(near["limit"].unique())})


def _joined(names: list[str]) -> str:
    """Several places in one name, what they begin with said once."""
    first, *others = names
    begin = "left and right " if first.startswith("left and right ") else ""
    return ", ".join([first, *(name.removeprefix(begin) for name in others)])


def _wide(rows: pd.DataFrame, figure: str) -> pd.DataFrame:
    """One column a place or, where a figure is the same all the way, one for all of these places."""
    if rows.empty:
        return pd.DataFrame()
    kind = "place" if figure == "angle" else "label"
    columns: dict[str, pd.Series] = {}
    names: dict[tuple[float, ...], list[str]] = {}
    lifts = sorted(rows["lift"].unique())
    for name, mine in rows.groupby(kind, sort=False):
        # Of several places of one component the one that loses most speaks for it.
        series = mine.groupby("lift")[figure].max() if figure == "angle" else mine.groupby("lift")[figure].min()
        series = series.reindex(lifts)
        if series.notna().sum() < 2:  # a place that does not move has one row, and no line
            continue
        key = tuple(series.round(9).fillna(-1.0))
        names.setdefault(key, []).append(str(name))
        columns.setdefault(names[key][0], series)
    shown = list(columns.items())[:_MOST_LINES]
    joined = {found[0]: _joined(found) for found in names.values()}
    return pd.DataFrame({"lift": lifts, **{joined[name]: series.to_numpy() for name, series in shown}})


def _write_chart_rows(book: Book, title: str, wide: pd.DataFrame, kind: str) -> Place:
    data = book.pages["Chart data"]
    data.heading(title)
    names = [str(name) for name in wide.columns if name != "lift"]
    columns = [Column("lift", "Lift (mm)", "count"), *(Column(name, name, kind) for name in names)]
    place = data.table(wide, columns)
    data.row += 1
    return place


def _lines(place: Place, names: list[str]) -> list[Line]:
    """A look of its own for each line, colours first, then dashes; limits are thin."""
    places = [name for name in names if not name.startswith(_LIMIT)]
    lines = [
        Line(name, place.series(name), _COLOURS[at % len(_COLOURS)], _DASHES[at // len(_COLOURS)])
        for at, name in enumerate(places)
    ]
    return lines + [Line(name, place.series(name), ALERT_INK, "dash", 1.0) for name in names if name not in places]


def _write_shaft_checks(book: Book, page: Page) -> None:
    page.heading("Shafts: critical speed and torsion")
    checks = book.table("shaft_checks")
    if checks.empty:
        page.paragraph(_NO_TUBES, role="missing")
        return
    page.paragraph(
        "First bending critical speed of each tube between its joints, an even tube on simple supports: yokes, slip "
        "parts and soft mountings lower it. Torsional stress and twist at the peak torque given. A shaft that is "
        "changed is checked anew; its maker's limits come first."
    )
    columns = [
        Column("vehicle_class", "Vehicle class"),
        Column("line", "Line"),
        Column("shaft", "Shaft from front", "count"),
        Column("length", "Length (mm)", "count"),
        Column("outer_diameter", "Diameter (mm)", "decimal1"),
        Column("wall", "Wall (mm)", "decimal2"),
        Column("material", "Material"),
        Column("critical_speed", "Critical speed (rpm)", "count"),
        Column("top_speed", "Top speed (rpm)", "count"),
        Column("speed_share", "Top over critical speed (%)", "percent0"),
        Column("torsional_stress", "Torsional stress (MPa)", "decimal1"),
        Column("twist", "Twist (deg)", "decimal2"),
        Column("remark", "Remark"),
    ]
    page.table(checks, columns)

"""Colours and cell formats of the planner workbook.

Blue, orange and grey keep apart for every common kind of colour blindness and on a grey printer. Colour
never carries a meaning alone: input cells also have a border, alerts are also bold.
"""

from typing import Any

__all__ = [
    "ALERT_FILL",
    "ALERT_INK",
    "BAND_BLUE",
    "BAND_GREY",
    "BAND_ORANGE",
    "BLUE",
    "FONT_NAME",
    "FONT_SIZE",
    "GREY",
    "INK",
    "ORANGE",
    "POLICY_COLOURS",
    "POLICY_DASHES",
    "RULE",
    "Formats",
]

FONT_NAME = "Arial"
FONT_SIZE = 10

INK = "#1F2D3A"
SLATE = "#35495C"
RULE = "#CFD6DD"
PAPER = "#F3F5F7"
BLUE = "#1D6A96"
ORANGE = "#C4621B"
GREY = "#76818B"
BAND_BLUE = "#BFD9E8"
BAND_ORANGE = "#F2D2B6"
BAND_GREY = "#DDE2E6"
INPUT_FILL = "#FFF2C4"
LIVE_FILL = "#E8F1F5"
ALERT_FILL = "#F7D8C2"
ALERT_INK = "#7A2E05"
CAUTION_FILL = "#FCF0DA"

POLICY_COLOURS = {"run_to_failure": ORANGE, "planned": BLUE, "present_practice": GREY, "own_policy": INK}
#: Lines of policies differ on a grey printer too.
POLICY_DASHES = {"planned": "long_dash", "present_practice": "dash", "own_policy": "round_dot"}

_NUMBER_FORMATS = {
    "count": "#,##0",
    "distance": "#,##0",
    "decimal1": "#,##0.0",
    "decimal2": "#,##0.00",
    "decimal3": "#,##0.000",
    "money": "#,##0",
    "money2": "#,##0.00",
    "percent": "0.0%",
    "percent0": "0%",
    "percent2": "0.00%",
    "date": "yyyy-mm-dd",
    "month": "yyyy-mm",
}

_BODY = {"bottom": 1, "bottom_color": RULE, "valign": "vcenter"}

_ROLES: dict[str, dict[str, Any]] = {
    "body": _BODY,
    "alert": {**_BODY, "bg_color": ALERT_FILL, "font_color": ALERT_INK, "bold": True},
    "input": {"border": 1, "border_color": GREY, "bg_color": INPUT_FILL, "valign": "vcenter"},
    "live": {**_BODY, "bg_color": LIVE_FILL},
    "total": {"top": 1, "bottom": 1, "border_color": SLATE, "bold": True, "bg_color": PAPER, "valign": "vcenter"},
    "head": {
        "bold": True,
        "font_color": "#FFFFFF",
        "bg_color": SLATE,
        "text_wrap": True,
        "valign": "vcenter",
        "border": 1,
        "border_color": "#FFFFFF",
    },
    "number_head": {
        "bold": True,
        "font_color": "#FFFFFF",
        "bg_color": SLATE,
        "text_wrap": True,
        "align": "right",
        "valign": "vcenter",
        "border": 1,
        "border_color": "#FFFFFF",
    },
    "title": {"bold": True, "font_size": 18, "font_color": INK, "valign": "vcenter"},
    "subtitle": {"font_color": GREY, "valign": "vcenter"},
    "heading": {"bold": True, "font_size": 12, "font_color": BLUE, "bottom": 2, "bottom_color": BLUE},
    "note": {"valign": "vcenter", "font_color": INK},
    "missing": {"valign": "vcenter", "italic": True, "bg_color": PAPER, "border": 1, "border_color": RULE},
    "caution": {"valign": "vcenter", "bg_color": CAUTION_FILL, "font_color": INK},
    "link": {**_BODY, "font_color": BLUE, "underline": 1},
}

# A little air before text, which else would touch the number on its left.
_INDENTED = frozenset({"body", "alert", "input", "live", "total", "head", "link", "note", "missing", "caution"})


class Formats:
    """Every cell format of one workbook, made once on first use.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        The workbook the formats belong to.
    """

    def __init__(self, workbook: Any) -> None:
        self._workbook = workbook
        self._made: dict[tuple[str, str, bool, bool, bool], Any] = {}

    def cell(
        self, kind: str, *, role: str = "body", wrap: bool = False, quoted: bool = False, top: bool = False
    ) -> Any:
        """The format of a cell holding `kind` of value in `role`.

        Parameters
        ----------
        kind : str
            `text`, or a number kind (`count`, `money`, `percent`, `date`, ...).
        role : str
            `body`, `input`, `live`, `total`, `head`, `note`, ...
        wrap : bool
            Break long text over several lines.
        quoted : bool
            Mark the cell as text that a spreadsheet program must not take for a formula on editing.
        top : bool
            Begin at the top of the cell: for text longer than its cell is high.

        Returns
        -------
        xlsxwriter.format.Format
        """
        key = (kind, role, wrap, quoted, top)
        if key not in self._made:
            properties = dict(_ROLES[role])
            if kind in _NUMBER_FORMATS:
                properties["num_format"] = _NUMBER_FORMATS[kind]
            if kind in ("text", "mixed") and role in _INDENTED:
                properties.update(align="left", indent=1)
            if wrap:
                properties["text_wrap"] = True
            if top:
                properties["valign"] = "top"
            if quoted:
                properties["quote_prefix"] = True
            self._made[key] = self._workbook.add_format(properties)
        return self._made[key]

    def rule(self, name: str) -> Any:
        """The format a conditional rule applies: `alert` or `strong`."""
        key = ("rule", name, False, False, False)
        if key not in self._made:
            properties: dict[str, Any] = {"bold": True, "font_color": ALERT_INK}
            if name == "alert":
                properties["bg_color"] = ALERT_FILL
            self._made[key] = self._workbook.add_format(properties)
        return self._made[key]

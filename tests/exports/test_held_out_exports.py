"""Shops written to be held out: their files against truth, and sides against what a line may say. Nothing is read."""

import csv
import re
from collections import Counter

import numpy as np
import openpyxl
import pytest
import shop_t
import shop_u
import shop_v
import shop_w
import shop_x
import shop_y
from exporting import export_fleet
from held_out import shop_aa, shop_ab, shop_i, shop_o, shop_p, shop_z
from shops import shop_named
from true_jobs import IDLE_KINDS, build_jobs

from wearmodel.simulate.fleet import simulate_fleet

NAMES = ("I", "O", "P", "T", "U", "V", "W", "X", "Y", "Z", "AA", "AB")
REASONS = {"failed", "worn", "planned", "collateral", "damage", "comeback"}
#: Workbook, sheet and columns of the text; pattern of the files, delimiter, encoding and columns of the text.
WORKBOOKS = {
    "O": ("RO history.xlsx", "RO lines", slice(4, 7)),
    "P": ("LV work history.xlsx", "WO history", slice(4, 5)),
    "T": ("plant_history.xlsx", "Job cards", slice(4, 6)),
    "V": ("workshop jobs.xlsx", "Job lines", slice(4, 5)),
    "AB": ("shop log.xlsx", "Log", slice(4, 5)),
}
DELIMITED = {
    "I": ("JOBCARDS.TXT", "\t", "cp1252", slice(4, 5)),
    "U": ("job cards*.csv", ";", "cp1252", slice(4, 5)),
    "W": ("WO_LINES*.CSV", ",", "utf-8", slice(4, 7)),
    "X": ("wo_history.txt", "\t", "utf-8-sig", slice(4, 6)),
    "Y": ("orders.csv", ";", "cp1252", slice(6, 7)),
    "Z": ("ro_lines.txt", "\t", "cp1252", slice(4, 6)),
    "AA": ("jobs_*.csv", ";", "cp1252", slice(4, 7)),
}
#: Where the order stands; in the first column with the other shops.
ORDER_COLUMN = {"AA": 1, "AB": 2}
#: Share of the single lines with codes; the other shops have none.
CODED = {"O": 0.3, "P": 0.30, "T": 0.42, "Y": 0.36}


def written_rows(name, folder):
    """(file, row) -> order and words as they stand in the files."""
    order = ORDER_COLUMN.get(name, 0)
    if name in WORKBOOKS:
        file, title, texts = WORKBOOKS[name]
        book = openpyxl.load_workbook(folder / file)
        label = f"{file} sheet {title}" if len(book.sheetnames) > 1 else file
        return {
            (label, number): (row[order], " / ".join(text for text in row[texts] if text))
            for number, row in enumerate(book[title].iter_rows(values_only=True), 1)
        }
    pattern, delimiter, encoding, texts = DELIMITED[name]
    return {
        (path.name, number): (row[order], " / ".join(text for text in row[texts] if text))
        for path in folder.glob(pattern)
        for number, row in enumerate(
            csv.reader(path.read_text(encoding=encoding).splitlines(), delimiter=delimiter), 1
        )
        if len(row) > 4
    }


@pytest.mark.parametrize("messy", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_true_rows_name_the_rows_of_the_files(tmp_path, name, messy):
    export = export_fleet(shop_named(name), tmp_path, seed=1, vehicles=40, years=4, messy=messy)
    written = written_rows(name, tmp_path)
    assert len(export.rows) > 50
    assert len({(row.file, row.row) for row in export.rows}) == len(export.rows)
    agree = [written[row.file, row.row][1] == row.words for row in export.rows]
    assert all(agree)
    number = [re.findall(r"\d+", written[row.file, row.row][0])[-1] for row in export.rows]
    assert all(int(shown) == int(row.order) for shown, row in zip(number, export.rows, strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_the_same_seed_gives_the_same_export_and_another_does_not(tmp_path, name):
    options = {"vehicles": 10, "years": 2}
    one = export_fleet(shop_named(name), tmp_path / "one", seed=1, **options)
    two = export_fleet(shop_named(name), tmp_path / "two", seed=1, **options)
    other = export_fleet(shop_named(name), tmp_path / "other", seed=2, **options)
    assert one.rows == two.rows
    assert one.rows != other.rows
    assert (tmp_path / "one" / "fleet.toml").read_bytes() == (tmp_path / "two" / "fleet.toml").read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_every_kind_of_line_and_every_reason_occurs(tmp_path, name):
    rows = export_fleet(shop_named(name), tmp_path, seed=3, vehicles=120, years=6).rows
    assert {row.kind for row in rows} == {"renewal", "other", *IDLE_KINDS}
    leads = [part for row in rows for part in row.parts if part.lead]
    assert {part.reason for part in leads} == REASONS
    places = Counter(part.place for part in leads)
    assert set(places) == {"full", "part", "order", "none"}
    assert not all(part.reason_said for part in leads)
    single = [row for row in rows if len(row.parts) == 1]
    coded = sum(row.coded for row in single) / len(single)
    assert abs(coded - CODED[name]) < 0.1 if name in CODED else coded == 0
    assert all(row.words for row in rows)


def clauses(name, *, seed):
    """Jobs with the clause a shop words them by, without further work or slips of the pen."""
    rng = np.random.default_rng(seed)
    jobs = build_jobs(rng, simulate_fleet(rng, vehicles=60, years=6, dirt=False).tables)
    for job in jobs:
        if job.kind != "other" and name == "T":
            yield job, " / ".join(shop_t._told(rng, job))
        elif job.kind != "other" and name == "U":
            for hand in shop_u.HANDS:
                yield job, shop_u._clause(rng, hand, job)
        elif job.kind != "other":
            yield job, MODULES[name].clause(rng, job).replace("||", "/")


MODULES = {
    "I": shop_i, "O": shop_o, "P": shop_p, "V": shop_v,
    "W": shop_w, "X": shop_x, "Y": shop_y, "Z": shop_z, "AA": shop_aa, "AB": shop_ab,
}
VOICES = {"T": (shop_t.VOICE,), "U": (shop_u.ADVISER, shop_u.FITTER)} | {
    name: module.VOICES[:1] for name, module in MODULES.items()
}
#: Sides that name no place: "left out", "not installed right".
NO_PLACE = re.compile(r"\bleft (?:out|loose)\b|\binstalled right\b", re.IGNORECASE)


def sides_named(name, text):
    """Sides a text names; words of both sides at once count for both."""
    ways = [
        (way.replace("{n}", "").strip(), side)
        for voice in VOICES[name]
        for side, some in voice.sides.items()
        for way in some
        # Sides on either side of the name, and those said of two at once, are found by their parts.
        if not re.search(r"\w.*\{n\}.*\w", way)
    ]
    found = set()
    text = NO_PLACE.sub("~", text)
    # The longest first, so that "co-driver side" is not taken for "driver side".
    for way, side in sorted(ways, key=lambda pair: -len(pair[0])):
        pattern = rf"(?<![\w/-]){re.escape(way)}(?![\w/])(?! (?:the crew|slack|road|it)\b)"
        if re.search(pattern, text):
            found |= {"left", "right"} if side == "both" else {side}
            text = re.sub(pattern, "~", text)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_a_line_says_the_side_the_job_asks_for_and_no_other(name):
    wrong = 0
    seen = 0
    for job, text in clauses(name, seed=4):
        starts = [part.position.split(".")[0].removeprefix("axle_") for part in job.parts]
        wanted = {side for side in starts if side in ("left", "right")} if job.place == "full" else set()
        seen += bool(wanted)
        wrong += sides_named(name, text) != wanted
    assert seen > 100
    assert wrong == 0


@pytest.mark.parametrize("name", NAMES)
def test_no_phrase_is_left_unfilled(name):
    texts = [text for _, text in clauses(name, seed=5)]
    assert sum(bool(re.search(r"[{}\[\]|]|  ", text)) for text in texts) == 0

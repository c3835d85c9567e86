"""The planner as a package: its parts, their types and relations, and three readers that see the same."""

import datetime
import posixpath
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from planner_example import build_example_plan
from python_calamine import CalamineWorkbook
from recalculation import convert, read_book

from workbook.function_list import function_rows
from workbook.planner import write_planner
from workbook.routes.excel_setup import IMPORT_MACRO, macro_project

TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
RELATION = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"


@pytest.fixture(scope="module", params=["xlsx", "xlsm"])
def planner(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("package") / f"planner.{request.param}"
    macros = (macro_project(), IMPORT_MACRO) if request.param == "xlsm" else None
    write_planner(build_example_plan(), path, functions=function_rows(), macros=macros)
    return path


def test_every_part_is_whole_and_has_one_type(planner: Path) -> None:
    with zipfile.ZipFile(planner) as archive:
        names = archive.namelist()
        assert archive.testzip() is None
        assert len(names) == len(set(map(str.casefold, names)))
        types = ElementTree.fromstring(archive.read("[Content_Types].xml"))
        endings = {node.get("Extension") for node in types.iter(f"{TYPES}Default")}
        parts = [str(node.get("PartName")) for node in types.iter(f"{TYPES}Override")]
        assert len(parts) == len(set(parts))
        assert {part.removeprefix("/") for part in parts} <= set(names)
        for name in names:
            if name.endswith((".xml", ".rels", ".vml")):
                ElementTree.fromstring(archive.read(name))
            assert name == "[Content_Types].xml" or f"/{name}" in parts or name.rpartition(".")[2] in endings, name


def test_every_relation_leads_to_a_part(planner: Path) -> None:
    with zipfile.ZipFile(planner) as archive:
        names = set(archive.namelist())
        relations = [name for name in names if name.endswith(".rels")]
        assert "_rels/.rels" in relations
        for name in relations:
            folder = posixpath.dirname(posixpath.dirname(name))
            own = ElementTree.fromstring(archive.read(name)).findall(RELATION)
            assert len({node.get("Id") for node in own}) == len(own)
            for node in own:
                target = str(node.get("Target"))
                if node.get("TargetMode") != "External":
                    found = posixpath.normpath(posixpath.join(folder, target)) if target[0] != "/" else target[1:]
                    assert found in names, (name, target)


def plain(value: Any) -> Any:
    """A cell as all readers give it: dates as their day, numbers as floats, blank as an empty text."""
    if isinstance(value, datetime.datetime):
        return value.date()
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else value or ""


def rows_of(rows: list[list[Any]]) -> list[list[Any]]:
    """Cells to the last filled one of each row, to the last filled row."""
    out = [[plain(value) for value in row] for row in rows]
    for row in out:
        while row and row[-1] == "":
            row.pop()
    while out and not out[-1]:
        out.pop()
    return out


def test_three_readers_see_the_same(planner: Path, tmp_path: Path) -> None:
    book = read_book(planner, values=True)
    quick = CalamineWorkbook.from_path(str(planner))
    assert quick.sheet_names == book.sheetnames
    saved = read_book(convert(planner, to="xlsx", folder=tmp_path), values=True)
    assert saved.sheetnames == book.sheetnames
    for sheet in book.worksheets:
        rows = rows_of([list(row) for row in sheet.iter_rows(values_only=True)])
        assert rows, sheet.title
        assert rows_of(quick.get_sheet_by_name(sheet.title).to_python(skip_empty_area=False)) == rows, sheet.title
        again = rows_of([list(row) for row in saved[sheet.title].iter_rows(values_only=True)])
        assert len(again) == len(rows), sheet.title
        for found, expected in zip(again, rows, strict=True):
            assert [same(one, other) for one, other in zip(found, expected, strict=True)] == [True] * len(expected)


def same(found: Any, expected: Any) -> bool:
    """Whether two readers' cells are one, numbers within what a recalculation may change."""
    close = isinstance(expected, float) and isinstance(found, float)
    return bool(found == pytest.approx(expected, rel=1e-9, abs=1e-12)) if close else bool(found == expected)

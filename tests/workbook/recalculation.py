"""Recalculates a workbook in LibreOffice, in a private profile, and compares it with its cached values."""

import math
import os
import shutil
import subprocess
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest

PACKAGES = "libreoffice-calc python3-uno python3-numpy poppler-utils"
_TIME_LIMIT = 180

# Mode 0: recalculate every formula of an OOXML file on loading, whatever is cached in it.
ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


@dataclass(frozen=True)
class Difference:
    """A formula cell whose cached value is not what the recalculation gives."""

    sheet: str
    cell: str
    formula: str
    cached: Any
    recalculated: Any


def require_program(name: str) -> str:
    """Path of a program; without it the test is skipped, or fails where CI=true."""
    found = shutil.which(name)
    if found is None:
        reason = f"{name} is not installed; Debian packages: {PACKAGES}"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    return found


def open_book(path: Path, *, values: bool) -> Any:
    """The workbook by openpyxl: cached values, or formulas."""
    with warnings.catch_warnings():
        # openpyxl does not read data bars of the 2010 extension; nothing here needs them.
        warnings.filterwarnings("ignore", message=".*extension is not supported", category=UserWarning)
        return openpyxl.load_workbook(path, data_only=values)


def read_book(path: Path, *, values: bool) -> Any:
    """The workbook to look at, never to change: opened once as long as the file stays as it is."""
    found = path.stat()
    return _kept_book(path, found.st_mtime_ns, found.st_size, values)


@lru_cache(maxsize=6)
def _kept_book(path: Path, _modified: int, _size: int, values: bool) -> Any:
    return open_book(path, values=values)


def convert(path: Path, *, to: str, folder: Path) -> Path:
    """The file recalculated and saved by LibreOffice in another format, in `folder`."""
    soffice = require_program("soffice")
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(ALWAYS_RECALCULATE, encoding="utf-8")
    out = folder / "converted"
    command = [
        soffice,
        f"-env:UserInstallation={profile.as_uri()}",
        "--headless",
        "--convert-to",
        to,
        "--outdir",
        str(out),
        str(path),
    ]
    run = subprocess.run(command, capture_output=True, text=True, timeout=_TIME_LIMIT, check=False)
    target = out / f"{path.stem}.{to}"
    # It exits with 0 on failure too: only the file proves that it worked.
    assert target.is_file(), f"LibreOffice wrote no {to}: {run.stdout} {run.stderr}"
    return target


def formula_cells(path: Path) -> Iterator[tuple[str, str, str]]:
    """Sheet, cell and formula text of every formula."""
    for sheet in read_book(path, values=False).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    yield sheet.title, cell.coordinate, str(cell.value)


def _same(cached: Any, recalculated: Any, rtol: float) -> bool:
    if isinstance(cached, (int, float)) and isinstance(recalculated, (int, float)):
        return math.isclose(cached, recalculated, rel_tol=rtol, abs_tol=1e-12)
    # openpyxl reads an empty text as None.
    return bool((cached or "") == (recalculated or "")) and not isinstance(cached, float | int)


def differences(path: Path, recalculated: Path, *, rtol: float = 1e-9) -> list[Difference]:
    """Formula cells of `path` whose cached value differs from the recalculated file's."""
    before, after = read_book(path, values=True), read_book(recalculated, values=True)
    found = []
    for sheet, cell, formula in formula_cells(path):
        cached, new = before[sheet][cell].value, after[sheet][cell].value
        if not _same(cached, new, rtol):
            found.append(Difference(sheet, cell, formula, cached, new))
    return found

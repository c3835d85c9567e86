"""From raw exports of an invented shop to answers kept: what a planner does in the first hour."""

import tomllib
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from exporting import export_fleet
from shops import shop_named

from wearmodel.cli import main


@pytest.fixture(scope="module")
def export(tmp_path_factory):
    """A messy export with odometer faults, and the settings that belong to it kept apart."""
    folder = tmp_path_factory.mktemp("export") / "shop"
    export_fleet(shop_named("A"), folder, seed=11, vehicles=30, years=4, messy=True, odometer_faults=True)
    settings = (folder / "fleet.toml").read_text(encoding="utf-8")
    (folder / "fleet.toml").unlink()
    return folder, settings


@pytest.fixture
def mapped(export, tmp_path):
    """A copy of the export with its settings."""
    folder, settings = export
    copy = tmp_path / "shop"
    copy.mkdir()
    for path in folder.iterdir():
        if path.is_file() and path.name not in ("fleet.toml", "corrections.csv"):
            (copy / path.name).write_bytes(path.read_bytes())
    (copy / "fleet.toml").write_text(settings, encoding="utf-8")
    return copy


def test_check_proposes_a_mapping_and_asks(export, capsys):
    folder, _ = export
    assert main(["check", str(folder)]) == 2
    seen = capsys.readouterr()
    proposed = tomllib.loads((folder / "fleet.toml").read_text(encoding="utf-8"))
    assert proposed["tables"]["repairs"]["columns"]["order"] == "Auftrag"
    assert proposed["tables"]["repairs"]["columns"]["odometer"] == "km-Stand"
    assert "[tables.repairs]" in seen.out
    assert "which driveline layout" in seen.err and "Answer in" in seen.err
    written = (folder / "fleet.toml").read_bytes()
    main(["check", str(folder)])
    assert (folder / "fleet.toml").read_bytes() == written, "a file that is there is never overwritten"
    capsys.readouterr()


def test_every_row_is_accounted_for(mapped, tmp_path, capsys):
    assert main(["check", str(mapped), "--tables", str(tmp_path / "t")]) == 0
    capsys.readouterr()
    table = pd.read_csv(tmp_path / "t" / "reconciliation.csv")
    parts = ["used_as_given", "used_repaired", "set_aside", "waiting_for_review"]
    assert (table["rows_read"] == table[parts].sum(axis=1)).all()
    assert table.set_index("table").loc["repairs", "waiting_for_review"] > 0
    lines = (mapped / "auftraege.csv").read_bytes().decode("cp1252").splitlines()
    headings = next(i for i, line in enumerate(lines) if line.startswith("Auftrag;"))
    filled = [line for line in lines[headings + 1 :] if line.strip(";\" ")]
    # No cell of this shop holds a line break, so that lines can be counted without a reader of CSV.
    assert table.set_index("table").loc["repairs", "rows_read"] == len(filled)


def answered(path: Path, target: Path) -> dict[str, str]:
    """The workbook with every suggestion taken that has one, and the keys of those questions by kind."""
    with pytest.warns(UserWarning):
        book = openpyxl.load_workbook(path)
    sheet = book["To settle"]
    head = next(row[0].row for row in sheet.iter_rows() if any(c.value == "Take the suggestion" for c in row))
    names = {cell.value: cell.column for cell in sheet[head] if cell.value}
    taken = {}
    for row in range(head + 1, sheet.max_row + 1):
        key = sheet.cell(row, names["Key"]).value
        suggested = [sheet.cell(row, names[f"Suggested {n}"]).value for n in ("component", "reason", "odometer")]
        about = sheet.cell(row, names["About"]).value
        if key and ((about == "odometer" and suggested[2]) or (suggested[0] and suggested[1])):
            sheet.cell(row, names["Take the suggestion"]).value = "x"
            taken[str(key)] = str(about)
    book.save(target)
    return taken


def test_answers_are_kept_and_never_asked_again(mapped, tmp_path, capsys):
    out = tmp_path / "planner.xlsx"
    assert main(["plan", str(mapped), "--out", str(out), "--tables", str(tmp_path / "before")]) == 0
    before = pd.read_csv(tmp_path / "before" / "review.csv", dtype=str)
    taken = answered(out, tmp_path / "answers.xlsx")
    assert {"odometer", "words"} <= set(taken.values())
    arguments = ["plan", str(mapped), "--out", str(out), "--tables", str(tmp_path / "after")]
    assert main([*arguments, "--review", str(tmp_path / "answers.xlsx")]) == 0
    assert f"{len(taken):,} answers read" in capsys.readouterr().out
    after = pd.read_csv(tmp_path / "after" / "review.csv", dtype=str)
    assert not set(taken) & set(after["key"])
    words = {key for key, kind in taken.items() if kind == "words"}
    rows = before[before["key"].isin(words)]
    aside = pd.read_csv(tmp_path / "after" / "set_aside.csv", dtype=str)
    at = aside[aside["file"].isin(rows["file"])].merge(rows[["file", "row"]], on=["file", "row"])
    assert not (at["waits"] == "True").any()
    kept = (mapped / "corrections.csv").read_bytes()
    # Without the workbook the answers still hold, and nothing is written anew.
    assert main(["check", str(mapped), "--tables", str(tmp_path / "again")]) == 0
    again = pd.read_csv(tmp_path / "again" / "review.csv", dtype=str)
    assert set(again["key"]) == set(after["key"])
    assert (mapped / "corrections.csv").read_bytes() == kept
    capsys.readouterr()


def test_a_workbook_without_answers_is_refused_in_one_sentence(mapped, tmp_path, capsys):
    book = openpyxl.Workbook()
    book.save(tmp_path / "other.xlsx")
    assert main(["check", str(mapped), "--review", str(tmp_path / "other.xlsx")]) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1 and "other.xlsx" in error
    assert main(["check", str(mapped), "--review", str(tmp_path / "missing.xlsx")]) == 2
    assert "missing.xlsx" in capsys.readouterr().err

"""Which files of a folder are read, and which are refused."""

import os
import shutil

import pytest

from wearmodel.errors import InputError
from wearmodel.intake.cells import delimited_text
from wearmodel.intake.fleet import read_fleet


def test_names_in_any_letter_case(fleet):
    expected = fleet.read().tables["repairs"].drop(columns="file")
    (fleet.path / "repairs.csv").rename(fleet.path / "Repairs.CSV")
    (fleet.path / "README.md").write_text("unit,date\n")
    result = read_fleet(fleet.path)
    assert result.tables["repairs"].drop(columns="file").equals(expected)
    assert set(result.tables["repairs"]["file"]) == {"Repairs.CSV"}


def test_link_out_of_the_folder(fleet, tmp_path):
    fleet.write()
    shutil.move(fleet.path / "stock.csv", tmp_path / "elsewhere.csv")
    (fleet.path / "stock.csv").symlink_to(tmp_path / "elsewhere.csv")
    with pytest.raises(InputError, match=r"^stock.csv is a link that leads out of the fleet folder; put the file"):
        read_fleet(fleet.path)


def test_link_within_the_folder_is_in_order(fleet):
    fleet.write()
    (fleet.path / "stock.csv").rename(fleet.path / "s.txt")
    (fleet.path / "stock.csv").symlink_to(fleet.path / "s.txt")
    assert len(read_fleet(fleet.path).tables["stock"]) == 1


def test_link_to_nowhere_and_circle(fleet):
    fleet.write()
    (fleet.path / "stock.csv").unlink()
    (fleet.path / "stock.csv").symlink_to(fleet.path / "stock.csv")
    with pytest.raises(InputError, match=r"stock.csv leads nowhere; put the file itself into the fleet folder"):
        read_fleet(fleet.path)


def test_pipe(fleet):
    fleet.write()
    (fleet.path / "stock.csv").unlink()
    os.mkfifo(fleet.path / "stock.csv")
    with pytest.raises(InputError, match=r"stock.csv is not a plain file"):
        read_fleet(fleet.path)


@pytest.mark.parametrize("name", ["../outside.csv", "/etc/hostname.csv", "a/../../outside.csv"])
def test_named_file_outside_the_folder(fleet, name):
    (problem,) = fleet.problems(f"[tables.stock]\nfile = '{name}'\n")
    assert problem == (
        f"fleet.toml, key tables.stock.file: {name!r} leads out of the fleet folder; put the file into it."
    )


def test_named_file_that_is_not_there(fleet):
    (problem,) = fleet.problems("[tables.stock]\nfile = 'stok.csv'\n")
    assert problem == (
        "fleet.toml, key tables.stock.file: 'stok.csv' is not in the fleet folder (nearest: 'stock.csv'); correct the "
        "name."
    )


def test_named_file_of_another_kind(fleet):
    fleet.write()
    (fleet.path / "stock.pdf").write_bytes(b"%PDF")
    (problem,) = fleet.problems("[tables.stock]\nfile = 'stock.pdf'\n")
    assert "is neither CSV nor a workbook (.xlsx, .xlsm, .xlsb, .xls, .ods); save the table as one of them" in problem


def test_named_file_in_a_folder_below(fleet):
    fleet.write()
    (fleet.path / "export").mkdir()
    (fleet.path / "stock.csv").rename(fleet.path / "export" / "bins.txt")
    assert len(fleet.read("[tables.stock]\nfile = 'export/bins.txt'\n").tables["stock"]) == 1


def test_file_without_permission(fleet, monkeypatch):
    """As root every file opens; the refusal is provoked where the file is opened."""
    fleet.write()
    opened = type(fleet.path).open

    def refuse(path, *args, **options):
        if path.name == "stock.csv":
            raise PermissionError(13, "Permission denied")
        return opened(path, *args, **options)

    monkeypatch.setattr(type(fleet.path), "open", refuse)
    with pytest.raises(InputError, match=r"stock.csv cannot be read \(Permission denied\); check its permissions"):
        read_fleet(fleet.path)


def test_folder_of_very_many_files(tmp_path):
    for i in range(2001):
        (tmp_path / f"{i}.log").touch()
    with pytest.raises(InputError, match="holds more than 2,000 files; give the fleet its own folder"):
        read_fleet(tmp_path)


@pytest.mark.parametrize("length", [32_767, 32_768, 5_000_000])
def test_huge_cell(fleet, length):
    fleet.set("repairs", 5, "text", "x" * length)
    result = fleet.read()
    if length == 32_767:
        assert not result.findings
        return
    (finding,) = result.findings
    assert (finding.row, finding.column, len(finding.value)) == (5, "text", 200)
    assert finding.problem.startswith(f"is a cell of {length:,} characters, a spreadsheet takes 32,767")


def test_sizes_have_bounds(fleet, monkeypatch):
    fleet.write()
    monkeypatch.setattr(delimited_text, "_LARGEST_FILE", 1024 * 1024)
    (fleet.path / "stock.csv").write_bytes(b"x" * (1024 * 1024 + 1))
    with pytest.raises(InputError, match=r"stock.csv is larger than 1 MiB; split it by years"):
        read_fleet(fleet.path)
    monkeypatch.setattr(delimited_text, "_MOST_ROWS", 10)
    (fleet.path / "stock.csv").write_bytes(b"\n" * 100)
    with pytest.raises(InputError, match=r"stock.csv has more than 10 rows; split it by years"):
        read_fleet(fleet.path)

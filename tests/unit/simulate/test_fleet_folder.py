import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.errors import OutputError
from wearmodel.simulate.fleet import SimulatedFleet, simulate_fleet
from wearmodel.simulate.folder import write_fleet

DEMO = Path(__file__).parents[3] / "data" / "demo"
DEMO_SEED = 4


@pytest.fixture(scope="module")
def small_fleet() -> SimulatedFleet:
    return simulate_fleet(np.random.default_rng(3), vehicles=8, years=2)


def test_folder_holds_the_tables_as_they_are(small_fleet: SimulatedFleet, tmp_path: Path) -> None:
    folder = write_fleet(small_fleet, tmp_path / "new" / "fleet")
    names = {f"{name}.csv" for name in small_fleet.tables} | {"fleet.toml", "truth.json"}
    assert {file.name for file in folder.iterdir()} == names
    for name, table in small_fleet.tables.items():
        read = pd.read_csv(folder / f"{name}.csv", dtype=str, keep_default_na=False)
        pd.testing.assert_frame_equal(read, table, check_dtype=False)
    assert json.loads((folder / "truth.json").read_text(encoding="utf-8")) == small_fleet.truth
    assert [file.name for file in folder.parent.iterdir()] == ["fleet"]


def test_an_empty_folder_is_used(small_fleet: SimulatedFleet, tmp_path: Path) -> None:
    write_fleet(small_fleet, tmp_path)
    assert (tmp_path / "vehicles.csv").exists()


def test_a_folder_with_something_in_it_is_refused(small_fleet: SimulatedFleet, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(OutputError, match="not empty"):
        write_fleet(small_fleet, tmp_path)
    assert [file.name for file in tmp_path.iterdir()] == ["notes.txt"]
    write_fleet(small_fleet, tmp_path, overwrite=True)
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert (tmp_path / "truth.json").exists()


def test_a_file_in_the_way_is_refused(small_fleet: SimulatedFleet, tmp_path: Path) -> None:
    (tmp_path / "fleet").write_text("a file")
    with pytest.raises(OutputError, match="this is a file"):
        write_fleet(small_fleet, tmp_path / "fleet")
    with pytest.raises(OutputError, match="cannot be written"):
        write_fleet(small_fleet, tmp_path / "fleet" / "below")


def test_a_write_that_fails_leaves_nothing_behind(
    small_fleet: SimulatedFleet, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*args: object, **kwargs: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(pd.DataFrame, "to_csv", full)
    with pytest.raises(OutputError, match="No space left on device"):
        write_fleet(small_fleet, tmp_path / "fleet")
    assert list(tmp_path.iterdir()) == []


def test_the_demo_is_what_its_command_makes(tmp_path: Path) -> None:
    write_fleet(simulate_fleet(np.random.default_rng(DEMO_SEED), vehicles=220, years=8), tmp_path)
    for file in tmp_path.iterdir():
        assert (DEMO / file.name).read_bytes() == file.read_bytes(), file.name


def test_the_demo_is_small_and_informative() -> None:
    assert sum(file.stat().st_size for file in DEMO.iterdir()) < 3_000_000
    truth = json.loads((DEMO / "truth.json").read_text(encoding="utf-8"))
    wear = {c: n.get("failed", 0) + n.get("worn", 0) for c, n in truth["recorded"].items()}
    assert 150 <= wear["u_joint"] <= 600
    assert 150 <= wear["cv_boot_outboard"] <= 600
    assert 150 <= wear["cv_boot_inboard"] <= 600
    assert 60 <= wear["cv_joint_outboard"] <= 200
    assert 60 <= wear["cv_joint_inboard"] <= 200
    assert 40 <= wear["support_bearing"] <= 100

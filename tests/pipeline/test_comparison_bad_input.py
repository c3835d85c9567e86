"""Fleets that cannot be compared: one sentence, and the rest of the plan is made."""

import pandas as pd
import pytest
from recalculation import open_book

from wearmodel.cli import main

COMPARISONS = ("compare", "compare_weighted", "balance", "overlap", "return_to_factory")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A small invented fleet folder, and where copies of it may be put."""
    folder = tmp_path_factory.mktemp("fleets")
    arguments = ["simulate", str(folder / "fleet"), "--vehicles", "30", "--years", "4", "--seed", "11", "--clean"]
    assert main(arguments) == 0
    return folder


def planned(made, name, capsys, *, ride_height=None, vehicles=None):
    """Plan of a copy of the fleet with other tables; what was said, and the result tables."""
    fleet = made / name
    fleet.mkdir()
    for path in (made / "fleet").iterdir():
        if path.is_file():
            (fleet / path.name).write_bytes(path.read_bytes())
    if ride_height is None:
        (fleet / "ride_height.csv").unlink()
    else:
        ride_height.to_csv(fleet / "ride_height.csv", index=False)
    if vehicles is not None:
        vehicles.to_csv(fleet / "vehicles.csv", index=False)
    capsys.readouterr()
    tables, out = made / f"{name}_tables", made / f"{name}.xlsx"
    assert main(["plan", str(fleet), "--tables", str(tables), "--out", str(out), "--months", "3"]) == 0
    said = capsys.readouterr().out
    return said, {path.stem: pd.read_csv(path) for path in tables.iterdir()}, out


def read(made, table):
    return pd.read_csv(made / "fleet" / f"{table}.csv", dtype=str, keep_default_na=False)


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("no_table", "No table says which are raised, so raised and factory-height vehicles cannot be compared."),
        ("all_factory", "No vehicle was ever raised, so raised and factory-height vehicles cannot be compared."),
    ],
)
def test_no_raised_vehicles(made, capsys, name, sentence):
    height = None if name == "no_table" else read(made, "ride_height").assign(lift="0")
    said, tables, out = planned(made, name, capsys, ride_height=height)
    assert said.count(sentence) == 1
    for table in COMPARISONS:
        assert tables[table].empty, table
    assert len(tables["due"]) > 0
    assert len(tables["budget"]) > 0
    cells = [str(row[0]) for row in open_book(out, values=True)["Raised and factory"].iter_rows(values_only=True)]
    assert any(text.startswith("No comparison can be made") for text in cells)


def test_raised_vehicles_of_one_duty_only(made, capsys):
    vehicles, height = read(made, "vehicles"), read(made, "ride_height")
    raised = set(height["unit"])
    others = vehicles[~vehicles["unit"].isin(raised)]
    assert len(others) > 5
    vehicles["duty"] = [
        "quarry" if unit in raised else ("quarry" if i % 3 == 0 else "town") for i, unit in enumerate(vehicles["unit"])
    ]
    said, tables, out = planned(made, "one_duty", capsys, ride_height=height, vehicles=vehicles)
    sentence = (
        "All raised vehicles do quarry work, so that they can be compared with factory height in that work alone."
    )
    assert said.count(sentence) == 1
    assert set(tables["compare"]["duty_mix"]) == {"quarry 100%"}
    assert len(tables["due"]) > 0
    cells = [str(row[0]) for row in open_book(out, values=True)["Raised and factory"].iter_rows(values_only=True)]
    assert sentence in cells


def test_raised_vehicles_alone_do_their_duty(made, capsys):
    vehicles, height = read(made, "vehicles"), read(made, "ride_height")
    vehicles["duty"] = ["quarry" if unit in set(height["unit"]) else "town" for unit in vehicles["unit"]]
    # Raised from the first day on: nothing in a quarry ever ran at factory height.
    height = height[height["lift"] != "0"].drop_duplicates("unit").assign(date="1990-01-01")
    said, tables, _ = planned(made, "apart", capsys, ride_height=height, vehicles=vehicles)
    assert said.count("All raised vehicles do quarry work, which no vehicle at factory height does") == 1
    assert tables["compare_weighted"]["life_ratio"].isna().all()
    assert len(tables["budget"]) > 0

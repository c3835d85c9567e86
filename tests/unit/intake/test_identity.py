"""Units and part numbers written in several ways, superseded and interchangeable part numbers."""

import pandas as pd
import pytest

from wearmodel.intake.part_groups import joined_groups, part_groups
from wearmodel.intake.values.name_index import build_name_index, name_key

SPELLINGS = ["QD-0104", "qd 104", "QD/104", "QD104", "qd_000104", " QD.104 "]


@pytest.mark.parametrize("written", SPELLINGS)
def test_spellings_of_one_unit(fleet, written):
    fleet.column("vehicles", "unit", lambda unit: "QD-0104" if unit == "T-1" else unit)
    for table in ("ride_height", "readings", "repairs", "inspections", "duty_log"):
        fleet.column(table, "unit", lambda unit: written if unit == "T-1" else unit)
    result = fleet.read()
    for table in ("ride_height", "readings", "repairs", "inspections", "duty_log"):
        assert set(result.tables[table]["unit"]) == {"QD-0104", "T-2", "000123", "T-4"}
    assert all(f.used and f.action == "read as 'QD-0104'" for f in result.findings)


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("T-012", "t12", True),
        ("000123", "123", True),
        ("0", "000", True),
        ("U-Joint", "ujoint", True),
        ("BUS 007 A", "bus7a", True),
        ("T-12", "T-120", False),
        ("20-005", "205", False),  # zeros of a later number belong to it
        ("A1-01", "A1-1", False),
        ("100", "1", False),
        ("Ä-1", "A-1", False),
    ],
)
def test_which_names_are_alike(one, other, is_same):
    assert (name_key(one) == name_key(other)) is is_same


def test_two_vehicles_that_differ_only_in_writing_are_never_guessed_between(fleet):
    fleet.add("vehicles", unit="T-01", driveline="rear_one_piece", in_service_date="2019-01-01")
    fleet.set("readings", 2, "unit", "t 1")
    result = fleet.read()
    (finding,) = result.findings
    assert (finding.value, finding.used) == ("t 1", False)
    assert finding.problem == "could be any of T-01, T-1 of the vehicles table"
    assert len(result.tables["vehicles"]) == 5 and "T-1" in set(result.tables["readings"]["unit"])
    (note,) = [note for note in result.notes if "differ only in case" in note]
    assert note.startswith("vehicles.csv, column unit: 'T-01' and 'T-1' differ only in case, punctuation or zeros; ")


def test_the_index_says_between_which_names_a_text_leaves_the_choice():
    index = build_name_index(["QD-0104", "QD-104", "X-1"])
    assert index.known("QD-104") == "QD-104" and index.known("qd 104") == ""
    assert index.alike("qd 104") == ("QD-0104", "QD-104")
    assert index.alike("QD-104") == () and index.alike("x1") == () and index.alike("Y") == ()
    assert build_name_index(["", "-"]).known("/") == ""


@pytest.mark.parametrize("written", ["uj1", "UJ 01", "UJ/1"])
def test_spellings_of_one_part_number(fleet, written):
    fleet.set("repairs", 2, "part_number", written)
    fleet.set("stock", 2, "part_number", written)
    result = fleet.read()
    assert list(result.tables["repairs"]["part_number"][:2]) == ["UJ-1", "UJ-1"]
    assert list(result.tables["stock"]["part_number"]) == ["UJ-1"]


@pytest.mark.parametrize("chain", [["UJ-1"], ["CSB", "UJ-1"], ["0042", "CSB", "UJ-1"]], ids=len)
def test_circles_of_superseded_numbers_are_refused(fleet, chain):
    rows = {"UJ-1": 2, "0042": 3, "CSB": 4}
    for number, following in zip(["UJ-1", *chain], chain, strict=False):
        fleet.set("parts", rows[number], "superseded_by", following)
    problems = fleet.problems()
    assert len(problems) == len(chain)
    assert all("leads back to the part number itself; break the circle" in problem for problem in problems)


class TestInterchange:
    @pytest.fixture
    def parts(self, fleet):
        fleet.headers["parts"].append("interchangeable_with")
        for row in fleet.rows["parts"]:
            row.append("")
        for number in ("UJ-2", "UJ-3", "UJ-4"):
            fleet.add("parts", part_number=number, component="u_joint", unit_price="44", lead_time_days="3")
        return fleet

    def column(self, fleet):
        table = fleet.read().tables["parts"]
        return dict(zip(table["part_number"], table["interchangeable_with"], strict=True))

    def test_it_holds_both_ways_and_chains_join(self, parts):
        parts.set("parts", 2, "interchangeable_with", "uj 2")
        parts.set("parts", 6, "interchangeable_with", "UJ-02 ; ; UJ-3")
        assert self.column(parts) == {
            "UJ-1": "UJ-2;UJ-3", "0042": "", "CSB": "", "UJ-2": "UJ-1;UJ-3", "UJ-3": "UJ-1;UJ-2", "UJ-4": "",
        }  # fmt: skip

    def test_without_the_column_it_is_blank(self, fleet):
        assert set(self.column(fleet).values()) == {""}

    def test_headings_of_the_trade(self, parts):
        parts.headers["parts"][-1] = "Alternative part"
        parts.set("parts", 2, "Alternative part", "UJ-2")
        assert self.column(parts)["UJ-2"] == "UJ-1"

    def test_a_part_of_another_component(self, parts):
        parts.set("parts", 2, "interchangeable_with", "CSB")
        assert parts.problems() == [
            "parts.csv row 2, column interchangeable_with: names 'CSB', which is no u_joint but support_bearing; add "
            "it to the parts table or correct it; parts that are interchangeable renew the same component."
        ]

    def test_a_part_that_is_not_there(self, parts):
        parts.set("parts", 2, "interchangeable_with", "UJ-2;UJ-9")
        (problem,) = parts.problems()
        assert "names 'UJ-9', which is not in the parts table; add it to the parts table" in problem

    def test_groups_of_the_fleet(self, parts):
        parts.set("parts", 2, "superseded_by", "UJ-3")
        parts.set("parts", 2, "interchangeable_with", "UJ-4")
        assert dict(part_groups(parts.read().tables["parts"])) == {
            "UJ-1": "UJ-3", "0042": "0042", "CSB": "CSB", "UJ-2": "UJ-2", "UJ-3": "UJ-3", "UJ-4": "UJ-3",
        }  # fmt: skip


def catalogue(rows):
    return pd.DataFrame(rows, columns=["part_number", "superseded_by", "interchangeable_with"])


@pytest.mark.parametrize(
    ("rows", "leaders"),
    [
        ([("A", "", ""), ("B", "", "")], "AB"),
        ([("A", "B", ""), ("B", "C", ""), ("C", "", "")], "CCC"),
        ([("A", "C", ""), ("B", "C", ""), ("C", "", "")], "CCC"),
        ([("A", "", "B"), ("B", "", "")], "AA"),
        ([("B", "", "A"), ("A", "", "")], "BB"),
        # The end of the longer line of successors leads, wherever it stands in the table.
        ([("A", "", "D"), ("B", "C", ""), ("C", "D", ""), ("D", "", "")], "DDDD"),
        # Interchange through a superseded number joins all the same.
        ([("A", "B", "C"), ("B", "", ""), ("C", "", "")], "BBB"),
    ],
)
def test_leading_numbers(rows, leaders):
    table = catalogue(rows)
    assert list(part_groups(table).values()) == list(leaders)
    assert list(part_groups(table)) == list(table["part_number"])


def test_groups_do_not_depend_on_the_order_of_pairs():
    names, pairs = list("ABCDEFG"), [("A", "C"), ("C", "E"), ("G", "E"), ("B", "D"), ("X", "A")]
    expected = [tuple("ACEG"), tuple("BD"), ("F",)]
    assert joined_groups(names, pairs) == expected
    assert joined_groups(names, [(b, a) for a, b in reversed(pairs)]) == expected


def test_a_very_long_line_of_successors():
    n = 5_000
    table = catalogue([(str(i), str(i + 1) if i < n - 1 else "", "") for i in range(n)])
    assert set(part_groups(table).values()) == {str(n - 1)}

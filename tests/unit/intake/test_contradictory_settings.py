"""Keys of fleet.toml that nobody knows, and keys that contradict each other: a sentence that helps, never silence."""

import pytest

from wearmodel.errors import InputError
from wearmodel.intake.fleet import read_fleet

VEHICLES = "unit,driveline,in_service_date\nA1,rear_two_piece,2019-01-01\n"
REPAIRS = "order,date,unit,odometer,component,reason\nW1,2020-02-01,A1,9000,u_joint,failed\n"


@pytest.fixture
def problems(tmp_path):
    (tmp_path / "vehicles.csv").write_text(VEHICLES)
    (tmp_path / "repairs.csv").write_text(REPAIRS)

    def told(text):
        (tmp_path / "fleet.toml").write_text(text)
        with pytest.raises(InputError) as caught:
            read_fleet(tmp_path)
        return caught.value.problems

    return told


KEYS = [
    ("", "distance_unit"), ("", "currency"), ("", "as_of"), ("", "records_from"), ("", "service_interval"),
    ("", "labour_rate"), ("", "downtime_cost"), ("", "service_level"), ("", "set_aside_limit"), ("", "tables"),
    ("", "geometry"), ("", "components"), ("", "layouts"), ("cost.u_joint", "planned_hours"),
    ("cost.u_joint", "failed_downtime_hours"), ("cost.u_joint", "failed_extra"),
    ("geometry.truck", "half_shaft_length"), ("tables.repairs", "columns"), ("tables.repairs", "date_order"),
    ("tables.repairs.columns", "odometer"), ("tables", "inspections"), ("cost", "support_bearing"),
    ("components.pto_joint", "clock"),
]  # fmt: skip


def slips(word):
    """How a key is usually mistyped: two letters swapped, one left out, one doubled, an ending, a dash, capitals."""
    yield word[:2] + word[3] + word[2] + word[4:]
    yield word[:3] + word[4:]
    yield word[:3] + word[2:]
    yield word + "s"
    yield word.replace("_", "-") if "_" in word else word + "x"
    yield word.title()


@pytest.mark.parametrize("section, key", KEYS, ids=lambda value: value or "top")
def test_a_mistyped_key_is_told_with_the_one_that_was_meant(problems, section, key):
    for slip in {*slips(key)} - {key}:
        (sentence, *_) = problems(f"[{section}]\n{slip} = 1\n" if section else f"{slip} = 1\n")
        where = f"{section}.{slip}" if section else slip
        assert sentence.startswith(f"fleet.toml, key {where}: not a known key (nearest: '{key}')"), sentence


CONTRADICTIONS = [
    ("as_of = 2020-03-01\nrecords_from = 2021-01-01", "records_from: 2021-01-01 lies after the as-of date 2020-03-01"),
    ("records_from = 2050-01-01", "records_from: 2050-01-01 lies after the as-of date 2020-02-01"),
    ('[databases]\nd = "sqlite:///x.db"\n[tables.repairs]\nfile = "repairs.csv"\ndatabase = "d"\nquery = "SELECT 1"',
     "stands beside a file or sheet; name one place"),
    ('[tables.repairs]\nquery = "SELECT 1"', "give database and query together"),
    ('[tables.repairs]\ncolumns = { date = "date", unit = "date" }', "'date' is named for date too; name each heading"),
    ('[tables.repairs]\ncolumns = { odometer = "Meter", text = "Meter" }', "'Meter' is named for odometer too"),
    ('[[tables.repairs]]\nfile = "repairs.csv"\n[[tables.repairs]]\nfile = "repairs.csv"', "twice under [tables.rep"),
    ('[layouts]\nrear_one_piece = { "a.b" = "u_joint" }', "a shipped layout has that name"),
    ("[geometry.truck]\nhalf_shaft_length = 420", "give half_shaft_length and half_shaft_angle together"),
    ("[geometry.truck]\nrear.shaft_lengths = [760]\nrear.joint_angles = [1.5]", "one angle a joint, which is one more"),
    ('distance_unit = "hours"\n[tables.readings]\nunit = "mi"', "'mi' cannot be turned into 'hours'"),
    ("currency = 'EUR'\ncurrency = 'USD'", "fleet.toml is broken"),
]  # fmt: skip


@pytest.mark.parametrize("text, words", CONTRADICTIONS, ids=lambda value: value.splitlines()[0])
def test_a_contradiction_is_told(problems, text, words):
    (sentence,) = problems(text + "\n")
    assert words in sentence


def test_one_heading_may_stand_for_two_columns_of_words(tmp_path):
    (tmp_path / "vehicles.csv").write_text(VEHICLES)
    text = REPAIRS.replace("component,reason", "Job,reason").replace("u_joint", "u-joint")
    (tmp_path / "repairs.csv").write_text(text)
    (tmp_path / "fleet.toml").write_text('[tables.repairs]\ncolumns = { text = "Job", component = "Job" }\n')
    assert len(read_fleet(tmp_path).tables["repairs"]) == 1

"""Delimited text in every dialect and encoding, written with Python's csv and codecs and read back."""

import codecs
import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import UNREADABLE, read_delimited
from wearmodel.intake.cells.text_encoding import decoded_text

HEADINGS = ["unit", "date", "odometer", "text"]
ROWS = [
    ["000123", "2024-03-05", "104500", "Gelenk für Zapfwelle – 45 €"],
    ["T-2", "05/03/2024 14:22", "98.250,5", 'said "clunk", then\nnothing; twice | thrice\tand ^ more'],
    ["T-3", "", "", "crème brûlée: cv‑joint".replace("‑", "-")],
    ["T-4", "2024-03-06", "1", "=HYPERLINK(1)"],
]
ENCODINGS = [
    ("utf-8", b""), ("utf-8", codecs.BOM_UTF8), ("utf-16-le", codecs.BOM_UTF16_LE), ("utf-16-be", codecs.BOM_UTF16_BE),
    ("utf-16-le", b""), ("utf-16-be", b""), ("utf-32-le", codecs.BOM_UTF32_LE), ("utf-32-be", codecs.BOM_UTF32_BE),
    ("cp1252", b""),
]  # fmt: skip


def score(record):
    return sum(cell.strip() in HEADINGS for cell in record)


def written(rows, **dialect):
    out = io.StringIO(newline="")
    csv.writer(out, **dialect).writerows(rows)
    return out.getvalue()


def read(path, data, *, score=score):
    path.write_bytes(data)
    return read_delimited(path, label=path.name, score=score)


@pytest.mark.parametrize(("encoding", "mark"), ENCODINGS)
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", ":", "^", "~"])
@pytest.mark.parametrize("quoting", [csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC])
def test_every_dialect_in_every_encoding(tmp_path, encoding, mark, delimiter, quoting):
    table = [HEADINGS, *ROWS]
    text = written(table, delimiter=delimiter, quoting=quoting)
    found = read(tmp_path / "t.csv", mark + codecs.encode(text, encoding))
    assert found.delimiter == delimiter
    assert found.cells.iloc[:, :4].to_numpy().tolist() == table
    assert (found.cells.iloc[:, 4:] == "").to_numpy().all()
    assert list(found.rows) == [1, 2, 3, 4, 5]


CELLS = st.text(st.characters(codec="utf-16", exclude_categories=("C", "Z")) | st.sampled_from(' ,;|\t"\n'), max_size=9)


@given(
    rows=st.lists(st.lists(CELLS, min_size=4, max_size=4), max_size=6),
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_any_cells_come_back(tmp_path_factory, rows, delimiter, encoding):
    table = [HEADINGS, *rows]
    data = written(table, delimiter=delimiter).encode(encoding)
    found = read(tmp_path_factory.mktemp("text") / "t.csv", data)
    assert found.cells.iloc[:, :4].to_numpy().tolist() == table


@given(rows=st.lists(st.lists(st.text(st.characters(codec="cp1252", exclude_categories=("C", "Z")), max_size=9),
                              min_size=4, max_size=4), min_size=1, max_size=6))  # fmt: skip
def test_any_cells_of_windows_western(tmp_path_factory, rows):
    """Read as cp1252, or as UTF-8 where the bytes happen to be sound UTF-8 - Python decides which."""
    data = written([HEADINGS, *rows]).encode("cp1252")
    try:
        expected = list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))
    except UnicodeDecodeError:
        expected = [HEADINGS, *rows]
    found = read(tmp_path_factory.mktemp("text") / "t.csv", data)
    assert found.cells.iloc[:, :4].to_numpy().tolist() == expected


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("word", ["Крестовина кардана заменена", "ユニバーサルジョイント交換", "استبدال الوصلة"])
def test_wide_text_without_a_mark_in_other_scripts(tmp_path, encoding, word):
    table = [HEADINGS, *[[f"T-{i}", "2024-03-05", str(9000 + i), word] for i in range(20)]]
    found = read(tmp_path / "t.csv", written(table).encode(encoding))
    assert found.cells.iloc[:, :4].to_numpy().tolist() == table


def test_a_few_spoilt_bytes_do_not_turn_all_accents_round(tmp_path):
    """An export cut within a character, and one with a stray byte: the rest is UTF-8 as before."""
    work = "Gelenk für Zapfwelle erneuert, Schelle fürs Gehäuse"
    table = [HEADINGS, *[[f"T-{i}", "2024-03-05", "9", work] for i in range(9)]]
    data = written(table).encode().replace(b"T-4", b"T\xff4", 1).rstrip(b"\r\n") + "ü".encode()[:1]
    cells = read(tmp_path / "t.csv", data).cells.iloc[:, :4].to_numpy().tolist()
    assert cells[1:5] == table[1:5] and cells[5][0] == f"T{UNREADABLE}4" and cells[9][3] == table[9][3] + UNREADABLE
    assert decoded_text(b"gr\xfc\xdfe") == "grüße"


def test_the_delimiter_of_even_rows_where_no_heading_is_known(tmp_path):
    """Commas in the texts make some rows wider under a comma than any is under the semicolon."""
    work = "links, rechts, vorn, hinten, oben"
    table = [["Nr", "Wagen", "Arbeit"], *[[f"A{i}", "W1", work[: 6 * i]] for i in range(6)]]
    found = read(tmp_path / "t.csv", written(table, delimiter=";").encode(), score=lambda record: 0)
    assert found.delimiter == ";" and found.cells.iloc[:, :3].to_numpy().tolist() == table


def test_rare_delimiters_need_headings(tmp_path):
    """Times of day hold colons, in evener numbers than the texts hold commas."""
    lines = "".join(f"{i}:30:15 left the yard{',' * (i % 2)}\n" for i in range(9))
    assert read(tmp_path / "t.csv", lines.encode()).delimiter != ":"
    assert read(tmp_path / "u.csv", b"unit:date:odometer\nT-1:2024-03-05:9000\n").delimiter == ":"
    assert read(tmp_path / "v.csv", b"unit,date,odometer:text\nT-1,2024-03-05,1\n").delimiter == ","


@pytest.mark.parametrize(
    "code", [0, 1, 7, 8, 11, 12, 14, 27, 31, 127, 0x80, 0x9F, 0x200B, 0x200E, 0x202E, 0x2066, 0xFEFF]
)
def test_control_characters_are_marked(tmp_path, code):
    found = read(tmp_path / "t.csv", f"unit,text\nT-1,a{chr(code)}b\n".encode(), score=score)
    assert found.cells.iloc[1, :2].tolist() == ["T-1", f"a{UNREADABLE}b"]


def test_marks_and_emoji_are_text(tmp_path):
    table = [HEADINGS, ["T-1", "", "", "\U0001f527 done \U0001f44d\U0001f3fd"], ["T-2", "", "", "مفصل"]]
    assert read(tmp_path / "t.csv", written(table).encode()).cells.iloc[:, :4].to_numpy().tolist() == table


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\x03\x04" + b"\0" * 99, "t.csv is a workbook saved as .csv; rename it to .xlsx."),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 99, "t.csv is a workbook saved as .csv; rename it to .xls."),
        (b"\r\n<HTML><body><table><tr><td>unit", "t.csv is a web page saved as .csv; save it as .xlsx or CSV."),
        ("<!DOCTYPE html>\n<p>".encode("utf-16"), "t.csv is a web page saved as .csv; save it as .xlsx or CSV."),
        (b"MIME-Version: 1.0\r\nContent-Type: x", "t.csv is a web archive saved as .csv; save it as .xlsx or CSV."),
        (
            b'<?xml version="1.0"?>\n<Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet">',
            "t.csv is an XML spreadsheet of 2003 saved as .csv; save it as .xlsx or CSV.",
        ),
    ],
)
def test_what_is_no_text_at_all(tmp_path, data, said):
    with pytest.raises(InputError) as caught:
        read(tmp_path / "t.csv", data)
    assert caught.value.problems == (said,)

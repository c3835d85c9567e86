"""Result tables as CSV: the same text as pandas writes, and no cell that a spreadsheet takes for a formula."""

import numpy as np
import pandas as pd

from wearmodel.table_files import table_texts, write_tables, write_texts


def test_numbers_and_dates_are_written_as_pandas_writes_them():
    rng = np.random.default_rng(1)
    table = pd.DataFrame(
        {
            "unit": [f"V{i % 7}" for i in range(2000)],
            "age": np.concatenate([rng.lognormal(0, 30, 1996), [np.nan, np.inf, -np.inf, 0.0]]),
            "short": rng.random(2000).astype(np.float32),
            "count": rng.integers(9, size=2000),
            "day": pd.to_datetime(rng.integers(0, 900, 2000), unit="D").where(rng.random(2000) > 0.1),
            "known": rng.random(2000) > 0.5,
            "note": np.where(rng.random(2000) > 0.5, "a, \"b\"", None),
        }
    )
    texts = table_texts({"lives": table}, names=("lives", "missing"))
    expected = table.to_csv(index=False, float_format="%.10g", lineterminator="\n", date_format="%Y-%m-%d")
    assert list(texts) == ["lives"]
    assert b"".join(texts["lives"]).decode() == expected


def test_what_looks_like_a_formula_is_text():
    table = pd.DataFrame({"unit": ["=1+1", "ok", None, "-3"], "value": [1, "+x", 2.5, None]})
    text = b"".join(table_texts({"due": table}, names=("due",))["due"]).decode()
    assert text == "unit,value\n'=1+1,1\nok,'+x\n,2.5\n'-3,\n"


def test_texts_made_before_are_written_as_tables_are(tmp_path):
    tables = {"due": pd.DataFrame({"a": [1.5, 2.0]}), "fits": pd.DataFrame({"b": ["x"]})}
    write_tables(tables, tmp_path / "one", names=("fits", "due"))
    write_texts(table_texts(tables, names=("fits", "due")), tmp_path / "two")
    for place in ("one", "two"):
        assert (tmp_path / place / "due.csv").read_text() == "a\n1.5\n2\n"
        assert (tmp_path / place / "fits.csv").read_text() == "b\nx\n"

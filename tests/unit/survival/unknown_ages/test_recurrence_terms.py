"""Terms of lives of unknown age at the edges of what tables can tell."""

import numpy as np
import pytest

from wearmodel.survival.unknown_ages.recurrence_terms import HIGH, LOW, A, build_recurrence_tables, recurrence_terms


def terms_of(logs, *, exact=False, interval=False):
    tables = build_recurrence_tables(np.log(2.34), oldest=8.0, longest=5.0, rate=0.0)
    count = logs.shape[1]
    return recurrence_terms(
        tables.with_neighbours(), logs, np.zeros(count), exact=np.full(count, exact), interval=np.full(count, interval)
    )


@pytest.mark.parametrize("log_a", [-12.0, -6.0, -4.0, 0.5])
def test_a_hardly_possible_interval_leaves_numbers_of_ordinary_size(log_a):
    """A frailty near 0 makes the chance of failing in between smaller than the error of the splines."""
    logs = np.empty((3, 200))
    logs[A], logs[HIGH] = log_a, np.linspace(-14.0, 0.0, 200)
    # Seen good never since records began, or a while before.
    logs[LOW] = np.where(np.arange(200) % 2 == 0, -690.0, logs[HIGH] - 0.4)
    found = terms_of(logs, interval=True)
    assert (found.value < 0).all()
    assert np.isfinite(found.second).all()
    # Its chance times any derivative stays small.
    assert (np.exp(found.value) * np.abs(found.second)).max() < 10.0


def test_a_narrow_interval_is_a_density():
    logs = np.empty((3, 50))
    logs[A], logs[LOW] = 0.3, np.linspace(-2.0, 0.4, 50)
    width = 1e-4
    logs[HIGH] = np.log(np.exp(logs[LOW]) + width)
    between = terms_of(logs, interval=True)
    logs[LOW] = np.log(np.exp(logs[LOW]) + width / 2.0)
    density = terms_of(logs, exact=True)
    np.testing.assert_allclose(between.value - np.log(width), density.value, atol=1e-4)


def test_no_table_for_impossible_shapes_or_distances():
    assert build_recurrence_tables(5.0, oldest=1.0, longest=1.0, rate=0.0) is None
    assert build_recurrence_tables(0.5, oldest=np.inf, longest=1.0, rate=0.0) is None

"""Sources of every figure: the README beside this file."""

import math

import pytest

from wearmodel.survival import weibull

LAW = {"shape": 2.5, "scale": 100_000.0}


def test_mean_and_b10_of_a_new_part() -> None:
    # Source: quadrature and gamma function form, outside this package.
    assert weibull.mean_life(**LAW) == pytest.approx(88726.3818, abs=5e-5)
    assert weibull.life_at(0.1, **LAW) == pytest.approx(40650.9926, abs=5e-5)


def test_part_at_sixty_thousand() -> None:
    # Source: as above.
    assert weibull.survival(60_000, **LAW) == pytest.approx(0.756649760, abs=5e-10)
    assert weibull.fail_within(60_000, 20_000, **LAW) == pytest.approx(0.254409384, abs=5e-10)
    assert weibull.remaining(60_000, **LAW) == pytest.approx(38870.5295, abs=5e-5)
    assert weibull.remaining(60_000, fraction=0.1, **LAW) == pytest.approx(8207.14472, abs=5e-6)
    assert weibull.mean_remaining(60_000, **LAW) == pytest.approx(43801.1715, abs=5e-5)


@pytest.mark.parametrize(
    ("shape", "b1", "b10", "b50", "mean"),
    [
        (1.0, 0.01005034, 0.10536052, 0.69314718, 1.0),
        (1.5, 0.04657152, 0.22307553, 0.78321977, 0.90274529),
        (2.0, 0.10025136, 0.32459285, 0.83255461, 0.88622693),
        (3.0, 0.21580434, 0.47230872, 0.88499705, 0.89297951),
    ],
)
def test_b_lives(shape: float, b1: float, b10: float, b50: float, mean: float) -> None:
    # Source: (-ln(1 - p))^(1/shape), computed outside this package.
    lives = weibull.life_at([0.01, 0.1, 0.5], shape=shape, scale=1.0)
    assert lives == pytest.approx([b1, b10, b50], abs=1e-8)
    assert weibull.mean_life(shape=shape, scale=1.0) == pytest.approx(mean, abs=5e-9)


def test_mean_remaining_in_closed_form() -> None:
    # Source: by hand, (sqrt(pi) / 2) e erfc(1) for shape 2 at age 1; 0.378936078 outside this package.
    by_hand = math.sqrt(math.pi) / 2.0 * math.e * math.erfc(1.0)
    found = weibull.mean_remaining(1.0, shape=2.0, scale=1.0)
    assert found == pytest.approx(0.378936078, abs=5e-10)
    assert found == pytest.approx(by_hand, rel=1e-12)


def test_exponential_life_has_no_memory() -> None:
    # Source: by hand; the mean remaining life is the mean at any age.
    found = weibull.mean_remaining([0.0, 3.0, 400.0], shape=1.0, scale=7.0)
    assert found == pytest.approx([7.0, 7.0, 7.0], rel=1e-12)

import numpy as np
import pytest
from scipy import integrate, special, stats

from wearmodel.survival import weibull

LAWS = [{"shape": shape, "scale": scale} for shape in (0.6, 1.0, 1.7, 3.2, 7.0) for scale in (1.0, 52_000.0)]
UNIT_AGES = np.array([1e-6, 0.01, 0.2, 0.7, 1.0, 1.4, 2.5])


@pytest.mark.parametrize("law", LAWS)
def test_survival_and_hazard_against_scipy(law: dict[str, float]) -> None:
    ages = UNIT_AGES * law["scale"]
    other = stats.weibull_min(law["shape"], scale=law["scale"])
    assert weibull.survival(ages, **law) == pytest.approx(other.sf(ages), rel=1e-12)
    assert weibull.cumulative_hazard(ages, **law) == pytest.approx(-other.logsf(ages), rel=1e-12)
    assert weibull.hazard(ages, **law) == pytest.approx(np.exp(other.logpdf(ages) - other.logsf(ages)), rel=1e-11)
    assert weibull.mean_life(**law) == pytest.approx(other.mean(), rel=1e-12)


@pytest.mark.parametrize("law", LAWS)
def test_life_at_inverts_survival(law: dict[str, float]) -> None:
    fractions = np.array([1e-9, 0.01, 0.1, 0.5, 0.9, 0.999])
    lives = weibull.life_at(fractions, **law)
    assert -np.expm1(-weibull.cumulative_hazard(lives, **law)) == pytest.approx(fractions, rel=1e-12)


@pytest.mark.parametrize("law", LAWS)
def test_hazard_is_the_slope_of_the_cumulative_hazard(law: dict[str, float]) -> None:
    ages = UNIT_AGES[2:] * law["scale"]
    step = 1e-5 * ages
    ahead, behind = (weibull.cumulative_hazard(ages + sign * step, **law) for sign in (1.0, -1.0))
    assert weibull.hazard(ages, **law) == pytest.approx((ahead - behind) / (2.0 * step), rel=1e-8)


@pytest.mark.parametrize("law", LAWS)
def test_remaining_life_inverts_the_chance_of_failure(law: dict[str, float]) -> None:
    ages = UNIT_AGES * law["scale"]
    for fraction in (0.05, 0.5, 0.97):
        left = weibull.remaining(ages, fraction=fraction, **law)
        assert weibull.fail_within(ages, left, **law) == pytest.approx(np.full(7, fraction), rel=1e-7)


@pytest.mark.parametrize("law", LAWS)
def test_chance_of_failure_is_a_ratio_of_survivals(law: dict[str, float]) -> None:
    ages, ahead = UNIT_AGES * law["scale"], 0.4 * law["scale"]
    ratio = weibull.survival(ages + ahead, **law) / weibull.survival(ages, **law)
    assert weibull.fail_within(ages, ahead, **law) == pytest.approx(1.0 - ratio, abs=1e-12)


@pytest.mark.parametrize("law", LAWS)
def test_integrals_of_survival_against_quadrature(law: dict[str, float]) -> None:
    unit = {"shape": law["shape"], "scale": 1.0}
    for age in (0.05, 0.7, 1.6):
        part, _ = integrate.quad(lambda t: np.exp(-(t ** unit["shape"])), 0.0, age, epsabs=1e-13)
        assert weibull.integrated_survival(age * law["scale"], **law) == pytest.approx(
            part * law["scale"], rel=1e-9
        )
        upper = special.gammaincc(1.0 / law["shape"], age ** law["shape"]) * special.gamma(1.0 / law["shape"])
        mean_left = upper / law["shape"] * np.exp(age ** law["shape"]) * law["scale"]
        assert weibull.mean_remaining(age * law["scale"], **law) == pytest.approx(mean_left, rel=1e-9)


@pytest.mark.parametrize("law", LAWS)
def test_integrals_at_their_ends(law: dict[str, float]) -> None:
    mean = weibull.mean_life(**law)
    assert weibull.integrated_survival(np.inf, **law) == pytest.approx(mean, rel=1e-12)
    assert weibull.integrated_survival(0.0, **law) == pytest.approx(0.0, abs=1e-12 * float(mean))
    assert weibull.mean_remaining(0.0, **law) == pytest.approx(mean, rel=1e-12)


def test_ends_of_the_curve() -> None:
    assert weibull.survival([0.0, np.inf], shape=2.0, scale=3.0).tolist() == [1.0, 0.0]
    assert np.isinf(weibull.hazard(0.0, shape=0.8, scale=3.0))
    assert weibull.hazard(0.0, shape=2.0, scale=3.0) == 0.0
    assert weibull.life_at(0.0, shape=2.0, scale=3.0) == 0.0


def test_far_tail_keeps_its_digits() -> None:
    # Survival itself is below the least double there; the next step is not.
    law = {"shape": 2.0, "scale": 1.0}
    assert weibull.survival(40.0, **law) == 0.0
    assert weibull.fail_within(40.0, 0.01, **law) == pytest.approx(-np.expm1(-(40.01**2 - 40.0**2)), rel=1e-10)
    assert weibull.mean_remaining(40.0, **law) == pytest.approx(
        np.sqrt(np.pi) / 2.0 * special.erfcx(40.0), rel=1e-9
    )


def test_broadcasting() -> None:
    found = weibull.fail_within([[0.1], [0.2]], [0.5, 1.0, 2.0], shape=2.0, scale=[1.0, 2.0, 4.0])
    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(float(weibull.fail_within(0.2, 2.0, shape=2.0, scale=4.0)))

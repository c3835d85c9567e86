"""Look-ups where vehicles wear unlike, against integration over the gamma law of the frailty."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy import integrate, special, stats

from wearmodel.survival import weibull
from wearmodel.survival.incomplete_beta import complete_integral, lower_integral, scaled_upper_integral

LAWS = [
    {"shape": shape, "scale": scale, "variance": variance}
    for shape in (0.7, 1.0, 2.2, 5.0)
    for scale in (1.0, 52_000.0)
    for variance in (0.05, 0.4, 1.5)
]
UNIT_AGES = np.array([0.05, 0.3, 0.8, 1.0, 1.4, 2.5])
ALL = ["survival", "cumulative_hazard", "hazard", "mean_remaining", "integrated_survival", "remaining"]


def over_gamma(function: Any, variance: float) -> float:
    """Mean of a function of the frailty, by quadrature in the chance of a smaller frailty."""
    law = stats.gamma(1.0 / variance, scale=variance)
    cuts = [0.0, 1e-6, 1e-3, 0.05, 0.5, 0.95, 1.0 - 1e-3, 1.0 - 1e-6, 1.0 - 1e-9]
    ends = [0.0, *law.ppf(cuts[1:]), 30.0 * (1.0 + variance)]
    return sum(
        integrate.quad(lambda z: function(z) * law.pdf(z), low, high, epsabs=0.0, epsrel=1e-10)[0]
        for low, high in pairwise(ends)
    )


@pytest.mark.parametrize("law", [law for law in LAWS if law["variance"] < 1.0])
def test_survival_and_density_against_integration_over_vehicles(law: dict[str, float]) -> None:
    for age in UNIT_AGES * law["scale"]:
        alone = stats.weibull_min(law["shape"], scale=law["scale"])
        spent = -float(alone.logsf(age))
        alive = over_gamma(lambda z, spent=spent: np.exp(-z * spent), law["variance"])
        failing = over_gamma(lambda z, spent=spent: z * np.exp(-z * spent), law["variance"])
        rate = float(alone.pdf(age) / alone.sf(age))
        assert weibull.survival(age, **law) == pytest.approx(alive, rel=1e-8)
        assert weibull.hazard(age, **law) == pytest.approx(rate * failing / alive, rel=1e-8)


@pytest.mark.parametrize("law", LAWS)
def test_a_life_over_vehicles_is_a_burr_law(law: dict[str, float]) -> None:
    """The gamma mixture of Weibull laws is the Burr XII law of scipy (Tadikamalla, Int. Stat. Rev. 48, 1980)."""
    spread = law["scale"] * law["variance"] ** (-1.0 / law["shape"])
    other = stats.burr12(law["shape"], 1.0 / law["variance"], scale=spread)
    ages = UNIT_AGES * law["scale"]
    assert weibull.survival(ages, **law) == pytest.approx(other.sf(ages), rel=1e-12)
    assert weibull.hazard(ages, **law) == pytest.approx(other.pdf(ages) / other.sf(ages), rel=1e-11)
    fractions = np.array([1e-6, 0.1, 0.5, 0.99])
    assert weibull.life_at(fractions, **law) == pytest.approx(other.ppf(fractions), rel=1e-9)
    if law["variance"] < law["shape"]:
        assert weibull.mean_life(**law) == pytest.approx(other.mean(), rel=1e-10)
    else:
        assert np.isinf(weibull.mean_life(**law))


@pytest.mark.parametrize("law", LAWS)
def test_integrals_of_survival_against_quadrature(law: dict[str, float]) -> None:
    unit = law | {"scale": 1.0}
    for age in (0.05, 0.7, 1.6, 6.0):
        part, _ = integrate.quad(
            lambda s: weibull.survival(s * s, **unit) * 2.0 * s, 0.0, np.sqrt(age), epsabs=0.0, epsrel=1e-12
        )
        assert weibull.integrated_survival(age * law["scale"], **law) == pytest.approx(part * law["scale"], rel=1e-10)
        if law["variance"] < 0.9 * law["shape"]:
            left, _ = integrate.quad(
                lambda s, age=age: weibull.survival(age + s, **unit) / weibull.survival(age, **unit),
                0.0, np.inf, epsabs=0.0, epsrel=1e-11, limit=2000,
            )  # fmt: skip
            found = weibull.mean_remaining(age * law["scale"], **law)
            assert found == pytest.approx(left * law["scale"], rel=1e-7)
    if law["variance"] >= law["shape"]:
        assert np.isinf(weibull.mean_remaining(law["scale"], **law))
        assert np.isinf(weibull.integrated_survival(np.inf, **law))
    else:
        assert weibull.integrated_survival(np.inf, **law) == pytest.approx(weibull.mean_life(**law), rel=1e-13)
        assert weibull.mean_remaining(0.0, **law) == pytest.approx(weibull.mean_life(**law), rel=1e-13)


def test_integrals_against_scipy_beta_functions() -> None:
    powers, variances = np.meshgrid([0.15, 0.4, 1.0, 2.0], [0.01, 0.1, 0.3, 0.45, 0.9])
    powers, variances = powers[powers * variances < 0.95], variances[powers * variances < 0.95]
    second = 1.0 / variances - powers
    whole = variances**-powers * special.beta(powers, second)
    assert complete_integral(powers, variances) == pytest.approx(whole, rel=1e-11)
    for spent in (1e-8, 0.2, 1.0, 1.9, 4.0, 30.0, 1e3):
        share = variances * spent / (1.0 + variances * spent)
        lower = whole * special.betainc(powers, second, share)
        assert lower_integral(powers, spent, variances) == pytest.approx(lower, rel=1e-10)
        survival = (1.0 + variances * spent) ** (-1.0 / variances)
        upper = whole * special.betaincc(powers, second, share) / survival
        assert scaled_upper_integral(powers, spent, variances) == pytest.approx(upper, rel=1e-10)


@pytest.mark.parametrize("variance", [1.0, 1.5, 2.0, 3.0, 10.0])
@pytest.mark.parametrize("power", [0.3, 0.5, 1.0, 2.5])
def test_lower_integral_where_the_mean_is_infinite_or_nearly_so(power: float, variance: float) -> None:
    for spent in (0.05, 1.0, 20.0, 1e4, 1e9):
        steps = np.linspace(np.log(1e-9 * min(spent, 1.0)) / power, np.log(spent), 400)
        pieces = [
            integrate.fixed_quad(
                lambda y: np.exp(power * y - np.log1p(variance * np.exp(y)) / variance), low, high, n=20
            )[0]
            for low, high in pairwise(steps)
        ]
        first = np.exp(power * steps[0]) / power
        assert lower_integral(power, spent, variance) == pytest.approx(sum(pieces) + first, rel=1e-10)


@pytest.mark.parametrize("law", LAWS)
def test_conditional_look_ups_are_ratios_and_inverses(law: dict[str, float]) -> None:
    ages = UNIT_AGES * law["scale"]
    ahead = 0.4 * law["scale"]
    ratio = weibull.survival(ages + ahead, **law) / weibull.survival(ages, **law)
    assert weibull.fail_within(ages, ahead, **law) == pytest.approx(1.0 - ratio, abs=1e-12)
    for fraction in (0.05, 0.5, 0.97):
        left = weibull.remaining(ages, fraction=fraction, **law)
        assert weibull.fail_within(ages, left, **law) == pytest.approx(np.full(6, fraction), rel=1e-9)


@pytest.mark.parametrize("name", ALL)
def test_without_frailty_nothing_changes_and_nothing_jumps(name: str) -> None:
    ages = np.linspace(0.05, 3.0, 40)
    function = getattr(weibull, name)
    plain = function(ages, shape=2.2, scale=1.1)
    assert (function(ages, shape=2.2, scale=1.1, variance=np.zeros(40)) == plain).all()
    mixed = function(ages[:, None], shape=2.2, scale=1.1, variance=[0.0, 1e-12, 1e-8])
    assert mixed[:, 0] == pytest.approx(plain, rel=1e-12)
    assert mixed[:, 1] == pytest.approx(plain, rel=1e-9)
    assert mixed[:, 2] == pytest.approx(mixed[:, 1], rel=1e-5)


def test_mean_life_and_fractions_go_over_into_those_without_frailty() -> None:
    plain = weibull.mean_life(shape=[0.8, 3.0], scale=2.0)
    assert weibull.mean_life(shape=[0.8, 3.0], scale=2.0, variance=1e-12) == pytest.approx(plain, rel=1e-11)
    assert weibull.mean_life(shape=[0.8, 3.0], scale=2.0, variance=[0.0, 0.0]) == pytest.approx(plain, rel=0.0)
    assert weibull.life_at(0.3, shape=2.0, scale=1.0, variance=1e-12) == pytest.approx(
        float(weibull.life_at(0.3, shape=2.0, scale=1.0)), rel=1e-11
    )


@pytest.mark.parametrize("shape", [0.6, 1.0, 2.5, 8.0])
@pytest.mark.parametrize("variance", [1e-6, 0.04, 0.049, 0.051, 0.4, 3.0])
def test_mean_pace_against_integration_over_vehicles(shape: float, variance: float) -> None:
    law = stats.gamma(1.0 / variance, scale=variance)
    expected = law.expect(lambda z: z ** (1.0 / shape), lb=law.ppf(1e-14), ub=law.isf(1e-14), epsabs=0.0, limit=500)
    assert weibull.mean_pace(shape, variance) == pytest.approx(expected, rel=1e-6)
    assert weibull.mean_pace(shape, 0.0) == 1.0
    assert weibull.mean_pace(1.0, variance) == pytest.approx(1.0, rel=1e-13)


def test_ends_of_the_curve_over_vehicles() -> None:
    law = {"shape": 2.0, "scale": 3.0, "variance": 0.5}
    assert weibull.survival([0.0, np.inf], **law).tolist() == [1.0, 0.0]
    assert weibull.hazard([0.0, np.inf], **law).tolist() == [0.0, 0.0]
    assert np.isinf(weibull.hazard(0.0, shape=0.8, scale=3.0, variance=0.5))
    assert weibull.life_at(0.0, **law) == 0.0
    assert weibull.integrated_survival(0.0, **law) == 0.0


def test_far_tail_keeps_its_digits_over_vehicles() -> None:
    # Far out the law is a power of the age, (theta u)^(-1 / theta): the mean left over the age is 1 / (k / theta - 1).
    law = {"shape": 2.0, "scale": 1.0, "variance": 0.4}
    assert weibull.mean_remaining(1e9, **law) == pytest.approx(1e9 / (2.0 / 0.4 - 1.0), rel=1e-9)
    assert weibull.fail_within(1e9, 1e8, **law) == pytest.approx(1.0 - 1.1 ** (-2.0 / 0.4), rel=1e-9)

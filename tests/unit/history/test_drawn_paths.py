"""Drawn paths: against following every path, and cases worked out by hand."""

import itertools

import numpy as np
import pytest

from wearmodel.history import drawn_paths, open_positions
from wearmodel.history.drawn_paths import build_large_timeline, draw_paths
from wearmodel.history.open_paths import build_open_paths
from wearmodel.history.open_positions import Step, Timeline, TooManyPathsError, build_paths, path_chances
from wearmodel.history.prospects import LifeTable, log_prospects

SHAPE = 2.2


def worn_vehicle(rng, *, places, lines, blanked=0.5, kits=0.0, first=0):
    """A vehicle whose parts have Weibull lives of scale 1: its timeline, the days of its events, and the last day."""
    length = 0.9 * lines / places
    rows = []
    for place in range(places):
        age = rng.weibull(SHAPE)
        while age < length:
            rows.append((age, place))
            age += rng.weibull(SHAPE)
    days, steps, event = [0.0] * places, [], first + places
    for day, place in sorted(rows):
        if rng.random() < blanked:
            sets = [(p,) for p in range(places)]
            if rng.random() < kits:
                sets = [(p, p + 1) for p in range(0, places - 1, 2)]
            steps.append(Step(tuple(tuple((p, event + p) for p in own) for own in sets)))
            event, days = event + places, days + [day] * places
        else:
            steps.append(Step((((place, event),),)))
            event, days = event + 1, [*days, day]
    return Timeline(tuple(range(first, first + places)), tuple(steps)), np.array(days), length


def log_likelihoods(lives, days, length, *, shape=SHAPE):
    """Of Weibull lives of scale 1."""
    start = np.array([days[a] for a, _ in lives])
    stop = np.array([days[b] if b >= 0 else length for _, b in lives])
    failed = np.array([b >= 0 for _, b in lives])
    age = np.maximum(stop - start, 1e-9)
    return np.where(failed, np.log(shape) + (shape - 1.0) * np.log(age), 0.0) - age**shape


@pytest.fixture
def followed(monkeypatch):
    """Every path of a timeline followed: the independent answer, by life."""
    monkeypatch.setattr(open_positions, "MOST_STATES", 200_000)

    def answer(timeline, days, length, shape=SHAPE):
        paths = build_paths([timeline], days=days)
        chances = path_chances(paths, log_likelihoods(paths.lives, days, length, shape=shape))
        return dict(zip(paths.lives, chances, strict=True))

    return answer


def drawn_chances(large, days, length, *, seed, states, drawn_with=SHAPE, shape=SHAPE):
    likely = log_likelihoods(large.lives, days, length, shape=drawn_with)
    paths = draw_paths([large], [likely], seed=seed, states=states)
    return path_chances(paths, log_likelihoods(large.lives, days, length, shape=shape))


@pytest.mark.parametrize("kits", [0.0, 0.4])
@pytest.mark.parametrize("seed", range(4))
def test_with_room_for_every_state_chances_are_those_of_all_paths(followed, seed, kits):
    timeline, days, length = worn_vehicle(np.random.default_rng(seed), places=4, lines=12, kits=kits)
    large = build_large_timeline(timeline, days=days)
    expected = followed(timeline, days, length)
    assert set(expected) <= set(large.lives)
    found = drawn_chances(large, days, length, seed=1, states=10_000)
    np.testing.assert_allclose(found, [expected.get(life, 0.0) for life in large.lives], atol=1e-11)


@pytest.mark.parametrize(("seed", "kits"), [(2, 0.0), (5, 0.0), (3, 0.3)])
def test_error_is_that_of_chance_and_falls_with_the_number_of_states(followed, seed, kits):
    timeline, days, length = worn_vehicle(np.random.default_rng(seed), places=5, lines=20, kits=kits)
    large = build_large_timeline(timeline, days=days)
    chances = followed(timeline, days, length)
    expected = np.array([chances.get(life, 0.0) for life in large.lives])
    spread = []
    for states in (30, 120, 480):
        found = np.array([drawn_chances(large, days, length, seed=s, states=states) for s in range(20)])
        spread.append(float(np.sqrt(((found - expected) ** 2).sum(axis=1).mean() / expected.sum())))
    # Four times the states: at least half the error if nothing but chance is at work.
    assert spread[1] < 0.65 * spread[0]
    assert spread[2] < 0.65 * spread[1]
    assert spread[2] < 0.04
    # The mean over the draws is as near as the scatter of the draws lets it be (found holds those of 480 states).
    off = np.sqrt(((found.mean(axis=0) - expected) ** 2).sum() / expected.sum())
    assert off < 3.0 * spread[2] / np.sqrt(len(found))


def test_states_drawn_with_another_law_give_the_same_chances_on_average(followed):
    timeline, days, length = worn_vehicle(np.random.default_rng(0), places=5, lines=18)
    large = build_large_timeline(timeline, days=days)
    chances = followed(timeline, days, length, shape=2.5)
    expected = np.array([chances.get(life, 0.0) for life in large.lives])
    draws = [drawn_chances(large, days, length, seed=s, states=400, drawn_with=1.6, shape=2.5) for s in range(12)]
    found = np.mean(draws, axis=0)
    assert np.sqrt(((found - expected) ** 2).sum() / expected.sum()) < 0.02


def test_without_weights_for_what_was_dropped_chances_would_be_wrong(followed):
    """A beam that only keeps the best states, the simpler way, is off by many times as much."""
    timeline, days, length = worn_vehicle(np.random.default_rng(1), places=6, lines=20)
    large = build_large_timeline(timeline, days=days)
    chances = followed(timeline, days, length)
    expected = np.array([chances.get(life, 0.0) for life in large.lives])
    likely = log_likelihoods(large.lives, days, length)
    right, wrong = [], []
    for seed in range(10):
        paths = draw_paths([large], [likely], seed=seed, states=60)
        right.append(path_chances(paths, likely))
        paths.log_weight[:] = 0.0
        wrong.append(path_chances(paths, likely))
    assert np.abs(np.mean(wrong, axis=0) - expected).sum() > 2.0 * np.abs(np.mean(right, axis=0) - expected).sum()


def test_lives_around_each_line_balance_and_draws_repeat():
    timeline, days, length = worn_vehicle(np.random.default_rng(2), places=8, lines=44)
    large = build_large_timeline(timeline, days=days)
    chances = drawn_chances(large, days, length, seed=5, states=300)
    again = drawn_chances(build_large_timeline(timeline, days=days), days, length, seed=5, states=300)
    assert chances.tobytes() == again.tobytes()
    begun, ended = {}, {}
    for (start, end), chance in zip(large.lives, chances, strict=True):
        begun[start] = begun.get(start, 0.0) + chance
        ended[end] = ended.get(end, 0.0) + chance
    assert ended.pop(-1) == pytest.approx(8.0)
    assert all(begun[event] == pytest.approx(1.0) for event in timeline.first)
    for step in timeline.steps:
        events = [event for option in step.options for _, event in option]
        assert sum(ended[event] for event in events) == pytest.approx(1.0)
        for event in events:
            assert begun[event] == pytest.approx(ended[event], abs=1e-9)


def test_ten_positions_stay_within_the_states_asked_for():
    timeline, days, length = worn_vehicle(np.random.default_rng(4), places=10, lines=60)
    large = build_large_timeline(timeline, days=days)
    paths = draw_paths([large], [log_likelihoods(large.lives, days, length)], seed=1)
    assert np.bincount(paths.level).max() <= drawn_paths.KEPT_STATES + 1
    assert len(paths.level) > 0.5 * drawn_paths.KEPT_STATES * len(timeline.steps) / 2


def test_lines_of_one_day_go_to_different_positions():
    days = np.array([0.0] * 3 + [9.0] * 9)
    options = [tuple(((place, 3 + 3 * line + place),) for place in range(3)) for line in range(3)]
    timeline = Timeline((0, 1, 2), tuple(Step(own) for own in options))
    large = build_large_timeline(timeline, days=days)
    paths = draw_paths([large], [np.zeros(len(large.lives))], seed=1, states=2)
    chances = dict(zip(large.lives, path_chances(paths, np.zeros(len(large.lives))), strict=True))
    assert all(chance == 0.0 for (start, end), chance in chances.items() if end < 0 and start < 3)
    fourth = Step(tuple(((place, 3 + place),) for place in range(3)))
    with pytest.raises(TooManyPathsError):
        impossible = build_large_timeline(Timeline((0, 1, 2), (*timeline.steps, fourth)), days=days)
        draw_paths([impossible], [np.zeros(len(impossible.lives))], seed=1)


def test_more_lives_than_can_be_kept_are_refused(monkeypatch):
    timeline, days, _ = worn_vehicle(np.random.default_rng(0), places=4, lines=20)
    monkeypatch.setattr(drawn_paths, "MOST_LIVES", 30)
    with pytest.raises(TooManyPathsError):
        build_large_timeline(timeline, days=days)


def test_prospects_of_two_positions_and_one_line_by_hand():
    # A line that ends a life with likelihood a or b, each place going on with 0.5; not taken: 0.8 and 0.4.
    life = np.array([[[-1, 0, 1], [-1, -1, 2]], [[-1, 3, 4], [-1, -1, 5]]])
    table = LifeTable(life, np.array([[-1, 0], [-1, 0]]), np.array([1.0]))
    likelihood = np.array([0.3, 0.8, 0.5, 0.1, 0.4, 0.5])
    found = np.exp(log_prospects(table, np.log(likelihood)))
    # Odds that each takes the line, u times this; the factor u at which both chances add up to one, which the few
    # rounds come near.
    one, two = 0.3 * 0.5 / 0.8, 0.1 * 0.5 / 0.4
    factor = 1.0 / np.sqrt(one * two)
    expected = np.array([(1.0 + factor * one), (1.0 + factor * two)])
    np.testing.assert_allclose(found[:, 0, 1] / found[:, 0, 2], expected, rtol=1e-3)
    np.testing.assert_allclose(found[:, 0, 2] / found[:, 1, 2], [0.8 / 0.5, 0.4 / 0.5], rtol=1e-9)


def test_followed_and_drawn_timelines_stand_side_by_side(followed):
    one, days, length = worn_vehicle(np.random.default_rng(1), places=3, lines=9)
    two, more, other = worn_vehicle(np.random.default_rng(2), places=4, lines=12, first=len(days))
    every = np.concatenate([days, more])
    paths = build_open_paths([one], [build_large_timeline(two, days=every)], days=every)
    parts = ((paths.exact, length), (paths.drawn[0], other))
    likely = np.concatenate([log_likelihoods(own.lives, every, last) for own, last in parts])
    expected = followed(one, every, length) | followed(two, every, other)
    assert len(paths.chances(likely)) == len(paths.lives)
    found = paths.redrawn(likely).chances(likely)
    np.testing.assert_allclose(found, [expected.get(life, 0.0) for life in paths.lives], atol=0.05)
    assert list(itertools.chain(paths.exact.lives, paths.drawn[0].lives)) == list(paths.lives)

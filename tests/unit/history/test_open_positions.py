"""Spreading open lines: against full enumeration, and cases worked out by hand."""

import itertools

import numpy as np
import pytest

from wearmodel.history.open_positions import Step, Timeline, TooManyPathsError, build_paths, path_chances


def known(place, event):
    return Step((((place, event),),))


def enumerated(timeline, days, likelihood):
    """Chance of each life by writing out every assignment of the lines: the independent answer."""
    total, chances = 0.0, {}
    for choice in itertools.product(*(range(len(step.options)) for step in timeline.steps)):
        state, lives, possible = list(timeline.first), [], True
        for step, option in zip(timeline.steps, choice, strict=True):
            before = list(state)
            for place, event in step.options[option]:
                fresh = before[place] != timeline.first[place]
                possible &= not (days[event] <= days[before[place]] and fresh)
                lives.append((before[place], event))
                state[place] = event
        if possible:
            lives += [(event, -1) for event in state]
            product = np.prod([likelihood[life] for life in lives])
            total += product
            for life in lives:
                chances[life] = chances.get(life, 0.0) + product
    return {life: chance / total for life, chance in chances.items()}


def random_timeline(rng, places, lines, first_event):
    """A timeline whose lines are open with chance 0.5, and the days of its events."""
    events = list(range(first_event, first_event + places))
    days = [0.0] * places
    steps, event = [], first_event + places
    for line in range(lines):
        day = float(line + 1)
        if rng.random() < 0.5:
            options = tuple(((place, event + place),) for place in range(places))
            event += places
            days += [day] * places
        else:
            options = (((int(rng.integers(places)), event),),)
            event += 1
            days += [day]
        steps.append(Step(options))
    return Timeline(tuple(events), tuple(steps)), days


@pytest.mark.parametrize("seed", range(12))
def test_forward_backward_equals_full_enumeration(seed):
    rng = np.random.default_rng(seed)
    one, days = random_timeline(rng, 3, 6, 0)
    two, more = random_timeline(rng, 2, 5, len(days))
    days = days + more
    paths = build_paths([one, two], days=days)
    likelihood = {life: float(rng.lognormal()) for life in paths.lives}
    chances = path_chances(paths, np.log([likelihood[life] for life in paths.lives]))
    expected = enumerated(one, days, likelihood) | enumerated(two, days, likelihood)
    assert set(expected) == set(paths.lives)
    np.testing.assert_allclose(chances, [expected[life] for life in paths.lives], rtol=1e-10)


def test_lives_that_hold_a_position_at_one_moment_sum_to_one():
    timeline, days = random_timeline(np.random.default_rng(5), 3, 6, 0)
    paths = build_paths([timeline], days=days)
    chances = path_chances(paths, np.random.default_rng(1).normal(size=len(paths.lives)))
    at_the_end = [chance for life, chance in zip(paths.lives, chances, strict=True) if life[1] == -1]
    assert sum(at_the_end) == pytest.approx(3.0)


def test_one_open_line_between_two_positions_by_hand():
    # Event 0 and 1 begin the positions, event 2 or 3 is the open line.
    timeline = Timeline((0, 1), (Step((((0, 2),), ((1, 3),))),))
    paths = build_paths([timeline], days=[0, 0, 10, 10])
    likelihood = {(0, 2): 0.3, (2, -1): 0.5, (1, -1): 0.8, (1, 3): 0.1, (3, -1): 0.5, (0, -1): 0.4}
    chances = dict(zip(paths.lives, path_chances(paths, np.log([likelihood[x] for x in paths.lives])), strict=True))
    first, second = 0.3 * 0.5 * 0.8, 0.1 * 0.5 * 0.4
    assert chances[(0, 2)] == pytest.approx(first / (first + second))
    assert chances[(1, 3)] == pytest.approx(second / (first + second))


def test_a_part_is_not_renewed_on_the_day_it_was_fitted():
    # Position 0 is renewed by name on the day of the open line: that line was the other position.
    timeline = Timeline((0, 1), (known(0, 2), Step((((0, 3),), ((1, 4),)))))
    paths = build_paths([timeline], days=[0, 0, 10, 10, 10])
    assert path_chances(paths, np.zeros(len(paths.lives))).tolist() == [1.0] * len(paths.lives)
    assert (2, 3) not in paths.lives


def test_more_lines_of_one_day_than_positions_cannot_be_spread():
    both = Step((((0, 2),), ((1, 3),)))
    other = Step((((0, 4),), ((1, 5),)))
    third = Step((((0, 6),), ((1, 7),)))
    with pytest.raises(TooManyPathsError):
        build_paths([Timeline((0, 1), (both, other, third))], days=[0, 0, 9, 9, 9, 9, 9, 9])


def test_dead_ends_have_no_chance():
    # After the first line went to position 0, the second (of the same day, position 0 by name) is impossible.
    timeline = Timeline((0, 1), (Step((((0, 2),), ((1, 3),))), known(0, 4)))
    paths = build_paths([timeline], days=[0, 0, 9, 9, 9])
    assert (0, 2) not in paths.lives
    assert path_chances(paths, np.zeros(len(paths.lives))).tolist() == [1.0] * len(paths.lives)


def test_a_kit_moves_all_its_positions_together():
    kit = Step((((0, 4), (1, 5)), ((2, 6), (3, 7))))
    paths = build_paths([Timeline((0, 1, 2, 3), (kit,))], days=[0, 0, 0, 0, 9, 9, 9, 9])
    likelihood = {(0, 4): 0.9, (1, 5): 0.9, (2, 6): 0.1, (3, 7): 0.1}
    each = np.log([likelihood.get(life, 0.5) for life in paths.lives])
    chances = dict(zip(paths.lives, path_chances(paths, each), strict=True))
    assert chances[(0, 4)] == chances[(1, 5)] == pytest.approx(0.81 / (0.81 + 0.01))


def test_nothing_open_gives_no_paths():
    paths = build_paths([], days=[])
    assert path_chances(paths, []).tolist() == []

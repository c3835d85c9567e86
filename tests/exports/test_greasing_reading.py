"""Lines on greasing in the exports of three shops: most are read, next to nothing else is taken for them."""

from greasing_reading import figures_of


def test_lines_on_greasing_are_read():
    figures = figures_of(["C", "D", "F"], vehicles=60)
    lines = figures.loc["lines"]
    assert lines.sum() >= 15
    # The others tell a fault, or in words that do not say what was greased.
    assert float(figures.loc["read"] @ lines / lines.sum()) >= 0.7
    assert (figures.loc["wrong among those read"] <= 0.05).all()

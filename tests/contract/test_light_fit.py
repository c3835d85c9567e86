"""A fit loads no more than it needs."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_a_fit_loads_neither_random_numbers_nor_scipy_nor_pandas():
    """Memory of a fit counts against other libraries'; an annotation is enough to load numpy's random numbers."""
    code = "import sys, wearmodel.survival.fit; print(*sorted(sys.modules))"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    loaded = set(result.stdout.split())
    assert "wearmodel.survival.fit" in loaded
    assert not loaded & {"numpy.random", "scipy", "pandas"}

"""Rules of the project that a machine can check."""

import ast
import importlib
import pkgutil
import re
import subprocess
import sys
from pathlib import Path

import pytest

import wearmodel
import workbook

ROOT = Path(__file__).parents[2]
PACKAGES = (wearmodel, workbook)
SOURCES = sorted(p for name in ("wearmodel", "workbook") for p in (ROOT / name).rglob("*.py"))
MODULES = sorted(
    info.name
    for package in PACKAGES
    for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    if not info.name.endswith("__main__")
)


def run(*command):
    return subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False)


def test_linter_and_docstring_check():
    result = run("ruff", "check", "--no-cache", ".")
    assert result.returncode == 0, result.stdout


def test_type_checker(tmp_path):
    result = run("mypy", "--cache-dir", str(tmp_path))
    assert result.returncode == 0, result.stdout


@pytest.mark.parametrize("name", MODULES)
def test_exported_names_exist_and_belong_here(name):
    module = importlib.import_module(name)
    for exported in getattr(module, "__all__", ()):
        assert hasattr(module, exported), f"{name}.{exported}"


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_code_from_data(path):
    """No pickle, eval or exec anywhere: every input file is hostile."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = [alias.name for alias in node.names] + [getattr(node, "module", "") or ""]
            assert not {"pickle", "marshal", "shelve", "joblib"} & set(names)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in {"eval", "exec", "compile", "__import__"}
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            # Evaluation by other doors: frames and shells, archives of objects.
            assert node.func.attr not in {
                "eval", "query", "exec_module", "read_pickle", "to_pickle", "read_hdf", "system", "popen",
            }  # fmt: skip
        if isinstance(node, ast.keyword):
            assert node.arg not in {"shell", "allow_pickle"}


ORDER = ["driveline", "intake", "history", "survival", "policy", "forecast"]


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_data_flows_one_way(path):
    """A folder imports only itself and the folders before it; wearmodel knows no spreadsheet."""
    parts = path.relative_to(ROOT).parts
    text = path.read_text(encoding="utf-8")
    imported = set(re.findall(r"from wearmodel\.(\w+)", text))
    if parts[0] == "wearmodel":
        at_edge = len(parts) == 2
        assert at_edge or ("import workbook" not in text and "from workbook" not in text)
        if len(parts) > 2 and parts[1] in ORDER:
            later = set(ORDER[ORDER.index(parts[1]) + 1 :])
            assert not imported & later, f"{path} imports {imported & later}"


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_files_and_functions_stay_small(path):
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 470
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            length = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
            assert length <= 60, f"{node.name}: {length} lines"


def test_installed_packages_fit_together():
    """The packaging tool's own audit: every requirement of every installed package is met."""
    result = run("pip", "check")
    assert result.returncode == 0, result.stdout


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_nothing_speaks_to_a_network(path):
    """No module imports what opens connections; databases named in fleet.toml go through their drivers alone."""
    wired = {"socket", "ssl", "http", "urllib.request", "ftplib", "smtplib", "requests", "httpx", "asyncio", "xmlrpc"}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = {alias.name for alias in node.names} if isinstance(node, ast.Import) else set()
        names |= {node.module or ""} if isinstance(node, ast.ImportFrom) else set()
        assert not names & wired


def test_only_the_cluster_modules_know_dask():
    """They alone send work to other machines, as the library sends it; nothing but --cluster loads them."""
    named = re.compile(r"""["'](distributed|dask)[."']|^\s*(import|from) (distributed|dask)""", re.MULTILINE)
    knowing = {path.name for path in SOURCES if named.search(path.read_text(encoding="utf-8"))}
    assert knowing == {"cluster.py", "cluster_parcels.py"}
    code = "import sys, wearmodel.cli, wearmodel.backtest; print({'dask', 'distributed'} & set(sys.modules))"
    result = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert result.stdout.strip() == "set()"


def test_readme_and_ci_run_the_same_test_command():
    command = "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && .venv/bin/python -m pytest"
    assert command in (ROOT / "README.md").read_text(encoding="utf-8")
    assert (ROOT / ".ci" / "run").read_text(encoding="utf-8").rstrip().endswith(command)


@pytest.mark.parametrize("name", MODULES)
def test_public_functions_say_what_they_take_and_return(name):
    module = importlib.import_module(name)
    for exported in getattr(module, "__all__", ()):
        thing = getattr(module, exported)
        if callable(thing) and getattr(thing, "__module__", "") == name and not isinstance(thing, type):
            text = thing.__doc__ or ""
            code = getattr(thing, "__code__", None)
            if code is not None and code.co_argcount + code.co_kwonlyargcount > 0:
                assert "Parameters\n" in text, f"{name}.{exported}"

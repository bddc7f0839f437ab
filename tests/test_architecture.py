"""The house rules that no linter counts: sizes, who prints, who touches disk, what stays out of the imports."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "generator" / "gemel"
MODULES = sorted([*PACKAGE.rglob("*.py"), *(ROOT / "tests").rglob("*.py"), *(ROOT / "benchmarks").rglob("*.py")])
LONGEST_MODULE = 400
LONGEST_FUNCTION = 60
BELIEVE_TEXT_ONLY = ("proving", "timing", "reading")
MAKERS = ("writing", "pairs", "operations", "families")


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _imports(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


def _modules(*folders: str) -> list[Path]:
    return [path for folder in folders for path in sorted((PACKAGE / folder).rglob("*.py"))]


def test_modules_and_functions_stay_small() -> None:
    """No module is longer than 400 lines, no function longer than 60."""
    long: list[str] = []
    for path in MODULES:
        lines = path.read_text(encoding="utf-8").count("\n")
        if lines > LONGEST_MODULE:
            long.append(f"{path.relative_to(ROOT)}: {lines} lines")
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                size = (node.end_lineno or node.lineno) - node.lineno + 1
                if size > LONGEST_FUNCTION:
                    long.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.name}: {size} lines")
    assert long == []


def test_readers_and_provers_believe_text_only() -> None:
    """`proving`, `timing` and `reading` import nothing of the layers that write programs."""
    forbidden = tuple(f"gemel.{maker}" for maker in MAKERS)
    wrong = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in _modules(*BELIEVE_TEXT_ONLY)
        for name in _imports(path)
        if name.startswith(forbidden)
    ]
    assert wrong == []


def test_only_cli_prints_and_only_history_and_shop_touch_the_disk() -> None:
    """Every `print` stands in `cli`; `open`, `pathlib`, `shutil` only in history, shop, cli."""
    wrong: list[str] = []
    for path in PACKAGE.rglob("*.py"):
        layer = path.relative_to(PACKAGE).parts[0]
        for node in ast.walk(_tree(path)):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id == "print" and layer != "cli":
                wrong.append(f"{path.relative_to(ROOT)}:{node.lineno} prints")
            if node.func.id == "open" and layer not in ("history", "shop", "cli"):
                wrong.append(f"{path.relative_to(ROOT)}:{node.lineno} opens a file")
        if layer not in ("history", "shop", "cli"):
            wrong.extend(
                f"{path.relative_to(ROOT)}: imports {name}"
                for name in _imports(path)
                if name.split(".")[0] in ("git", "shutil", "tempfile", "os", "pathlib")
            )
    assert wrong == []


def test_only_history_imports_git() -> None:
    """One place talks to git."""
    wrong = [
        str(path.relative_to(ROOT))
        for path in PACKAGE.rglob("*.py")
        if "git" in {name.split(".")[0] for name in _imports(path)} and path.parent.name != "history"
    ]
    assert wrong == []


def test_nothing_formats_a_coordinate_but_numbers() -> None:
    """`Decimal` and `quantize` appear in `numbers` only: there is one place that rounds for a program."""
    wrong = [
        str(path.relative_to(ROOT))
        for path in PACKAGE.rglob("*.py")
        if "decimal" in _imports(path) and path.parent.name != "numbers"
    ]
    assert wrong == []


_HEAVY = ["git", "numpy", "ortools", "manifold3d", "watchfiles", "jinja2", "pydantic", "ruamel", "plutoprint"]


@pytest.mark.parametrize("heavy", _HEAVY)
def test_help_needs_no_heavy_import(heavy: str) -> None:
    """`gemel --help` loads nothing that only a command needs."""
    code = (
        "import sys; sys.argv=['gemel','--help']\n"
        "from gemel.cli.main import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        f"sys.exit({heavy!r} in sys.modules)\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)  # noqa: S603 # our own interpreter
    assert run.returncode == 0, run.stderr.decode()


def test_every_test_says_what_must_hold() -> None:
    """Each test has a docstring."""
    silent = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path in (ROOT / "tests").rglob("test_*.py")
        for node in ast.walk(_tree(path))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node)
    ]
    assert silent == []


def test_texts_name_no_place_of_a_machine() -> None:
    """No file of the project names a home or temporary path of the machine that it was written on."""
    pattern = re.compile("|".join(("/work" + "/", "/root" + "/", "/home" + "/[a-z]")))
    checked = [p for p in [*MODULES, *ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")] if p.is_file()]
    assert [str(p.relative_to(ROOT)) for p in checked if pattern.search(p.read_text(encoding="utf-8"))] == []

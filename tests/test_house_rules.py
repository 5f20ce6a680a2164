"""The rules of the house as tests."""

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import routes
import shared
import transport
from shared.units import ENDINGS
from transport.cli.main import COMMANDS

ROOT = Path(__file__).parent.parent
PACKAGES = ("shared", "routes", "transport")
MODULES = sorted(file for package in PACKAGES for file in (ROOT / package).rglob("*.py"))
EDGES = {"inputs.py", "assess.py", "__init__.py"}
DOMAINS = ("securing", "trailer", "stopping", "cover", "seismic", "weather", "load_cases")
EQUATIONS = [
    file
    for file in MODULES
    if file.name not in EDGES and (set(file.parent.parts) & set(DOMAINS) or file.parent.name == "routes")
]
PLAIN = {"value", "values", "left", "right", "low", "high", "x", "y", "weights", "weight"}


def names(file: Path) -> str:
    return str(file.relative_to(ROOT))


def functions(file: Path) -> Iterator[ast.FunctionDef]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            yield node


def code_lines(node: ast.FunctionDef) -> int:
    """Lines of the body without its docstring."""
    body = node.body[1:] if ast.get_docstring(node) else node.body
    return body[-1].end_lineno - body[0].lineno + 1 if body and body[-1].end_lineno else 0


def test_the_imported_packages_are_ours() -> None:
    """The import names are common words; another distribution could own them."""
    homes = {Path(str(package.__file__)).parent.parent for package in (shared, routes, transport)}
    assert len(homes) == 1


@pytest.mark.parametrize("file", MODULES, ids=names)
def test_sizes(file: Path) -> None:
    lines = file.read_text(encoding="utf-8").count("\n")
    assert lines <= 250, f"{lines} lines"
    long = {node.name: code_lines(node) for node in functions(file) if code_lines(node) > 40}
    assert not long
    many = [node.name for node in functions(file) if len(node.args.posonlyargs) + len(node.args.args) > 7]
    assert not many


@pytest.mark.parametrize("file", MODULES, ids=names)
def test_every_module_and_public_function_says_what_it_is(file: Path) -> None:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    public = [
        node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]
    assert not [node.name for node in public if not ast.get_docstring(node)]
    assert any(isinstance(node, ast.Assign | ast.AnnAssign) and "__all__" in ast.unparse(node) for node in tree.body)


@pytest.mark.parametrize("file", EQUATIONS, ids=names)
def test_every_equation_names_its_source_and_units(file: Path) -> None:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    public = [node for node in tree.body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]
    numeric = [node for node in public if node.returns and ast.unparse(node.returns) in {"Array", "float"}]
    assert not [node.name for node in numeric if "Source" not in (ast.get_docstring(node) or "")]
    lacking = [
        f"{node.name}({argument.arg})"
        for node in numeric
        for argument in [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        if argument.annotation
        and ast.unparse(argument.annotation) in {"Array", "float"}
        and argument.arg not in PLAIN
        and not any(argument.arg.endswith(f"_{ending}") for ending in ENDINGS)
    ]
    assert not lacking


def test_no_room_for_odds_and_ends() -> None:
    assert not [names(file) for file in MODULES if file.stem in {"utils", "util", "common", "helpers", "misc"}]


def test_every_test_file_can_be_collected() -> None:
    holding = [
        file
        for file in (ROOT / "tests").rglob("*.py")
        if any(node.name.startswith("test_") for node in functions(file))
    ]
    assert not [names(file) for file in holding if not file.name.startswith("test_")]
    assert not list((ROOT / "tests").rglob("__init__.py"))


def test_every_published_check_value_has_source_and_status() -> None:
    for file in sorted((ROOT / "tests" / "published").glob("*.csv")):
        text = file.read_text(encoding="utf-8").splitlines()
        head = text[0].lstrip("#").strip() if text[0].startswith("#") else ""
        columns = next(line for line in text if not line.startswith("#")).split(",")
        told = {"source", "status"} <= set(columns) or ("source:" in head and "status:" in head)
        assert told, file.name


def test_every_source_is_listed_once() -> None:
    published = ROOT / "shared" / "published"
    keys = re.findall(r"^- ([^:]+):", (published / "SOURCES.md").read_text(encoding="utf-8"), flags=re.M)
    assert len(keys) == len(set(keys))


def test_every_command_has_help_and_stands_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in COMMANDS:
        assert f"glasshaul {name}" in readme, name
        shown = subprocess.run(
            [sys.executable, "-m", "transport.cli", name, "--help"], capture_output=True, text=True, check=True
        )
        assert "Usage:" in shown.stdout


def test_help_imports_neither_numpy_nor_xarray() -> None:
    code = (
        "import sys; from transport.cli.main import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "print([name for name in ('numpy', 'xarray', 'pydantic', 'scipy', 'rich') if name in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.splitlines()[-1] == "[]"


def test_the_distribution_ships_its_data() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"] == ["transport", "routes", "shared"]

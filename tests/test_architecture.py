"""The rules that keep the project simple, read off its own source."""

from __future__ import annotations

import ast
import re
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import jinja2
import pytest
from jinja2 import nodes

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "generator"
CONTENT = ROOT / "content"
NOT_JINJA = {CONTENT / "wording" / "problems.yaml"}  # filled in by str.format_map, which cannot compute

# Each part may import itself and the parts above it in this list. (unit_* hold the data of quantities.)
ORDER = [
    "problems",
    "unit_table",
    "unit_ladders",
    "quantities",
    "profile",
    "plant",
    "chemistry",
    "figures",
    "operations",
    "rehearsal",
    "review",
    "handbook",
    "publish",
    "register",
    "cli",
]
# Tighter than the order: chemistry is pure functions; the rehearsal must not use the solver that it checks.
MAY_IMPORT_ONLY_ITSELF = {"chemistry"}
MUST_NOT_IMPORT = {"rehearsal": ("generator.plant.routes", "generator.plant.lineups")}

LONGEST, LONGEST_MEDIAN = 400, 150


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def dotted(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(source: str, module: str, is_package: bool) -> Iterator[str]:
    """Dotted names of all that a module imports, wherever in it; `from a import b` yields a.b."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                here = module.split(".")
                up = node.level - 1 if is_package else node.level
                base = ".".join([*here[: len(here) - up], *([base] if base else [])])
            yield from (f"{base}.{alias.name}" for alias in node.names)


def wrong_imports(source: str, module: str, is_package: bool = False) -> list[str]:
    part = module.split(".")[1] if "." in module else ""
    if part and part not in ORDER:
        return [f"{module} has no place in the order"]
    wrong = []
    for name in imports(source, module, is_package):
        if name.split(".")[0] != "generator" or part in name.split(".")[1:2]:
            continue
        other = [*name.split("."), ""][1]
        allowed = [] if part in MAY_IMPORT_ONLY_ITSELF | {""} else ORDER[: ORDER.index(part)]
        if other not in allowed or name.startswith(MUST_NOT_IMPORT.get(part, ("-",))):
            wrong.append(f"{module} imports {name}")
    return wrong


def test_every_part_has_its_place_in_the_order() -> None:
    parts = {path.stem for path in PACKAGE.iterdir() if path.suffix == ".py" and path.stem != "__init__"}
    parts |= {path.name for path in PACKAGE.iterdir() if path.is_dir() and list(path.glob("*.py"))}
    assert sorted(parts - set(ORDER)) == []


def test_imports_go_one_way() -> None:
    assert [
        wrong
        for path in modules()
        for wrong in wrong_imports(path.read_text("utf-8"), dotted(path), path.name == "__init__.py")
    ] == []


@pytest.mark.parametrize(
    ("module", "source", "is_wrong"),
    [
        ("generator.plant.network", "from generator.review import rules", True),
        ("generator.plant.network", "def f():\n    from generator.cli import main", True),
        ("generator.plant.network", "from ..handbook import pages", True),
        ("generator.plant.network", "from . import geometry\nfrom .geometry import Shape", False),
        ("generator.plant.network", "from generator.profile.model import Profile\nimport math", False),
        ("generator.chemistry.dose", "from generator.problems import Problem", True),
        ("generator.chemistry.dose", "from generator.chemistry import constants", False),
        ("generator.rehearsal.flow", "from generator.plant.network import Network", False),
        ("generator.rehearsal.flow", "from generator.plant.routes import solve", True),
        ("generator.rehearsal.flow", "from generator.plant import lineups", True),
        ("generator.publish.pdf", "import generator", True),
    ],
)
def test_a_wrong_import_is_seen(module: str, source: str, is_wrong: bool) -> None:
    assert bool(wrong_imports(source, module)) is is_wrong


def test_modules_stay_short() -> None:
    lengths = {dotted(path): len(path.read_text("utf-8").splitlines()) for path in modules()}
    # An empty __init__ would only lower the median.
    lengths = {name: length for name, length in lengths.items() if length > 1}
    assert {name: length for name, length in lengths.items() if length > LONGEST} == {}
    assert statistics.median(lengths.values()) <= LONGEST_MEDIAN


# --- words live in content/


def prose(source: str) -> Iterator[tuple[int, str]]:
    """(line, text) of every string that reads like a sentence: a capital first, five words or more.

    A string that stands as a statement (a docstring) is for contributors. One that holds a year is the
    citation of a source, which belongs beside the formula it is the source of.
    """
    tree = ast.parse(source)
    skipped = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            skipped |= {id(part) for part in node.values}
    for node in ast.walk(tree):
        if id(node) in skipped or not isinstance(node, ast.Constant | ast.JoinedStr):
            continue
        text = plain(node)
        words = re.findall(r"[^\W\d_]{2,}|\{\}|\b[aA]\b", text)
        citation = re.search(r"\b(1[89]|20)\d\d\b", text)
        if len(words) >= 5 and re.match(r"\s*[A-Z]\w* ", text) and not citation:
            yield node.lineno, text


def plain(node: ast.Constant | ast.JoinedStr) -> str:
    """The text with {} for every value put into it; '' where it is not text."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "".join(plain(part) if isinstance(part, ast.Constant) else "{}" for part in node.values)


def test_no_operators_sentence_in_python() -> None:
    assert [
        f"{path.relative_to(ROOT)}:{line}: {text}"
        for path in modules()
        for line, text in prose(path.read_text("utf-8"))
    ] == []


@pytest.mark.parametrize(
    ("source", "is_prose"),
    [
        ('x = "Open the valve before the pump starts."', True),
        ('x = f"Open valve {label} before starting pump {pump}."', True),
        ('x = ("Stop the heater and "\n     "wait for it to cool")', True),
        ('p.add_argument("file", help="The profile to be turned into a handbook")', True),
        ('def f():\n    """Opens the valve before the pump starts."""', False),
        ('x = 1\n"""What the attribute above it means, in words."""', False),
        ('SOURCE = "Parker 1965, A Handbook of Thermal Data, NSRDS-NBS 2"', False),
        ('raise ValueError(f"fraction must lie between 0 and 1, not {x}")', False),
        ('x = "Open the valve"', False),
    ],
)
def test_a_sentence_in_python_is_seen(source: str, is_prose: bool) -> None:
    assert bool(list(prose(source))) is is_prose


# --- numbers come from figures

OPERATORS = (nodes.Add, nodes.Sub, nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow, nodes.Neg)
COMPUTING_FILTERS = {"sum", "round", "abs"}


def arithmetic(template: str) -> list[str]:
    """What computes in a template, each with its line."""
    environment = jinja2.Environment(autoescape=True, extensions=["jinja2.ext.do", "jinja2.ext.loopcontrols"])
    tree = environment.parse(template)
    found = [f"{node.lineno}: {type(node).__name__}" for node in tree.find_all(OPERATORS)]
    filters = [node for node in tree.find_all(nodes.Filter) if node.name in COMPUTING_FILTERS]
    return found + [f"{node.lineno}: {node.name}" for node in filters]


def templates() -> Iterator[tuple[Path, str]]:
    """Every text under content/ that holds Jinja."""
    for path in sorted(CONTENT.rglob("*")):
        if path.is_file() and path not in NOT_JINJA:
            text = path.read_bytes().decode("utf-8", errors="ignore")
            if "{{" in text or "{%" in text:
                yield path, text


def test_no_arithmetic_in_templates() -> None:
    texts = list(templates())
    assert texts, "content/ holds no template"
    assert [f"{path.relative_to(ROOT)}:{found}" for path, text in texts for found in arithmetic(text)] == []


@pytest.mark.parametrize(
    ("template", "computes"),
    [
        ("{{ a * 2 }}", True),
        ("{% if a + b > 3 %}x{% endif %}", True),
        ("{% set n = a - 1 %}", True),
        ("{{ values|sum }}", True),
        ("{% for x in xs %}{{ loop.index0 }} {{ x }}{% endfor %}", False),
        ("{{ a ~ ' ' ~ b }} {{ figure('dose')|upper }} {% if a > 3 %}x{% endif %}", False),
    ],
)
def test_arithmetic_in_a_template_is_seen(template: str, computes: bool) -> None:
    assert bool(arithmetic(template)) is computes


# --- heavy libraries are imported where they are used


def test_the_command_line_starts_without_the_heavy_libraries() -> None:
    code = "import sys, generator.cli; print(*sorted({'weasyprint', 'rich'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == []


# --- a number's name says its unit

MEASURED = ("chemistry", "plant", "figures")


def listed(words: str) -> frozenset[str]:
    return frozenset(words.split())


#: What the name of a number may end in: its unit.
UNITS = listed(
    """
    m m2 m3 um m_s m3s m3_m3 kg g kmol kg_s kg_m3 kg_m3k kg_kmol kg_kg g_l g_per_l g_100g mg_g ppm
    mol_l mol_per_l ml c k k_s w w_k w_m2 w_m2k w_m2k4 w_mk j j_k j_kg j_kgk j_mol j_kmolk j_m3 pa pa_s
    s a v rad m_s2 per_m3 per_kg per_j per_batch per_hour money
    bed_volumes
    """
)
#: Words that make a number one without a unit.
PURE = listed(
    """
    fraction fractions share ratio purity ffa conversion humidity emissivity factor turnovers
    distribution
    """
)
#: Names whose unit stands in a field, argument or docstring beside them: a value of any kind, and tables.
BESIDE = listed(
    """
    value resolution given inputs least greatest amount threshold limit lowest highest points table
    x xs ys CUSTOMARY ANTOINE_A
    """
)
#: Keys of the profile's own values, which the profile's unit table reads; all are shares.
OWN_SHARES = listed("water_dry least_loss most_loss")


def unnamed_units(source: str) -> list[str]:
    """Float parameters, fields and module constants whose name tells no unit."""
    return [f"{line}: {name}" for line, name in floats(ast.parse(source)) if not tells_its_unit(name)]


def tells_its_unit(name: str) -> bool:
    bare = name.strip("_")
    words = bare.lower().split("_")
    ends = {"_".join(words[-n:]) for n in range(1, len(words) + 1)}
    return bool(ends & UNITS) or bool(set(words) & PURE) or bare in BESIDE or bare in OWN_SHARES


def floats(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """(line, name) of each number: by its annotation, a module constant also by what it is set to."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            yield from ((arg.lineno, arg.arg) for arg in given if holds_floats(arg.annotation))
        if isinstance(node, ast.ClassDef):
            fields = [part for part in node.body if isinstance(part, ast.AnnAssign)]
            yield from ((f.lineno, ast.unparse(f.target)) for f in fields if holds_floats(f.annotation))
    for part in tree.body:
        if isinstance(part, ast.AnnAssign) and (holds_floats(part.annotation) or is_number(part.value)):
            yield part.lineno, ast.unparse(part.target)
        if isinstance(part, ast.Assign) and is_number(part.value):
            yield from ((part.lineno, ast.unparse(target)) for target in part.targets)


def holds_floats(annotation: ast.expr | None) -> bool:
    """Whether an annotation names float; a function that takes or gives floats is none itself."""
    if annotation is None or "Callable" in ast.unparse(annotation):
        return False
    return any(isinstance(node, ast.Name) and node.id == "float" for node in ast.walk(annotation))


def is_number(value: ast.expr | None) -> bool:
    """A float, or arithmetic or a call of a mass that comes to one."""
    if isinstance(value, ast.BinOp):
        return is_number(value.left) or is_number(value.right)
    if isinstance(value, ast.UnaryOp):
        return is_number(value.operand)
    if isinstance(value, ast.Call):
        return ast.unparse(value.func) == "_mass"
    return isinstance(value, ast.Constant) and isinstance(value.value, float)


def test_the_name_of_every_number_says_its_unit() -> None:
    paths = [path for part in MEASURED for path in sorted((PACKAGE / part).glob("*.py"))]
    assert len(paths) > 50
    assert [
        f"{path.relative_to(ROOT)}:{found}"
        for path in paths
        for found in unnamed_units(path.read_text("utf-8"))
    ] == []


@pytest.mark.parametrize(
    ("source", "is_wrong"),
    [
        ("def f(volume: float) -> float: ...", True),
        ("def f(volume_m3: float, temperature_c: float | None) -> float: ...", False),
        ("def f(volumes: Sequence[float]) -> float: ...", True),
        ("def f(*, flow: float) -> float: ...", True),
        ("class A:\n    oil_density: float", True),
        ("class A:\n    oil_density_kg_m3: float\n    purity_fraction: float\n    ffa: float", False),
        ("GRAVITY: Final = 9.80665", True),
        ("GRAVITY_M_S2: Final = 9.80665", False),
        ("_SLOPE = -0.64", True),
        ("WATER: Final = _mass(H=2, O=1)", True),
        ("LIMIT_MARGIN: Final[float] = 2.0", True),
        ("STEPS: Final = 400", False),
        ("def f(shape: Callable[[float], float]) -> float: ...", False),
    ],
)
def test_a_number_without_a_unit_is_seen(source: str, is_wrong: bool) -> None:
    assert bool(unnamed_units(source)) is is_wrong

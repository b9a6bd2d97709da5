"""The rules of the house, held by machine: layers, types, style, sizes, the words that must not stand."""

import ast
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]
PYTHON_FILES = sorted(p for folder in ("rotary", "tui", "tests", "docs") for p in (ROOT / folder).rglob("*.py"))
TEXT_FILES = [
    p
    for p in sorted(ROOT.rglob("*"))
    if p.suffix in {".py", ".md", ".toml", ".json", ".tcss"} and not {".venv", ".git", "node_modules"} & set(p.parts)
]


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=600)


@pytest.mark.timeout(300)
def test_nothing_imports_upstream() -> None:
    """The import rules of pyproject.toml hold, every file has its place in the layers."""
    tool = shutil.which("lint-imports", path=str(Path(sys.executable).parent))
    assert tool, "import-linter is part of the test extra"
    done = run(tool, "--no-cache")
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.timeout(600)
@pytest.mark.slow
def test_the_types_hold_strictly() -> None:
    """mypy --strict finds nothing in the two packages."""
    done = run(sys.executable, "-m", "mypy", "--no-incremental")
    assert done.returncode == 0, done.stdout + done.stderr


def test_ruff_finds_nothing() -> None:
    """Lint and format are clean."""
    done = run(sys.executable, "-m", "ruff", "check", ".")
    assert done.returncode == 0, done.stdout + done.stderr
    done = run(sys.executable, "-m", "ruff", "format", "--check", ".")
    assert done.returncode == 0, done.stdout + done.stderr


def test_no_file_is_longer_than_four_hundred_lines() -> None:
    """A file that grows past 400 lines is two files."""
    long = {str(p.relative_to(ROOT)): n for p in PYTHON_FILES if (n := len(p.read_text("utf-8").splitlines())) > 400}
    assert not long


def test_the_top_level_is_what_was_fixed() -> None:
    """Nothing but the agreed files and folders lies at the top of the tree."""
    listed = run("git", "ls-files")
    if listed.returncode:
        pytest.skip("not a git checkout")
    tops = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".gitignore", ".ci"}
    assert tops <= allowed | {"rotary", "tui", "tests", "profiles", "docs"}


def test_the_readme_holds_exactly_two_commands() -> None:
    """A newcomer has two lines to copy: one runs the main job, one runs the tests."""
    blocks = re.findall(r"^```sh\n(.*?)^```", (ROOT / "README.md").read_text("utf-8"), re.M | re.S)
    assert [len(b.strip().splitlines()) for b in blocks] == [1, 1]


def test_what_the_readme_s_command_leaves_out_is_run_all_the_same() -> None:
    """Its tests are those that guard a change; the judge of every change runs the slow ones as well, and runs last."""
    readme = (ROOT / "README.md").read_text("utf-8")
    judge = (ROOT / ".ci" / "run").read_text("utf-8").splitlines()
    assert '-m pytest -n auto --dist worksteal -m "not slow"\n' in readme
    assert judge[-1] == ".venv/bin/python -m pytest -n auto --dist worksteal -m slow"


def test_no_path_of_one_machine_stands_in_the_tree() -> None:
    """Home folders, temporary folders and package hosts of whoever wrote a file stay out of it."""
    # Written in halves, so that this file does not name what it looks for.
    names = ("/ro" + "ot/", "/wo" + "rk/", "/ho" + "me/[a-z]", "py" + r"pi\.org", "registry" + r"\.npm")
    leak = re.compile("|".join(names))
    found = {str(p.relative_to(ROOT)): m[0] for p in TEXT_FILES if (m := leak.search(p.read_text("utf-8")))}
    assert not found


def anchor_of(head: str) -> str:
    """What a link says behind # to reach a heading.

    >>> anchor_of("A coating of your own: first steps")
    'a-coating-of-your-own-first-steps'
    """
    return re.sub(r"[^\w -]", "", head.casefold()).replace(" ", "-")


def test_links_between_the_documents_lead_somewhere() -> None:
    """Every relative link in a Markdown file names a file that exists, and a heading in it where it names one."""
    pages = {p: p.read_text("utf-8") for p in TEXT_FILES if p.suffix == ".md"}
    heads = {page: [anchor_of(head) for head in re.findall(r"^#+ (.+)$", text, re.M)] for page, text in pages.items()}
    broken = []
    for page, text in pages.items():
        for name, anchor in re.findall(r"\]\(([^)#\s]*)(?:#([^)]*))?\)", text):
            target = (page.parent / name).resolve() if name else page
            if "://" not in name and (not target.exists() or (anchor and anchor not in heads.get(target, ()))):
                broken.append(f"{page.relative_to(ROOT)}: {name}#{anchor}")
    assert not broken


def test_every_page_can_be_reached_from_the_way_in() -> None:
    """From docs/README.md every page of the documentation is a few links away, and every picture is on a page."""
    docs, reached, ahead = ROOT / "docs", set(), [ROOT / "docs" / "README.md", ROOT / "README.md"]
    while ahead:
        page = ahead.pop()
        reached.add(page)
        if page.suffix == ".md":
            names = re.findall(r"\]\(([^)#\s]+)", page.read_text("utf-8"))
            ahead += [p for name in names if (p := (page.parent / name).resolve()).exists() and p not in reached]
    wanted = [p for p in docs.rglob("*") if p.suffix in {".md", ".svg", ".png", ".json"}]
    assert not [str(p.relative_to(ROOT)) for p in wanted if p not in reached]


def test_importing_the_core_loads_no_screen() -> None:
    """A clean interpreter that imports the core has no terminal library in it."""
    code = "import sys, rotary.plan, rotary.__main__; print([m for m in ('textual', 'rich') if m in sys.modules])"
    assert run(sys.executable, "-c", code).stdout.strip() == "[]"


def test_no_package_imports_the_other_by_a_text() -> None:
    """What the import rules can't see they can't hold: names as texts are those of a package's own modules."""
    hidden = []
    for path in PYTHON_FILES:
        package = path.relative_to(ROOT).parts[0]
        if package in ("rotary", "tui"):
            calls = re.findall(rf'\b(?:import_module|__import__)\((?!f?"{package}\.).*', path.read_text("utf-8"))
            hidden += [f"{path.relative_to(ROOT)}: {call}" for call in calls]
    assert not hidden


def test_importing_the_screen_loads_nothing_heavy() -> None:
    """The first frame needs neither units library, arrays, models nor readers of artwork."""
    heavy = "('pint', 'numpy', 'pydantic', 'PIL', 'shapely', 'uharfbuzz', 'ezdxf')"
    code = f"import sys, tui.app; print([m for m in {heavy} if m in sys.modules])"
    done = run(sys.executable, "-c", code)
    assert done.stdout.strip() == "[]", done.stdout + done.stderr


def test_every_public_formula_has_an_example_that_runs() -> None:
    """A formula without a worked example can't be trusted or learned from."""
    import importlib
    import inspect
    import pkgutil

    import rotary.formulas

    bare = []
    for info in pkgutil.iter_modules(rotary.formulas.__path__):
        module = importlib.import_module(f"rotary.formulas.{info.name}")
        for name, thing in inspect.getmembers(module, inspect.isfunction):
            if thing.__module__ == module.__name__ and not name.startswith("_") and ">>>" not in (thing.__doc__ or ""):
                bare.append(f"{info.name}.{name}")
    assert not bare


FORMULAS = "rotary.formulas"


def formulas_named_in(tree: ast.AST, part: ast.AST, own: str = "") -> set[tuple[str, str]]:
    """(module, name) of the formulas that a part of a module names; `own` is the module where it is one of them."""
    modules, names = {}, {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module == FORMULAS:
            modules |= {alias.asname or alias.name: f"{FORMULAS}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith(f"{FORMULAS}."):
            names |= {alias.asname or alias.name: (str(node.module), alias.name) for alias in node.names}
    # A parameter or a value of the same name is not the formula.
    local = {node.arg for node in ast.walk(part) if isinstance(node, ast.arg)}
    found = set()
    for node in ast.walk(part):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in modules:
            found.add((modules[node.value.id], node.attr))
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) and node.id not in local:
            found |= {names[node.id]} if node.id in names else {(own, node.id)} if own else set()
    return found


def test_every_public_formula_is_one_that_the_product_goes_by() -> None:
    """A law that only tests call stands again where the product computes, and the two drift apart."""
    called, calls = set(), {}
    for path in sorted((ROOT / "rotary").rglob("*.py")):
        tree, name = tree_of(path), ".".join(path.relative_to(ROOT).with_suffix("").parts)
        if not name.startswith(FORMULAS):
            called |= formulas_named_in(tree, tree)
            continue
        for part in tree.body:
            if isinstance(part, ast.FunctionDef):
                calls[name, part.name] = formulas_named_in(tree, part, name)
            elif isinstance(part, ast.Assign | ast.AnnAssign):
                targets = part.targets if isinstance(part, ast.Assign) else [part.target]
                calls |= {(name, t.id): formulas_named_in(tree, part, name) for t in targets if isinstance(t, ast.Name)}
    seen: set[tuple[str, str]] = set()
    while called - seen:
        one = (called - seen).pop()
        seen.add(one)
        called |= calls.get(one, set())
    unused = [f"{module}.{name}" for module, name in calls if (module, name) not in seen and not name.startswith("_")]
    assert [name for name in unused if not name.endswith(".Floats")] == []


ONCE = ("HOLDS_95", "BELOW_95", "ROOM_C", "FALLBACK_HATCH_MM", "RING_RAD", "LEAST_BLANK_MM", "TICK_MM", "BORDER_MM")


def test_what_is_typed_twice_is_one_constant() -> None:
    """Quantiles of the normal law stand in one file, and each of the other figures is given its name in one."""
    quantiles, given = set(), {name: [] for name in ONCE}  # type: ignore[var-annotated]
    for path in sorted(p for folder in ("rotary", "tui") for p in (ROOT / folder).rglob("*.py")):
        tree = tree_of(path)
        numbers = [n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, float)]
        if any(abs(number - known) < 0.005 for number in numbers for known in (1.96, 1.645)):
            quantiles.add(path.relative_to(ROOT).as_posix())
        stored = {n.id.lstrip("_") for n in ast.walk(tree) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
        for name in stored & given.keys():
            given[name].append(path.relative_to(ROOT).as_posix())
    assert quantiles == {"rotary/formulas/estimate.py"}
    assert {name: files for name, files in given.items() if len(files) != 1} == {}

"""The files around the code agree with it: folders, commands, locks, dependencies, changelog, examples."""

from __future__ import annotations

import ast
import re
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest

from contract.test_imports import RANKS
from contract.tree import ROOT, folders, parsed, relative, script, text_files
from temperbench import __version__
from temperbench.app.check_job import check_job
from temperbench.app.job_file import read_job_file
from temperbench.insight.job import BowlJob

CHANGELOG = script("changelog")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LOCKS = ["requirements-dev.lock", "requirements-bench.lock"]


def pins(name: str) -> dict[str, str]:
    """Return the exact versions of a lock file by the normal form of the package's name."""
    lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
    pairs = [line.split("==") for line in lines if not line.startswith("#")]
    return {normal(package): exact for package, exact in pairs}


def normal(package: str) -> str:
    """Return a package's name the way registries compare it."""
    return re.sub(r"[-_.]+", "-", package).lower()


def wanted(kind: str | None = None) -> set[str]:
    """Return the packages pyproject.toml asks for at run time, or for one of its extras."""
    project = PROJECT["project"]
    asked = project["optional-dependencies"][kind] if kind else project["dependencies"]
    return {normal(re.split(r"[<>=~!;\[ ]", line)[0]) for line in asked}


def explained(folder: Path) -> bool:
    """Tell whether a folder has a docstring, a README, or a line in the README of a folder above it."""
    init = folder / "__init__.py"
    if (init.exists() and ast.get_docstring(parsed(init))) or (folder / "README.md").exists():
        return True
    above = folder.parent
    while above != ROOT.parent:
        page = above / "README.md"
        if page.exists():
            return f"`{folder.relative_to(above).as_posix()}/`" in page.read_text(encoding="utf-8")
        above = above.parent
    return False


@pytest.mark.parametrize("folder", folders(), ids=relative)
def test_every_folder_says_what_it_holds(folder: Path) -> None:
    """A newcomer learns from the folder, or from the README above it, what lives there."""
    assert explained(folder)


@pytest.mark.parametrize("name", LOCKS)
def test_locks_hold_versions_only(name: str) -> None:
    """A lock file has comments and ``name==version`` lines, sorted: no registry, no path, no range."""
    lines = [x for x in (ROOT / name).read_text(encoding="utf-8").splitlines() if not x.startswith("#")]
    assert [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!]+", line)] == []
    names = [line.split("==")[0].lower() for line in lines]
    assert sorted(names) == names


def test_locks_cover_what_is_asked_for() -> None:
    """Every package of pyproject.toml is pinned, and both locks pin the runtime packages alike."""
    dev, bench = pins(LOCKS[0]), pins(LOCKS[1])
    assert set() == (wanted() | wanted("dev")) - set(dev)
    assert {name: dev[name] for name in wanted()} == {name: bench.get(name) for name in wanted()}


def test_every_dependency_is_explained() -> None:
    """docs/dependencies.md has a heading or a table row for each direct dependency."""
    page = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")
    bench = {"scikit-sundae", "jax", "diffrax", "matplotlib"}
    assert set() == {name for name in wanted() | wanted("dev") | bench if f"| `{name}` |" not in page}


def test_versions_agree() -> None:
    """The version of the package, of the project file and of what is installed are one."""
    assert PROJECT["project"]["version"] == __version__ == version("temperbench")


def test_make_targets_are_listed() -> None:
    """Every target named .PHONY carries the line that `make help` shows."""
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    phony = set(re.findall(r"^\.PHONY: (.*)$", text, re.MULTILINE)[0].split())
    assert phony == set(re.findall(r"^([a-z]+):.*## \S", text, re.MULTILINE))


def test_ci_calls_the_same_commands() -> None:
    """.ci/run is executable, stops at the first failure, and calls the targets a person calls."""
    path = ROOT / ".ci" / "run"
    text = path.read_text(encoding="utf-8")
    assert path.stat().st_mode & 0o111
    assert [
        part
        for part in ("set -euo pipefail", "make test", "make lint types", '-m "slow', "-m browser")
        if part not in text
    ] == []


def test_changelog_fragments_are_well_formed() -> None:
    """A fragment is named ``what-changed.kind.md``, of a known kind, and says something in one paragraph."""
    found = CHANGELOG.fragments(ROOT / "changelog.d")
    assert set() == {kind for kind, _ in found} - set(CHANGELOG.KINDS)
    assert [text for _, text in found if not text or "\n\n" in text] == []


def test_readme_states_the_job_first() -> None:
    """The README opens with title and job, and its links inside the project lead somewhere."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    paragraphs = text.split("\n\n")
    assert paragraphs[0] == "# temperbench"
    assert re.search(r"tempered chocolate|in temper", paragraphs[1])
    assert [link for link in re.findall(r"\]\(([^)#:]+)\)", text) if not (ROOT / link).exists()] == []


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*.toml")), ids=relative)
def test_examples_are_good_jobs(path: Path) -> None:
    """Every example passes the check a person's job passes, and its README names it."""
    assert isinstance(check_job(read_job_file(path)), BowlJob)
    assert f"`{path.name}`" in (path.parent / "README.md").read_text(encoding="utf-8")


def test_architecture_lists_every_module() -> None:
    """The list of modules in docs/architecture.md is what `make docs` would write now."""
    module_map = script("module_map")
    assert module_map.written() == module_map.PAGE.read_text(encoding="utf-8")


def test_architecture_gives_the_ranks_the_test_enforces() -> None:
    """The ranks on the page are those that the imports are judged by."""
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    told = {room: int(rank) for room, rank in re.findall(r"^\| `(\w+)/` \| (\d) \|", page, re.MULTILINE)}
    told |= {room: int(rank) for room, rank in re.findall(r"`(\w+)/` (\d)\b", page)}
    assert {room: rank for room, rank in RANKS.items() if room != "data"} == told


def test_pages_named_anywhere_exist() -> None:
    """A page of docs/ that code, tests or another page point to is there."""
    named = {
        (relative(path), page)
        for path in text_files()
        for page in re.findall(r"\bdocs/[\w-]+\.md\b", path.read_text(encoding="utf-8"))
    }
    assert sorted((where, page) for where, page in named if not (ROOT / page).exists()) == []


def test_fragments_make_a_section() -> None:
    """The changelog's section has its kinds in the house's order and one line per fragment."""
    found = [("fixed", "A fault\nis gone."), ("added", "A command."), ("added", "A page.")]
    section = "## 1.0.0\n\n### Added\n\n- A command.\n- A page.\n\n### Fixed\n\n- A fault is gone.\n"
    assert CHANGELOG.assemble(found, "1.0.0") == section

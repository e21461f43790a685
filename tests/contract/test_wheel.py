"""What is installed from a built wheel is whole: data, templates, styles, scripts, typesetting, migrations, fonts."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from contract.tree import ROOT

USED = """
import sys, tempfile
from pathlib import Path
import temperbench
assert temperbench.__file__.startswith(sys.argv[1]), temperbench.__file__
from fastapi.testclient import TestClient
from temperbench.book.book import Book
from temperbench.faces.web import WebSettings, create_app
from temperbench.faces.web.assets import asset_url
from temperbench.foundation.evidence import number
from fake_kitchen import furnished
print("table", number("feed.tau") > 0)
book = Book.open(Path(tempfile.mkdtemp()) / "kitchen.book")
print("migrations", book.check() == [])
book.close()
web = TestClient(create_app(furnished(), WebSettings()), base_url="http://127.0.0.1:8460")
pages = ["/", "/start", "/book", "/larder", "/kit", "/device", "/devices", "/bowls/demo-3", "/runs/demo-1", "/pair"]
pages += ["/fonts/regular.ttf", "/favicon.svg", asset_url("live.js"), asset_url("bench.css")]
print("pages", {web.get(path).status_code for path in pages})
print("card", web.get("/api/runs/demo-1/card").content[:5])
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build a wheel. Without the build backend or an index to get it from, the tests are left out on a desk."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(folder), str(ROOT)]
    done = subprocess.run(build, capture_output=True, text=True, check=False, timeout=300)
    if done.returncode:
        assert "CI" not in os.environ, done.stderr[-2000:]
        pytest.skip("the build backend cannot be had here: " + done.stderr.strip()[-200:])
    (built,) = folder.glob("temperbench-*.whl")
    return built


@pytest.mark.slow
def test_the_wheel_holds_every_file_of_the_package(wheel: Path) -> None:
    """Nothing that stands in the source tree is left behind, and nothing else comes along."""
    source = ROOT / "src"
    wanted = {
        path.relative_to(source).as_posix()
        for path in (source / "temperbench").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    with zipfile.ZipFile(wheel) as packed:
        found = {name for name in packed.namelist() if not name.split("/")[0].endswith(".dist-info")}
    assert found == wanted


@pytest.mark.slow
def test_what_was_installed_from_it_works(wheel: Path, tmp_path: Path) -> None:
    """Away from the source tree a table is read, a book is laid out, pages, files and a card are served."""
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--target", str(tmp_path / "there")]
    subprocess.run([*install, str(wheel)], check=True, timeout=300)
    env = os.environ | {"PYTHONPATH": os.pathsep.join([str(tmp_path / "there"), str(ROOT / "tests")])}
    asked = [sys.executable, "-c", USED, str(tmp_path / "there")]
    done = subprocess.run(asked, env=env, cwd=tmp_path, capture_output=True, text=True, check=False, timeout=300)
    said = done.stdout.splitlines()
    assert said == ["table True", "migrations True", "pages {200}", "card b'%PDF-'"], done.stderr[-2000:]

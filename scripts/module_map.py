"""Write the list of modules in docs/architecture.md from each module's first line."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

__all__ = ["PAGE", "listed", "main", "written"]

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "architecture.md"
BEGIN, END = "<!-- modules: begin -->\n", "<!-- modules: end -->\n"


def _line(path: Path) -> str:
    text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return f"- `{path.name}` {' '.join(text.split(chr(10) * 2)[0].split())}"


def listed(package: Path) -> str:
    """Return the list: a heading per folder, a line per module."""
    parts = []
    for folder in sorted({path.parent for path in package.rglob("*.py")}):
        modules = sorted(path for path in folder.glob("*.py") if path.name != "__init__.py")
        if modules:
            title = folder.relative_to(package).as_posix()
            parts.append(f"\n**`{title}/`**\n\n" + "\n".join(_line(path) for path in modules) + "\n")
    return "".join(parts).lstrip() + "\n"


def written() -> str:
    """Return the page with its list made anew."""
    before, rest = PAGE.read_text(encoding="utf-8").split(BEGIN)
    return f"{before}{BEGIN}\n{listed(ROOT / 'src' / 'temperbench')}{END}{rest.split(END)[1]}"


def main() -> int:
    """Write the page."""
    PAGE.write_text(written(), encoding="utf-8")
    print(f"Wrote the modules into {PAGE.name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

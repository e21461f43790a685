"""Assemble CHANGELOG.md from the fragments of changelog.d.

python scripts/changelog.py                    show what the next release would say
python scripts/changelog.py 0.1.0 2030-01-31   write it into CHANGELOG.md and remove the fragments
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

__all__ = ["KINDS", "assemble", "fragments", "main"]

ROOT = Path(__file__).resolve().parents[1]
KINDS = {"added": "Added", "changed": "Changed", "numbers": "Numbers moved", "fixed": "Fixed"}
TITLE = "# Changelog\n"


def fragments(folder: Path) -> list[tuple[str, str]]:
    """Return kind and text of every fragment ``what-changed.kind.md``, in order of their names."""
    paths = sorted(p for p in folder.glob("*.md") if p.name != "README.md")
    return [(p.name.split(".")[-2], p.read_text(encoding="utf-8").strip()) for p in paths]


def assemble(found: list[tuple[str, str]], heading: str) -> str:
    """Return a release's section: its heading, then the kinds in order, one line per fragment."""
    parts = [f"## {heading}\n"]
    for kind, title in KINDS.items():
        lines = [f"- {' '.join(text.split())}" for name, text in found if name == kind]
        if lines:
            parts.append(f"### {title}\n\n" + "\n".join(lines) + "\n")
    return "\n".join(parts)


def main(words: list[str]) -> int:
    """Show the next section, or write it when a version and a date are given."""
    found = fragments(ROOT / "changelog.d")
    if not words:
        print(assemble(found, "Unreleased"))
        return 0
    if (
        len(words) != 2
        or not re.fullmatch(r"\d+\.\d+\.\d+", words[0])
        or not re.fullmatch(r"\d{4}-\d\d-\d\d", words[1])
    ):
        print(__doc__)
        return 2
    page = ROOT / "CHANGELOG.md"
    before = page.read_text(encoding="utf-8").removeprefix(TITLE) if page.exists() else ""
    page.write_text(f"{TITLE}\n{assemble(found, f'{words[0]} ({words[1]})')}{before}", encoding="utf-8")
    for path in (ROOT / "changelog.d").glob("*.md"):
        if path.name != "README.md":
            path.unlink()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

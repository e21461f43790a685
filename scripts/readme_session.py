"""Write the session in README.md anew: the command it shows is run, and the parts that fit the page are kept."""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path

__all__ = ["COMMAND", "PAGE", "main", "shortened", "written"]

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "README.md"
BEGIN, END = "<!-- session: begin -->\n", "<!-- session: end -->\n"
COMMAND = "temperbench plan --chocolate dark --grams 1000 --oven 1000 --card card.pdf"
KEPT = ("", "BURSTS", "NEXT BURST", "AFTER THE STOP", "RESCUE")  # headings of the parts shown; the first have none
CUT = "[...]"


def shortened(text: str) -> str:
    """Return the parts of a plan that are shown, each whole, with a mark wherever others were left out."""
    found: list[str] = []
    for part in text.rstrip().split("\n\n"):
        heading = part.splitlines()[0].split("  ")[0]
        if (heading if heading.isupper() else "") in KEPT:
            found.append(part)
        elif found[-1:] != [CUT]:
            found.append(CUT)
    return "\n\n".join(found)


def written() -> str:
    """Return the page with its session made anew."""
    words = [str(Path(sys.executable).parent / "temperbench"), *shlex.split(COMMAND)[1:-2]]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    before, rest = PAGE.read_text(encoding="utf-8").split(BEGIN)
    session = f"```text\n$ {COMMAND}\n{shortened(done.stdout)}\n```\n"
    return f"{before}{BEGIN}\n{session}\n{END}{rest.split(END)[1]}"


def main() -> int:
    """Write the page."""
    PAGE.write_text(written(), encoding="utf-8")
    print(f"Wrote the session into {PAGE.name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

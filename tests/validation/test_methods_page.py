"""The page of methods: every method has its place and its picture, and both belong to the engine."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

import methods_page
from temperbench.insight.job import METHODS, SEEDS
from validation_tables.page import block_names

TEXT = methods_page.PAGE.read_text(encoding="utf-8")


def block(name: str) -> str:
    """Return what stands between the marks of a block."""
    return TEXT.split(f"<!-- {name}: begin -->\n")[1].split(f"<!-- {name}: end -->")[0].strip()


def test_the_page_has_a_place_for_every_method() -> None:
    """Every method the planner knows, with every seed, has its marks on the page once, and none is left over."""
    expected = [*methods_page.METHODS, "numbers", "data", "amounts"]
    assert sorted(block_names(TEXT)) == sorted(expected)
    told = [(str(job.get("method", "microwave")), job.get("seed_with")) for _, job in methods_page.METHODS.values()]
    assert sorted({method for method, _ in told}) == sorted(METHODS)
    assert {seed or "buttons" for method, seed in told if method == "seed"} == set(SEEDS)


@pytest.mark.parametrize("name", methods_page.METHODS)
def test_every_picture_is_there_and_says_what_the_page_says(name: str) -> None:
    """The picture is one drawing of the page's width whose description is the sentence under it."""
    root = ElementTree.fromstring((methods_page.PICTURES / f"{name}.svg").read_text(encoding="utf-8"))
    assert float(root.attrib["width"]) == methods_page.WIDTH
    said = root.findtext("{http://www.w3.org/2000/svg}desc")
    assert block(name) == f"![{said}](methods/{name}.svg)\n\n*{said}*"


def test_no_picture_is_left_over() -> None:
    """The folder holds the pictures of the page and nothing else."""
    shown = re.findall(r"\]\(methods/([\w-]+\.svg)\)", TEXT)
    assert sorted(path.name for path in methods_page.PICTURES.iterdir()) == sorted(shown)


def test_every_method_stands_in_both_tables() -> None:
    """The table of numbers has a line for each method, the table of amounts one for each and one for the advice."""
    assert len(block("numbers").splitlines()) == 2 + len(methods_page.METHODS)
    assert len(block("amounts").splitlines()) == 3 + len(methods_page.METHODS)
    assert [amount for amount, _, _ in methods_page.AMOUNTS if amount not in block("amounts").splitlines()[0]] == []


@pytest.mark.slow
def test_the_page_of_methods_belongs_to_these_data() -> None:
    """The page was computed with the figures that stand in the tables now; else run `make docs`."""
    assert f"`{methods_page.digest()}`" in block("data")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["kettle", "seed-crystals"])
def test_the_page_of_methods_belongs_to_this_engine(name: str) -> None:
    """The engine gives the line and the picture that stand on the page; else run `make docs`."""
    plan = methods_page.planned(name, methods_page.MEMBERS)
    assert f"| {' | '.join(methods_page.numbers(name, plan))} |" in block("numbers")
    assert (methods_page.PICTURES / f"{name}.svg").read_text(encoding="utf-8") == methods_page.picture(plan)

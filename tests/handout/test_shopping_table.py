"""The shopping list of the plan of a class: figures whole, rows together."""

from dataclasses import replace

import pytest

from popkit.classplan.classes import plan_class
from popkit.classplan.prices import read_prices
from popkit.handout.plan import class_plan_bytes
from popkit.recipe import Recipe
from tests.handout.cards import CARDS


@pytest.fixture(scope="module")
def plan():
    return plan_class([(Recipe(title="Harbour steps", card=CARDS["clear"]), 6)], sheets="A3")


PRICES = """
[[sheet]]
stock = "card stock"
sheet = "A3"
pack = 4
[[tape]]
name = "tape"
length = "20 m"
[[glue]]
name = "glue"
covers_cm2 = 4000
"""
UNITS = ("m", "cm²", "g/m²", "mm")


@pytest.mark.parametrize("large_print", [False, True])
@pytest.mark.parametrize("language", ["en_GB", "de"])
def test_no_unit_of_the_shopping_list_is_torn_from_its_number(plan, measured, language, large_print):
    prices = read_prices(PRICES)
    data = class_plan_bytes(plan, prices=prices, language=language, large_print=large_print)
    found = 0
    with measured(data) as document:
        for page in document.pages[:3]:
            words = page.extract_words(x_tolerance=1.5, extra_attrs=["size"])
            for word in words:
                if word["size"] < (17.9 if large_print else 13.9):
                    continue  # of a drawing
                assert word["text"] not in ("/", "m²")
                if word["text"].strip(";,.") in UNITS:
                    assert any(
                        one["text"][-1].isdigit()
                        and abs(one["bottom"] - word["bottom"]) < 2
                        and 0 < word["x0"] - one["x1"] < 10
                        for one in words
                    ), word
                    found += 1
    assert found > 3


@pytest.mark.parametrize("lines", range(6))
@pytest.mark.parametrize("large_print", [False, True])
def test_no_row_of_the_shopping_list_stands_alone_on_a_page(plan, measured, lines, large_print):
    """Its rows have a box each; the facts above it push it down the page line by line."""
    extras = [(replace(kit, extras=tuple((f"thing {n}", 1) for n in range(9)))) for kit in plan.kits]
    plan = replace(plan, kits=tuple(extras))
    title = "Saturday " * (1 + 2 * lines)
    rows = []
    with measured(class_plan_bytes(plan, title=title, large_print=large_print)) as document:
        for page in document.pages:
            text = page.extract_text()
            rows.append(text.split("Keep safe")[0].count("☐"))
            if "Keep safe" in text:
                break
    assert sum(rows) >= 10
    assert 1 not in rows

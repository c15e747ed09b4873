"""No word of a table crosses its column or the margin, in the largest print and the longest words."""

import pytest

from popkit.handout import handout_bytes
from tests.handout.cards import CARDS

MARGIN = 18 * 72 / 25.4  # 18 mm in points, 72 to an inch of 25.4 mm
KEY = {"answers": {"seed": [3]}, "tutor": {"seed": [3]}, "worksheet": {"seed": 3}, "student": {}}


@pytest.mark.parametrize("card", ["clear", "cut"])
@pytest.mark.parametrize("edition", KEY)
def test_no_word_crosses_its_column_or_the_margin(measured, edition, card):
    data = handout_bytes(
        CARDS[card], edition=edition, language="de", large_print=True, paper="A4", **KEY[edition]
    )
    with measured(data) as document:
        for page in document.pages:
            words = page.extract_words(extra_attrs=["size"])
            for word in words:
                if word["size"] > 17.9:  # of the page, not of a drawing
                    assert word["x1"] <= float(page.width) - MARGIN + 0.5, word["text"]
            # A head stands on tinted cells; a word that crosses an edge of one runs into the next.
            edges = [cell for cell in page.rects if cell["fill"] and 0.9 < _grey(cell) < 0.99]
            for cell in edges:
                for word in words:
                    middle = (word["top"] + word["bottom"]) / 2
                    if cell["top"] < middle < cell["bottom"] and word["x0"] >= cell["x0"]:
                        over = word["x0"] < cell["x1"] - 0.5 and word["x1"] > cell["x1"] + 0.5
                        assert not over, word["text"]


def _grey(shape):
    colour = shape["non_stroking_color"]
    colour = colour[0] if isinstance(colour, tuple) and len(colour) == 1 else colour
    return colour if isinstance(colour, int | float) else 0.0  # a pattern has a name

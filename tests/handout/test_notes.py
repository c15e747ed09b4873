"""Lines for notes take the room that is left, and no sheet of their own."""

from dataclasses import replace

import pytest

from popkit.handout import handout_bytes
from popkit.recipe import Recipe
from tests.handout.cards import CARDS


@pytest.mark.parametrize("large_print", [False, True])
def test_no_page_is_nothing_but_notes(measured, large_print):
    """Remarks push the end of the handout down the page, line by line."""
    seen = set()
    recipe = Recipe(title="Harbour steps", card=CARDS["joined"])
    for count in range(0, 30, 2):
        told = replace(recipe, steps=tuple(f"Remark {number}." for number in range(count)))
        with measured(handout_bytes(told, large_print=large_print)) as document:
            lines = [line for line in document.pages[-1].extract_text().splitlines() if line.strip()]
        seen.add("Notes" in lines)
        assert lines[0] != "Notes"
    assert seen == {True, False}

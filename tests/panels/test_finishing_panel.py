"""The finishing panel without a kernel: mats, ornaments, remedies and the envelope."""

from __future__ import annotations

import asyncio
import shutil
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from popkit import finishbench, workbench
from popkit.card import Layer, Ornament
from popkit.checks import check
from popkit.lengths import mm
from popkit.panels import DemoPanel, FinishingPanel
from popkit.papers import STOCKS
from popkit.recipe import load_recipe, recipe_text
from popkit.services import SERVICES

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"
INCH = Fraction(254, 10)  # international yard and pound agreement, 1959
NONSENSE = (
    "five",
    "5,5 mm",
    "-1 in",
    "9999 m",
    "1/0 in",
    "<script>alert(1)</script>",
    "5 x 7 in",
    "\x00",
)


@pytest.fixture
def demo(tmp_path):
    shutil.copytree(RECIPES, tmp_path / "recipes")
    return DemoPanel(load_recipe(RECIPES / "harbour-lights.toml"), folder=tmp_path / "recipes")


@pytest.fixture
def panel(demo):
    return FinishingPanel(demo)


@pytest.fixture
def regatta(tmp_path):
    return FinishingPanel(DemoPanel(load_recipe(RECIPES / "regatta.toml"), folder=tmp_path))


def button(widget, name):
    """The button of a class, found as a page finds it."""
    if f"popkit-{name}" in getattr(widget, "_dom_classes", ()):
        return widget
    found = (button(child, name) for child in getattr(widget, "children", ()))
    return next((one for one in found if one is not None), None)


def added(things, on, **texts):
    things.on.value = on
    for name, text in texts.items():
        things.fields[name].box.value = text
    things.more.click()


def card(panel):
    return panel.bench.card


def findings(panel):
    return finishbench.finishing_findings(panel.bench)


# Mats and strips -------------------------------------------------------------------------------------


def test_a_mat_follows_its_area_with_its_reveal_and_lies_in_the_cut_list(panel):
    added(panel.mats, "back", reveal="1/4 in", name="sky")
    # The card is 4 1/4 wide; its back stands 5 1/2 - 2 3/4 above the first face: less 1/4 each side.
    (row,) = finishbench.rows(panel.bench, "layers")
    assert row.size == "3¾ in (95 mm) × 2¼ in (57 mm)"
    assert "sky" in panel.mats.table.value
    assert "sky" in panel._demo.pieces.value
    assert [field.text for field in panel.mats.fields.values()] == ["", "", "", ""]


def test_mats_nest_and_what_lies_on_one_goes_with_it(panel):
    added(panel.mats, "front", width="3 in", length="1 in", name="greeting mat")
    added(panel.mats, "greeting mat", reveal="1/16 in", name="greeting")
    strip, greeting = finishbench.rows(panel.bench, "layers")
    assert strip.size == "3 in (76 mm) × 1 in (25 mm)"
    assert greeting.size == "2⅞ in (73 mm) × ⅞ in (22 mm)"  # 3 - 2/16 by 1 - 2/16
    panel.mats.pick.value = "greeting mat"
    panel.mats.remove.click()
    assert card(panel).layers == ()
    assert panel.bench.notice == "Taken off: greeting mat, greeting."
    assert panel.mats.pick.layout.display == "none"


def test_a_size_that_cannot_be_read_stays_in_the_form_with_its_reason(panel):
    for box in ("reveal", "width", "length"):
        field = panel.mats.fields[box]
        for text in NONSENSE:
            added(panel.mats, "back", **{box: text})
            assert field.text == text
            assert 'role="alert"' in field.why.value, text
            assert "<script>" not in field.why.value
            assert card(panel).layers == ()
        field.box.value = ""


def test_a_reveal_that_leaves_nothing_is_refused_under_its_box(panel):
    added(panel.mats, "back", reveal="2 1/4 in")  # the card is 4 1/4 wide
    assert "has no size" in panel.mats.fields["reveal"].why.value
    assert card(panel).layers == ()


def test_a_recipe_with_a_mat_of_which_nothing_is_left_is_not_laid_out(demo):
    text = (RECIPES / "regatta.toml").read_text(encoding="utf-8")
    gone = text.replace("[[layer]]\n", '[[layer]]\nreveal = "3 in"\n', 1)
    (demo._folder / "regatta.toml").write_text(gone, encoding="utf-8")
    before = demo.bench.card
    demo.pick.value = "regatta"
    assert "has no size" in demo.recipe_why.value
    assert demo.bench.card == before


def test_a_name_that_is_taken_is_refused_under_its_box(panel):
    added(panel.mats, "back", name="tier 1")
    assert "is taken" in panel.mats.fields["name"].why.value
    assert card(panel).layers == ()


def test_a_size_of_one_that_is_there_is_typed_slid_and_refused_under_it(regatta):
    things = regatta.mats
    things.pick.value = "sky"
    path = ("layers", 0, "reveal")
    row = things._rows[path]
    row.box.value = "a little"
    assert row.box.value == "a little"
    assert 'role="alert"' in row.why.value
    assert card(regatta).layers[0].reveal is None
    assert "a little" in repr(regatta)
    row.box.value = "3/16 in"
    assert mm(card(regatta).layers[0].reveal) == Fraction(3, 16) * INCH
    row.slider.value = 4  # sixteenths
    assert mm(card(regatta).layers[0].reveal) == INCH / 4
    row.box.value = ""
    assert card(regatta).layers[0].reveal is None


def test_what_was_typed_wrongly_stays_with_its_mat_when_another_is_taken_off(regatta):
    bench = workbench.edited(regatta.bench, ("layers", 6, "reveal"), "wide")
    bench = finishbench.removed(bench, "layers", 0)
    (draft,) = bench.drafts
    assert bench.card.layers[draft.path[1]].name == "message panel"
    bench = workbench.removed_tier(bench, 1)  # with its band goes "far waves"
    (draft,) = bench.drafts
    assert bench.card.layers[draft.path[1]].name == "message panel"
    bench = finishbench.removed(bench, "layers", draft.path[1])
    assert bench.drafts == ()


def test_a_mat_is_cut_from_another_stock(regatta):
    regatta.mats.pick.value = "sky"
    assert regatta.mats.stock.value == "light card"
    regatta.mats.stock.value = ""
    assert card(regatta).layers[0].stock is None
    regatta.mats.stock.value = "80 lb cover"
    assert card(regatta).layers[0].stock.name == "80 lb cover"


# Ornaments -------------------------------------------------------------------------------------------


def test_an_ornament_too_tall_is_found_and_mended_in_both_panels(panel):
    added(panel.ornaments, "tier 3", height="5 in", width="1 in", name="lighthouse")
    # Its foot is 3 x 1/2 from the fold: it would reach 6 1/2 on a card of 5 1/2.
    (finding,) = findings(panel)
    assert finding.severity == "stop"
    assert "shows by 1 in" in finding.message
    assert "lighthouse" in panel._demo.findings.children[0].children[0].value
    button(panel, "finishing-findings-1").click()
    assert findings(panel) == ()
    assert mm(card(panel).ornaments[0].height) == 4 * INCH
    assert "Nothing to mend" in panel.findings.children[0].children[0].value
    assert panel._demo.findings.children == (panel._demo._all_well,)


def test_height_and_width_of_an_ornament_have_to_be_written(panel):
    added(panel.ornaments, "tier 1", name="buoy")
    for box in ("height", "width"):
        assert "Write a length" in panel.ornaments.fields[box].why.value
    assert card(panel).ornaments == ()


def test_an_ornament_moves_and_its_pad_of_nothing_is_glue(panel):
    added(panel.ornaments, "tier 1", height="2 in", width="1 in", pad="1/16 in")
    assert card(panel).ornaments[0].name == "ornament on tier 1"
    panel.ornaments.ground.value = "tier 3"
    assert (card(panel).ornaments[0].on, card(panel).ornaments[0].name) == (
        "tier 3",
        "ornament on tier 3",
    )
    panel.ornaments._rows["ornaments", 0, "pad"].box.value = "0"
    assert card(panel).ornaments[0].pad is None


def test_where_a_flower_goes_and_what_would_have_to_change(panel):
    panel.tall.box.value = "4 1/2 in"
    panel.ask.click()
    said = [row.children[0].value for row in panel.answer.children]
    # On tier 3, whose foot is 1 1/2 in from the fold, there are 5 1/2 - 1 1/2 = 4 in.
    assert any("Tier 3: too tall by ½ in" in text for text in said)
    before = card(panel)
    remedies = [row for row in panel.answer.children if row.children[1].description == "Apply"]
    remedies[0].children[1].click()
    assert mm(card(panel).height) == 6 * INCH
    assert card(panel) != before
    said = [row.children[0].value for row in panel.answer.children]
    assert any("Tier 3: it just fits" in text for text in said)
    places = [row for row in panel.answer.children if row.children[1].description == "Use this place"]
    places[-1].children[1].click()
    assert panel.ornaments.on.value == "tier 3"
    assert panel.ornaments.fields["height"].text == "4 1/2 in"


def test_a_height_that_is_none_is_refused_under_its_box(panel):
    for text in ("", "tall", "-2 in", "<b>"):
        panel.tall.box.value = text
        panel.ask.click()
        assert 'role="alert"' in panel.tall.why.value
        assert "<b>" not in panel.tall.why.value
        assert panel.answer.children == ()


# Findings of each family -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "thing"),
    [
        ("layers", Layer(on="back", width="6 in")),  # leaves the card
        ("layers", Layer(on="tier 1")),  # covers what tier 2's top tab is glued to
        ("ornaments", Ornament(on="tier 1", height="1 in", width="6 in")),  # wider than the card
        ("ornaments", Ornament(on="tier 2", height="6 in", width="1 in")),  # shows when closed
        ("ornaments", Ornament(on="tier 1", height="3 in", width="1 in", pad="3/4 in")),  # no room
        ("ornaments", Ornament(on="back", height="5 in", width="1 in", grams=90)),  # topples it
    ],
)
def test_a_finding_of_each_family_is_mended_with_its_button(tmp_path, rows, thing):
    recipe = load_recipe(RECIPES / "harbour-lights.toml")
    recipe = replace(recipe, card=replace(recipe.card, **{rows: (thing,)}))
    demo = DemoPanel(recipe, folder=tmp_path)
    panel = FinishingPanel(demo)
    assert findings(panel)
    for _ in range(6):
        if not findings(panel):
            break
        before = card(panel)
        button(demo, "remedy-1").click()
        assert card(panel) != before, panel.bench.notice
    assert findings(panel) == ()
    assert [one for one in check(card(panel)) if one.severity == "stop"] == []


def test_a_card_that_falls_over_says_so_and_a_help_helps(tmp_path):
    recipe = load_recipe(RECIPES / "harbour-lights.toml")
    heavy = Ornament(on="back", height="5 in", width="1 in", grams=90)
    heavy = replace(recipe.card, ornaments=(heavy,))
    panel = FinishingPanel(DemoPanel(replace(recipe, card=heavy), folder=tmp_path))
    (finding,) = [one for one in findings(panel) if one.rule == "stands"]
    assert "turns over" in finding.message
    panel.help.click()
    assert any(row.children[1].description == "Do it" for row in panel.helps.children)
    place = panel.helps.children[0].children[1]
    before = panel.bench
    place.click()
    assert panel.bench != before
    assert panel.helps.children == () or panel.bench.card == before.card
    panel._do(workbench.mended, finding)
    assert [one for one in findings(panel) if one.rule == "stands"] == []


def test_an_ornament_is_weighed_in_its_own_box(panel):
    added(panel.ornaments, "tier 1", height="1 in", width="1 in", up="2 in", grams="12 g", name="shell")
    assert card(panel).ornaments[0].grams == 12
    panel.ornaments.pick.value = "shell"
    weight = panel.ornaments.weight
    assert weight in panel.ornaments._editing.children
    assert weight.text == "12"
    weight.box.value = "2.5"
    assert card(panel).ornaments[0].grams == Fraction(5, 2)
    for text in ("heavy", "0", "-3", "2 kg", "<b>", "\x00"):
        weight.box.value = text
        assert weight.text == text
        assert 'role="alert"' in weight.why.value
        assert "<b>" not in weight.why.value
        assert card(panel).ornaments[0].grams == Fraction(5, 2)
    weight.box.value = ""
    assert card(panel).ornaments[0].grams is None
    assert weight.why.value == ""
    added(panel.ornaments, "tier 2", height="1 in", width="1 in", grams="a lot")
    assert "is no weight" in panel.ornaments.fields["grams"].why.value
    assert len(card(panel).ornaments) == 1


def test_a_mat_is_laid_on_something_else(panel):
    added(panel.mats, "back", name="sky")
    added(panel.mats, "front", width="3 in", length="1 in")
    assert panel.mats._chosen == "mat for the front"
    values = [value for _, value in panel.mats.ground.options]
    assert "sky" in values
    assert "mat for the front" not in values  # none lies on itself
    panel.mats.ground.value = "sky"
    sky, moved = card(panel).layers
    assert (sky.on, moved.on) == ("back", "sky")
    assert moved.name == "mat for the sky"
    panel.mats.pick.value = "sky"
    assert "mat for the sky" not in [value for _, value in panel.mats.ground.options]
    panel.mats.ground.value = "message"
    assert [layer.on for layer in card(panel).layers] == ["message", "sky"]


def test_a_card_that_pads_make_thick_is_told_to_be_scored_twice_and_then_is(panel):
    """A pad of 1/8 in is 3.2 mm, and over 2 mm (common practice, no source) one score is not enough."""
    added(panel.ornaments, "tier 3", height="1 in", width="1 in", pad="1/8 in", name="shell")
    (note,) = (one for one in findings(panel) if one.rule == "spine")
    assert note.severity == "note"
    panel._do(workbench.mended, note)
    assert card(panel).spine == "double"
    assert "spine" not in {one.rule for one in findings(panel)}
    assert 'spine = "double"' in recipe_text(panel.bench.recipe)


def test_a_window_is_cut_from_clear_sheet(panel):
    """Acetate is among the stocks that a mat can be cut from, as it is in the tables."""
    added(panel.mats, "band 1", name="window")
    clear = next(name for name, stock in STOCKS.items() if stock.kind == "plastic")
    assert STOCKS[clear].name in [value for _, value in panel.mats.stock.options]
    panel.mats.stock.value = STOCKS[clear].name
    assert card(panel).layers[0].stock.kind == "plastic"


def test_the_depth_of_a_box_is_told_as_it_was_typed(panel):
    """2 mm is 0.0787 in, which no ruler of an inch card shows."""
    panel.envelope.value = "box"
    panel.depth.box.value = "2 mm"
    assert "A box 2 mm deep does not close" in panel.depth.why.value
    assert " mm." in panel.depth.why.value
    panel.depth.box.value = "30 mm"
    assert "30 mm deep" in panel.sent.value


# Envelope, box and post ------------------------------------------------------------------------------


def test_the_choice_is_kept_in_the_recipe_and_a_box_is_drawn(panel):
    assert panel.bench.recipe.envelope == ""
    assert "an envelope A6" in panel.sent.value  # 4 1/4 x 5 1/2 is too thick for the A2 made for it
    panel.envelope.value = "A7"
    assert panel.bench.recipe.envelope == "A7"
    assert panel.box.value == ""
    panel.envelope.value = "box"
    assert "<svg" in panel.box.value
    assert panel.depth.layout.display is None
    panel.depth.box.value = "1 in"
    assert "1 in deep" in panel.sent.value
    panel.depth.box.value = "0.1 mm"
    assert "does not close over this card" in panel.depth.why.value
    assert panel.depth.text == "0.1 mm"


def test_words_of_the_tutor_stay_a_choice(regatta):
    assert regatta.envelope.value == "padded, 6 x 9 in inside"
    assert "It goes in a padded envelope 6 in × 9 in inside" in regatta.sent.value


def test_each_service_ticked_has_one_line_and_a_line_of_our_own_stays(panel):
    panel._do(lambda bench: replace(bench, recipe=replace(bench.recipe, post=("by boat",))))
    assert panel.post.value.count("<p>") == len(SERVICES) + 2  # a note, and "check the rules"
    panel.services["Royal Mail"].value = True
    assert panel.bench.recipe.post == ("by boat", "Royal Mail")
    assert panel.post.value.count("<p>") == 2
    assert "current rules" in panel.post.value
    panel.services["Royal Mail"].value = False
    assert panel.bench.recipe.post == ("by boat",)


def test_smaller_post_is_looked_for_when_it_is_asked(regatta):
    regatta.envelope.value = "A7"
    regatta.services["USPS"].value = True
    assert regatta.smaller_rows.children == ()
    regatta.smaller.click()
    (row,) = regatta.smaller_rows.children
    assert row.children[1].description == "Apply"  # glue the ornaments flat
    row.children[1].click()
    assert all(one.pad is None for one in card(regatta).ornaments)
    assert regatta.smaller_rows.children == ()


# How it follows --------------------------------------------------------------------------------------


def test_it_follows_the_demo_and_charts_are_drawn_only_when_asked(panel):
    assert panel.tipping_chart.value == panel.profile_chart.value == ""
    panel.tipping.value = panel.profile.value = True
    before = panel.tipping_chart.value, panel.profile_chart.value
    assert all("<img" in chart for chart in before)
    panel._demo.do(workbench.edited, ("height",), "6 in")
    assert (panel.tipping_chart.value, panel.profile_chart.value) != before
    panel.tipping.value = False
    assert panel.tipping_chart.value == ""


def test_slower_sums_wait_until_the_card_rests(regatta, monkeypatch):
    done = []
    monkeypatch.setattr(
        finishbench, "sent", lambda *_: done.append(1) or finishbench.Sent(wrap=None, envelope="")
    )
    monkeypatch.setattr("popkit.panels.finishing._PAUSE", 0.02)

    async def sliding():
        regatta.mats.pick.value = "sky"
        row = regatta.mats._rows["layers", 0, "reveal"]
        for marks in (3, 4, 5, 6):
            row.slider.value = marks
            assert row.box.value != ""
        assert done == []
        await asyncio.sleep(0.2)
        assert len(done) == 1

    asyncio.run(sliding())


def test_text_of_a_tutor_is_never_markup(panel):
    added(panel.mats, "back", name="<img src=x onerror=alert(1)>")
    for place in (panel.mats.table, panel.notice, panel.picture):
        assert "<img src=x" not in place.value


def test_as_text_it_says_all_that_it_shows(regatta):
    text = repr(regatta)
    for words in ("sky", "starter's flag", "comes back from a lean", "at its thickest", "USPS"):
        assert words in text
    assert "Nothing to mend in the finishing." in text

"""The demo panel without a kernel: every box, button and choice, driven as the page drives them."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from popkit import workbench
from popkit.card import Layer, Ornament
from popkit.drawing import draw_oblique, draw_side
from popkit.lengths import mm
from popkit.panels import DemoPanel
from popkit.recipe import load_recipe

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"
NONSENSE = (
    "",
    "five",
    "5,5 mm",
    "-1 in",
    "0 mm",
    "9999 m",
    "1/0 in",
    "∞",
    "<script>alert(1)</script>",
    "5 x 7 in",
    "\x00",
    "'; drop",
    "9" * 500,
    "10 kg",
)


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(RECIPES, tmp_path / "recipes")
    return tmp_path / "recipes"


@pytest.fixture
def panel(folder):
    return DemoPanel(load_recipe(folder / "harbour-lights.toml"), folder=folder)


def row(panel, *path):
    return panel._rows[path]


def size_of(panel, path):
    return workbench.size(panel.bench, path)


def button(widget, name):
    """The button of a class, found as a page finds it."""
    if f"popkit-{name}" in getattr(widget, "_dom_classes", ()):
        return widget
    found = (button(child, name) for child in getattr(widget, "children", ()))
    return next((one for one in found if one is not None), None)


def opened(panel, name):
    panel.pick.value = name
    return panel


@pytest.mark.parametrize("text", NONSENSE)
def test_nonsense_in_any_box_is_refused_under_it_and_changes_nothing(panel, text):
    for path, size in list(panel._rows.items()):
        before, picture, shown = panel.bench.card, panel.stage.picture("side"), size.box.value
        size.box.value = text
        if text in ("", "0 mm") and panel.bench.draft(path) is None:
            # An optional size left empty follows from the others; an inset or a gap may be 0.
            assert (size_of(panel, path).optional, size_of(panel, path).offset)[text != ""]
            size.box.value = shown
            continue
        assert panel.bench.card == before
        assert panel.stage.picture("side") == picture
        assert size.box.value == text
        assert 'role="alert"' in size.why.value
        assert "<script" not in size.why.value
        assert panel.bench.draft(path).why in repr(panel)
        size.box.value = shown
        assert size.why.value == ""


def test_a_size_refused_for_the_card_is_tried_again_when_the_card_has_room(folder):
    panel = opened(DemoPanel(folder=folder), "ferry-steps")
    # Slits as high as the back run off its top: refused, then right once the back is taller.
    row(panel, "tiers", 0, "face").box.value = "150 mm"
    assert "slits run off the top" in row(panel, "tiers", 0, "face").why.value
    row(panel, "height").box.value = "200 mm"
    assert row(panel, "tiers", 0, "face").why.value == ""
    assert mm(panel.bench.card.tiers[0].face) == 150


def test_the_slider_moves_by_marks_of_the_ruler(panel):
    height = row(panel, "height")
    assert height.slider.value == 88  # 5 1/2 in = 88 sixteenths
    height.slider.value = 89
    assert mm(panel.bench.card.height) == 89 * Fraction(127, 80)  # 1/16 in = 127/80 mm
    panel.ruler.value = "1⁄32 in"
    assert height.slider.value == 178


def test_a_slider_never_holds_a_value_outside_its_range(panel):
    # The page would move it inside and send it back as if a person had slid it.
    face = row(panel, "tiers", 0, "face")
    seen = []
    face.slider.observe(
        lambda _: seen.append((face.slider.min, face.slider.value, face.slider.max)),
        ["min", "max", "value"],
    )
    for text in ("5 3/4 in", "9 in", "1/16 in", "2 in"):
        face.box.value = text
    assert seen
    assert all(low <= value <= high for low, value, high in seen)


def test_changing_units_and_rulers_leaves_the_card_exactly_as_it_was(panel):
    before = panel.bench.card
    for _ in range(2):
        for unit, readout in (("millimeter", "139.7 mm"), ("inch", "5½ in")):  # 5.5 x 25.4
            panel.unit.value = unit
            assert row(panel, "height").box.value == readout
            assert panel.bench.card == before
            for mark in [option[1] for option in panel.ruler.options]:
                panel.ruler.value = mark
                assert panel.bench.card == before
    assert "(140 mm)" in row(panel, "height").reading.value


def test_a_metric_card_read_in_inches_keeps_its_millimetres_in_the_box(folder):
    panel = opened(DemoPanel(folder=folder), "allotment")
    panel.unit.value = "inch"
    assert row(panel, "height").box.value == "148 mm"  # A6, ISO 216; no end in inches
    assert mm(panel.bench.card.height) == 148


@pytest.mark.parametrize("name", sorted(path.stem for path in RECIPES.glob("*.toml")))
def test_tiers_are_added_and_taken_away_one_to_eight(folder, name):
    panel = opened(DemoPanel(folder=folder), name)
    for _ in range(12):
        panel.more.click()
    assert 1 < len(panel.bench.card.tiers) <= 8
    assert panel.bench.notice
    for count in range(len(panel.bench.card.tiers), 1, -1):
        button(panel, f"remove-tier-{count}").click()
        assert len(panel.bench.card.tiers) == count - 1
    button(panel, "remove-tier-1").click()
    assert len(panel.bench.card.tiers) == 1
    assert "at least one tier" in panel.notice.value


def test_a_remedy_clears_its_finding_and_says_what_was_done(panel):
    row(panel, "tiers", 0, "face").box.value = "5 3/4 in"  # 1/2 + 5 3/4 > 5 1/2
    assert "Stop" in panel.findings.children[0].children[0].value
    panel.findings.children[0].children[1].click()
    assert panel._found_now == ()
    assert "Done" in panel.notice.value
    assert "Nothing to mend" in repr(panel)


def test_a_slip_says_to_which_angle_the_card_opens_and_is_drawn(panel):
    upright = panel.stage.picture("side")
    panel.slipping.value = True
    assert panel.stage.picture("side") != upright
    panel.stage.angle = 180
    assert "it stops at" in panel.stage.frame().words
    # Law of cosines by hand: x = 9/16, y = 9/16 + 2 3/4 - 1/2 = 2 13/16, reach 3 1/4 in;
    # cos t = (0.5625^2 + 2.8125^2 - 3.25^2) / (2 x 0.5625 x 2.8125) = -0.7383, t = 137.6 degrees.
    assert "opens to 138°" in panel.slip_words.value
    panel.slipping.value = False
    assert "Flat" in panel.stage.frame().words


def test_a_cut_step_has_no_foot_to_slip(folder):
    panel = opened(DemoPanel(folder=folder), "ferry-steps")
    panel.slipping.value = True
    assert "no foot" in panel.slip_words.value


def test_cut_steps_make_the_front_one_piece_and_say_so(panel):
    panel.tier_form.value = "cut step"
    assert panel.front.value == "one-piece"
    assert "one piece" in panel.notice.value
    panel.front.value = "clear"  # cannot be: the choice goes back, the reason stays
    assert panel.front.value == "one-piece"
    assert "one piece" in panel.notice.value
    panel.tier_form.value = "glued strip"
    panel.front.value = "joined"
    assert ("front", "joining_tab") in panel._rows
    assert panel.bench.card.front.form == "joined"


def test_starting_from_a_size_names_every_fault_at_once(panel):
    before = panel.bench.card
    panel.start_width.value, panel.start_height.value = "wide", "0 in"
    panel.start.click()
    assert panel.start_why.value.count('role="alert"') == 2
    assert panel.bench.card == before
    panel.start_width.value, panel.start_height.value = "5 in", "7 in"
    panel.start.click()
    assert panel.start_why.value == ""
    assert panel._found_now == ()
    assert mm(panel.bench.card.height) == Fraction("177.8")  # 7 x 25.4


@pytest.mark.parametrize("tiers", range(1, 9))
@pytest.mark.parametrize(("width", "height"), [("4 1/4 in", "5 1/2 in"), ("105 mm", "148 mm")])
def test_a_card_started_from_a_common_size_has_nothing_to_stop_it(panel, width, height, tiers):
    panel.start_width.value, panel.start_height.value = width, height
    panel.start_tiers.value = tiers
    panel.start.click()
    assert panel.start_why.value == ""
    assert [found for found in panel._found_now if found.severity == "stop"] == []


@pytest.mark.parametrize(
    "name",
    ["", "   ", "../up", "a/b", "a\\b", "c:d", ".hidden", "..", "con", "x" * 200, "<b>", "a\x00b"],
)
def test_a_file_name_that_is_no_plain_name_is_refused(panel, folder, name):
    before = sorted(folder.parent.rglob("*"))
    panel.file.value = name
    panel.save.click()
    assert "popkit-wrong" in panel.saved.value
    assert "<b>" not in panel.saved.value
    assert sorted(folder.parent.rglob("*")) == before


def test_a_recipe_is_saved_and_not_over_another_unless_ticked(panel, folder):
    panel.title.value = "Lights & <more>"
    row(panel, "height").box.value = "6 in"
    panel.file.value = "my lights.toml"
    panel.save.click()
    assert "Saved as my lights.toml." in panel.saved.value
    assert load_recipe(folder / "my lights.toml").card == panel.bench.card
    assert panel.pick.value == "my lights"
    row(panel, "height").box.value = "6 1/4 in"
    panel.save.click()
    assert "There is a file of this name" in panel.saved.value
    assert mm(load_recipe(folder / "my lights.toml").card.height) == Fraction("152.4")  # 6 in
    panel.overwrite.value = True
    panel.save.click()
    assert mm(load_recipe(folder / "my lights.toml").card.height) == Fraction("158.75")  # 6.25 in
    assert panel.overwrite.value is False


def test_the_list_says_what_is_on_the_bench_and_offers_it_again(panel, folder):
    assert (panel.pick.label, panel.pick.value) == ("Harbour lights", "harbour-lights")
    before = panel.bench.card
    row(panel, "height").box.value = "6 in"
    assert (panel.pick.label, panel.pick.value) == ("Harbour lights, changed", "")
    panel.stage.angle = 30
    assert panel.pick.value == ""
    panel.pick.value = "harbour-lights"
    assert panel.bench.card == before
    row(panel, "height").box.value = "tall"  # nonsense changes nothing
    panel.slipping.value = True
    assert panel.pick.label == "Harbour lights"

    # Saved under the same title: the two are told apart by their files.
    row(panel, "height").box.value = "6 in"
    panel.file.value = "taller"
    panel.save.click()
    assert panel.pick.label == "Harbour lights (taller)"
    assert "Another recipe is called “Harbour lights” too." in panel.saved.value
    assert "Harbour lights (harbour-lights)" in dict(panel.pick.options)

    panel.start.click()
    assert (panel.pick.label, panel.pick.value) == ("choose a recipe", "")


def test_nothing_is_saved_while_a_box_holds_nonsense(panel, folder):
    row(panel, "height").box.value = "tall"
    panel.file.value = "half-done"
    panel.save.click()
    assert "mend what was typed first" in panel.saved.value
    assert not (folder / "half-done.toml").exists()


def test_a_folder_that_is_gone_is_told_in_words(panel, folder):
    shutil.rmtree(folder)
    panel.file.value = "late"
    panel.save.click()
    assert "There is no folder" in panel.saved.value


def test_a_bad_recipe_is_told_in_words_and_the_card_stays(folder):
    (folder / "aa-broken.toml").write_text('title = "<img src=x>"\n[card]\nwidth = "wide"\n')
    panel = DemoPanel(folder=folder)
    before = panel.bench.card
    panel.pick.value = "aa-broken"
    assert "aa-broken.toml cannot be used yet" in panel.recipe_why.value
    assert "<img" not in panel.recipe_why.value
    assert panel.bench.card == before


def test_a_bad_title_stays_in_its_box_with_the_reason(panel):
    panel.title.value = "x" * 200
    assert "popkit-wrong" in panel.title_why.value
    assert panel.title.value == "x" * 200
    assert panel.bench.recipe.title == "Harbour lights"
    panel.title.value = "Short"
    assert panel.title_why.value == ""


def test_a_title_is_escaped_wherever_it_is_shown(panel):
    panel.title.value = "<script>x</script>"
    bundle = panel._repr_mimebundle_()
    assert "<script" not in bundle["text/html"]


def test_every_input_has_a_label_and_a_class_of_its_own(panel):
    names = []

    def walk(widget):
        if "popkit-input" in getattr(widget, "_dom_classes", ()):
            own = [name for name in widget._dom_classes if name not in ("popkit-input", "popkit-bad")]
            names.append(own[0])
            assert widget.description or widget.tooltip, own
        for child in getattr(widget, "children", ()):
            walk(child)

    walk(panel)
    assert len(names) == len(set(names)) > 40


def test_the_bundle_says_the_same_as_the_panel(panel):
    bundle = panel._repr_mimebundle_()
    assert bundle["text/plain"] == repr(panel)
    assert bundle["text/html"].count("<img") == 2


def test_a_tier_is_taken_away_with_what_lies_and_stands_on_it(folder):
    recipe = load_recipe(folder / "harbour-lights.toml")
    card = replace(
        recipe.card,
        layers=(
            Layer(on="back"),
            Layer(on="tier 2", name="sea"),
            Layer(on="sea", name="foam"),
            Layer(on="tier 3"),
            Layer(on="mat for tier 3", name="sand"),
        ),
        ornaments=(
            Ornament(on="tier 2", height="2 in", width="1/2 in", name="boat"),
            Ornament(on="tier 3", height="1 in", width="1/2 in"),
        ),
    )
    panel = DemoPanel(replace(recipe, card=card), folder=folder)
    button(panel, "remove-tier-2").click()
    card = panel.bench.card
    assert [(one.on, one.name) for one in card.layers] == [
        ("back", "mat for the back"),
        ("tier 2", "mat for tier 2"),
        ("mat for tier 2", "sand"),
    ]
    assert [(one.on, one.name) for one in card.ornaments] == [("tier 2", "ornament on tier 2")]
    assert "Taken off with tier 2: sea, foam, boat." in panel.notice.value


# The stage -----------------------------------------------------------------------------------------


def asked(panel, content):
    """What the stage sends back when the page sends a message, as the page puts it together."""
    sent = []
    panel.stage.send = lambda message, buffers=None: sent.append(message)
    panel.stage._heard(panel.stage, content, [])
    return sent


def put_together(message):
    """{opening: (side, oblique)} of a message, the way stage.js joins its lines."""
    return {
        int(angle): tuple(
            "\n".join(message["lines"][row] for row in picture) for picture in frame["pictures"]
        )
        for angle, frame in message["frames"].items()
    }


def test_the_page_gets_the_pictures_of_the_openings_it_asks_for(panel):
    version = panel.stage.first["version"]
    (message,) = asked(panel, {"want": [0, 45, 180], "version": version})
    got = put_together(message)
    assert set(got) == {0, 45, 180}
    how = {"grids": panel.bench.grids, "steady": True}
    for angle, (side, oblique) in got.items():
        for picture, draw in ((side, draw_side), (oblique, draw_oblique)):
            plain = draw(panel.bench.card, angle, page_mm=56, **how)
            assert sorted(re.findall(r'points="[^"]+"', picture)) == sorted(
                re.findall(r'points="[^"]+"', plain)
            )
    assert put_together(panel.stage.first)[90] == panel.stage.frame(90).pictures


@pytest.mark.parametrize(
    "content",
    [
        None,
        "want",
        {},
        {"want": 5},
        {"want": ["90", None, 2.5, True, -1, 181, [90]]},
        {"step": "next"},
        {"want": list(range(181)) * 50},
    ],
)
def test_what_a_page_should_not_ask_is_not_answered(panel, content):
    if isinstance(content, dict):
        content = {**content, "version": panel.stage.first["version"]}
    sent = asked(panel, content)
    drawn = [angle for message in sent for angle in message["frames"]]
    assert len(drawn) <= 24
    assert all(0 <= int(angle) <= 180 for angle in drawn)
    assert panel.stage.angle == 90


def test_a_question_about_a_card_that_is_gone_is_not_answered(panel):
    old = panel.stage.first["version"]
    row(panel, "height").box.value = "6 in"
    assert panel.stage.first["version"] > old
    assert asked(panel, {"want": [10], "version": old}) == []


def test_turning_the_card_sends_no_picture_again(panel):
    before = panel.stage.first
    panel.stage.angle = 30
    assert panel.stage.first is before
    assert panel.bench.angle == 30
    assert "open 30°" in panel.facts.value
    assert panel.stage.frame().words == "Open 30°"


def test_a_card_is_peeled_from_the_front_and_the_card_itself_stays(panel):
    card = panel.bench.card
    assert [tiers for _, tiers in panel.peel.options] == [3, 2, 1, 0]
    for tiers in (2, 1, 0):
        panel.peel.value = tiers
        for view, part in (("side", "tier-{}"), ("oblique", "tier-{}-face")):
            shown = [
                number
                for number in (1, 2, 3)
                if f'{view}-{part.format(number)}"' in panel.stage.picture(view)
            ]
            assert shown == list(range(1, tiers + 1))
        assert panel.bench.card is card
    panel.peel.value = 1
    button(panel, "remove-tier-3").click()
    button(panel, "remove-tier-2").click()  # one tier is left: it is the whole card again
    assert panel.bench.tiers_shown is None
    assert panel.peel.value == 1


def test_mats_and_ornaments_are_shown_or_put_away(folder):
    recipe = load_recipe(folder / "harbour-lights.toml")
    card = replace(
        recipe.card,
        layers=(Layer(on="back"), Layer(on="tier 1")),
        ornaments=(Ornament(on="tier 2", height="2 in", width="1/2 in", pad="1/8 in"),),
    )
    panel = DemoPanel(replace(recipe, card=card), folder=folder)
    for tick, kind, count in ((panel.mats, "mat", 2), (panel.ornaments, "ornament", 1)):
        for view in ("side", "oblique"):
            assert panel.stage.picture(view).count(f'class="{kind}"') == count
        tick.value = False
        for view in ("side", "oblique"):
            assert panel.stage.picture(view).count(f'class="{kind}"') == 0


def test_the_projector_size_makes_the_words_larger_beside_the_card(panel):
    def wide(view):
        return float(panel.stage.picture(view).split('viewBox="')[1].split('"')[0].split()[2])

    before = {view: wide(view) for view in ("side", "oblique")}
    panel.stage.large = True
    assert all(wide(view) < before[view] for view in before)
    assert "popkit-projecting" in panel._dom_classes
    panel.stage.large = False
    assert {view: wide(view) for view in before} == before

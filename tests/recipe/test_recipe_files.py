"""The recipes that come with popkit, and files on the disk: read, written, refused."""

import os
import stat
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from popkit import recipe as module
from popkit.card import CutStep, JoinedFront, OnePieceFront
from popkit.checks import check
from popkit.folding import is_hidden
from popkit.lengths import Q, mm
from popkit.recipe import (
    Recipe,
    RecipeError,
    load_recipe,
    read_recipe,
    recipe_files,
    recipe_text,
    save_recipe,
)

FOLDER = Path(__file__).parents[2] / "notebooks" / "recipes"
OURS = sorted(FOLDER.glob("*.toml"))
INCH = Fraction(127, 5)  # mm; international yard and pound agreement, 1959


@pytest.fixture
def harbour():
    return load_recipe(FOLDER / "harbour-lights.toml")


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_our_recipes_are_cards_to_teach(path):
    recipe = load_recipe(path)
    assert is_hidden(recipe.card)
    assert [str(found) for found in check(recipe.card, recipe.ruler)] == []
    assert recipe.series.startswith("Tidewell Village Hall")
    assert recipe.minutes
    assert recipe.notes


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_our_recipes_lie_on_the_ruler_they_name(path):
    recipe = load_recipe(path)
    for tier in recipe.card.tiers:
        assert recipe.ruler.holds(tier.face)
        assert recipe.ruler.holds(tier.depth)
    assert recipe.ruler.holds(recipe.card.flap)


@pytest.mark.parametrize(
    ("width", "height", "source"),
    [
        (Fraction(17, 4) * INCH, Fraction(11, 2) * INCH, "4 1/4 x 5 1/2 in: card-size chart, A2 card"),
        (105, 148, "A6: ISO 216:2007"),
        (99, 210, "a third of A4, what DL takes: ISO 269"),
        (
            Fraction(21, 4) * INCH,
            Fraction(21, 4) * INCH,
            "5 1/4 in square: card-size chart, 5 1/2 envelope",
        ),
    ],
)
def test_the_finished_sizes_that_people_buy_envelopes_for(width, height, source):
    cards = [load_recipe(path).card for path in OURS]
    assert (width, height) in [(mm(card.width), mm(card.height)) for card in cards], source


def test_every_form_is_shown_by_one_of_our_recipes():
    cards = [load_recipe(path).card for path in OURS]
    assert len(cards) >= 6
    assert {card.unit for card in cards} == {"inch", "millimeter"}
    assert any(isinstance(card.front, JoinedFront) for card in cards)
    assert any(isinstance(card.tiers[0], CutStep) for card in cards)
    assert any(
        isinstance(card.front, OnePieceFront) and not isinstance(card.tiers[0], CutStep)
        for card in cards
    )


def test_a_recipe_holds_what_its_file_says(harbour):
    assert harbour.title == "Harbour lights"
    assert harbour.minutes == 75
    assert harbour.notes.split("\n")[0] == "First evening. Nobody needs to have cut card before."
    assert len(harbour.steps) == 2
    assert mm(harbour.card.tiers[1].face) == Fraction(19, 8) * INCH
    assert mm(harbour.ruler.step) == INCH / 16
    assert (harbour.layers, harbour.ornaments) == ((), ())


# Reading ------------------------------------------------------------------------


def test_recipe_files_are_listed_by_name(tmp_path):
    for name in ("b.toml", "a.toml", "notes.txt"):
        (tmp_path / name).touch()
    assert [path.name for path in recipe_files(tmp_path)] == ["a.toml", "b.toml"]
    with pytest.raises(RecipeError, match="no folder"):
        recipe_files(tmp_path / "none")


def test_a_byte_order_mark_and_windows_line_ends_are_fine(tmp_path, harbour):
    text = (FOLDER / "harbour-lights.toml").read_text(encoding="utf-8")
    path = tmp_path / "card.toml"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert load_recipe(path) == harbour
    assert read_recipe("\ufeff" + text) == harbour


@pytest.mark.parametrize(
    ("make", "phrase"),
    [
        (lambda path: None, "no such file"),
        (lambda path: path.mkdir(), "a folder"),
        (lambda path: path.write_bytes(b"#" * 1_000_001), "1 MB at most"),
        (lambda path: path.symlink_to(path), "cannot be read"),
        (lambda path: os.mkfifo(path), "no ordinary file"),
    ],
    ids=["missing", "folder", "too-large", "link-to-itself", "pipe"],
)
def test_a_path_that_is_no_recipe_file(tmp_path, make, phrase):
    path = tmp_path / "card.toml"
    make(path)
    with pytest.raises(RecipeError, match=phrase) as caught:
        load_recipe(path)
    assert str(caught.value).startswith("card.toml cannot be used yet: 1 fault.")
    assert str(tmp_path) not in str(caught.value)


@pytest.mark.parametrize("name", ["a\0b.toml", "x" * 300 + ".toml", "card.toml/inside.toml"])
def test_a_name_that_no_disk_can_hold(tmp_path, name):
    (tmp_path / "card.toml").touch()
    with pytest.raises(RecipeError):
        load_recipe(tmp_path / name)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(tmp_path):
    path = tmp_path / "card.toml"
    path.touch(mode=0)
    with pytest.raises(RecipeError, match="may not be read"):
        load_recipe(path)


# Writing ------------------------------------------------------------------------


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.stem)
def test_a_saved_recipe_is_the_same_recipe(tmp_path, path):
    recipe = load_recipe(path)
    saved = save_recipe(recipe, tmp_path / "saved.toml")
    assert saved == tmp_path / "saved.toml"
    assert load_recipe(saved) == recipe
    assert os.listdir(tmp_path) == ["saved.toml"]


def test_a_saved_file_can_be_read_by_the_rest_of_the_class(tmp_path, harbour):
    before = os.umask(0o022)
    try:
        mode = save_recipe(harbour, tmp_path / "saved.toml").stat().st_mode
    finally:
        os.umask(before)
    assert stat.S_IMODE(mode) == 0o644


def test_a_file_is_not_written_over_unless_asked(tmp_path, harbour):
    path = tmp_path / "card.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(RecipeError, match="file of this name"):
        save_recipe(harbour, path)
    assert path.read_text(encoding="utf-8") == "mine"
    save_recipe(harbour, path, overwrite=True)
    assert load_recipe(path) == harbour


def test_a_missing_folder_is_named(tmp_path, harbour):
    with pytest.raises(RecipeError, match="no folder") as caught:
        save_recipe(harbour, tmp_path / "none" / "card.toml")
    assert "was not saved" in str(caught.value)
    assert os.listdir(tmp_path) == []


def test_a_folder_is_not_written_over(tmp_path, harbour):
    (tmp_path / "card.toml").mkdir()
    with pytest.raises(RecipeError, match="folder has this name"):
        save_recipe(harbour, tmp_path / "card.toml", overwrite=True)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written_to(tmp_path, harbour):
    tmp_path.chmod(0o500)
    with pytest.raises(RecipeError, match="Nothing may be written"):
        save_recipe(harbour, tmp_path / "card.toml")


@pytest.mark.parametrize(
    ("slip", "phrase"),
    [(PermissionError(13, "no"), "Nothing may be written"), (OSError(28, "full"), "cannot be written")],
)
def test_a_save_that_fails_half_way_leaves_everything_as_it_was(
    tmp_path, harbour, monkeypatch, slip, phrase
):
    path = tmp_path / "card.toml"
    path.write_text("mine", encoding="utf-8")

    def refuse(source, target):
        raise slip

    monkeypatch.setattr(module.os, "replace", refuse)
    with pytest.raises(RecipeError, match=phrase):
        save_recipe(harbour, path, overwrite=True)
    assert os.listdir(tmp_path) == ["card.toml"]
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["a\0b.toml", "x" * 300])
def test_a_name_that_cannot_be_written(tmp_path, harbour, name):
    with pytest.raises(RecipeError, match="was not saved"):
        save_recipe(harbour, tmp_path / name)
    assert os.listdir(tmp_path) == []


def test_what_cannot_be_written_exactly_is_not_written(tmp_path, harbour):
    odd = Q(Fraction(10**40 + 1, 10**40 - 3), "inch")  # more figures than a length may have
    recipe = replace(harbour, card=replace(harbour.card, side_inset=odd / 100))
    with pytest.raises(RecipeError, match="cannot be written as a file"):
        save_recipe(recipe, tmp_path / "card.toml")
    assert os.listdir(tmp_path) == []


def test_written_lengths_need_no_special_keys(harbour):
    text = recipe_text(harbour)
    assert 'width = "4 1/4 in"' in text
    assert text.isascii()


def test_a_recipe_made_in_code_is_checked_too(harbour):
    with pytest.raises(RecipeError) as caught:
        Recipe(title="", card=harbour.card, minutes=0, steps="one", notes=5, envelope=7, post="x")
    assert [fault.key for fault in caught.value.faults] == [
        "title",
        "notes",
        "envelope",
        "steps",
        "post",
        "minutes",
    ]
    with pytest.raises(RecipeError, match="not a card"):
        Recipe(title="x", card=None)

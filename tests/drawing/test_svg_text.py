"""Whatever people type comes out of the XML parser as it went in, and never as markup."""

import itertools
import subprocess
import sys
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import popkit as pk
from popkit.drawing import draw_finished, draw_oblique, draw_piece, draw_pieces, draw_side
from popkit.drawing.lettering import spread, text_width
from tests.drawing.drawing_samples import SVG, cut_step_card, glyph, read_svg, tutor_card, words

NASTY = (
    '</title><script>alert("1")</script>',
    "&amp; & <b>",
    "]]>",
    "\x00\x08\x1b",
    "\ud800",
    "\ufffe",
    "a\r\nb",
)
any_text = st.text(st.characters(exclude_categories=()), min_size=1, max_size=40)


def _allowed(char: str) -> bool:
    # XML 1.0 (W3C, fifth edition), section 2.2, production [2] Char.
    code = ord(char)
    return (
        code in (0x9, 0xA, 0xD)
        or 0x20 <= code <= 0xD7FF
        or 0xE000 <= code <= 0xFFFD
        or 0x10000 <= code <= 0x10FFFF
    )


def _as_xml_carries_it(text: str) -> str:
    return "".join(char if _allowed(char) else "\N{REPLACEMENT CHARACTER}" for char in text)


@pytest.mark.parametrize("text", NASTY)
def test_nasty_titles_and_names_come_back_as_typed(text):
    _comes_back(text)


@given(any_text)
@settings(deadline=None)
@example("15⁄16")
def test_any_title_and_name_comes_back_as_typed(text):
    _comes_back(text)


def _comes_back(text: str) -> None:
    strip = pk.cut_list(tutor_card())[2]
    stock = replace(strip.stock, name=text)
    piece = replace(strip, name=text, stock=stock)
    svg = draw_piece(piece, title=text, scale="1/3")
    svg.encode("utf-8")
    root = ElementTree.fromstring(svg)
    kept = _as_xml_carries_it(text)
    assert root.find(SVG + "title").text == kept
    assert kept in root.find(SVG + "desc").text
    if "⁄" not in text:  # fractions are shown with raised and lowered figures
        assert kept in [element.text for element in root.iter(SVG + "text")]
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {
        *("svg", "title", "desc", "defs", "pattern", "path", "g", "rect", "line"),
        *("polyline", "polygon", "circle", "text"),
    }
    assert not [name for element in root.iter() for name in element.attrib if name.startswith("on")]


@pytest.mark.parametrize("prefix", ["1a", "a b", '"', "a>", "é-"])
def test_a_prefix_that_cannot_start_an_id_is_refused(prefix):
    with pytest.raises(ValueError, match="cannot start an id"):
        draw_side(tutor_card(), prefix=prefix)


def _pictures(prefix: str) -> dict[str, str]:
    card = tutor_card()
    return {
        "piece": draw_piece(pk.cut_list(card)[2], prefix=prefix),
        "pieces": draw_pieces(card, prefix=prefix),
        "side": draw_side(card, 70, {1: "1/16 in"}, prefix=prefix),
        "oblique": draw_oblique(card, 70, prefix=prefix),
        "finished": draw_finished(cut_step_card(), prefix=prefix),
    }


def test_ids_are_the_pictures_own_and_start_with_its_prefix():
    seen: set[str] = set()
    for number, kind in enumerate(_pictures("")):
        root = ElementTree.fromstring(_pictures(f"p{number}-")[kind])
        ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
        assert len(ids) == len(set(ids))
        assert all(name.startswith(f"p{number}-") for name in ids)
        assert seen.isdisjoint(ids)
        seen.update(ids)
        assert root.attrib["role"] == "img"
        assert set(root.attrib["aria-labelledby"].split()) <= set(ids)


def test_every_picture_is_in_millimetres_on_its_own_white_ground():
    for svg in _pictures("").values():
        root = ElementTree.fromstring(svg)
        left, top, wide, tall = root.attrib["viewBox"].split()
        assert (root.attrib["width"], root.attrib["height"]) == (f"{wide}mm", f"{tall}mm")
        ground = next(element for element in root if element.tag == SVG + "rect")
        assert [ground.attrib[name] for name in ("x", "y", "width", "height", "fill")] == [
            left,
            top,
            wide,
            tall,
            "#ffffff",
        ]


def test_the_same_model_gives_the_same_bytes_in_any_run():
    code = (
        "import hashlib;"
        "from tests.drawing.test_svg_text import _pictures;"
        "print(hashlib.sha256(repr(_pictures('x-')).encode()).hexdigest())"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**__import__("os").environ, "PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
        ).stdout
        for seed in ("0", "1", "77")
    }
    assert len(runs) == 1


def test_pictures_load_no_plotting_library():
    code = "import popkit.drawing, sys; print('matplotlib' in sys.modules, 'ipywidgets' in sys.modules)"
    found = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**__import__("os").environ, "PYTHONPATH": ":".join(sys.path)},
    )
    assert found.stdout.split() == ["False", "False"]


def test_widths_of_words_are_those_in_the_font_file():
    # DejaVu Sans as matplotlib ships it, table hmtx, read by fontTools.
    from popkit.drawing.lettering import _WIDTHS

    for char in _WIDTHS:
        assert text_width(char, 1.0) == pytest.approx(glyph(char)[0], abs=1e-9), repr(char)


def test_words_in_other_scripts_are_given_room_enough():
    # Unicode East Asian Width: a wide character fills an em; marks that combine take none.
    assert text_width("立", 10) == 10
    assert text_width("e\u0301", 10) == text_width("e", 10)
    assert text_width("ж", 10) >= glyph("ж")[0] * 10


@given(st.lists(st.floats(-50, 50), max_size=12).map(sorted), st.floats(0.1, 9))
@settings(deadline=None)
def test_spread_keeps_the_order_and_the_distance_and_moves_as_little_as_can_be(wanted, gap):
    placed = spread(wanted, gap)
    assert len(placed) == len(wanted)
    assert all(after - before >= gap - 1e-9 for before, after in itertools.pairwise(placed))
    if len(wanted) > 1:
        # Least squares with order constraints, solved by scipy's own method.
        from scipy.optimize import isotonic_regression

        shifted = [place - number * gap for number, place in enumerate(wanted)]
        best = isotonic_regression(shifted).x
        assert placed == pytest.approx([x + n * gap for n, x in enumerate(best)], abs=1e-6)


def test_a_fraction_is_written_with_raised_and_lowered_figures():
    strip = pk.cut_list(tutor_card())[2]
    assert "4\N{THIN SPACE}¹⁵⁄₁₆ in" in [shape.text for shape in words(read_svg(draw_piece(strip)))]

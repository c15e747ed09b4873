"""Contrast and grey: every word and line of every picture stands out from what lies under it."""

import itertools
from xml.etree import ElementTree

import pytest

import popkit as pk
from popkit.drawing import conventions, draw_oblique, draw_pieces, draw_side
from tests.drawing.drawing_samples import SVG, cut_step_card, read_svg, tutor_card


def luminance(colour: str) -> float:
    # WCAG 2.2, "relative luminance" (W3C).
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    ("colour", "against_white"),
    [
        ("#000000", 21.0),  # WCAG 2.2 formula, black on white
        ("#767676", 4.542),  # the formula, the usual example that just passes
        ("#777777", 4.478),  # and the one that just fails
        ("#949494", 3.033),
    ],
)
def test_the_formula_gives_the_known_values(colour, against_white):
    assert contrast(colour, "#ffffff") == pytest.approx(against_white, abs=1e-3)


def _pictures():
    tutor, eight = tutor_card(), pk.Card(width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 8))
    return [
        draw_pieces(tutor),
        draw_pieces(cut_step_card()),
        draw_side(tutor, 80, {1: "1/16 in"}, dimensions=True),
        draw_side(eight, 180),
        draw_oblique(tutor, 60),
        draw_oblique(eight, 90),
        draw_oblique(cut_step_card(), 120, marked=("back and front",)),
    ]


def test_words_have_4_5_to_1_on_every_ground_that_is_used():
    # WCAG 2.2, SC 1.4.3: 4.5:1 for words under 18 pt.
    for svg in _pictures():
        shapes = read_svg(svg)
        for text in (shape for shape in shapes if shape.tag == "text"):
            under = [
                shape.attributes["fill"]
                for shape in shapes
                if shape.order < text.order
                and shape.tag in ("rect", "polygon", "path")
                and shape.attributes.get("fill", "none").startswith("#")
                and shape.geometry.intersects(text.geometry)
            ]
            assert contrast(text.attributes["fill"], under[-1]) >= 4.5, text.text


def test_lines_have_3_to_1_on_every_ground_that_is_used():
    # WCAG 2.2, SC 1.4.11: 3:1 for lines that carry meaning. White lines only part dark areas.
    tints = [conventions.shade(place, 8) for place in range(9)] + [conventions.TINT, conventions.PAPER]
    for svg in _pictures():
        strokes = {
            shape.attributes["stroke"]
            for shape in read_svg(svg)
            if shape.attributes.get("stroke", "none") not in ("none", conventions.PAPER)
        }
        assert strokes
        for stroke in strokes:
            assert min(contrast(stroke, tint) for tint in tints) >= 3


def test_tints_of_neighbouring_tiers_fall_apart_in_grey():
    for count in range(1, 9):
        steps = [luminance(conventions.shade(place, count)) for place in range(count + 1)]
        assert steps == sorted(steps)
        assert all(light > dark for dark, light in itertools.pairwise(steps))


def test_the_smallest_words_have_an_x_height_of_2_mm():
    # Clear Print (RNIB): x-height of 2 mm or more. DejaVu Sans: x-height 1120 of 2048 units.
    for svg in _pictures():
        root = ElementTree.fromstring(svg)
        sizes = [
            float(element.attrib["font-size"])
            for element in root.iter()
            if "font-size" in element.attrib
        ]
        assert sizes
        assert min(sizes) * 1120 / 2048 >= 2.0


def test_only_two_inks_and_tints_of_the_second_are_used():
    allowed = {conventions.INK, conventions.SECOND, conventions.PAPER, conventions.TINT}
    for svg in _pictures():
        for element in ElementTree.fromstring(svg).iter():
            for name in ("fill", "stroke"):
                value = element.attrib.get(name, "none")
                if value in allowed or value == "none" or value.startswith("url(#"):
                    continue
                red, green, blue = (int(value[at : at + 2], 16) for at in (1, 3, 5))
                assert red <= min(green, blue)  # a tint of the second ink, never a third colour
                assert luminance(value) > 0.4
    assert SVG

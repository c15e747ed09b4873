"""Every picture goes through Typst into a tagged PDF with its words readable and its lines true."""

import io
import json
from pathlib import Path

import pdfplumber
import pytest
import typst
from matplotlib import get_data_path

import popkit as pk
from popkit.drawing import (
    describe_oblique,
    describe_piece,
    describe_pieces,
    describe_side,
    draw_finished,
    draw_oblique,
    draw_piece,
    draw_pieces,
    draw_side,
)
from tests.drawing.drawing_samples import cut_step_card, read_svg, tutor_card, words

PAGE = """
#set document(title: "Pictures")
#set page(width: auto, height: auto, margin: 10mm)
#set text(lang: "en")
#image(bytes(sys.inputs.svg), format: "svg", alt: sys.inputs.alt)
"""


def _printed(svg: str, alt: str) -> pdfplumber.PDF:
    data = typst.compile(
        PAGE.encode(),
        sys_inputs={"svg": svg, "alt": alt},
        font_paths=[str(Path(get_data_path()) / "fonts" / "ttf")],
        ignore_system_fonts=True,
        pdf_standards=["ua-1"],
    )
    return pdfplumber.open(io.BytesIO(data))


def _pictures():
    card, steps = tutor_card(), cut_step_card()
    strip, blank = pk.cut_list(card)[2], pk.cut_list(steps)[0]
    slips = {1: "1/16 in"}
    return {
        "strip": (draw_piece(strip), describe_piece(strip)),
        "blank": (draw_piece(blank, prefix="b-"), describe_piece(blank)),
        "pieces": (draw_pieces(card), describe_pieces(card)),
        "side": (draw_side(card, 180, slips, dimensions=True), describe_side(card, 180, slips)),
        "oblique": (draw_oblique(card, 60), describe_oblique(card, 60)),
        "finished": (draw_finished(steps), describe_oblique(steps, 90)),
    }


@pytest.mark.parametrize("kind", _pictures())
def test_a_tagged_page_takes_the_picture_with_all_its_words_in_dejavu(kind):
    svg, alt = _pictures()[kind]
    page = _printed(svg, alt).pages[0]
    printed = sorted("".join(char["text"] for char in page.chars if char["text"].strip()))  # "fl" is one
    wanted = sorted(char for text in words(read_svg(svg)) for char in text.text if char.strip())
    assert printed == wanted
    assert {char["fontname"].partition("+")[2] for char in page.chars} <= {"DejaVuSans"}


def test_a_printed_piece_is_true_to_scale():
    svg, alt = _pictures()["strip"]
    page = _printed(svg, alt).pages[0]
    # 1 in = 72 points (PostScript, PDF): the largest tier of the tutor card is 4 15/16 x 5 in.
    edges = [rect for rect in page.rects if rect["stroking_color"] and rect["stroke"]]
    outline = max(edges, key=lambda rect: rect["width"] * rect["height"])
    assert outline["width"] / 72 * 25.4 == pytest.approx(4.9375 * 25.4, abs=0.01)
    assert outline["height"] / 72 * 25.4 == pytest.approx(5 * 25.4, abs=0.01)


def test_words_as_data_reach_the_page_unchanged():
    name = 'fold & "glue" <here>'
    piece = pk.Piece(name=name, width="120 mm", length="60 mm")
    page = _printed(draw_piece(piece), json.dumps(name)).pages[0]
    assert name.replace(" ", "") in page.extract_text().replace(" ", "")

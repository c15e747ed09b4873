"""Sheets as they are cut up: true to scale, every cut numbered, every piece named, no words on words.

Sheets are cut up here at random, from edge to edge, without the planner; the pictures are read back
by ElementTree and shapely, with the outlines of the font's own file.
"""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
import shapely

import popkit as pk
from popkit.classplan.results import Cut, Layout, Offcut, Placement
from popkit.drawing.layouts import describe_layout, draw_layout, layout_scale
from popkit.lengths import from_mm, mm
from popkit.papers import SHEETS, Stock, as_sheet
from tests.drawing.drawing_samples import read_svg, view_box, words

INCH = Fraction(127, 5)  # mm exactly, 1959


def card_stock(sheet: object, kind: str = "card") -> Stock:
    return Stock(name="card stock", kind=kind, grammage=Fraction(216), caliper="0.28 mm", sheet=sheet)


def cut_up(rng: random.Random, least: int = 2, unit: str = "mm", sheet: str = "A4") -> Layout:
    """A sheet cut up at random down to pieces of `least` mm."""
    page = SHEETS[sheet]
    cuts, leaves = [], []

    def length(value: int) -> pk.Length:
        return from_mm(Fraction(value), unit)

    def divide(x: int, y: int, wide: int, tall: int, depth: int) -> None:
        along = rng.random() < 0.5
        side = wide if along else tall
        if depth == 0 or side < 2 * least + 1 or rng.random() < 0.1:
            leaves.append((x, y, wide, tall))
            return
        at = rng.randint(least, side - least) if rng.random() < 0.6 else least
        cuts.append(
            Cut(
                number=len(cuts) + 1 if rng.random() < 0.7 else max(1, len(cuts)),
                runs="along" if along else "across",
                at=length((x if along else y) + at),
                start=length(y if along else x),
                stop=length(y + tall if along else x + wide),
                fence=length(at),
            )
        )
        if along:
            divide(x, y, at, tall, depth - 1)
            divide(x + at, y, wide - at, tall, depth - 1)
        else:
            divide(x, y, wide, at, depth - 1)
            divide(x, y + at, wide, tall - at, depth - 1)

    divide(0, 0, int(mm(page.width)), int(mm(page.height)), rng.randint(1, 5))
    places, offcuts = [], []
    for number, (x, y, wide, tall) in enumerate(leaves):
        at = {"x": length(x), "y": length(y), "width": length(wide), "height": length(tall)}
        if number and rng.random() < 0.3:
            offcuts.append(Offcut(**at))
        else:
            name = rng.choice(("back", "Harbour lights: tier 1", "mat <b>", "clear front, spare"))
            places.append(Placement(piece=name, number=0, turned=False, **at))
    return Layout(
        name="A",
        sheet=page,
        stock=card_stock(page),
        count=rng.randint(1, 30),
        placements=tuple(places),
        cuts=tuple(cuts),
        offcuts=tuple(offcuts),
    )


def rows(count: int, tall: int, page: str = "A4") -> Layout:
    """A sheet with so many strips across it, one under the other."""
    sheet = SHEETS[page]
    wide = sheet.width
    return Layout(
        name="B",
        sheet=sheet,
        stock=card_stock(sheet),
        count=1,
        placements=tuple(
            Placement(
                piece="strip", number=0, turned=False, width=wide, height=from_mm(Fraction(tall), "mm"),
                x=from_mm(Fraction(0), "mm"), y=from_mm(Fraction(tall * n), "mm"),
            )
            for n in range(count)
        ),
        cuts=tuple(
            Cut(
                number=1, runs="across", at=from_mm(Fraction(tall * n), "mm"), stop=wide,
                start=from_mm(Fraction(0), "mm"), fence=from_mm(Fraction(tall), "mm"),
            )
            for n in range(1, count + 1)
        ),
        offcuts=(
            Offcut(
                x=from_mm(Fraction(0), "mm"), y=from_mm(Fraction(tall * count), "mm"), width=wide,
                height=from_mm(mm(sheet.height) - tall * count, "mm"),
            ),
        ),
    )  # fmt: skip


def discs_and_texts(svg):
    shapes = read_svg(svg)
    discs = [one for one in shapes if one.tag == "circle" and one.is_in("numbers")]
    return shapes, discs, words(shapes)


def check_words(svg: str) -> None:
    _, discs, texts = discs_and_texts(svg)
    page = view_box(svg)
    for place, text in enumerate(texts):
        assert page.contains(text.geometry), f"{text.text!r} runs off the picture"
        for other in texts[place + 1 :]:
            assert not text.geometry.intersects(other.geometry), f"{text.text!r} on {other.text!r}"
    numbers = [text for text in texts if text.is_in("numbers")]
    assert len(numbers) == len(discs)
    for place, disc in enumerate(discs):
        assert sum(disc.geometry.contains(text.geometry) for text in numbers) == 1
        for other in discs[place + 1 :]:
            assert not disc.geometry.intersects(other.geometry)
        for text in texts:
            if not text.is_in("numbers"):
                assert not disc.geometry.intersects(text.geometry), f"a disc hides {text.text!r}"


@pytest.mark.parametrize("seed", range(40))
def test_no_word_meets_a_word_or_a_disc(seed):
    rng = random.Random(seed)
    layout = cut_up(rng, least=rng.choice((1, 2, 5, 30)), unit=rng.choice(("mm", "in")))
    for scale in ("1", "1/2", "1/4", "1/10"):
        check_words(draw_layout(layout, scale=scale, heading=rng.random() < 0.5))


@pytest.mark.parametrize(("count", "tall"), [(60, 4), (20, 12), (100, 1), (8, 35)])
def test_strips_too_thin_for_words_are_named_beside_the_sheet(count, tall):
    layout = rows(count, tall)
    svg = draw_layout(layout, scale="1/3")
    check_words(svg)
    _, discs, texts = discs_and_texts(svg)
    assert len(discs) == count
    said = " ".join(text.text for text in texts).replace("\N{NO-BREAK SPACE}", " ")
    if tall == 35:
        assert said.count("strip") == count
    else:
        assert said.count("strip") == 1  # in the key
    assert f"{tall} mm" in said


@pytest.mark.parametrize("seed", range(12))
def test_cuts_and_pieces_lie_true_to_scale(seed):
    layout = cut_up(random.Random(seed), least=10, unit="in")
    scale = Fraction(2, 5)
    shapes = read_svg(draw_layout(layout, scale=scale))
    drawn = sorted(one.geometry.bounds for one in shapes if one.tag == "line" and one.is_in("cut"))
    wanted = []
    for cut in layout.cuts:
        at, start, stop = (float(mm(one) * scale) for one in (cut.at, cut.start, cut.stop))
        wanted.append((at, start, at, stop) if cut.runs == "along" else (start, at, stop, at))
    assert len(drawn) == len(wanted)
    for one, other in zip(drawn, sorted(wanted), strict=True):
        assert one == pytest.approx(other, abs=1e-5)
    (sheet,) = [one.geometry for one in shapes if one.tag == "rect" and one.is_in("sheet")]
    assert sheet.bounds == pytest.approx((0, 0, 210 * 0.4, 297 * 0.4), abs=1e-5)  # ISO 216, A4


@pytest.mark.parametrize("seed", range(12))
def test_every_cut_bears_its_number_on_itself_or_by_a_leader(seed):
    layout = cut_up(random.Random(seed), least=25)
    shapes, discs, texts = discs_and_texts(draw_layout(layout, scale="1/2"))
    numbers = sorted(text.text for text in texts if text.is_in("numbers"))
    assert numbers == sorted(str(cut.number) for cut in layout.cuts)
    leaders = [one for one in shapes if one.tag == "line" and one.is_in("leader")]
    lines = [one.geometry for one in shapes if one.tag == "line" and one.is_in("cut")]
    on_a_line = sum(any(line.distance(disc.geometry) < 1 for line in lines) for disc in discs)
    assert on_a_line + len(leaders) >= len(discs)


def test_discs_stand_at_the_end_of_their_cut_where_there_is_room():
    layout = rows(3, 60)
    _, discs, _ = discs_and_texts(draw_layout(layout, scale="1/2"))
    for disc in discs:
        x, _ = disc.geometry.centroid.coords[0]
        assert x > 105 or x < 0  # beyond the sheet, which is 105 mm wide on the page


def test_offcuts_are_hatched_within_their_edges_and_pieces_are_not():
    layout = rows(3, 60)
    shapes = read_svg(draw_layout(layout, scale="1/2"))
    hatching = [one.geometry for one in shapes if one.is_in("offcut")]
    assert len(hatching) > 10
    assert shapely.box(0, 90, 105, 148.5).buffer(1e-4).contains(shapely.union_all(hatching))


def test_sizes_stand_on_both_rulers():
    # 210 mm / 25.4 = 8.27 in, 60 / 25.4 = 2.36: on sixteenths 8 1/4 and 2 3/8
    svg = draw_layout(rows(3, 60), scale="1/2", grids=("1 mm", "1/16 in"))
    _, _, texts = discs_and_texts(svg)
    said = [text.text for text in texts]
    assert said.count("210 × 60 mm") == 3
    assert said.count("(8¼ × 2⅜ in)") == 3


def test_the_alternative_text_says_what_the_picture_shows():
    layout = rows(3, 60)
    text = describe_layout(layout, grids=("1 mm", "1/16 in"))
    assert text.startswith("Layout B: 1 sheet of A4 card stock, 210 × 297 mm")
    assert "grain from top to bottom" in text
    assert "3 × strip, 210 × 60 mm (8¼ × 2⅜ in)." in text
    assert text.count("Cut 1: across") == 3
    assert "Left over: 1 × 210 × 117 mm" in text  # 297 - 3 × 60
    svg = draw_layout(layout, grids=("1 mm", "1/16 in"))
    assert text.splitlines()[1] in svg


def test_a_plastic_sheet_has_no_grain_arrow():
    layout = rows(2, 60)
    clear = Layout(
        **{name: getattr(layout, name) for name in Layout.__slots__ if name != "stock"},
        stock=card_stock("A4", "plastic"),
    )
    assert ">grain<" in draw_layout(layout)
    assert ">grain<" not in draw_layout(clear)
    assert "grain" not in describe_layout(clear)


def test_names_are_plain_text_in_the_picture():
    layout = cut_up(random.Random(3), least=30)
    svg = draw_layout(layout, scale=1)
    assert "<b>" not in svg


def test_layouts_of_a_plan_share_the_largest_scale_that_fits():
    # A3 is 297 x 420: 1 : 3 makes it 99 x 140, 1 : 2 would make it 148.5 x 210 (ISO 216).
    layouts = [rows(3, 60), rows(2, 100, "A3")]
    assert layout_scale(layouts, (120, 150)) == Fraction(1, 3)
    assert layout_scale(layouts[:1], (120, 150)) == Fraction(1, 2)
    assert as_sheet("A3").name == "A3"


def test_a_scale_of_nothing_is_refused():
    with pytest.raises(ValueError, match="above 0"):
        draw_layout(rows(2, 60), scale=0)

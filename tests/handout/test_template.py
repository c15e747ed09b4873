"""The template measured from outside: in the PDF by pdfplumber, on a rendering by pdfium.

A page is read as its user meets it: solid lines half a millimetre thick are cut, dashes of two
parts are valleys, of four mountains (Yoshizawa-Randlett), filled diamonds join tiles. Tiles are laid
on each other by their diamonds alone, and what comes of it is compared with the piece. PDF lengths
are points of 1/72 in (ISO 32000-1, 8.3.2.3); 1 in = 25.4 mm (1959).
"""

from __future__ import annotations

import copy
import io
import re
from fractions import Fraction
from functools import cache
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pdfplumber
import pikepdf
import pypdfium2
import pytest
import shapely

import popkit as pk
from popkit.handout import EDITIONS, HandoutError, handout_bytes, preview_pages
from popkit.handout.job import job
from popkit.handout.printer import PrinterCorrection
from popkit.handout.template import template as template_data
from tests.handout.reading import STANDARD, structure

MM = 72 / 25.4
NEAR = 0.02  # millimetres

CARDS = {
    "large": pk.Card(
        width="12 in", height="12 in", tiers=pk.stepped_tiers("12 in", 1), front=pk.ClearFront()
    ),
    "steps": pk.Card(
        width="230 mm",
        height="190 mm",
        tiers=(
            pk.CutStep(face="80 mm", depth="45 mm", width="150 mm"),
            pk.CutStep(face="50 mm", depth="30 mm", width="90 mm"),
        ),
        front=pk.OnePieceFront(),
    ),
    "wide": pk.Card(
        width="240 mm", height="80 mm", tiers=pk.stepped_tiers("80 mm", 2), front=pk.JoinedFront()
    ),
    "small": pk.Card(
        width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 3), front=pk.ClearFront()
    ),
    "ribbon": pk.Card(
        width="420 mm", height="40 mm", tiers=pk.stepped_tiers("40 mm", 1), front=pk.JoinedFront()
    ),
}


@cache
def template(name, **asked):
    return handout_bytes(CARDS[name], "template", **asked)


def as_mm(length):
    return float(length.to("millimeter").magnitude)


class Tile:
    """One sheet, read off its PDF page: every length in mm, y downwards."""

    def __init__(self, page):
        self.words, text = page.words, page.text
        title = re.search(r"^Sheet (\d+)(?:: (.+))?$", text, re.MULTILINE)
        self.number, self.title = int(title[1]), title[2]
        tile = re.fullmatch(r"(.+), tile ([A-Z]+\d+)", self.title or "")
        self.piece, self.tile = (tile[1], tile[2]) if tile else (self.title, "")
        self.text = text
        self.cut, self.valley, self.mountain, self.join = [], [], [], []
        for line in page.lines:
            ends = [(x / MM, y / MM) for x, y in line["pts"]]
            dashes, weight = line["dash"][0] if line["dash"] else [], line["linewidth"] / MM
            if not dashes and abs(weight - 0.5) < 0.06:
                self.cut.append(ends)
            elif len(dashes) == 4:
                self.mountain.append(ends)
            elif len(dashes) == 2 and dashes[0] > dashes[1]:
                self.valley.append(ends)
            elif len(dashes) == 2:
                self.join.append(ends)
        self.marks = {}  # (letter, which): where the whole diamond has its middle
        for curve in page.curves:
            points = list(dict.fromkeys((x / MM, y / MM) for x, y in curve["pts"]))
            (left, top), (right, bottom) = np.min(points, axis=0), np.max(points, axis=0)
            if len(points) == 4:
                self._mark((left + right) / 2, (top + bottom) / 2, True)
            elif len(points) == 3 and max(right - left, bottom - top) > 6:
                upright = bottom - top > right - left  # the flat side of the half is upright
                self._mark(
                    left if upright else (left + right) / 2,
                    (top + bottom) / 2 if upright else top,
                    False,
                )

    def _mark(self, x, y, whole):
        near = [
            word
            for word in self.words
            if re.fullmatch("[a-z]{1,2}", word["text"])
            and abs((word["x0"] + word["x1"]) / 2 / MM - x) < 11
            and abs((word["top"] + word["bottom"]) / 2 / MM - y) < 11
        ]
        letter = min(
            near, key=lambda word: abs(word["x0"] / MM - x) + abs(word["top"] / MM - y), default=None
        )
        assert letter is not None, f"a diamond at {x:.0f}, {y:.0f} mm has no letter"
        self.marks.setdefault((letter["text"], whole), []).append((x, y))


@cache
def pages(pdf):
    """Every page of a PDF, its words and its objects, read once."""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return [
            SimpleNamespace(
                number=page.page_number,
                text=page.extract_text(),
                words=page.extract_words(keep_blank_chars=True),
                width=page.width,
                height=page.height,
                chars=page.chars,
                lines=page.lines,
                rects=page.rects,
                curves=page.curves,
            )
            for page in document.pages
        ]


@cache
def _sheets(pdf):
    return [Tile(page) for page in pages(pdf) if page.text.startswith("Sheet")]


def sheets(pdf):
    """The sheets of a PDF, read once; a copy, since some tests move what is on them."""
    return copy.deepcopy(_sheets(pdf))


def laid(tiles):
    """{tile: its shift}, each laid on one that lies already, diamond on half diamond."""
    shifts, waiting = {tiles[0].tile: (0.0, 0.0)}, list(tiles[1:])
    by_name = {tile.tile: tile for tile in tiles}
    while waiting:
        placed = 0
        for tile in list(waiting):
            found = []
            for (letter, whole), halves in tile.marks.items():
                for other in shifts if not whole else ():
                    full = by_name[other].marks.get((letter, True), ())
                    for (x, y), (hx, hy) in zip(sorted(full), sorted(halves), strict=False):
                        dx, dy = shifts[other]
                        found.append((x + dx - hx, y + dy - hy))
            if found:
                assert np.ptp(found, axis=0) == pytest.approx([0, 0], abs=NEAR), tile.tile
                shifts[tile.tile] = tuple(np.mean(found, axis=0))
                waiting.remove(tile)
                placed += 1
        assert placed, f"nothing joins {[tile.tile for tile in waiting]}"
    return shifts


def joined(tiles, shifts, kind):
    """Lines of one kind on all tiles, overlaps made one."""
    found = [
        [(x + shifts[tile.tile][0], y + shifts[tile.tile][1]) for x, y in ends]
        for tile in tiles
        for ends in getattr(tile, kind)
    ]
    return shapely.line_merge(
        shapely.union_all(shapely.set_precision(shapely.MultiLineString(found), 0.01))
    )


def as_drawn(piece):
    """{kind: lines} of a piece from its public fields."""
    wide, long = as_mm(piece.width), as_mm(piece.length)
    cut = [list(shapely.box(0, 0, wide, long).exterior.coords)]
    for slit in piece.slits:
        across = as_mm(slit.across)
        cut.append([(across, as_mm(slit.start)), (across, as_mm(slit.stop))])
    found = {"cut": cut, "valley": [], "mountain": []}
    for crease in piece.creases:
        at = as_mm(crease.position)
        found[crease.fold].append([(as_mm(crease.start), at), (as_mm(crease.stop), at)])
    return {kind: shapely.MultiLineString(lines) for kind, lines in found.items()}


def compare(tiles, piece):
    shifts = laid(tiles) if len(tiles) > 1 else {tiles[0].tile: (0.0, 0.0)}
    cut = joined(tiles, shifts, "cut")
    left, top, _, _ = cut.bounds
    for kind, want in as_drawn(piece).items():
        got = shapely.transform(joined(tiles, shifts, kind), lambda at: at - np.array([left, top]))
        assert got.is_empty == want.is_empty, kind
        if not want.is_empty:
            assert got.hausdorff_distance(want) < 3 * NEAR, (piece.name, kind)
            assert got.length == pytest.approx(want.length, abs=1), (piece.name, kind)


# The whole from its tiles -------------------------------------------------------


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["large", "steps", "ribbon"])
def test_tiles_joined_by_their_diamonds_are_the_piece(name, paper):
    pages = sheets(template(name, paper=paper))
    tiled = 0
    for piece in pk.cut_list(CARDS[name]):
        tiles = [page for page in pages if page.piece == piece.name and page.tile]
        if tiles:
            tiled += 1
            assert len({tile.tile for tile in tiles}) == len(tiles) > 1
            compare(tiles, piece)
    assert tiled


def test_tiles_joined_in_large_print():
    tiles = sheets(template("steps", large_print=True))
    compare(tiles, *pk.cut_list(CARDS["steps"]))


def test_the_reader_sees_a_tile_that_is_out_of_place():
    tiles = sheets(template("steps"))
    tiles[1].cut = [[(x + 0.2, y) for x, y in ends] for ends in tiles[1].cut]
    with pytest.raises(AssertionError):
        compare(tiles, *pk.cut_list(CARDS["steps"]))


@pytest.mark.parametrize("name", ["large", "steps", "ribbon"])
def test_each_tile_says_on_which_it_is_laid(name):
    pages = sheets(template(name))
    for page in pages:
        if not page.tile:
            continue
        column, row = page.tile[0], int(page.tile[1:])
        assert ("Left edge" in page.text) == (column > "A")
        assert ("Top edge" in page.text) == (row > 1)
        if column > "A":
            assert f"Left edge: cut on the dotted line, lay it on tile {chr(ord(column) - 1)}{row}" in (
                " ".join(page.text.split())
            )


def test_a_card_whose_pieces_fit_is_in_no_tiles():
    for paper in ("A4", "Letter"):
        text = "\n".join(page.text for page in pages(template("small", paper=paper)))
        assert "tile" not in text
        assert "dotted" not in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["small", "wide"])
def test_whole_pieces_have_their_true_sizes(name, paper):
    """Every closed outline on every sheet, sides in mm, against the cut list, each kind once."""
    found = []
    for page in sheets(template(name, paper=paper)):
        shapes = shapely.polygonize(
            [
                shapely.set_precision(
                    shapely.union_all([shapely.LineString(one) for one in page.cut]), 0.01
                )
            ]
        )
        for shape in shapes.geoms:
            left, top, right, bottom = shape.bounds
            found.append((right - left, bottom - top))
    want = sorted((as_mm(one.width), as_mm(one.length)) for one in pk.cut_list(CARDS[name]))
    assert np.array(sorted(found)) == pytest.approx(np.array(want), abs=NEAR)


@pytest.mark.parametrize("name", list(CARDS))
def test_folds_are_as_long_as_the_pieces_have_them(name):
    """Over a whole card, of sheets without tiles: the sum of valleys and that of mountains."""
    pages = sheets(template(name))
    names = {page.piece for page in pages if page.tile}
    pieces = [one for one in pk.cut_list(CARDS[name]) if one.name not in names]
    for kind in ("valley", "mountain"):
        drawn = sum(
            shapely.LineString(one).length
            for page in pages
            if not page.tile
            for one in getattr(page, kind)
        )
        want = sum(as_drawn(piece)[kind].length for piece in pieces)
        assert drawn == pytest.approx(want, abs=0.1)


# Bars ---------------------------------------------------------------------------


def bars(page):
    """(width, height) in mm of every bar: filled, 4 mm thick, 100 mm long or so."""
    sides = [
        (round(float(rect["width"]) / MM, 4), round(float(rect["height"]) / MM, 4))
        for rect in page.rects
    ]
    return sorted(side for side in sides if abs(min(side) - 4) < 0.5 and 85 < max(side) < 115)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize("name", ["steps", "small", "wide"])
def test_every_sheet_has_bars_of_100_mm_and_4_in_both_ways(name, paper, large_print):
    first, *others = pages(template(name, paper=paper, large_print=large_print))
    assert np.array(bars(first)) == pytest.approx(np.array([(100, 4), (101.6, 4)]), abs=0.01)
    for page in others:
        if page.text.startswith("Sheet"):
            want = [(4, 100), (4, 101.6), (100, 4), (101.6, 4)]
            assert np.array(bars(page)) == pytest.approx(np.array(want), abs=0.01)


def runs(dark):
    """Length in pixels of the longest dark run of each row."""
    best = np.zeros(len(dark), dtype=int)
    run = np.zeros(len(dark), dtype=int)
    for column in dark.T:
        run = np.where(column, run + 1, 0)
        np.maximum(best, run, out=best)
    return best


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_tile_is_true_on_a_rendering_at_600_dots_to_the_inch(paper):
    """Each page drawn by pdfium: both bars, both ways, counted in dots."""
    document = pypdfium2.PdfDocument(template("steps", paper=paper))
    seen = 0
    for page in document:
        if not page.get_textpage().get_text_range().startswith("Sheet"):
            continue
        dots = page.render(scale=600 / 72, grayscale=True).to_numpy().squeeze() < 160
        tall, wide = dots.shape
        foot = runs(dots[int(tall * 0.88) :, :])
        side = runs(dots[:, : int(wide * 0.12)].T)
        for strip in (foot, side):
            for length in (100, 101.6):
                near = strip[np.abs(strip - length / 25.4 * 600) < 12]
                assert len(near), f"no bar of {length} mm"
                # a bar ends in a mark 0.3 mm thick, half of which lies past it at each end
                assert near.min() / 600 * 25.4 == pytest.approx(length + 0.3, abs=0.12)
        seen += 1
    assert seen == 4


def test_a_piece_is_true_on_a_rendering_at_600_dots_to_the_inch():
    """The back of 5 x 7 in on Letter: outline and valley, from edge to edge of the ink."""
    document = pypdfium2.PdfDocument(template("small", paper="Letter"))
    page = next(
        one for one in document if one.get_textpage().get_text_range().startswith("Sheet 1: back")
    )
    dots = page.render(scale=600 / 72, grayscale=True).to_numpy().squeeze() < 160
    (back, *_) = pk.cut_list(CARDS["small"])
    rows, columns = runs(dots), runs(dots.T)
    for found, length in ((rows, back.width), (columns, back.length)):
        assert found.max() / 600 * 25.4 == pytest.approx(as_mm(length) + 0.5, abs=0.1)


# Correction ---------------------------------------------------------------------

CORRECTION = PrinterCorrection(across="98.5 mm", along="99.2 mm")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["small", "wide", "steps"])
def test_a_printer_that_is_off_prints_a_corrected_template_true(name, paper):
    """The page is shrunk as that printer would, across and along the paper, and then measured."""
    for page in pages(template(name, paper=paper, correction=CORRECTION)):
        first = page.number == 1
        if not (first or page.text.startswith("Sheet")):
            continue  # the first page's words run on
        across, along = 0.985, 0.992
        if page.width > page.height:  # on its side: the paper's length runs to the right
            across, along = along, across
        printed = sorted((wide * across, tall * along) for wide, tall in bars(page))
        want = [(4, 100), (4, 101.6)] * (not first) + [(100, 4), (101.6, 4)]
        assert np.array(printed) == pytest.approx(np.array(want), abs=0.1)
        assert max(max(side) for side in printed) == pytest.approx(101.6, abs=0.01)


def test_a_corrected_piece_comes_out_true():
    (page, *_) = (one for one in sheets(template("small", correction=CORRECTION)) if one.piece == "back")
    left, top, right, bottom = shapely.MultiLineString(page.cut).bounds
    (back, *_) = pk.cut_list(CARDS["small"])
    assert (right - left) * 0.985 == pytest.approx(as_mm(back.width), abs=NEAR)
    assert (bottom - top) * 0.992 == pytest.approx(as_mm(back.length), abs=NEAR)


def test_corrected_tiles_still_join():
    tiles = sheets(template("steps", correction=CORRECTION))
    for tile in tiles:
        for kind in ("cut", "valley", "mountain"):
            lines = [[(x * 0.985, y * 0.992) for x, y in ends] for ends in getattr(tile, kind)]
            setattr(tile, kind, lines)
        tile.marks = {
            key: [(x * 0.985, y * 0.992) for x, y in found] for key, found in tile.marks.items()
        }
    compare(tiles, *pk.cut_list(CARDS["steps"]))


def test_the_correction_is_said_with_how_to_undo_it(words):
    text = " ".join(words(template("small", correction=CORRECTION)).split())
    assert "A printer correction is applied" in text
    assert "drawn at 101.52 % of its size" in text  # 100 / 98.5 = 1.0152...
    assert "drawn at 100.81 % of its size" in text  # 100 / 99.2 = 1.00806...
    assert "To undo it, make these pages again without a correction" in text
    assert "correction" not in words(template("small"))


@pytest.mark.parametrize(
    ("asked", "across", "along"),
    [
        ({"across": "98.5 mm", "along": "99.2 mm"}, Fraction(200, 197), Fraction(125, 124)),
        ({"across": "3 15/16 in"}, Fraction(64, 63), 1),  # of the 4 in bar
        ({"along": "3 15/16 in", "bar": "4 in"}, 1, Fraction(64, 63)),
        ({"along": "100.6 mm", "bar": "4 in"}, 1, Fraction(508, 503)),
        ({"across": "9.9 cm"}, Fraction(100, 99), 1),
        ({"across": "110 mm", "along": "90 mm"}, Fraction(10, 11), Fraction(10, 9)),  # a tenth, just
    ],
)
def test_corrections_are_exact(asked, across, along):
    correction = PrinterCorrection(**asked)
    assert (correction.scale("across"), correction.scale("along")) == (across, along)
    assert isinstance(correction.scale("across"), Fraction)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({}, "has no measure"),
        ({"across": "110.1 mm"}, "Fit to page"),
        ({"along": "89.9 mm"}, "Fit to page"),
        ({"across": "4 in", "bar": "100 mm", "along": "3 in"}, "Fit to page"),
        ({"across": "100 mm", "bar": "120 mm"}, "no bar is 120 mm long"),
        ({"across": "98,5 mm"}, "has a comma"),
        ({"across": "ten", "along": "ten"}, "along"),
        ({"across": 98.5}, "across"),
    ],
)
def test_a_measure_that_cannot_be_is_refused(asked, said):
    with pytest.raises(HandoutError, match=said):
        PrinterCorrection(**asked)


def test_both_axes_are_reported_at_once():
    with pytest.raises(HandoutError) as told:
        PrinterCorrection(across="80 mm", along="120 mm")
    assert len(told.value.faults) == 2


def test_only_what_is_at_true_size_takes_a_correction():
    for edition in EDITIONS.values():
        if edition.true_size:
            assert handout_bytes(CARDS["small"], edition.name, correction=CORRECTION)
            continue
        with pytest.raises(HandoutError, match="nothing drawn at its true size"):
            handout_bytes(CARDS["small"], edition.name, correction=CORRECTION)
    with pytest.raises(HandoutError, match="printer correction"):
        preview_pages(CARDS["small"], "template", correction="98.5 mm")


# Pages --------------------------------------------------------------------------

MANY = [
    (name, asked)
    for name in CARDS
    for asked in (
        {"paper": "A4"},
        {"paper": "Letter", "large_print": True},
        {"paper": "A4", "correction": PrinterCorrection(across="110 mm", along="90 mm")},
    )
]


@pytest.mark.parametrize(("name", "asked"), MANY, ids=str)
def test_nothing_leaves_the_page_and_each_sheet_is_one_page(name, asked):
    """Printers leave about 6 mm free (common practice, no source)."""
    numbers = []
    for page in pages(template(name, **asked)):
        for one in [*page.chars, *page.lines, *page.rects, *page.curves]:
            if one.get("text", "x").strip():
                assert one["x0"] >= 6 * MM, one
                assert one["x1"] <= page.width - 6 * MM, one
                assert one["top"] >= 6 * MM, one
                assert one["bottom"] <= page.height - 6 * MM, one
        found = re.match(r"Sheet (\d+)", page.text)
        numbers += [int(found[1])] if found else []
        if numbers:
            assert found, "a sheet runs over to another page"
    assert numbers == list(range(1, len(numbers) + 1))


@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
def test_all_words_are_as_large_as_they_should_be(large_print):
    """RNIB Clear Print: 14 pt recommended, large print 18 pt; the foot of a page is a little less."""
    least = 18 if large_print else 14
    for page in pages(template("small", large_print=large_print)):
        for char in page.chars:
            raised = char["text"] in "⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄ \u202f\u2009"
            turned = abs(char["matrix"][1]) > 0.1  # its size is then its height across the page
            if char["text"].strip() and not (raised or turned) and char["top"] < page.height - 18 * MM:
                assert char["size"] >= least - 0.05, char


def test_every_size_of_the_cut_list_is_on_the_sheets(words):
    """Read back as a person would: name, how many, width and length of each piece on both rulers."""
    text = " ".join(words(template("small")).split()).replace("\u202f", " ")
    for piece in pk.cut_list(CARDS["small"]):
        for size in (piece.width, piece.length):
            metric = f"{round(as_mm(size))} mm"
            assert f"({metric})" in text
        assert f"{piece.name} cut {piece.count}" in text


def test_the_map_tells_the_sheet_of_each_tile():
    document = pikepdf.open(io.BytesIO(template("large")))
    maps = [
        str(one.Alt)
        for kind, one, _ in structure(document)
        if kind == "Figure" and "Where each tile goes of" in str(one.get("/Alt", ""))
    ]
    pages = sheets(template("large"))
    names = {page.piece for page in pages if page.tile}
    assert len(maps) == len(names)
    for page in pages:
        if page.tile:
            (told,) = [one for one in maps if f"tile goes of {page.piece}, row" in one]
            assert f"tile {page.tile} on sheet {page.number}" in told


@pytest.mark.parametrize(("name", "asked"), MANY[::2], ids=str)
def test_the_template_keeps_the_rules_of_pdf_ua(name, asked):
    """ISO 14289-1: tags, language, title, alternative text, lists, table heads, one level at a time."""
    document = pikepdf.open(io.BytesIO(template(name, **asked)))
    assert bool(document.Root.MarkInfo.Marked)
    assert str(document.Root.Lang).startswith("en")
    with document.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1"
        assert metadata["dc:title"]
    found = structure(document)
    kinds = {kind for kind, _, _ in found}
    assert kinds <= set(STANDARD.split())
    assert {"H1", "P", "L", "Table", "TH", "Figure"} <= kinds
    levels = [int(kind[1]) for kind, _, _ in found if kind[0] == "H"]
    assert levels[0] == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    figures = [one for kind, one, _ in found if kind == "Figure"]
    assert all(len(str(one.get("/Alt", ""))) > 20 for one in figures)
    pages = len([1 for kind, _, _ in found if kind[0] == "H"])
    assert pages >= 5
    for page in document.pages:
        marked, loose = [], []
        for operands, operator in pikepdf.parse_content_stream(page):
            name_of = str(operator)
            if name_of in ("BDC", "BMC"):
                tag, *rest = operands
                marked.append(str(tag) == "/Artifact" or (rest and "/MCID" in rest[0]))
            elif name_of == "EMC":
                marked.pop()
            elif name_of in ("Tj", "TJ", "'", '"', "S", "s", "f", "f*", "B", "b", "Do", "sh"):
                loose += [] if any(marked) else [name_of]
        assert not loose


@pytest.mark.parametrize("language", ["en_GB", "de"])
@pytest.mark.parametrize("decorated", [False, True])
@pytest.mark.parametrize(
    ("front", "form"),
    [
        (pk.ClearFront(), "strips"),
        (pk.JoinedFront(), "strips"),
        (pk.OnePieceFront(), "strips"),
        (pk.OnePieceFront(), "steps"),
    ],
)
def test_cautions_are_chosen_by_what_they_are_about(front, form, decorated, language):
    """Knife, children and what goes first on any template; the clear sheet where there is one to cut;
    small parts where there are ornaments.
    """
    tiers = pk.stepped_tiers("148 mm", 2)
    if form == "steps":
        tiers = (pk.CutStep(face="50 mm", depth="30 mm"),)
    ornaments = (pk.Ornament(on="back", width="20 mm", height="20 mm", up="80 mm"),) if decorated else ()
    card = pk.Card(width="105 mm", height="148 mm", tiers=tiers, front=front, ornaments=ornaments)
    topics = {
        "en_GB": ["Craft knife", "Clear sheet", "Children", "Small parts", "What goes first"],
        "de": ["Bastelmesser", "Klarsichtfolie", "Kinder", "Kleinteile", "Was vorgeht"],
    }[language]
    clear = isinstance(front, pk.ClearFront)
    want = [one for one, on in zip(topics, (True, clear, True, decorated, True), strict=True) if on]
    found = template_data(job(card, language=language))["cautions"]
    assert [one["topic"] for one in found] == want


def test_a_template_in_german(words):
    text = " ".join(words(template("steps", language="de")).split())
    assert "Blatt 1: Rück- und Vorderwand, Teilblatt A1" in text
    assert "Talfalte" in text
    assert "tile" not in text


def test_a_name_in_any_script_is_printed_and_the_bytes_repeat(words):
    asked = {"edition": "template", "name": "Zoë “Ł” <b> #let x"}
    assert "Zoë “Ł” <b> #let x" in words(handout_bytes(CARDS["small"], **asked))
    assert handout_bytes(CARDS["small"], **asked) == handout_bytes(CARDS["small"], **asked)

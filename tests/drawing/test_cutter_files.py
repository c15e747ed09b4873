"""Cutting files read back: SVG with ElementTree and shapely, DXF with ezdxf, against the pieces.

A piece is described once more here, straight from its public fields, in shapely geometry.
"""

from __future__ import annotations

import re
import sys
from xml.etree import ElementTree

import ezdxf
import pytest
import shapely
from hypothesis import given
from shapely import affinity

import popkit as pk
from popkit.drawing.cutter import CutterError, cutter_dxf, cutter_svg, layout_dxf, layout_svg
from popkit.handout.cutfiles import write_cut_files
from tests.drawing.drawing_samples import cut_step_card, random_cards, read_svg, tutor_card, words
from tests.strategies import cards

SVG = "{http://www.w3.org/2000/svg}"
NEAR = 1e-5  # millimetres; the files hold six places


def as_mm(length):
    return float(length.to("millimeter").magnitude)


def expected(piece):
    """{group: geometry} from the fields of the piece."""
    wide, long = as_mm(piece.width), as_mm(piece.length)
    found = {"outline": shapely.box(0, 0, wide, long)}
    found["slits"] = shapely.MultiLineString(
        [
            ((as_mm(one.across), as_mm(one.start)), (as_mm(one.across), as_mm(one.stop)))
            for one in piece.slits
        ]
    )
    for fold in ("valley", "mountain"):
        found[fold] = shapely.MultiLineString(
            [
                ((as_mm(one.start), as_mm(one.position)), (as_mm(one.stop), as_mm(one.position)))
                for one in piece.creases
                if one.fold == fold
            ]
        )
    top, glue = 0.0, []
    for zone in piece.zones:
        bottom = top + as_mm(zone.length)
        if zone.glue:
            glue.append(shapely.box(0, top, wide, bottom))
        top = bottom
    found["glue"] = shapely.MultiPolygon(glue)
    return found


def points_of(path):
    assert re.fullmatch(r"M-?[\d.]+ [\d.]+(L[\d.]+ [\d.]+)+Z?", path), path
    return [tuple(map(float, pair.split())) for pair in path.strip("MZ").split("L")]


def read_paths(parent):
    """(areas, lines) of a group, those of its own groups with them."""
    areas, lines = [], []
    for path in parent.iter(f"{SVG}path"):
        points = points_of(path.get("d"))
        if path.get("d").endswith("Z"):
            areas.append(shapely.Polygon(points))
        else:
            lines.append(points)
    return areas, shapely.MultiLineString(lines)


def groups_of(svg):
    root = ElementTree.fromstring(svg.encode())
    return root, {one.get("id"): one for one in root.findall(f"{SVG}g")}


def same(one, other):
    """No point of either is farther than `NEAR` from the other, and neither is drawn twice."""
    assert one.is_empty == other.is_empty
    if not one.is_empty:
        assert one.hausdorff_distance(other) < NEAR
        assert one.length == pytest.approx(other.length, abs=NEAR * 100)


def check_svg(piece):
    root, groups = groups_of(cutter_svg(piece))
    want = expected(piece)
    assert root.get("width") == f"{root.get('viewBox').split()[2]}mm"
    assert root.get("height") == f"{root.get('viewBox').split()[3]}mm"
    areas, slits = read_paths(groups["cut"])
    (outline,) = areas
    assert outline.area == pytest.approx(want["outline"].area, abs=1e-3)
    same(outline, want["outline"])
    same(slits, want["slits"])
    for fold in ("valley", "mountain"):
        assert (fold in groups) == (not want[fold].is_empty)
        if fold in groups:
            same(read_paths(groups[fold])[1], want[fold])
    assert ("glue" in groups) == (not want["glue"].is_empty)
    if "glue" in groups:
        areas, _ = read_paths(groups["glue"])
        assert sum(one.area for one in areas) == pytest.approx(want["glue"].area, abs=1e-2)
        same(shapely.union_all(areas), shapely.union_all(want["glue"]))


@given(cards())
def test_every_line_of_every_piece_is_in_its_group(card):
    for piece in pk.cut_list(card):
        check_svg(piece)


@pytest.mark.parametrize("card", [tutor_card(), cut_step_card()], ids=["strips", "cut steps"])
def test_the_groups_say_what_they_are(card):
    for piece in pk.cut_list(card):
        root, groups = groups_of(cutter_svg(piece))
        assert list(groups) == [
            name for name in ("print", "glue", "valley", "mountain", "cut") if name in groups
        ]
        assert {"print", "cut"} <= set(groups)
        for name, group in groups.items():
            assert group.findtext(f"{SVG}title") == name
            assert len(group.findtext(f"{SVG}desc")) > 20
        assert root.findtext(f"{SVG}title") == piece.name
        assert piece.name in root.findtext(f"{SVG}desc")
        ids = [one.get("id") for one in root.iter() if one.get("id")]
        assert len(ids) == len(set(ids))
        assert root.get("aria-labelledby").split() == ["title", "desc"]
        assert all(known in ids for known in ("title", "desc"))


def test_nothing_but_the_open_standard_is_in_it():
    """Elements and attributes are those of SVG 1.1, and one ink serves every group."""
    for piece in pk.cut_list(cut_step_card()) + pk.cut_list(tutor_card()):
        root = ElementTree.fromstring(cutter_svg(piece).encode())
        kinds = {one.tag for one in root.iter()}
        assert kinds <= {f"{SVG}{name}" for name in ("svg", "title", "desc", "g", "path", "text")}
        assert not [name for one in root.iter() for name in one.attrib if "{" in name or ":" in name]
        assert len({one.get("stroke") for one in root.iter(f"{SVG}g")} - {None}) == 1


def test_slits_are_cut_before_the_outline():
    (piece,) = pk.cut_list(cut_step_card())
    _, groups = groups_of(cutter_svg(piece))
    paths = [path.get("d") for path in groups["cut"].findall(f"{SVG}path")]
    assert len(paths) == len(piece.slits) + 1
    assert [path.endswith("Z") for path in paths] == [False] * len(piece.slits) + [True]


def test_words_are_kept_inside_the_piece_and_off_its_lines():
    """Measured on the font's own outlines."""
    found = []
    for card in [*random_cards(30), cut_step_card(), tutor_card()]:
        for piece in pk.cut_list(card):
            want = expected(piece)
            for text in words(read_svg(re.sub("<path [^>]*>", "", cutter_svg(piece)))):
                found.append(text)
                assert want["outline"].buffer(NEAR).contains(text.geometry), text.text
                assert not any(
                    text.geometry.intersects(want[kind]) for kind in ("valley", "mountain", "slits")
                )
    assert len(found) > 60


def test_without_words_nothing_is_printed():
    (piece,) = pk.cut_list(cut_step_card())
    assert "print" not in groups_of(cutter_svg(piece, words=False))[1]
    assert "<text" not in cutter_svg(piece, words=False)


def test_a_name_is_never_markup():
    piece = pk.Piece(name='</title><g id="x">&', width="5 in", length="4 in")
    root = ElementTree.fromstring(cutter_svg(piece).encode())
    assert root.findtext(f"{SVG}title") == '</title><g id="x">&'
    assert all(one.get("id") != "x" for one in root.iter())


# DXF ----------------------------------------------------------------------------


def read_dxf(text, tmp_path):
    path = tmp_path / "read.dxf"
    path.write_bytes(text.encode("ascii"))
    return ezdxf.readfile(path)


def check_dxf(piece, tmp_path):
    document = read_dxf(cutter_dxf(piece), tmp_path)
    assert document.dxfversion == "AC1009"  # R12, from the DXF reference
    long, want = as_mm(piece.length), expected(piece)
    rings, lines = {}, {}
    for one in document.modelspace():
        if one.dxftype() == "LINE":
            ends = [(one.dxf.start.x, one.dxf.start.y), (one.dxf.end.x, one.dxf.end.y)]
            lines.setdefault(one.dxf.layer, []).append(ends)
        elif one.dxftype() == "POLYLINE":
            assert one.is_closed
            ring = shapely.Polygon([(at.dxf.location.x, at.dxf.location.y) for at in one.vertices])
            rings.setdefault(one.dxf.layer, []).append(ring)
        else:
            assert (one.dxftype(), one.dxf.layer) == ("TEXT", "print")
    assert set(rings) | set(lines) <= {"cut", "valley", "mountain", "glue"}

    def flipped(shape):
        return affinity.translate(affinity.scale(shape, 1, -1, origin=(0, 0)), 0, long)

    (outline,) = rings["cut"]
    same(flipped(outline), want["outline"])
    same(flipped(shapely.MultiLineString(lines.get("cut", []))), want["slits"])
    for fold in ("valley", "mountain"):
        same(flipped(shapely.MultiLineString(lines.get(fold, []))), want[fold])
    same(flipped(shapely.union_all(rings.get("glue", []))), shapely.union_all(want["glue"]))


@pytest.mark.parametrize("number", range(0, 30, 3))
def test_dxf_holds_the_same_lines(number, tmp_path):
    for piece in pk.cut_list(random_cards(30)[number]):
        check_dxf(piece, tmp_path)


@pytest.mark.parametrize("card", [tutor_card(), cut_step_card()], ids=["strips", "cut steps"])
def test_dxf_of_the_usual_cards(card, tmp_path):
    for piece in pk.cut_list(card):
        check_dxf(piece, tmp_path)
        document = read_dxf(cutter_dxf(piece), tmp_path)
        (text,) = document.modelspace().query("TEXT")
        assert text.dxf.text.startswith(piece.name)
        assert not document.audit().has_errors


def test_dxf_without_its_library_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "ezdxf.addons", None)
    (piece,) = pk.cut_list(cut_step_card())
    with pytest.raises(CutterError, match=r"popkit\[dxf\]"):
        cutter_dxf(piece)
    assert cutter_svg(piece)


# Sheets -------------------------------------------------------------------------


@pytest.fixture(scope="module")
def plan():
    pieces = (
        pk.Piece(name="tier", width="60 mm", length="95 mm", scores=("10 mm",), grain="width"),
        pk.Piece(name="strip", width="200 mm", length="30 mm", scores=("12 mm",)),
        pk.Piece(
            name="step",
            width="70 mm",
            length="50 mm",
            creases=(pk.Crease(position="20 mm", fold="mountain", start="10 mm", stop="40 mm"),),
            slits=(pk.Slit(across="10 mm", start="5 mm", stop="30 mm"),),
        ),
    )
    return pk.plan_sheets(pieces, students=4, sheet="A4", turn="free")


def test_a_sheet_holds_each_piece_where_the_plan_has_it(plan):
    turned = 0
    for layout in plan.layouts:
        root, groups = groups_of(layout_svg(layout, plan.pieces))
        assert (root.get("width"), root.get("height")) == ("210mm", "297mm")  # ISO 216:2007, A4
        areas, _ = read_paths(groups["cut"])
        boxes = [
            shapely.box(
                as_mm(one.x),
                as_mm(one.y),
                as_mm(one.x) + as_mm(one.width),
                as_mm(one.y) + as_mm(one.height),
            )
            for one in layout.placements
        ]
        assert len(areas) == len(boxes)
        for area, box in zip(areas, boxes, strict=True):
            same(area, box)
        turned += sum(one.turned for one in layout.placements)
        # every fold as the piece has it, carried by a turn of a quarter, never turned over
        folds = []
        for one in layout.placements:
            piece = plan.pieces[one.number]
            lines = expected(piece)
            whole = shapely.union_all([lines["valley"], lines["mountain"]])
            if one.turned:  # shapely turns about a point; y runs downwards, so this is clockwise
                whole = affinity.rotate(whole, 90, origin=(0, 0))
                whole = affinity.translate(whole, as_mm(piece.length), 0)
            folds.append(affinity.translate(whole, as_mm(one.x), as_mm(one.y)))
        read = [read_paths(groups[fold])[1] for fold in ("valley", "mountain") if fold in groups]
        same(shapely.union_all(read), shapely.union_all(folds))
        names = {piece.name for piece in plan.pieces}
        for group in groups["cut"].findall(f"{SVG}g"):
            assert group.findtext(f"{SVG}title").split(",")[0] in names
    assert turned, "no piece lies turned: the test shows nothing"


def test_a_sheet_as_dxf_has_an_outline_for_each_piece(plan, tmp_path):
    for layout in plan.layouts:
        space = read_dxf(layout_dxf(layout, plan.pieces), tmp_path).modelspace()
        assert len(space.query('POLYLINE[layer=="cut"]')) == len(layout.placements)
        xs = [at.dxf.location.x for one in space.query("POLYLINE") for at in one.vertices]
        ys = [at.dxf.location.y for one in space.query("POLYLINE") for at in one.vertices]
        assert min(xs) >= 0
        assert max(xs) <= 210
        assert min(ys) >= 0
        assert max(ys) <= 297


# Files --------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["svg", "dxf"])
def test_a_file_for_each_piece_and_each_layout(form, plan, tmp_path):
    recipe = pk.Recipe(title="Harbour / lights", card=tutor_card())
    paths = write_cut_files(recipe, tmp_path, form, plan=plan)
    assert sorted(paths) == sorted(tmp_path.iterdir())
    assert len(paths) == len(pk.cut_list(recipe.card)) + len(plan.layouts)
    assert all(path.name.startswith("harbour-lights-") for path in paths)
    assert all(path.stem.endswith("-mm") == (form == "dxf") for path in paths)
    before = [path.read_bytes() for path in paths]
    assert [path.read_bytes() for path in write_cut_files(recipe, tmp_path, form, plan=plan)] == before


def test_pieces_of_one_name_have_files_of_their_own(plan, tmp_path):
    paths = write_cut_files(tutor_card(), tmp_path, plan=plan)
    assert len({path.name.casefold() for path in paths}) == len(paths)


def test_everything_wrong_is_said_at_once(tmp_path):
    with pytest.raises(pk.HandoutError) as told:
        write_cut_files("card", 3, "pdf", plan="plan", grids=("1 mm",))
    assert len(told.value.faults) == 5


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(pk.HandoutError, match="There is no folder"):
        write_cut_files(tutor_card(), tmp_path / "none")
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_every_file_as_it_was(tmp_path, monkeypatch):
    """The third file meets a full disk (ENOSPC, POSIX): no file is new, and no part is left."""
    import errno
    from pathlib import Path

    paths = write_cut_files(tutor_card(), tmp_path)
    for path in paths:
        path.write_text("old")
    opened, count = Path.open, iter(range(100))

    def full(self, *how, **more):
        if self.suffix == ".part" and next(count) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")
        return opened(self, *how, **more)

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(pk.HandoutError, match="The disk is full"):
        write_cut_files(tutor_card(), tmp_path)
    monkeypatch.undo()
    assert sorted(tmp_path.iterdir()) == sorted(paths)
    assert {path.read_text() for path in paths} == {"old"}

"""The score chart read back out of the PDF, row by row, and compared with the pieces."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import groupby, pairwise

import pdfplumber
import pikepdf
import pytest

import popkit as pk
from popkit.handout import handout_bytes
from popkit.handout.job import job
from popkit.handout.scores import scores
from tests.handout.cards import CARDS
from tests.handout.reading import STANDARD, flat, structure


@cache
def chart(cards_name, **asked):
    return handout_bytes(CARDS[cards_name], "scores", **asked)


def leaves(node):
    """The marked-content numbers under a structure element, in order, with their pages."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield from leaves(kid)
        elif isinstance(kid, pikepdf.Dictionary) and "/MCID" in kid:
            yield kid.get("/Pg", node.get("/Pg")).objgen, int(kid.MCID)
        elif not isinstance(kid, pikepdf.Dictionary):
            yield node.Pg.objgen, int(kid)


def cells(pdf):
    """The cells of every table as a screen reader goes through them: rows of text."""
    texts, document = {}, pikepdf.open(io.BytesIO(pdf))
    with pdfplumber.open(io.BytesIO(pdf)) as plumbed:
        for page, shown in zip(document.pages, plumbed.pages, strict=True):
            for char in shown.chars:
                if char.get("mcid") is not None:
                    key = page.obj.objgen, char["mcid"]
                    texts[key] = texts.get(key, "") + char["text"]
    found = structure(document)
    rows = []
    for kind, row, _ in found:
        if kind == "TR":
            kids = row.K if isinstance(row.K, pikepdf.Array) else [row.K]
            told = [" ".join("".join(texts.get(key, "") for key in leaves(one)).split()) for one in kids]
            rows.append([text.replace("\u202f", " ").replace("\xa0", " ") for text in told])
    return rows


def at(length):
    return length.to("millimeter").magnitude


NAMES = ("clear", "joined", "cut", "mixed")


@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize("name", ["clear", "joined"])
def test_every_score_of_every_piece_is_there_at_its_setting(cards, name, large_print):
    """Rows parsed back: setting on both rulers, piece, and a box to tick; mountains come first."""
    found, setting, fold, tables = Counter(), None, None, iter(("mountain", "valley"))
    for row in cells(chart(name, large_print=large_print)):
        if row[-1] == "Done":
            fold = next(tables)
            continue
        if len(row) == 4:
            setting, other = (at(pk.parse_length(text)) for text in row[:2])
            assert abs(setting - other) <= 1  # a sixteenth of an inch or a millimetre, rounded
        assert row[-1] == "☐"
        found[row[-2], fold, setting] += 1
    want = Counter(
        (piece.name, fold, at(score))
        for piece in pk.cut_list(cards[name])
        for score, fold in zip(piece.scores, piece.folds, strict=True)
    )
    assert found == want


@pytest.mark.parametrize("name", NAMES)
def test_settings_rise_and_each_stands_once(cards, name):
    told = {data["side"]: data["groups"] for data in scores(job(cards[name]))["scores"]}
    for side, fold in (("up", "mountain"), ("down", "valley")):
        groups = told.get(side, [])
        settings = [at(pk.parse_length(group["at"][0][0])) for group in groups]
        assert all(one < other for one, other in pairwise(settings))
        creases = [one for piece in pk.cut_list(cards[name]) for one in piece.creases]
        marks = sorted(at(one.position) for one in creases if one.fold == fold)
        assert settings == pytest.approx(sorted(set(marks)), abs=0.01)
        counts = [len(group["rows"]) for group in groups]
        assert counts == [len(list(held)) for _, held in groupby(marks)]


@pytest.mark.parametrize("name", ["cut", "mixed"])
def test_lines_that_stop_short_say_where(cards, words, name):
    text = " ".join(words(chart(name)).split()).replace("\u202f", " ")
    assert "From the left side" in text
    assert "From the left as it lies" in text
    assert "Cut these slits first: back and front" in text
    pieces = pk.cut_list(cards[name])
    data = scores(job(cards[name]))
    slits = [slit for piece in pieces for slit in piece.slits]
    read = {tuple(map(first_reading, (row[0], *row[1].split(" to ")))) for row in data["slits"]["rows"]}
    assert read == {(at(slit.across), at(slit.start), at(slit.stop)) for slit in slits}
    read = Counter(
        (first_reading(group["at"][0][0]), *map(first_reading, row[-2].split(" to ")))
        for table in data["scores"]
        for group in table["groups"]
        for row in group["rows"]
        if row[-2] != "right across"
    )
    creases = [(piece, crease) for piece in pieces for crease in piece.creases]
    assert read == Counter(
        (at(one.position), at(one.start), at(one.stop))
        for piece, one in creases
        if one.start.magnitude or one.stop != piece.width
    )
    assert text.count("☐") == len(slits) + len(creases)


def first_reading(text):
    """ "14 mm (9/16 in)" -> 14, in exact millimetres."""
    text = text.replace("\u202f", " ").replace("\xa0", " ").split(" (")[0]
    return 0 if text == "0" else at(pk.parse_length(text))


def test_a_count_of_more_than_one_is_said():
    from popkit.handout.scores import _named

    pieces = [
        pk.Piece(name="mat", width="5 in", length="4 in", count=2),
        pk.cut_list(pk.Card(width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 1)))[0],
    ]
    assert _named(pieces)["mat"] == "mat, 2 of them"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", NAMES)
def test_it_is_one_page(measured, name, paper):
    """A board has one page beside it; a card of usual size has no more marks than that holds."""
    with measured(chart(name, paper=paper)) as document:
        assert len(document.pages) == 1


@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize("name", NAMES)
def test_it_is_tagged_and_stays_on_its_page(measured, name, large_print):
    """ISO 14289-1 rules on tags, title, heads of tables and lists; RNIB Clear Print on sizes."""
    pdf = chart(name, large_print=large_print)
    document = pikepdf.open(io.BytesIO(pdf))
    assert bool(document.Root.MarkInfo.Marked)
    with document.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1"
        assert metadata["dc:title"].endswith("score chart")
    found = structure(document)
    kinds = {kind for kind, _, _ in found}
    assert kinds <= set(STANDARD.split())
    assert {"H1", "L", "LI", "Table", "TR", "TH", "TD"} <= kinds
    heads = [one for kind, one, _ in found if kind == "TH"]
    for head in heads:
        attributes = head.get("/A")
        attributes = attributes if isinstance(attributes, pikepdf.Array) else [attributes]
        assert "/Column" in [str(one.get("/Scope")) for one in attributes]
    with measured(pdf) as plumbed:
        for page in plumbed.pages:
            for one in [*page.chars, *page.lines, *page.rects]:
                assert one["x0"] >= 6 * 72 / 25.4
                assert one["x1"] <= page.width - 6 * 72 / 25.4
            sizes = [
                char["size"]
                for char in page.chars
                if char["text"].isalpha() and char["top"] < page.height - 18 * 72 / 25.4
            ]
            assert min(sizes) >= (18 if large_print else 14) - 0.05


@pytest.mark.parametrize("name", NAMES)
def test_the_same_bytes_again_and_another_for_another_name(cards, name):
    assert handout_bytes(cards[name], "scores") == chart(name)
    assert handout_bytes(cards[name], "scores", name="Zoë") != chart(name)


@pytest.mark.parametrize(("spine", "said"), [("double", True), ("single", False)])
def test_a_fold_that_is_scored_twice_is_so_on_the_chart(words, spine, said):
    """Clear front, three tiers: six strips of 0.28 mm are 1.7 mm, and 1/8 in (3 mm) the next mark."""
    card = replace(CARDS["clear"], spine=spine)
    for edition in ("scores", "student"):
        text = flat(words(handout_bytes(card, edition)))
        chart = text.partition("Where to score")[2].partition("Put it together")[0] or text
        assert ("score the fold twice, ⅛ in (3 mm) apart" in chart) is said


@pytest.mark.parametrize("name", NAMES)
def test_each_piece_lies_as_the_steps_say(cards, name):
    """The sides, read out of the chart's rows and out of the step "Score the folds"."""
    card = cards[name]
    (step,) = (one for one in pk.assembly_steps(card) if one.kind == "score")
    told = {data["title"]: data for data in scores(job(card))["scores"]}
    assert list(told) == ["Good side up: mountain lines", "Good side down: valley lines"]
    assert "sideways" in told["Good side down: valley lines"]["note"]
    scored = [piece for piece in pk.cut_list(card) if piece.creases]
    on_chart = {
        title: {flat(row[0]) for group in data["groups"] for row in group["rows"]}
        for title, data in told.items()
    }
    both = "mountain lines with the good side up, then turn it over sideways for the valley lines"
    assert (both in step.text) is (name in ("cut", "mixed"))
    if name not in ("cut", "mixed"):
        assert "Score the back with the good side down." in step.text
        assert on_chart["Good side down: valley lines"] == {"back"}
        strips = {piece.name for piece in scored} - {"back"}
        assert on_chart["Good side up: mountain lines"] == strips
    rows = [row for data in told.values() for group in data["groups"] for row in group["rows"]]
    assert len(rows) == sum(len(piece.creases) for piece in scored)


def test_ends_are_measured_on_the_work_as_it_lies():
    """Turned over, a line from 10 to 30 mm on a piece 100 mm wide runs from 70 to 90 mm."""
    from popkit.assembly import Mark, Rulers
    from popkit.handout.scores import _scores
    from popkit.lengths import Grid

    piece = pk.Piece(name="back", width="100 mm", length="80 mm")
    marks = [
        Mark(
            piece="back",
            kind="score",
            fold=fold,
            position=pk.Q(40, "mm"),
            start=pk.Q(10, "mm"),
            stop=pk.Q(30, "mm"),
            whole=False,
        )
        for fold in ("mountain", "valley")
    ]
    used = Rulers(Grid("1 mm"), Grid("1/16 in"))
    read = {}
    for side, mark in zip(("up", "down"), marks, strict=True):
        assert mark.good_side == side
        ((row,),) = (
            group["rows"] for group in _scores((piece,), used, side, [mark], large_print=False)["groups"]
        )
        read[side] = tuple(map(first_reading, row[0].split(" to ")))
    assert read == {"up": (10, 30), "down": (70, 90)}


@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize("name", NAMES)
def test_what_to_take_care_of_stands_before_the_first_cut(words, name, large_print):
    """The knife's and the child's words wherever a slit is cut; what goes first on every chart."""
    text = flat(words(chart(name, large_print=large_print)))
    safe = text.partition("Keep safe.")[2].partition("Good side up")[0]
    assert all(word in safe for word in ("label", "rules of the room", "law"))
    cut = name in ("cut", "mixed")
    assert ("behind the blade" in safe) is cut
    assert ("A child uses it only with an adult" in safe) is cut
    if cut:
        assert safe.index("behind the blade") < safe.index("Cut these slits first")

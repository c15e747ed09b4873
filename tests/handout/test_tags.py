"""The handout read back as a screen reader meets it.

Source of each rule: ISO 14289-1 (PDF/UA-1), as summed up in the reference values of the project: real
content tagged in logical order, the rest artifacts, standard structure types, title, language,
alternative text, fonts embedded; tables with header cells, lists as lists.
"""

from itertools import pairwise

import pikepdf
import pytest

from tests.handout.reading import STANDARD, structure

EVERY = pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("clear", {"paper": "Letter"}),
        ("joined", {"paper": "A4"}),
        ("cut", {"paper": "A4", "large_print": True}),
        ("mixed", {"paper": "Letter", "name": "Zoë"}),
    ],
    ids=["clear", "joined", "cut, large print", "mixed, named"],
)

OTHERS = [
    ("clear", {"edition": "tutor", "seed": (3, 4), "paper": "Letter"}),
    ("mixed", {"edition": "tutor", "large_print": True, "minutes": 90}),
    ("joined", {"edition": "worksheet", "seed": 3, "name": "Zoë"}),
    ("cut", {"edition": "worksheet", "paper": "Letter", "large_print": True}),
    ("clear", {"edition": "answers", "seed": (1, 2, 3)}),
    ("cut", {"edition": "answers"}),
]
BOTH = pytest.mark.parametrize(
    ("name", "asked"),
    EVERY.args[1] + OTHERS,
    ids=[
        *EVERY.kwargs["ids"],
        "tutor with answers",
        "tutor, large print",
        "worksheet",
        "worksheet of cut steps, large print",
        "answers",
        "answers of cut steps",
    ],
)

TITLES = {
    "student": "",
    "tutor": ": for the tutor",
    "worksheet": ": worksheet {seed}",
    "answers": ": answers to the worksheets",
}


@BOTH
def test_it_says_that_it_is_tagged_and_in_which_language(pdf, opened, name, asked):
    document = opened(pdf(name, **asked))
    assert bool(document.Root.MarkInfo.Marked)
    assert str(document.Root.Lang) == "en-GB"
    assert bool(document.Root.ViewerPreferences.DisplayDocTitle)
    with document.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1"
        more = TITLES[asked.get("edition", "student")]
        assert metadata["dc:title"] == f"Harbour steps, {name}" + more.format(seed=asked.get("seed", 1))
    assert all(str(page.Tabs) == "/S" for page in document.pages if "/Annots" in page)


@BOTH
def test_every_tag_is_a_standard_one(pdf, opened, name, asked):
    kinds = {kind for kind, _, _ in structure(opened(pdf(name, **asked)))}
    assert kinds <= set(STANDARD.split())
    wanted = {"H1", "P", "Table", "TR", "TH", "TD"}
    if asked.get("edition") != "answers":
        wanted |= {"L", "LI", "Lbl", "LBody"}
    if asked.get("edition", "student") in ("student", "tutor"):
        wanted |= {"Figure"}
    assert wanted <= kinds


@BOTH
def test_headings_go_down_one_level_at_a_time(pdf, opened, name, asked):
    levels = [int(kind[1]) for kind, _, _ in structure(opened(pdf(name, **asked))) if kind[0] == "H"]
    assert levels[0] == 1
    assert all(deeper <= level + 1 for level, deeper in pairwise(levels))
    assert len(levels) >= {"answers": 1}.get(asked.get("edition"), 6)


@EVERY
def test_every_figure_says_what_it_shows(pdf, opened, cards, name, asked):
    figures = [one for kind, one, _ in structure(opened(pdf(name, **asked))) if kind == "Figure"]
    texts = [str(one.get("/Alt", "")) for one in figures]
    assert all(len(text) > 20 for text in texts), texts
    scored = {"clear": 4, "joined": 3, "cut": 1, "mixed": 2}[name]
    growing = {"clear": 1 + 3, "joined": 1 + 2, "cut": 2, "mixed": 2}[name]  # front fixed, then tiers
    assert len(texts) == len(set(texts)) == scored + growing + 4  # finished, side view, two bars
    assert any("100 mm" in text for text in texts)
    assert any("4 in" in text for text in texts)


@BOTH
def test_tables_have_header_cells_that_say_what_they_head(pdf, opened, name, asked):
    found = structure(opened(pdf(name, **asked)))
    tables = [one for kind, one, _ in found if kind == "Table"]
    heads = [one for kind, one, above in found if kind == "TH"]
    if "edition" not in asked:
        assert len(tables) == (2 if name in ("cut", "mixed") else 1)
        assert len(heads) == 4 * len(tables)
    assert len(heads) >= 2 * len(tables) > 0
    for head in heads:
        attributes = head.get("/A")
        attributes = attributes if isinstance(attributes, pikepdf.Array) else [attributes]
        assert "/Column" in [str(one.get("/Scope")) for one in attributes]
    assert all("Table" in above for kind, _, above in found if kind in ("TR", "TH", "TD"))


@BOTH
def test_lists_are_lists(pdf, opened, name, asked):
    found = structure(opened(pdf(name, **asked)))
    assert all(above[-1] == "L" for kind, _, above in found if kind == "LI")
    assert all(above[-1] == "LI" for kind, _, above in found if kind in ("Lbl", "LBody"))
    numbering = {
        str(one.get("/ListNumbering"))
        for kind, element, _ in found
        if kind == "L"
        for one in (element.A if isinstance(element.A, pikepdf.Array) else [element.A])
    }
    assert ("/Decimal" in numbering) == ("edition" not in asked)  # the steps of the student edition


@BOTH
def test_all_that_is_drawn_is_tagged_or_an_artifact(pdf, opened, name, asked):
    document = opened(pdf(name, **asked))
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
        assert not marked


@BOTH
def test_fonts_are_inside_and_map_back_to_letters(pdf, opened, name, asked):
    document = opened(pdf(name, **asked))
    fonts = [one for one in document.objects if isinstance(one, pikepdf.Dictionary)]
    fonts = [one for one in fonts if one.get("/Type") == "/Font" and "/DescendantFonts" in one]
    assert fonts
    for font in fonts:
        assert "/ToUnicode" in font
        (below,) = font.DescendantFonts
        assert "/FontFile2" in below.FontDescriptor or "/FontFile3" in below.FontDescriptor
        assert "DejaVuSans" in str(font.BaseFont), font.BaseFont


@BOTH
def test_nothing_in_it_runs_or_calls_out(pdf, opened, name, asked):
    document = opened(pdf(name, **asked))
    assert not {"/OpenAction", "/AA", "/AcroForm", "/JavaScript"} & set(document.Root.keys())
    for one in document.objects:
        if isinstance(one, pikepdf.Dictionary):
            assert one.get("/S") not in ("/JavaScript", "/Launch", "/URI")

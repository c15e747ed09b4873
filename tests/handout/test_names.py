"""Names and titles come out as they were typed: never markup, never a path, nothing dropped."""

import re
import unicodedata

import pytest

from popkit.handout import HandoutError, handout_bytes, typesetting, write_handout
from popkit.recipe import Recipe

NAMES = [
    "Zoë O’Brien-Łukaszewicz",
    'Robert"); DROP TABLE students;--',
    '#panic("no") $x^2$ *bold* _it_ `raw` @ref <label> = Heading',
    '#import "/etc/passwd": *',
    "../../etc/passwd",
    "C:\\Users\\..\\name",
    "a/b/c & <i>d</i> %s {0} {{x}} \\u{1F600}",
    "// no comment /* none */ ~ -- --- ...",
    "“quoted” ‘single’ 'plain' \"double\"",
    "Ωμέγα Иван",
    "Đặng Thị Ngọc",
    "1. + - / not a list",
    "😀 and ☺",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_comes_out_as_typed(cards, words, name):
    recipe = Recipe(title=name[:80], card=cards["joined"], steps=(name,))
    text = " ".join(words(handout_bytes(recipe, name=name)).replace("\u200b", "").split())
    assert text.count(name) >= 3
    assert f"For: {name}" in text


@pytest.mark.parametrize(
    "name", ["שלום עולם", "مرحبا بالعالم", "Miriam (מרים) Cohen"], ids=["hebrew", "arabic", "mixed"]
)
def test_a_name_that_runs_from_right_to_left(cards, words, opened, name):
    """Every letter is there, Arabic ones perhaps in their joined shapes (NFKC makes them plain)."""
    data = handout_bytes(cards["joined"], name=name)
    shown = unicodedata.normalize("NFKC", words(data))
    for word in re.findall(r"[^\W\d_]+", name):
        assert word in shown or word[::-1] in shown, (word, shown[:200])
    assert not re.search("\N{REPLACEMENT CHARACTER}", words(data))


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("nul\0here", "nul�here"),
        ("bell\x07", "bell�"),
        ("half \ud83d", "half �"),
        ("two\nlines\tand  gaps", "two lines and gaps"),
    ],
    ids=["nul", "bell", "half a character", "lines"],
)
def test_what_has_no_shape_is_shown_not_dropped(cards, words, name, shown):
    text = " ".join(words(handout_bytes(cards["joined"], name=name)).split())
    assert f"For: {shown}" in text


def test_a_mark_of_byte_order_does_not_stop_the_page(cards, words):
    assert "Ann" in words(handout_bytes(cards["joined"], name="\ufeffAnn"))


def test_a_name_longer_than_a_line_is_broken_not_clipped(cards, measured):
    with measured(handout_bytes(cards["joined"], name="W" * 190)) as document:
        page = document.pages[0]
        letters = [char for char in page.chars if char["text"].startswith("W")]
        assert len(letters) >= 190
        assert all(char["x1"] < page.width - 40 for char in letters)


def test_a_name_is_never_a_path(cards, tmp_path):
    write_handout(cards["joined"], tmp_path / "one.pdf", name="../two.pdf")
    assert [one.name for one in tmp_path.iterdir()] == ["one.pdf"]
    assert not (tmp_path.parent / "two.pdf").exists()


# Letters that DejaVu Sans lacks --------------------------------------------------


@pytest.fixture
def only_font(tmp_path, monkeypatch):
    """The machine's fonts replaced by one, made here, that has the shapes it is given."""
    from fontTools.ttLib import TTFont

    def make(characters):
        folder, _ = typesetting._font_folder()
        font = TTFont(folder / "DejaVuSans.ttf")
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap = {ord(char): "H" for char in characters}
        for record in font["name"].names:
            record.string = str(record).replace("DejaVu", "Tidewell").replace("Sans", "Square")
        for table in ("GSUB", "GPOS", "GDEF", "kern"):
            if table in font:
                del font[table]
        path = tmp_path / "square.ttf"
        font.save(path)
        return path

    def put(characters):
        import typst

        folder, _ = typesetting._font_folder()
        paths = [str(folder)] + ([str(make(characters).parent)] if characters else [])
        fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=paths)
        real = typesetting._fonts
        typesetting._family_with.cache_clear()
        typesetting._compiler.cache_clear()
        monkeypatch.setattr(
            typesetting, "_fonts", lambda of_machine: fonts if of_machine else real(False)
        )

    yield put
    typesetting._family_with.cache_clear()
    typesetting._compiler.cache_clear()


def test_letters_that_no_font_has_are_named_every_one(cards, only_font):
    only_font("")
    with pytest.raises(HandoutError) as caught:
        handout_bytes(cards["joined"], name="王小明 🦄")
    for named in ("王 (U+738B)", "小 (U+5C0F)", "明 (U+660E)", "🦄 (U+1F984)"):
        assert named in str(caught.value)


def test_letters_that_another_font_of_the_machine_has_are_printed(cards, only_font, words, opened):
    only_font("王小明")
    data = handout_bytes(cards["joined"], name="王小明 Wang")
    assert "For: 王小明 Wang" in " ".join(words(data).split())
    names = {str(one.BaseFont) for one in opened(data).objects if "/BaseFont" in _keys(one)}
    assert any("Square" in name for name in names), names


def _keys(one):
    import pikepdf

    return one.keys() if isinstance(one, pikepdf.Dictionary) else ()


def test_a_missing_letter_is_never_a_box(cards, words, opened):
    """matplotlib ships a font of last resort, a box for every character: it stays out of reach."""
    import typst

    families = typesetting._fonts(False).families()
    assert families == ["DejaVu Sans"], families
    assert isinstance(typesetting._fonts(False), typst.Fonts)
    assert not re.search("LastResort", str(opened(handout_bytes(cards["cut"])).Root))

"""A handout is written whole, or not at all; the same request makes the same bytes."""

import errno
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from popkit.handout import HandoutError, handout_bytes, preview_pages, write_handout
from popkit.handout.files import write_whole


@pytest.fixture
def card(cards):
    return cards["joined"]


def test_it_is_written_where_it_was_asked_for(card, tmp_path):
    path = write_handout(card, tmp_path / "steps.pdf")
    assert path == tmp_path / "steps.pdf"
    assert path.read_bytes().startswith(b"%PDF-")
    assert [one.name for one in tmp_path.iterdir()] == ["steps.pdf"]


def test_the_same_bytes_every_time(card):
    assert handout_bytes(card) == handout_bytes(card)
    assert handout_bytes(card) != handout_bytes(card, name="Zoë")


@pytest.mark.slow
def test_the_same_bytes_in_another_process(card, tmp_path):
    program = (
        "import sys\n"
        "from tests.handout.cards import CARDS\n"
        "from popkit.handout import write_handout\n"
        "write_handout(CARDS['joined'], sys.argv[1])\n"
    )
    for name, seed in (("one.pdf", "1"), ("two.pdf", "2")):
        subprocess.run(
            [sys.executable, "-c", program, str(tmp_path / name)],
            check=True,
            cwd=Path(__file__).parents[2],
            env=os.environ | {"PYTHONHASHSEED": seed, "TZ": "Asia/Kathmandu"},
        )
    one, two = ((tmp_path / name).read_bytes() for name in ("one.pdf", "two.pdf"))
    assert one == two == handout_bytes(card)


@pytest.mark.parametrize(
    ("code", "said"),
    [
        # meanings of the codes: POSIX.1-2017, errno.h
        (errno.ENOSPC, "The disk is full"),
        (errno.EROFS, "Nothing may be written there"),
        (errno.EACCES, "Nothing may be written there"),
        (errno.EIO, "Look at its name and at the disk"),
    ],
)
@pytest.mark.parametrize("when", ["while writing", "while moving"])
def test_an_old_file_is_kept_whole_when_writing_fails(tmp_path, monkeypatch, code, said, when):
    path = tmp_path / "steps.pdf"
    path.write_bytes(b"the old one")

    def fail(*_, **__):
        raise OSError(code, os.strerror(code))

    if when == "while moving":
        monkeypatch.setattr(os, "replace", fail)
    else:
        real = Path.open

        class Full:
            def __init__(self, file):
                self.file = file

            def __enter__(self):
                return self

            def __exit__(self, *_):
                self.file.close()

            def write(self, data):
                self.file.write(data[:3])
                fail()

        monkeypatch.setattr(Path, "open", lambda self, *a: Full(real(self, *a)))
    with pytest.raises(HandoutError, match=said):
        write_whole(path, b"the new one")
    monkeypatch.undo()
    assert path.read_bytes() == b"the old one"
    assert [one.name for one in tmp_path.iterdir()] == ["steps.pdf"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this machine")
def test_a_full_disk_for_real(tmp_path, monkeypatch):
    """/dev/full answers every write with "no space left" (full(4))."""
    real = Path.open
    monkeypatch.setattr(Path, "open", lambda self, *_: real(Path("/dev/full"), "wb", 0))
    with pytest.raises(HandoutError, match="The disk is full"):
        write_whole(tmp_path / "steps.pdf", b"x")


def test_a_missing_folder_is_named(card, tmp_path):
    with pytest.raises(HandoutError, match=r"There is no folder “.*nowhere”"):
        write_handout(card, tmp_path / "nowhere" / "steps.pdf")
    assert not list(tmp_path.iterdir())


def test_a_folder_is_never_replaced(card, tmp_path):
    (tmp_path / "steps.pdf").mkdir()
    with pytest.raises(HandoutError, match="is a folder"):
        write_handout(card, tmp_path / "steps.pdf")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder_is_refused(card, tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(HandoutError, match="Nothing may be written there"):
        write_handout(card, tmp_path / "steps.pdf")


@pytest.mark.parametrize("path", ["steps", "steps.toml", "steps\0.pdf", 7, None, ""])
def test_only_a_pdf_name_is_taken(card, tmp_path, monkeypatch, path):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(HandoutError, match=r"path|file name"):
        write_handout(card, path)
    assert not list(tmp_path.iterdir())


def test_a_name_too_long_for_the_disk(card, tmp_path):
    with pytest.raises(HandoutError, match=r"too long|not written"):
        write_handout(card, tmp_path / f"{'s' * 400}.pdf")


def test_the_pages_can_be_looked_at(card):
    pages = preview_pages(card, ppi=40)
    assert len(pages) >= 2
    assert all(page.startswith(b"\x89PNG\r\n\x1a\n") for page in pages)  # PNG, RFC 2083
    drawn = preview_pages(card, form="svg")
    assert len(drawn) == len(pages)
    assert all(re.match(rb"\s*<svg\b", page) for page in drawn)


@pytest.mark.parametrize("asked", [{"form": "gif"}, {"ppi": 0}, {"ppi": True}, {"ppi": "96"}])
def test_pictures_that_cannot_be_made(card, asked):
    with pytest.raises(HandoutError):
        preview_pages(card, **asked)


def test_typst_is_not_loaded_before_a_page_is_set():
    program = (
        "import sys, popkit.handout\n"
        "print(sorted({'typst', 'matplotlib', 'fontTools'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"

"""The sample handouts as a checker of PDF/UA-1 that is not ours reads them (outloud, from PyPI)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from popkit.handout.samples import PLANS, SAMPLES

HANDOUTS = Path(__file__).parents[2] / "handouts"


def checked(*paths: Path) -> subprocess.CompletedProcess:
    code = "import sys; from outloud.cli import main; sys.exit(main())"
    command = [sys.executable, "-c", code, "--layer", "conformance", *map(str, paths)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)


def test_every_sample_passes():
    samples = sorted(HANDOUTS / one.file_name for one in (*SAMPLES, *PLANS))
    assert len(samples) >= 10
    done = checked(*samples)
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"{len(samples)} file(s)" in done.stdout
    assert "0 fail, 0 unreadable" in done.stdout


def test_a_page_without_tags_does_not(tmp_path):
    """So that the checker is known to look: matplotlib writes PDF without tags, title or language."""
    figure = pytest.importorskip("matplotlib.figure").Figure()
    figure.text(0.1, 0.5, "a handout")
    figure.savefig(tmp_path / "plain.pdf")
    done = checked(tmp_path / "plain.pdf")
    assert done.returncode != 0
    assert "1 fail" in done.stdout + done.stderr or "FAIL" in done.stdout

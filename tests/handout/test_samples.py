"""The handouts kept in handouts/ are those that the recipes make today."""

from importlib.metadata import version
from pathlib import Path

import pytest

from popkit.handout import EDITIONS, PAPERS
from popkit.handout.samples import PLANS, SAMPLES, write_samples
from popkit.language import LANGUAGES

ROOT = Path(__file__).resolve().parents[2]


def made_by(document):
    with document.open_metadata() as metadata:
        return metadata["xmp:CreatorTool"]


@pytest.fixture(scope="module")
def fresh(tmp_path_factory):
    folder = tmp_path_factory.mktemp("handouts")
    return {path.name: path for path in write_samples(ROOT / "notebooks" / "recipes", folder)}


def test_there_is_a_sample_for_each_row_and_no_other():
    """A sample's name has the edition before the paper; what the notebooks print beside them has not."""
    kept = {
        path.name
        for one in (*EDITIONS, "plan")
        for paper in PAPERS
        for path in (ROOT / "handouts").glob(f"*-{one}-{paper.casefold()}*.pdf")
    }
    assert kept == {sample.file_name for sample in SAMPLES + PLANS}


def test_every_edition_and_language_has_a_sample_and_they_stay_small():
    assert {sample.edition for sample in SAMPLES} == set(EDITIONS)
    assert {sample.language for sample in SAMPLES} == set(LANGUAGES)
    sizes = [(ROOT / "handouts" / sample.file_name).stat().st_size for sample in SAMPLES + PLANS]
    assert sum(sizes) < 1_500_000


@pytest.mark.parametrize("sample", SAMPLES + PLANS, ids=lambda sample: sample.file_name)
def test_a_sample_made_anew_has_the_same_bytes(fresh, opened, sample):
    kept, new = (ROOT / "handouts" / sample.file_name).read_bytes(), fresh[sample.file_name].read_bytes()
    before, now = made_by(opened(kept)), made_by(opened(new))
    if before != now:
        pytest.skip(f"kept samples are by {before}, here is {now} (package {version('typst')})")
    assert new == kept, "handouts/ is out of date: run python -m popkit.handout.samples"

"""README's examples in Python run as they stand, and leave what they say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
EXAMPLES = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.S)


@pytest.fixture
def beside_the_notebooks(tmp_path, monkeypatch):
    """A folder like the checkout, which examples may print into."""
    (tmp_path / "notebooks").symlink_to(ROOT / "notebooks", target_is_directory=True)
    (tmp_path / "handouts").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_examples_of_the_readme_run(beside_the_notebooks, capsys):
    assert len(EXAMPLES) >= 2
    names: dict[str, object] = {}
    for example in EXAMPLES:
        exec(compile(example, "README.md", "exec"), names)
    for written in re.findall(r'"((?:handouts/)?[\w-]+\.pdf)"', "".join(EXAMPLES)):
        assert (beside_the_notebooks / written).read_bytes().startswith(b"%PDF")
    printed = capsys.readouterr().out.split()
    assert printed[1] == "True"
    assert float(printed[2]) > 0
    assert len(list((beside_the_notebooks / "handouts").glob("*.pdf"))) == 25

"""Binder builds this repository from environment.yml: repo2docker's own dry run, offline.

Source: repo2docker's documentation: an environment.yml makes a conda environment of it, `--no-build`
stops after the Dockerfile, `--debug` prints it.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import yaml
from packaging.specifiers import SpecifierSet

TOP = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def dry_run(tmp_path_factory) -> str:
    """What repo2docker would build, and what it said; nothing is built or fetched."""
    pytest.importorskip("repo2docker", reason='pip install -e ".[test]"')
    place = tmp_path_factory.mktemp("repository")
    for name in ("environment.yml", "pyproject.toml", "README.md", "LICENSE"):
        (place / name).write_bytes((TOP / name).read_bytes())
    command = [sys.executable, "-m", "repo2docker", "--no-build", "--debug", str(place)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=place)
    return done.stdout + done.stderr


def test_the_environment_is_the_one_that_is_built(dry_run):
    update = re.search(r"env update .*--file \"environment\.yml\"", dry_run)
    assert update, "environment.yml is not used"
    # popkit itself is installed from the sources, so these must be there before
    copied = dry_run.index("COPY --chown=0:0 src/ ${REPO_DIR}/")
    assert copied < update.start()


def test_the_python_is_named_and_allowed(dry_run):
    """repo2docker takes the version from a row `python =3.x`, for any other its own default."""
    assert "Python version unspecified" not in dry_run
    built = re.search(r"Building conda environment for python=(\d+\.\d+)", dry_run)[1]
    rows = yaml.safe_load((TOP / "environment.yml").read_text(encoding="utf-8"))["dependencies"]
    assert f"python ={built}" in rows
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert built in SpecifierSet(project["requires-python"])


def test_the_link_of_the_readme_opens_the_front_door():
    """Binder opens what `urlpath` names; JupyterLab's address of a file is lab/tree/ and its path."""
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    paths = re.findall(r"urlpath=lab/tree/([\w./-]+\.ipynb)", readme)
    assert paths
    for path in paths:
        assert (TOP / path).is_file()

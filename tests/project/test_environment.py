"""environment.yml and pyproject.toml ask for the same things; README tells the truth about commands."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
import yaml
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

TOP = Path(__file__).parents[2]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
ENVIRONMENT = yaml.safe_load((TOP / "environment.yml").read_text(encoding="utf-8"))
README = (TOP / "README.md").read_text(encoding="utf-8")
ON_CONDA = {"matplotlib-base": "matplotlib"}  # the part of matplotlib without a window toolkit


def asked_by_conda() -> dict[str, Requirement]:
    rows = [row for row in ENVIRONMENT["dependencies"] if isinstance(row, str)]
    (pip,) = [row["pip"] for row in ENVIRONMENT["dependencies"] if isinstance(row, dict)]
    rows = [row for row in rows if not row.startswith("python ")]
    asked = [Requirement(row) for row in rows + [row for row in pip if row != "."]]
    return {ON_CONDA.get(one.name, one.name): one for one in asked}


def test_both_files_name_the_same_packages_and_versions():
    conda = asked_by_conda()
    # one version for Binder, which reads no other form; pyproject.toml says from which on
    (python,) = (row for row in ENVIRONMENT["dependencies"] if str(row).startswith("python "))
    assert python.removeprefix("python =") in SpecifierSet(PROJECT["requires-python"])
    del conda["pip"]
    wheel = {one.name: one for one in map(Requirement, PROJECT["dependencies"])}
    assert set(conda) == set(wheel)
    for name, one in wheel.items():
        assert conda[name].specifier == one.specifier, name


def test_the_environment_installs_popkit_itself():
    assert "." in ENVIRONMENT["dependencies"][-1]["pip"]


@pytest.mark.parametrize("name", ["demo", "headless", "test"])
def test_every_command_of_the_readme_installs_first(name):
    (command,) = re.findall(rf"<!-- command: {name} -->\n```\n(.+)\n```", README)
    assert command.startswith("python -m pip install ")


def test_every_link_of_the_readme_leads_somewhere():
    links = re.findall(r"\]\(([^)#]+)\)", README)
    assert links
    assert [link for link in links if not (TOP / link).exists()] == []


def test_every_link_of_the_developers_page_leads_somewhere():
    text = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert [link for link in re.findall(r"\]\(([^)#]+)\)", text) if not (TOP / link).exists()] == []


def test_nothing_stands_at_the_top_but_what_was_agreed():
    agreed = {
        *("README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "environment.yml", "pyproject.toml"),
        *("notebooks", "popkit", "handouts", "tests"),
    }
    tracked = {path.name for path in TOP.iterdir() if not path.name.startswith(".")}
    assert tracked - {"build", "dist", "popkit.egg-info"} <= agreed


def test_the_top_of_the_readme_is_the_job_in_one_paragraph():
    title, paragraph = README.split("\n\n")[:2]
    assert title.startswith("# ")
    assert "handout" in paragraph
    assert "\n" not in paragraph

"""Where notebooks find recipes and leave handouts.

Imports: nothing of popkit.
"""

from __future__ import annotations

import os
from pathlib import Path

__all__ = ["handout_folder"]


def handout_folder(given: str | os.PathLike = "../handouts") -> Path:
    """The folder that handouts go into, made if it is missing.

    given  from the notebook's parameters
    The environment variable POPKIT_HANDOUTS goes before it, so that a notebook can be run
    from top to bottom without touching the printed samples.
    """
    folder = Path(os.environ.get("POPKIT_HANDOUTS") or given)
    folder.mkdir(parents=True, exist_ok=True)
    return folder

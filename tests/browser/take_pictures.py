"""Pictures of every notebook in a real JupyterLab, light and dark; those of README among them.

Run: python -m pytest tests/browser/take_pictures.py
Writes README's pictures to notebooks/pictures, and every picture, to be looked at, to the folder that
POPKIT_PICTURES names, where it is set.
"""

import os
from pathlib import Path

import pytest
from PIL import Image

KEPT = Path(__file__).parents[2] / "notebooks" / "pictures"
WINDOW = {"width": 1400, "height": 1000}
HIGH = 760
# The notebook, the cell to bring up, what of it is shown, and what to wait for in it.
SHOWN = {
    "front-door": ("0-start-here.ipynb", "pictures", "figure", "figure img"),
    "workshop-demo": ("1-workshop-demo.ipynb", "try", ".popkit-demo", ".popkit-demo .popkit-side svg"),
    "finishing": (
        "1-workshop-demo.ipynb",
        "finish",
        ".popkit-finishing",
        ".popkit-finished-picture svg",
    ),
    "handouts": ("2-student-handouts.ipynb", "choose", ".popkit-handout", ".popkit-pages-shown img"),
    "conversion": (
        "3-inches-to-millimetres.ipynb",
        "convert",
        ".popkit-conversion",
        ".popkit-conversion",
    ),
    "class-planner": (
        "4-class-planner.ipynb",
        "plan",
        ".popkit-class-layouts",
        ".popkit-class-layouts svg",
    ),
    "lesson": ("5-why-it-folds.ipynb", "nesting", ".popkit-panel", ".popkit-panel svg"),
}
IN_README = {("workshop-demo", "Light"), ("lesson", "Dark"), ("class-planner", "Light")}


@pytest.mark.parametrize("theme", ["Light", "Dark"])
@pytest.mark.parametrize("name", SHOWN)
def test_a_picture(open_notebook, name, theme):
    which, cell, part, sign = SHOWN[name]
    notebook = open_notebook(which)
    page = notebook.page
    page.set_viewport_size(WINDOW)
    notebook.run_all()
    for command, how in (
        ("apputils:change-theme", {"theme": f"JupyterLab {theme}"}),
        ("application:toggle-left-area", {}),
    ):
        page.evaluate(
            "([command, how]) => window.jupyterapp.commands.execute(command, how).then(() => 1)",
            [command, how],
        )
    notebook.bring_up(cell)
    page.locator(sign).first.wait_for(timeout=60_000)
    page.wait_for_timeout(1500)
    page.locator(part).first.evaluate("(part) => part.scrollIntoView()")
    page.wait_for_timeout(1500)
    box = page.locator(part).first.bounding_box()
    clip = {**box, "height": min(HIGH, box["height"], WINDOW["height"] - box["y"] - 30)}
    file = f"{name}{'-dark' if theme == 'Dark' else ''}.png"
    folders = [Path(os.environ["POPKIT_PICTURES"])] if "POPKIT_PICTURES" in os.environ else []
    for folder in [*folders, *([KEPT] if (name, theme) in IN_README else [])]:
        folder.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=folder / file, clip=clip)
        with Image.open(folder / file) as picture:  # a third of the size, and it looks the same
            picture.convert("RGB").quantize(128, dither=Image.Dither.NONE).save(
                folder / file, optimize=True
            )

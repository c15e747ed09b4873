"""Handouts: a recipe or a card, printed as a tagged PDF that a class works from.

`write_handout` writes one, `write_class` one for everybody on a roster, `preview_pages` shows pages;
`EDITIONS` lists the kinds there are. Typst is loaded when the first page is set.

Imports: everything above it in the house, and within: files, typesetting, printer, job, pictures,
student, template, scores, plan, sums, worksheet, tutor, editions, writing, classes, cutfiles, each
only those before it.
"""

from popkit.handout.classes import ClassProgress, write_class
from popkit.handout.cutfiles import CUT_FORMS, write_cut_files
from popkit.handout.editions import EDITIONS, Edition
from popkit.handout.files import HandoutError
from popkit.handout.job import PAPERS
from popkit.handout.printer import PrinterCorrection
from popkit.handout.writing import handout_bytes, preview_pages, write_handout

__all__ = [
    "CUT_FORMS",
    "EDITIONS",
    "PAPERS",
    "ClassProgress",
    "Edition",
    "HandoutError",
    "PrinterCorrection",
    "handout_bytes",
    "preview_pages",
    "write_class",
    "write_cut_files",
    "write_handout",
]

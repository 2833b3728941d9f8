"""A reading of a blank goes through the page of lesson 04 in a real browser: compared, refused when the unit
slips, kept in the log, and there again."""

import re

import pytest


def box(page, label):
    """The last text box whose label begins so: the boxes stand below the figure."""
    return page.get_by_label(label).last


def typed(page, label, words):
    box(page, label).fill(words)
    box(page, label).press("Enter")


@pytest.mark.parametrize("lesson", ["04_laying_up.ipynb"], indirect=True)
def test_a_blank_is_compared_refused_kept_and_found_again(lesson):
    lab = lesson
    page = lab.page
    compare = page.get_by_role("button", name="Compare").last
    compare.scroll_into_view_if_needed()
    page.get_by_text("An example stands in the boxes").last.wait_for()
    typed(page, "Date", "2026-09-01")
    typed(page, "Sag of the blank under a weight, mm", "1,35")
    compare.click()
    page.get_by_text("Distrust first the reading").last.wait_for()
    assert page.get_by_text("no, above").count()
    typed(page, "Sag of the blank under a weight, mm", "940")
    page.get_by_role("button", name="Keep in the log").last.click()
    page.get_by_text("Did you mean 0.94 mm?").last.wait_for()
    typed(page, "Sag of the blank under a weight, mm", "0.96")
    page.get_by_role("button", name="Keep in the log").last.click()
    page.get_by_text("Kept in my_boards.csv: sag of the blank under a weight, 0.96 mm").last.wait_for()
    page.get_by_role("button", name="Look again").last.click()
    page.get_by_role("rowheader", name=re.compile("sag of the blank under a weight, 2026.09.01")).last.wait_for()
    assert page.get_by_role("cell", name="0.96 mm").count() and lab.errors == []

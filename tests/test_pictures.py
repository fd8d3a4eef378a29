"""Drawings that show themselves in a notebook."""

import xml.etree.ElementTree as ET

import pytest
from IPython.core.formatters import DisplayFormatter

from nesting import pictures
from nesting.drawing import draw_sheet
from nesting.drawing.wall import draw_wall
from tests.handmade import job, plan


def words(picture):
    return "".join(ET.fromstring(picture.svg).itertext())  # noqa: S314 - written by ourselves


@pytest.mark.parametrize(
    ("picture", "title"),
    [
        (pictures.mat(plan(), "M2"), "Sea holly, 2 of 2, seen from the front"),
        (pictures.mat(plan(), "M2", back=True), "M2, Sea holly, 2 of 2, seen from the back"),
        (pictures.mat(plan(), "M5"), "Token, backing, seen from the front"),
        (pictures.piece(job(), "Ford map"), "Ford map, seen from the front"),
    ],
)
def test_a_mat_is_drawn_from_the_side_that_is_asked_for(picture, title):
    assert picture.drawing.title == title
    assert title in words(picture)


def test_the_top_is_marked_on_a_mat_that_lies_face_down():
    front, back = (words(pictures.mat(plan(), "M3", back=back)) for back in (False, True))
    assert "TOP" in back
    assert "TOP" not in front


def test_a_sheet_is_drawn_as_in_the_report():
    assert pictures.sheet(plan(), "S2").drawing == draw_sheet(plan(), plan().sheets[1])
    assert [page.drawing.name for page in pictures.sheets(plan()).pages] == ["S1", "S2", "S3"]


def test_the_wall_has_every_page():
    assert tuple(page.drawing for page in pictures.wall(plan()).pages) == draw_wall(plan())


def test_a_notebook_shows_them():
    shown, _ = DisplayFormatter().format(pictures.sheet(plan(), "S1"))
    assert shown["image/svg+xml"].startswith("<svg ")
    pages, _ = DisplayFormatter().format(pictures.sheets(plan()))
    assert pages["text/html"].count("<svg ") == 3


def test_what_a_user_wrote_is_never_markup():
    assert "<for>" not in pictures.sheets(plan())._repr_html_()
    ET.fromstring(f"<html>{pictures.sheets(plan())._repr_html_()}</html>")  # noqa: S314 - written by ourselves


@pytest.mark.parametrize(
    ("draw", "said"),
    [
        (lambda: pictures.sheet(plan(), "S9"), "the plan has no sheet 'S9'; it has S1, S2, S3"),
        (lambda: pictures.mat(plan(), "m1"), "the plan has no mat 'm1'; it has M1, M2, M3, M4, M5, M6"),
        (lambda: pictures.piece(job(pieces=()), "Fern"), "the job has no piece 'Fern'; it has none"),
    ],
)
def test_a_name_that_is_not_there_is_answered_with_those_that_are(draw, said):
    with pytest.raises(KeyError) as found:
        draw()
    assert found.value.args == (said,)

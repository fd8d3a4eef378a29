"""What the reports of the shelf say where the walk through the commands does not come by."""

import io
from datetime import date, timedelta
from pathlib import Path

from cli.reports.screen.plan import open_console
from cli.reports.screen.shelf import area_words, print_shelf
from nesting.geometry import Size
from nesting.model.job import Unit
from tests.shelf.shelves import DAY, held, shelf


def said(there, today: date) -> list[str]:
    file = io.StringIO()
    console = open_console(file)
    console.width = 60
    print_shelf(there, Path("shelf.csv"), today, console)
    return file.getvalue().splitlines()


def test_areas_are_rounded_half_up_in_the_unit_of_the_shelf() -> None:
    assert area_words((12 * 16256) ** 2 * 3 // 20 + 1, Unit.IN) == "0.2 sq ft"
    assert area_words(812800 * 1000 * 640**2 // 1000, Unit.MM) == "0.81 sq m"
    assert area_words(5000 * 640**2, Unit.CM) == "0.01 sq m"


def test_pieces_say_how_long_they_lay_as_far_as_the_file_does() -> None:
    lines = said(shelf(held("R1", put=None), held("R2"), held("R3", put=DAY - timedelta(days=1))), DAY)
    assert [line.split("offcut")[1].strip() for line in lines if "offcut" in line] == ["", "today", "1 day"]


def test_the_first_few_to_throw_away_are_named_and_the_others_counted() -> None:
    old = [held(f"R{number}", size=Size(16256 * number, 16256 * 41)) for number in range(1, 8)]
    words = " ".join(" ".join(said(shelf(*old), DAY + timedelta(days=500))).split())
    assert "throw these away first, in this order: R1 (1 × 41 in), R2 (2 × 41 in)" in words
    assert "R5 (5 × 41 in) and 2 more." in words

"""Cautions: one for each matter, short, and deferring where they must."""

import pytest

from nesting.bench.cautions import CAUTIONS, Matter, caution


def test_there_is_one_for_each_matter():
    assert [each.matter for each in CAUTIONS] == list(Matter)


@pytest.mark.parametrize("matter", Matter)
def test_each_is_short_and_has_its_ground(matter):
    said = caution(matter)
    assert said.matter is matter
    assert len(said.words.split()) <= 50
    assert said.words.endswith(".")
    assert said.source


@pytest.mark.parametrize(
    ("matter", "words"),
    [
        (Matter.BLADE, ["sharp", "out of its path", "falling knife", "cannot pierce", "local rules"]),
        (Matter.GLASS, ["gloves", "eye protection", "glazier", "Tape broken glass"]),
        (Matter.FINISH, ["lead", "test it before sanding", "open flame", "children", "Local rules", "licensed"]),
        (Matter.WALL, ["rated", "qualified person"]),
        (Matter.SETTING, ["scrap"]),
    ],
)
def test_each_says_what_it_must(matter, words):
    assert all(word in caution(matter).words for word in words)

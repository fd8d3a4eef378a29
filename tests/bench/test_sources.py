"""Where sheets that are cut alike come from: every one of them is named."""

from dataclasses import replace

from nesting.model.plan import Bought, FromFallout, FromShelf
from nesting.names import Names
from tests.handmade import job, plan


def sources(*found):
    made = plan()
    first = made.sheets[0]
    sheets = [replace(first, id=f"S{number}", source=source) for number, source in enumerate(found)]
    return Names(job(), made.mats).sources(sheets)


def test_alike_pieces_of_the_shelf_are_all_named():
    assert sources(FromShelf("M3 fallout"), FromShelf("M4 fallout")) == "from the shelf: M3 fallout, M4 fallout"
    assert sources(FromShelf("Dina, tile"), FromShelf("lid")) == "from the shelf: Dina, tile; lid"


def test_alike_sheets_name_each_shop_once():
    assert sources(Bought(1), Bought(1)) == "bought at North store"
    assert sources(Bought(1), Bought(2)) == "bought at North store and bought at Quay shop"


def test_fallouts_are_named_by_their_mats():
    assert sources(FromFallout("M1", 0), FromFallout("M2", 0)) == "fallout of M1, M2"

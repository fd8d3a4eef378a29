"""Settings of the cutter that follow from how a mat lies on it, worked by hand."""

from nesting.bench.bevels import settings
from nesting.model.sides import Edge
from tests.bench.test_bevels import work
from tests.handmade import inches, size


def test_going_round_each_cut_has_its_own_border_and_ends_at_the_next():
    # Geometry: the cut edge at the guide, the blade always running the same way.
    cuts = work(("2", "2", "2 1/2", "3"), size("11", "17")).cuts
    assert [cut.side for cut in cuts] == [Edge.LEFT, Edge.TOP, Edge.RIGHT, Edge.BOTTOM]
    assert [cut.guide for cut in cuts] == [inches(text) for text in ("2", "2 1/2", "2", "3")]
    assert [cut.stop for cut in cuts] == [inches(text) for text in ("2 1/2", "2", "3", "2")]
    assert [cut.start for cut in cuts] == [inches(text) for text in ("3", "2", "2 1/2", "2")]


def test_only_with_equal_top_and_bottom_do_two_settings_serve_all_four():
    # Geometry, as above.
    even = work(("2", "2", "2 1/2", "2 1/2"), size("11", "17"))
    weighted = work(("2", "2", "2 1/2", "3"), size("11", "17"))
    assert [(each.guide, each.stop) for each in settings([even])] == [
        (inches("2 1/2"), inches("2")),
        (inches("2"), inches("2 1/2")),
    ]
    assert [len(each.cuts) for each in settings([even])] == [2, 2]
    assert len(settings([weighted])) == 4

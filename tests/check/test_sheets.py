"""Sheets and leftovers at the edge of what the checker lets pass."""

from nesting.check.sheets import sheet_faults
from nesting.model.plan import FromFallout
from tests.builders import exact
from tests.planting import with_bench, with_left, with_sheet
from tests.sound import S5, sound_plan


def faults(plan):
    return list(sheet_faults(plan))


def test_the_least_that_is_kept_counts_alike_either_way_round():
    assert faults(with_bench(sound_plan(), keep_at_least=exact(17, 11))) == []


def test_no_window_is_counted_from_the_end():
    assert "S5: mat M1 has no window -1" in faults(with_sheet(sound_plan(), S5, source=FromFallout("M1", -1)))
    wrong = with_left(with_left(sound_plan(), 10, window=-1), 10, size=sound_plan().leftover[10].size.turned)
    assert faults(wrong) == [
        "M2: the fallout of window 0 is not listed",
        "M2: the fallout listed for window -1 is not left",
    ]

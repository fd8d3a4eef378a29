"""Published instances are read as they stand, and our sheets are compared with theirs."""

import pytest

from nesting.reading.job import read_job
from tests.benchmarks.generate import write_job
from tests.benchmarks.published import compared, read_instances

BINS = """class,n,number,sheet_w,sheet_h,yardstick_turned,yardstick_fixed,best_known_turned,items
1,3,5,10,12,2,3,,4x10 2x10 2x10
3,2,10,40,40,1,1,1,4x10 20x10
"""
STOCK = """name,sheets,lower_bound_fixed_one_size,solution_fixed_one_size,items
some,250x200@625 300x200@700,9,9,167x184*4 114x118*75
"""


def written(folder, text):
    path = folder / "instances.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_bin_packing_has_each_item_once(tmp_path):
    first, second = read_instances(written(tmp_path, BINS))
    assert (first.kind, first.n, first.number, first.sheets) == ("bin class1", 3, 5, ((10, 12, 1),))
    assert first.items == ((4, 10, 1), (2, 10, 1), (2, 10, 1))
    assert first.known == {"yardstick_turned": 2, "yardstick_fixed": 3}
    assert second.known["best_known_turned"] == 1


def test_cutting_stock_is_one_job_with_one_size_and_one_with_all(tmp_path):
    one, every = read_instances(written(tmp_path, STOCK))
    assert (one.kind, one.sheets, one.known) == ("some one", ((250, 200, 1),), {"lower_bound_fixed_one_size": 9})
    assert (every.kind, every.sheets, every.known) == ("some all", ((250, 200, 625), (300, 200, 700)), {})
    assert one.items == every.items == ((167, 184, 4), (114, 118, 75))


def test_an_instance_is_a_job_that_can_be_read(tmp_path):
    _, every = read_instances(written(tmp_path, STOCK))
    write_job(every.tables(turn=False), tmp_path / "job")
    job = read_job(tmp_path / "job")
    assert [piece.quantity for piece in job.pieces] == [4, 75]
    assert [offer.price for offer in job.offers] == [62500, 70000]
    assert not job.boards[0].turn


def test_other_headings_are_refused(tmp_path):
    with pytest.raises(ValueError, match="neither bin packing nor cutting stock"):
        read_instances(written(tmp_path, "a,b\n1,2\n"))


def test_only_jobs_with_a_known_figure_are_compared(tmp_path):
    instances = read_instances(written(tmp_path, BINS))
    ours = {("bin class1", 3, 5): 3, ("bin class3", 2, 10): 1}
    turned = compared(instances, ours, turn=True)
    assert turned == [
        {"figure": "yardstick_turned", "jobs": 2, "ours": 4, "theirs": 3, "more": 1, "fewer": 0},
        {"figure": "best_known_turned", "jobs": 1, "ours": 1, "theirs": 1, "more": 0, "fewer": 0},
    ]
    [fixed] = compared(instances, ours, turn=False)
    assert fixed == {"figure": "yardstick_fixed", "jobs": 2, "ours": 4, "theirs": 4, "more": 0, "fewer": 0}

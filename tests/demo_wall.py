"""The plan of the demonstration wall that is kept with the tests, so that a picture of it never depends on a search."""

import json
from typing import Any

from nesting.data import data_path
from nesting.geometry import Point, Size
from nesting.job import Job, When
from nesting.packing.tree import Cut, Node, Offcut, Placed, Way
from nesting.planned import Bought, CutSheet, FalloutLeft, FromFallout, FromShelf, OffcutLeft, PlacedMat, Plan, Source
from nesting.read import read_job
from nesting.sizing import size_pieces
from tests.goldens import golden
from tests.handmade import plan


def demo_job() -> Job:
    return read_job(str(data_path("demo")))


def kept_plan() -> Plan:
    """Return the mats, sheets and leftovers as kept; what it costs is not part of a picture."""
    kept = json.loads(golden("demo_plan.json").read_text(encoding="utf-8"))
    job = demo_job()
    sized = {mat.id: mat for mat in size_pieces(job, When.NOW)}
    places = {mat["id"]: place for place, mat in enumerate(kept["mats"])}
    return plan(
        job=job,
        mats=tuple(PlacedMat(sized[mat["id"]], mat["board"], mat["sheet"], mat["turned"]) for mat in kept["mats"]),
        sheets=tuple(
            CutSheet(
                sheet["id"],
                sheet["board"],
                _source(sheet["source"]),
                Size(*sheet["size"]),
                _node(sheet["cuts"], places),
            )
            for sheet in kept["sheets"]
        ),
        leftover=tuple(_left(left) for left in kept["leftover"]),
    )


def _source(source: dict[str, Any]) -> Source:
    kinds = {
        "bought": lambda: Bought(source["offer_row"]),
        "shelf": lambda: FromShelf(source["label"]),
        "fallout": lambda: FromFallout(source["mat"], source["window"]),
    }
    return kinds[source["kind"]]()


def _node(node: dict[str, Any], places: dict[str, int]) -> Node:
    at, size = Point(*node["at"]), Size(*node["size"])
    if "mat" in node:
        return Placed(at, size, places[node["mat"]])
    if "offcut" in node:
        return Offcut(at, size)
    return Cut(at, size, Way(node["cut"]), tuple(_node(part, places) for part in node["parts"]))


def _left(left: dict[str, Any]) -> OffcutLeft | FalloutLeft:
    if "sheet" in left:
        return OffcutLeft(left["sheet"], Point(*left["at"]), Size(*left["size"]), left["keep"])
    return FalloutLeft(left["mat"], left["window"], Size(*left["size"]), left["keep"])

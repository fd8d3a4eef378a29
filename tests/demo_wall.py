"""The plan of the demonstration wall that is kept with the tests, so that a picture of it never depends on a search."""

import json
from typing import Any

from nesting.data import data_path
from nesting.geometry import Point, Size
from nesting.job import Job, When
from nesting.money import parse_money
from nesting.packing.status import SolveStatus
from nesting.packing.tree import Cut, Node, Offcut, Placed, Way
from nesting.planned import (
    Bought,
    CutSheet,
    FalloutLeft,
    FromFallout,
    FromShelf,
    Line,
    OffcutLeft,
    PieceCost,
    PlacedMat,
    Plan,
    Purchase,
    Source,
    Summary,
    Waste,
)
from nesting.read import read_job
from nesting.sizing import size_pieces
from tests.goldens import golden
from tests.handmade import plan


def demo_job() -> Job:
    return read_job(str(data_path("demo")))


def kept_plan() -> Plan:
    """Return the plan as kept; the areas behind its per cents are made up to fit them."""
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
        purchase=_purchase(kept["purchase"]),
        pieces=tuple(_cost(piece) for piece in kept["pieces"]),
        summary=_summary(kept["summary"]),
        status=SolveStatus(kept["search"]["status"]),
        proof=kept["search"]["proof"],
    )


def _purchase(kept: dict[str, Any]) -> Purchase:
    return Purchase(
        lines=tuple(
            Line(
                line["shop"],
                line["board"],
                line["offer_row"],
                Size(*line["sheet"]),
                line["count"],
                parse_money(line["unit_price"]),
            )
            for line in kept["lines"]
        ),
        delivery={shop: parse_money(fee) for shop, fee in kept["delivery_by_shop"].items()},
        tax={shop: parse_money(tax) for shop, tax in kept["tax_by_shop"].items()},
        lower_bound=parse_money(kept["lower_bound"]),
    )


def _cost(kept: dict[str, Any]) -> PieceCost:
    board, credited, frame, other = (
        parse_money(kept["cost"][name]) for name in ("board", "board_credited", "frame", "other")
    )
    quote = None if kept["quote"] is None else parse_money(kept["quote"])
    return PieceCost(kept["piece"], kept["copy"], kept["group"], board, credited, frame, other, quote)


def _summary(kept: dict[str, Any]) -> Summary:
    in_mats, kept_area = (round(10 * kept[name]) for name in ("in_mats_percent", "kept_percent"))
    return Summary(
        sheets_bought=kept["sheets_bought"],
        sheets_by_board=kept["sheets_by_board"],
        sheets_uncut=kept["sheets_uncut"],
        fallouts_used=kept["fallouts_used"],
        shelf_used=kept["shelf_used"],
        first_choice=kept["first_choice"],
        waste=Waste(in_mats, kept_area, 1000 - in_mats - kept_area),
        saved=parse_money(kept["saved"]),
        credit=parse_money(kept["credit"]),
        mats_to_pay_cutter=kept["mats_to_pay_cutter"],
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

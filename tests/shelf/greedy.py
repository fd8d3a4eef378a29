"""A plan file without a search: each mat from the first piece that holds it, one mat to a sheet."""

from collections import Counter
from pathlib import Path
from typing import Any

from nesting.geometry import Size
from nesting.lengths import TICKS_PER_MM
from nesting.model.job import Job, ShelfPiece, When
from nesting.model.mat import Mat
from nesting.plan_file.read import Again, PlanFile, plan_file_of
from nesting.sizing import size_pieces

__all__ = ["KEEP", "MM", "SQUARING", "cut"]

MM = TICKS_PER_MM
SQUARING, KEEP = 5 * MM + 3, (41 * MM, 53 * MM)


def cut(job: Job, path: Path, mending: Again | None = None) -> PlanFile | None:
    """Cut each mat of a job from the first shelf piece, fallout or offer that holds it; None if nothing holds one."""
    held = Counter({piece.label: piece.quantity for piece in job.shelf})
    left_of = Counter({offer.number: offer.at_most if offer.at_most is not None else 99 for offer in job.offers})
    sheets: list[dict[str, Any]] = []
    mats: list[dict[str, Any]] = []
    leftover: list[dict[str, Any]] = []
    lines: Counter[tuple[int, str]] = Counter()
    free: list[tuple[dict[str, Any], Size]] = []
    for mat in size_pieces(job, When.NOW):
        found = _source(job, mat, held, left_of, free)
        if found is None:
            return None
        source, board, size, inset = found
        if source["kind"] == "bought":
            lines[source["offer_row"], board] += 1
        number = len(sheets) + 1
        turned = not (mat.blank.w <= size.w - 2 * inset and mat.blank.h <= size.h - 2 * inset)
        tree, offcuts = _divided(size, inset, mat.blank.turned if turned else mat.blank, mat.id)
        sheets.append({"id": f"S{number}", "board": board, "source": source, "size": list(size), "cuts": tree})
        leftover += [{"sheet": f"S{number}", "at": at, "size": list(one), "keep": _keep(one)} for at, one in offcuts]
        mats.append(_mat(mat, board, f"S{number}", turned=turned))
        free += [
            ({"kind": "fallout", "mat": mat.id, "window": place, "board": board}, window.size)
            for place, window in enumerate(mat.windows)
        ]
    for source, size in free:
        kept = min(size) > 2 * SQUARING and _keep(size.inset(SQUARING))
        leftover.append({"mat": source["mat"], "window": source["window"], "size": list(size), "keep": kept})
    return plan_file_of(_told(job, {"sheets": sheets, "mats": mats, "leftover": leftover}, lines, mending), path)


def _source(
    job: Job, mat: Mat, held: Counter[str], left_of: Counter[int], free: list[tuple[dict[str, Any], Size]]
) -> tuple[dict[str, Any], str, Size, int] | None:
    for piece in job.shelf:
        if held[piece.label] and piece.board in mat.boards and _fits(mat.blank, piece.size):
            held[piece.label] -= 1
            return {"kind": "shelf", "label": piece.label}, piece.board, piece.size, 0
    for place, (source, size) in enumerate(free):
        if min(size) > 2 * SQUARING and source["board"] in mat.boards and _fits(mat.blank, size.inset(SQUARING)):
            del free[place]
            return {name: source[name] for name in ("kind", "mat", "window")}, source["board"], size, SQUARING
    for offer in job.offers:
        if left_of[offer.number] > 0 and offer.board in mat.boards and _fits(mat.blank, offer.sheet):
            left_of[offer.number] -= 1
            return {"kind": "bought", "offer_row": offer.number}, offer.board, offer.sheet, 0
    return None


def _fits(blank: Size, size: Size) -> bool:
    return any(one.w <= size.w and one.h <= size.h for one in (blank, blank.turned))


def _keep(size: Size) -> bool:
    return all(side >= least for side, least in zip(sorted(size), sorted(KEEP), strict=True))


def _divided(size: Size, inset: int, blank: Size, mat: str) -> tuple[dict[str, Any], list[tuple[list[int], Size]]]:
    """Cut a blank from the lower left of a sheet: first a strip of its height, then the blank from the strip."""
    w, h = size.w - 2 * inset, size.h - 2 * inset
    at = [inset, inset]
    offcuts = []
    strip: dict[str, Any] = {"at": at, "size": list(blank), "mat": mat}
    if blank.w < w:
        right = {"at": [inset + blank.w, inset], "size": [w - blank.w, blank.h], "offcut": True}
        offcuts.append((right["at"], Size(*right["size"])))
        strip = {"at": at, "size": [w, blank.h], "cut": "upright", "parts": [strip, right]}
    if blank.h < h:
        top = {"at": [inset, inset + blank.h], "size": [w, h - blank.h], "offcut": True}
        offcuts.append((top["at"], Size(*top["size"])))
        strip = {"at": at, "size": [w, h], "cut": "level", "parts": [strip, top]}
    return strip, offcuts


def _mat(mat: Mat, board: str, sheet: str, *, turned: bool) -> dict[str, Any]:
    borders = mat.borders
    return {
        "id": mat.id,
        "piece": mat.piece,
        "copy": mat.copy,
        "layer": mat.layer,
        "board": board,
        "blank": list(mat.blank),
        "borders": None
        if borders is None
        else {one: getattr(borders, one) for one in ("left", "right", "top", "bottom")},
        "windows": [{"at": list(window.at), "size": list(window.size)} for window in mat.windows],
        "sheet": sheet,
        "turned": turned,
    }


def _told(
    job: Job, parts: dict[str, list[dict[str, Any]]], lines: Counter[tuple[int, str]], mending: Again | None
) -> dict[str, Any]:
    offers = {offer.number: offer for offer in job.offers}
    table = mending.table if mending else [(piece.label, piece.quantity) for piece in job.shelf if not piece.in_file]
    counts = {key: -(-count // offers[key[0]].pack_of) * offers[key[0]].pack_of for key, count in lines.items()}
    return {
        "format": "windowfall plan",
        "version": 1,
        "ticks_per_mm": MM,
        "job": {"path": job.path},
        "bench": {"unit": "mm", "ruler": MM, "squaring": SQUARING, "keep_at_least": list(KEEP)},
        "purchase": {
            "lines": [
                {"offer_row": row, "board": board, "sheet": list(offers[row].sheet), "count": count}
                for (row, board), count in counts.items()
            ]
        },
        **parts,
        "shelf_file_labels": sorted(
            {
                sheet["source"]["label"]
                for sheet in parts["sheets"]
                if sheet["source"]["kind"] == "shelf" and _piece(job, sheet["source"]["label"]).in_file
            }
        ),
        "shelf_table": [{"label": label, "quantity": count} for label, count in table],
    } | (
        {
            "again": {
                "plan": mending.plan,
                "mats": list(mending.mats),
                "first": mending.first,
                "offers": [{"offer_row": row, "count": count} for row, count in mending.offers],
                "shelf": [{"label": label, "count": count} for label, count in mending.shelf],
            }
        }
        if mending
        else {}
    )


def _piece(job: Job, label: str) -> ShelfPiece:
    return next(piece for piece in job.shelf if piece.label == label)

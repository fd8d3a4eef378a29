"""What can hurt a person or spoil a board, said once each, short, where it matters."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["CAUTIONS", "Caution", "Matter", "caution"]


class Matter(StrEnum):
    """What a caution is about."""

    SETTING = "setting"
    BLADE = "blade"
    GLASS = "glass"
    FINISH = "old finishes"
    WALL = "weight on the wall"
    TAPE = "tape on fallout"
    KEEPING = "keeping quality"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution, and the ground that it stands on."""

    matter: Matter
    words: str
    source: str


CAUTIONS = (
    Caution(
        Matter.SETTING,
        "Try every setting on a scrap of the same board before it touches a blank. Where the corners do not part, or "
        "part too far, it is the overcut that needs changing.",
        "common practice, no source",
    ),
    Caution(
        Matter.BLADE,
        "Use a sharp blade, keep the free hand out of its path and never catch a falling knife. Put spent blades into "
        "a box that they cannot pierce, and take it where local rules for sharp waste say.",
        "general workplace guidance",
    ),
    Caution(
        Matter.GLASS,
        "Wear cut-resistant gloves and eye protection, and have edges seamed by a glazier. Tape broken glass before "
        "you lift it out of a frame.",
        "general workplace guidance",
    ),
    Caution(
        Matter.FINISH,
        "Treat an old painted or gilded frame as if its finish held lead: test it before sanding, do not sand it dry, "
        "use no open flame or hot heat gun, and keep children away. Local rules may ask for a licensed person.",
        "public-health guidance for old paint (United States); loose frames may fall outside the rules for houses",
    ),
    Caution(
        Matter.WALL,
        "Weigh a heavy frame with its glass and use a fixing rated for that weight and that wall. Ask a qualified "
        "person where the wall is doubtful or the frame hangs over people.",
        "common practice, no source",
    ),
    Caution(
        Matter.TAPE,
        "Cut mat and under-mat apart where the fallout is to be used: taped together first, the fallout carries tape.",
        "common practice, no source",
    ),
    Caution(
        Matter.KEEPING,
        "For what is to last, ask for board of cotton or purified pulp without lignin, and for photographs for "
        "one that passed the Photographic Activity Test.",
        "Library of Congress guidance on mats; ISO 18916:2007; ISO 18902:2013",
    ),
)
"""Every caution, once."""


def caution(matter: Matter) -> Caution:
    """Return the caution about a matter.

    Parameters
    ----------
    matter : Matter
        What it is about.

    Returns
    -------
    Caution
        There is one for each matter.
    """
    return next(each for each in CAUTIONS if each.matter is matter)

"""What every cut tree must keep, told again without the package's own checker."""

from nesting.model.cut_tree import Cut, Offcut, Placed, Way, leaves

__all__ = ["items_of", "unsound"]


def items_of(root):
    """Return the numbers of the items in a tree, in order."""
    return sorted(leaf.item for leaf in leaves(root) if isinstance(leaf, Placed))


def unsound(node, kerf, longest=None):
    """Return what is wrong with the cuts of a tree; empty where nothing is.

    Parts run edge to edge with the kerf between them, fill their part across, and reach its end, but for a last strip
    no wider than the kerf. Lengths are true, not grown.
    """
    wrong = []
    if min(node.size) <= 0:
        wrong.append(("nothing left of it", node))
    if not isinstance(node, Cut):
        return wrong
    along, across = (0, 1) if node.way is Way.UPRIGHT else (1, 0)
    if longest is not None and node.size[across] > longest:
        wrong.append(("cut too long", node))
    if all(isinstance(part, Offcut) for part in node.parts):
        wrong.append(("cut for nothing", node))
    begins = node.at[along]
    for part in node.parts:
        if part.at[along] != begins:
            wrong.append(("not one kerf beyond the part before", part))
        if (part.at[across], part.size[across]) != (node.at[across], node.size[across]):
            wrong.append(("not edge to edge", part))
        begins = part.at[along] + part.size[along] + kerf
        wrong += unsound(part, kerf, longest)
    left = node.at[along] + node.size[along] - (begins - kerf)
    if not 0 <= left <= kerf:
        wrong.append(("ends elsewhere than its part", node))
    if len(node.parts) == 1 and left == 0:
        wrong.append(("no cut at all", node))
    return wrong

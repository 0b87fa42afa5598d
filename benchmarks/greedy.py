"""What a plain greedy of a general rectangle-packing library makes of a question: a yardstick, no more."""

from __future__ import annotations

from optimizer.models.sheets_question import Question

__all__ = ["greedy_cost", "missing"]

MOST_PIECES = 2000
"""With more the greedy takes minutes: it looks at every sheet for every piece."""


def missing() -> str:
    """Say that the library is not there; "" if it is."""
    try:
        import rectpack  # noqa: F401
    except ImportError:
        return "no column greedy: the rectangle-packing library of the dev extra is not installed"
    return ""


def greedy_cost(question: Question) -> int | None:
    """
    Give what the greedy pays: pieces by falling size, each where it leaves the shortest strip, edge to edge.

    It takes the largest sheets alone, however few there are. None without the library, for very many
    pieces, or if a piece is left.
    """
    if missing() or sum(question.counts) > MOST_PIECES:
        return None
    import rectpack

    sheet = max(question.sheets, key=lambda s: s.length * s.width)
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        pack_algo=rectpack.GuillotineBssfSas,
        rotation=any(i.may_turn for i in question.items),
    )
    packer.add_bin(sheet.length, sheet.width, count=float("inf"))
    pieces = [i for i in question.items for _ in range(i.count)]
    for number, item in enumerate(pieces):
        packer.add_rect(item.length, item.width or sheet.width, rid=number)
    packer.pack()
    return len(packer) * sheet.cost if len(packer.rect_list()) == len(pieces) else None

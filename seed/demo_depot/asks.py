"""Requests open on the demo's Wednesday: some promised and short, some still to be read."""

from __future__ import annotations

from demo_depot.listing import Item

REQUEST_COLUMNS = ["request", "asked_at", "text", "van", "job", "site", "operator", "line", "words"]
REQUEST_COLUMNS += ["part_number", "quantity", "status"]
# when asked, words, van, job, site, who took it, and what was promised (description, quantity)
_ASKED: tuple[tuple[str, str, str, str, str, str, str, int], ...] = (
    (
        "2026-11-20T18:50:00Z",
        "coil 8 count right hand for the Drift at Hollin Park, the old one is bent",
        *("VAN4", "", "Hollin Park bus depot", "TA", "Helical coil 8 count RH wind, 88 mm pitch, Drift 9", 1),
    ),
    (
        "2026-11-23T12:20:00Z",
        "6 lh spacers 6 mil for the slim can change at the baths",
        *("VAN2", "", "Millrace swimming baths", "TA", "Lane spacer 6 mm LH, Borealis 40 / Cascade 54", 6),
    ),
    (
        "2026-11-24T13:05:00Z",
        "eight of the left can clips, we are out",
        *("VAN3", "", "", "MC", "Retainer clip can LH, Borealis 40 / Cascade 54", 8),
    ),
    (
        "2026-11-24T17:40:00Z",
        "two of the small left shims for slim cans and a motor for lane 14, 24 volt",
        *("VAN3", "", "Elmgate House, lobby", "MC", "", 0),
    ),
    (
        "2026-11-24T19:10:00Z",
        "note reader spits every note back, cleaned it twice, send belts and some cards",
        *("VAN4", "", "Hollin Park bus depot", "PL", "", 0),
    ),
    (
        "2026-11-25T11:35:00Z",
        "Good morning, the machine in our hall (A0431) is warm since yesterday and there is water on the floor.",
        *("", "", "Tarn Hall, ground floor", "MC", "", 0),
    ),
    (
        "2026-11-25T12:05:00Z",
        "2 cs lemon 355 cans, 1 cs cola zero 20 oz and half a case of water for thursday",
        *("VAN1", "", "", "MC", "", 0),
    ),
)


def open_requests(items: dict[str, Item]) -> list[tuple[str, ...]]:
    """Return the rows of requests.csv."""
    numbers = {item.description: item.part_number for item in items.values()}
    rows = []
    for request, (at, text, van, job, site, operator, promised, quantity) in enumerate(_ASKED, 1):
        line = ("1", text, numbers[promised], str(quantity), "promised") if promised else ("1", text, "", "", "asked")
        rows.append((str(request), at, text, van, job, site, operator, *line))
    return rows

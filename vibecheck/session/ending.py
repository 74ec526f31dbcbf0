"""How an interview ends: one headline, what it rests on, and what exactly to ask for."""

from __future__ import annotations

from vibecheck.session.desk import Desk
from vibecheck.session.interview import bay_minutes
from vibecheck.session.views import DriveWord, RemedyChoice, SessionView, View

MOST_REQUESTS = 3
WORTH_NAMING = 0.3  # a remedy below this chance of cure is not put on the end page
OPEN_REQUEST = "Find the cause of the complaint on this sheet; measure before parts are changed."
HEADLINES = {
    "stop": "Do not drive this car",
    "fix": "You can fix this here",
    "watch": "Watch it",
    "shop": "Visit a shop, ask for exactly this",
    "bay": "Hand over to the bay",
    "go_on": "Not decided yet",
}


class Ending(View, frozen=True, kw_only=True):
    """The end page; `bay_minutes` is the time of the diagnosis in the bay [min]."""

    kind: str
    headline: str
    text: str
    requests: tuple[str, ...]
    remedy: RemedyChoice | None
    bay_minutes: tuple[float, float] | None


def ending(desk: Desk, *, nothing_left: bool = False) -> Ending:
    """The end of the interview as it stands; `nothing_left` if no question here would tell more."""
    view = desk.view()
    kind = _kind(view, nothing_left)
    shop = kind in ("shop", "stop", "bay")
    return Ending(
        kind=kind,
        headline=HEADLINES[kind],
        text=view.drive.text if kind == "stop" else view.conclusion.text,
        requests=_requests(view) or (OPEN_REQUEST,) if shop else (),
        remedy=_remedy(view) if kind in ("fix", "shop", "bay") else None,
        bay_minutes=bay_minutes(desk) if view.place == "counter" else None,
    )


def _remedy(view: SessionView) -> RemedyChoice | None:
    """The remedy to try first, unless it is hardly likelier than others."""
    first = view.remedies[0] if view.remedies else None
    return first if first is not None and first.chance >= WORTH_NAMING else None


def _kind(view: SessionView, nothing_left: bool) -> str:
    kind = view.conclusion.kind
    if kind == "stop" or view.drive.word is DriveWord.STOP:
        return "stop"
    if kind in ("fix", "bay", "shop"):
        return kind
    if kind == "no_fault":
        return "watch"
    if not nothing_left:
        return "go_on"
    if view.place == "driveway":
        return "watch" if view.drive.word is DriveWord.OPEN else "shop"
    return "bay" if view.place == "counter" else "go_on"


def _requests(view: SessionView) -> tuple[str, ...]:
    """What to ask for, in the words a shop understands, the most telling first."""
    found: list[str] = []
    if view.conclusion.decided and view.remedies and view.remedies[0].shop_request:
        found.append(view.remedies[0].shop_request)
    for check in view.next:
        if not check.here and check.shop_request:
            found.append(check.shop_request)
    return tuple(dict.fromkeys(found))[:MOST_REQUESTS]

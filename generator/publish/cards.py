"""Wall cards as PDF: one page each, whatever it takes but clipping.

Cards are tried together, a variant of type sizes at a time, because reading styles and fonts costs more than
laying out a page.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, combinations, pairwise
from typing import Any

from markupsafe import Markup

from generator.handbook import render
from generator.handbook.book import Issue
from generator.handbook.card import Card
from generator.handbook.desk import words
from generator.problems import FillmarkError, Problem
from generator.publish import pdf, rendered
from generator.publish.joined import joined

STYLES = ("tokens.css", "base.css", "cards.css")
# From the largest type to the smallest; the second is tried first.
LARGER, USUAL, SMALLER, SMALLEST = "roomy", "", "close", "compact"
# A box may stick out by less than a printer can place; a line's box is a little higher than its line.
SLACK_PX, SLACK_LINE_PX = 0.5, 2.0
# Nothing is printed nearer to the paper's lower edge: 8 mm.
EDGE_PX = 8 / 25.4 * 96
# Where capitals and figures of this typeface stand in a text's box, as shares of its height from the top.
INK_TOP, INK_BOTTOM = 0.26, 0.78

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Sheet:
    """A card that fits its paper, and the variant of the type sizes in which it does."""

    card: Card
    variant: str
    foot: Markup


def fitted(cards: Sequence[Card], issue: Issue, progress: Progress | None = None) -> list[Sheet]:
    """Every card on exactly one page: in the largest type that fits, else split between its groups.

    ``progress`` is called with the title of each card that is settled. Raises FillmarkError that names every
    card of which a single group is too long for its paper.
    """
    whole = _in_largest_type(cards, issue)
    unfit = [card for card, sheet in zip(cards, whole, strict=True) if sheet is None]
    parted = dict(zip((card.id for card in unfit), _parted(unfit, issue), strict=True))
    too_long = [card for card in unfit if not parted[card.id]]
    if too_long:
        raise FillmarkError([_too_long(card) for card in too_long])
    pieces = [piece for card in unfit for piece in parted[card.id]]
    fits = dict(zip((piece.id for piece in pieces), _in_largest_type(pieces, issue), strict=True))
    sheets: list[Sheet] = []
    for card, sheet in zip(cards, whole, strict=True):
        found = [sheet] if sheet is not None else [fits[piece.id] for piece in parted[card.id]]
        kept = [one for one in found if one is not None]
        if len(kept) < len(found):
            raise FillmarkError([_too_long(card)])
        sheets += kept
        if progress is not None:
            progress(card.title)
    return sheets


def card_pdf(sheet: Sheet, issue: Issue) -> bytes:
    """One card as a PDF/UA-1 file of one page. Raises FillmarkError if that is not what comes out."""
    document = pdf.layout(html([sheet], issue), STYLES)
    if len(document.pages) != 1:
        raise FillmarkError([_too_long(sheet.card)])
    return pdf.write(document, sheet.card.fingerprint)


def cards_pdf(sheets: Sequence[Sheet], made: Sequence[bytes]) -> bytes:
    """All sheets in one PDF/UA-1 file, a page each, put together from each card's own."""
    titles = [sheet.card.title for sheet in sheets]
    return joined(made, titles, f"{words()['ui']['all']} – {sheets[0].card.plant}")


def fit_key(card: Card, issue: Issue) -> str:
    """Names the outcome of fitting a card: it hangs on all that is printed and on the paper."""
    most = f"{card.too_many_lines} {card.keep}"
    return rendered.key("fit", html([Sheet(card, USUAL, foot(card, issue))], issue), card.paper, most)


def pdf_key(sheet: Sheet, issue: Issue) -> str:
    """Names a card's own PDF."""
    return rendered.key("card", html([sheet], issue), sheet.card.fingerprint)


def fit_text(sheets: Sequence[Sheet]) -> bytes:
    """How one card was fitted: of each sheet, how many groups and the variant of its type."""
    return json.dumps([[len(sheet.card.groups), sheet.variant] for sheet in sheets]).encode()


def fit_again(card: Card, issue: Issue, text: bytes) -> list[Sheet]:
    """The sheets of a card that was fitted before, from what ``fit_text`` said."""
    parts = json.loads(text)
    bounds = list(accumulate(count for count, _ in parts))[:-1]
    pieces = card.split(bounds) if bounds else [card]
    return [
        Sheet(piece, variant, foot(piece, issue)) for piece, (_, variant) in zip(pieces, parts, strict=True)
    ]


def _too_long(card: Card) -> Problem:
    return Problem("card_too_long", facts={"card": card.title, "paper": card.paper.replace("_", " ")})


def _in_largest_type(cards: Sequence[Card], issue: Issue) -> list[Sheet | None]:
    """Each card as a sheet in the largest variant that fits it; None where none does."""
    variants: dict[str, str] = {}
    open_ = [card for card in cards if not card.too_many_lines]
    fits = _fitting(open_, USUAL, issue)
    variants |= dict.fromkeys(fits, USUAL)
    variants |= dict.fromkeys(_fitting([card for card in open_ if card.id in fits], LARGER, issue), LARGER)
    for variant in (SMALLER, SMALLEST):
        left = [card for card in open_ if card.id not in variants]
        variants |= dict.fromkeys(_fitting(left, variant, issue), variant)
    return [
        Sheet(card, variants[card.id], foot(card, issue)) if card.id in variants else None for card in cards
    ]


def _fitting(cards: Sequence[Card], variant: str, issue: Issue) -> set[str]:
    """Ids of the cards that take one page in a variant, with nothing outside it."""
    if not cards:
        return set()
    document = pdf.layout(html([Sheet(card, variant, foot(card, issue)) for card in cards], issue), STYLES)
    pages: dict[str, list[Any]] = {}
    for page in document.pages:
        pages.setdefault(card_on(page), []).append(page)
    return {
        id_
        for id_, on in pages.items()
        if len(on) == 1 and not sticking_out(on[0]) and not overprinted(on[0])
    }


def card_on(page: Any) -> str:
    """Id of the card whose article stands on a laid-out page."""
    for box in page._page_box.descendants():  # WeasyPrint has no public way to the boxes
        if box.element_tag == "article":
            return str(box.element.get("id"))
    return ""


def _parted(cards: Sequence[Card], issue: Issue) -> list[list[Card]]:
    """Each card split into as few parts as will fit, as even as can be; an empty list where nothing does.

    Most need two parts, so first and last parts are tried before any that lies between.
    """
    fits: set[str] = set()
    found: dict[str, list[Card]] = {card.id: [] for card in cards}
    for outer in (True, False):
        left = [card for card in cards if not found[card.id]]
        pieces = [
            replace(_piece(card, start, end), id=f"{card.id}-{start}-{end}")
            for card in left
            for start, end in combinations(range(len(card.groups) + 1), 2)
            if (start, end) != (0, len(card.groups)) and (start == 0 or end == len(card.groups)) is outer
        ]
        fits |= _fitting([piece for piece in pieces if not piece.too_many_lines], SMALLEST, issue)
        found |= {card.id: _best(card, fits) for card in left}
    return [found[card.id] for card in cards]


def _piece(card: Card, start: int, end: int) -> Card:
    """Groups ``start`` to ``end`` as a part of a split card; its foot is as long as the real one's."""
    part = len(card.groups) if end == len(card.groups) else 1
    counts = card.counts[start:end]
    return replace(
        card,
        groups=card.groups[start:end],
        counts=counts,
        part=part,
        parts=len(card.groups),
        whole=card.kept(start),
    )


def _best(card: Card, fits: set[str]) -> list[Card]:
    groups = len(card.groups)
    for parts in range(2, groups + 1):
        good = [
            cuts
            for cuts in combinations(range(1, groups), parts - 1)
            if all(f"{card.id}-{start}-{end}" in fits for start, end in pairwise((0, *cuts, groups)))
        ]
        if good:
            return card.split(min(good, key=lambda cuts: max(b - a for a, b in pairwise((0, *cuts, groups)))))
    return []


def sticking_out(page: Any) -> list[str]:
    """Texts of a laid-out page that lie outside what is printed: the page box, or the margin for the foot."""
    from weasyprint.formatting_structure import boxes

    box = page._page_box
    left, top = box.content_box_x(), box.content_box_y()
    right, bottom = left + box.width, top + box.height
    lowest = box.position_y + box.margin_height() - EDGE_PX
    foot_texts = [text for foot_box in _feet(box) for text in _texts(foot_box.children, boxes)]
    found = _outside(_texts(box.children, boxes), (left, top, right, bottom))
    return found + _outside(foot_texts, (left, bottom, right, lowest))


def _feet(box: Any) -> list[Any]:
    """The boxes in a page's lower margin; they are out of the flow, so that ``_texts`` passes them by."""
    return [
        child
        for child in box.descendants()
        if child.element is not None and "foot" in str(child.element.get("class")).split()
    ]


def _outside(texts: Iterable[Any], area: tuple[float, float, float, float]) -> list[str]:
    left, top, right, bottom = area
    return [
        str(text.text)
        for text in texts
        if text.position_x < left - SLACK_PX
        or text.position_x + text.width > right + SLACK_PX
        or text.position_y < top - SLACK_LINE_PX
        or text.position_y + text.height > bottom + SLACK_LINE_PX
    ]


def overprinted(page: Any) -> list[tuple[str, str]]:
    """Pairs of texts of a laid-out page that lie on each other, so that one or both cannot be read."""
    from weasyprint.formatting_structure import boxes

    texts = [text for text in _texts(page._page_box.children, boxes) if str(text.text).strip()]
    placed = sorted(
        (text.position_y + INK_TOP * text.height, text.position_y + INK_BOTTOM * text.height, n, text)
        for n, text in enumerate(texts)
    )
    found = []
    for n, (_, bottom, _, one) in enumerate(placed):
        for top, _, _, other in placed[n + 1 :]:
            if top >= bottom - SLACK_PX:
                break
            left = max(one.position_x, other.position_x)
            right = min(one.position_x + one.width, other.position_x + other.width)
            if right - left > SLACK_PX:
                found.append((str(one.text), str(other.text)))
    return found


def _texts(children: Iterable[Any], boxes: Any) -> Iterator[Any]:
    for child in children:
        if isinstance(child, boxes.TextBox):
            yield child
        elif isinstance(child, boxes.ParentBox):
            yield from _texts(child.children, boxes)


def foot(card: Card, issue: Issue) -> Markup:
    """What stands at the foot of a card: which it is, of which issue, where it hangs."""
    ui = words()["ui"]
    part = ui["part"].format(n=card.part, m=card.parts)
    following = ui["next"].format(n=card.part + 1) if card.part < card.parts else ""
    return render.render(
        "cards/foot.html",
        links=False,
        card=card,
        issue=issue,
        words=words(),
        part_words=part,
        next_words=following,
        code=_code(card.address, ui["code"]) if card.address else "",
    )


def _code(address: str, title: str) -> Markup:
    """A QR code (ISO/IEC 18004) of medium error correction with its quiet zone, as a drawing."""
    import segno

    made = segno.make(address, error="m", micro=False)
    return Markup(made.svg_inline(border=4, omitsize=True, title=title, svgclass="code", lineclass=None))  # noqa: S704


def html(sheets: Sequence[Sheet], issue: Issue) -> str:
    """The page that is laid out: an article a sheet."""
    title = sheets[0].card.title if len(sheets) == 1 else words()["ui"]["all"]
    return str(
        render.render(
            "cards/page.html",
            links=False,
            sheets=sheets,
            issue=issue,
            words=words(),
            title=f"{title} – {sheets[0].card.plant}",
            language="en",
        )
    )

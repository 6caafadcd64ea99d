"""A list for the proof-reader's desk: every passage with its bars engraved, the notes circled, and a box to tick off.

It is one HTML file that needs nothing else, made to be printed. The bars are drawn while the whole review is at hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from html import escape
from typing import TYPE_CHECKING

from lxml import etree

from ..drawing.engraving import Layout, engrave, prepare_for_engraver
from ..messages import findings as words
from ..messages.message import ENGLISH, Wording
from .passages import Reported, gravest, to_deal_with
from .summary import one_line

if TYPE_CHECKING:
    from ..musicxml.file.container import Document
    from ..usecases.annotate import PartReview
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart
    from .summary import Totals

MOST_BARS = 4
"""Bars drawn of one passage, from its first on; a longer one is told in words."""
_LAYOUT = Layout(width=1900, stretched=1.0)
_RADIUS = 240
_SVG = "{http://www.w3.org/2000/svg}"

_STYLE = """
:root { --ink: #1c2426; --faint: #5d6b6b; --wrong: #a3261d; }
body { margin: 0 auto; padding: 12mm 15mm; max-width: 210mm; color: var(--ink); background: #fff;
  font: 10.5pt/1.35 "Source Serif 4", "Noto Serif", "DejaVu Serif", Georgia, serif; }
h1 { font-size: 20pt; margin: 0; font-weight: 600; }
h2 { font-size: 13pt; margin: 7mm 0 1mm; padding-top: 2mm; border-top: 0.35mm solid var(--ink); break-after: avoid;
  font-weight: 600; overflow-wrap: anywhere; }
h3 { font-size: 11pt; margin: 3mm 0 0; break-after: avoid; font-weight: 600; }
p { margin: 1mm 0; }
.sum, .more { color: var(--faint); }
.item { display: grid; grid-template-columns: 6mm 1fr; column-gap: 2mm; break-inside: avoid; margin-top: 3mm; }
.item input { width: 4.5mm; height: 4.5mm; margin: 0.5mm 0 0; accent-color: var(--ink); }
.item .error { font-weight: 700; color: var(--wrong); }
.item .rule { color: var(--faint); font-size: 9pt; }
.item svg { display: block; width: 100%; height: auto; max-height: 32mm; font-family: inherit; }
.item svg .definition-scale :is(path, polygon, polyline, rect) { stroke: currentColor; }
.item svg g.fing { font-weight: bold; }
.item svg :is(g.dir, g.mNum) { font-style: italic; }
.item svg .circled { fill: none; stroke: var(--wrong); stroke-width: 34; }
@media print { body { padding: 0; max-width: none; } @page { margin: 14mm; } }
"""


def proof_sheet(results: Iterable[CheckedFile], totals: Totals, most: int, wording: Wording = ENGLISH) -> Iterator[str]:
    """Yield the page piece by piece, each file's share as it was drawn; files without a finding are only counted."""
    say = wording.say
    title = escape(say(words.PROOF_TITLE))
    yield (
        f'<!DOCTYPE html>\n<html lang="{wording.language}"><head><meta charset="utf-8"><title>{title}</title>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<style>{_STYLE}</style></head>\n<body>\n<h1>{title}</h1>\n"
    )
    for file in results:
        if file.fault is not None:
            failed = f"{say(words.FAULTY_FILES)}: {file.fault[1]}"
            yield f"<h2>{escape(file.name)}</h2>\n<p>{escape(failed)}</p>\n"
        yield file.rendered
    yield f'<h2>{escape(say(words.IN_ALL))}</h2>\n<p class="sum">{escape(one_line(totals, wording))}.</p>\n'
    if totals.skipped:
        names = "<br>".join(map(escape, totals.skipped[: most or None]))
        left = len(totals.skipped) - most if most else 0
        more = f"<br>{escape(say(words.MORE_FILES, left))}" if left > 0 else ""
        yield f"<h3>{escape(say(words.SKIPPED_FILES))}</h3>\n<p>{names}{more}</p>\n"
    yield "</body></html>\n"


def file_sheet(file: CheckedFile, reviews: Sequence[PartReview], documents: Sequence[Document], most: int) -> str:
    """Return one file's share of the page, so many passages a part (0: all); empty if nothing is found.

    It is in the language of the reviews.
    """
    wording = Wording(reviews[0].language) if reviews else ENGLISH
    pieces = [
        piece
        for part, review, document in zip(file.parts, reviews, documents, strict=True)
        for piece in _part(part, review, document, most, wording)
    ]
    if not pieces:
        return ""
    policy = wording.say(words.POLICY, policy=words.policy_name(wording, file.policy))
    return f'<h2>{escape(file.name)}</h2>\n<p class="sum">{escape(policy)}</p>\n' + "".join(pieces)


def _part(part: CheckedPart, review: PartReview, document: Document, most: int, wording: Wording) -> Iterator[str]:
    reported = to_deal_with(part)
    if not reported:
        return
    shown, more = gravest(reported, most, wording)
    yield f"<h3>{escape(part.name or part.id)}: {wording.say(words.PASSAGES, len(reported))}</h3>\n"
    notes = {id(finding): flag.finding.notes
             for finding, flag in zip(part.findings, review.review.flags, strict=True)}  # fmt: skip
    ordinals = {note: place.note for note, place in review.reading.places.items()}
    wanted = {ordinals[note] for each in shown for finding in each.findings for note in notes[id(finding)]}
    score = prepare_for_engraver(deepcopy(document.root), part.id, {ordinal: ordinal for ordinal in wanted}).text
    for each in shown:
        circled = {f"n{ordinals[note]}" for finding in each.findings for note in notes[id(finding)]}
        yield _item(each, _picture(score, each.first, each.findings[-1], circled, wording), wording)
    if more:
        yield f'<p class="more">{escape(more)}</p>\n'


def _item(each: Reported, picture: str, wording: Wording) -> str:
    first, word = each.first, each.severity.word
    severity = f'<span class="{word}">{escape(wording.say(words.SEVERITY[word]))}</span>'
    notes, finding = escape(first.notes), escape(each.message(wording))
    if each.bars == first.first_bar:
        beat = escape(first.beat)
        said = wording.say(
            words.ON_PROOF, bar=escape(each.bars), beat=beat, notes=notes, severity=severity, finding=finding
        )
    else:
        said = wording.say(
            words.ON_PROOF_IN_BARS, bars=escape(each.bars), notes=notes, severity=severity, finding=finding
        )
    return (
        f'<div class="item"><input type="checkbox" aria-label="{escape(wording.say(words.DEALT_WITH))}"><div>'
        f'<p>{said} <span class="rule">{escape(first.rule)}</span></p>{picture}</div></div>\n'
    )


def _picture(score: str, first: CheckedFinding, last: CheckedFinding, circled: set[str], wording: Wording) -> str:
    """The bars of a passage with some notes circled; nothing where the engraver cannot draw them."""
    start = first.first_measure + 1
    end = min(last.last_measure + 1, start + MOST_BARS - 1)
    try:
        pages = list(engrave(score, _LAYOUT, (start, end)))
    except ValueError:
        return f"<p>({escape(wording.say(words.UNDRAWN))})</p>"
    return "".join(_with_circles(page, circled) for page in pages)


def _with_circles(page: str, circled: set[str]) -> str:
    drawing = etree.fromstring(page.encode())
    for group in [*drawing.iter(f"{_SVG}g")]:
        if group.get("id") in circled:
            head = next((use for use in group.iter(f"{_SVG}use") if use.get("transform")), None)
            place = None if head is None else _place(head.get("transform") or "")
            if place is not None:
                ring = etree.SubElement(group, f"{_SVG}ellipse")
                for name, value in (("cx", place[0] + 110), ("cy", place[1]), ("rx", _RADIUS), ("ry", _RADIUS)):
                    ring.set(name, f"{value:g}")
                ring.set("class", "circled")
    return etree.tostring(drawing, encoding="unicode")


def _place(transform: str) -> tuple[float, float] | None:
    """The place that "translate(x, y) …" moves to."""
    inside = transform.partition("translate(")[2].partition(")")[0].split(",")
    try:
        return float(inside[0]), float(inside[1])
    except (ValueError, IndexError):
        return None

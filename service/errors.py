"""Errors about scores and options, one constructor for each: a stable code, what, where, and what to do."""

from __future__ import annotations

from collections.abc import Sequence


class ScoreError(Exception):
    """A score that cannot be worked on.

    Attributes:
        code: stable slug, kebab-case; programs test this, never the sentence.
        message: what is wrong, one plain sentence.
        where: part, bar or line, as far as known; else None.
        advice: what the sender can do about it.
        status: the HTTP status of the fault: 400 malformed, 413 too large, 415 no MusicXML, 422 cannot be planned,
            500 our own fault.
    """

    def __init__(self, code: str, message: str, advice: str, where: str | None = None, status: int = 422) -> None:
        super().__init__(code, message, advice, where, status)  # all arguments, so that it survives pickling
        self.code = code
        self.message = message
        self.advice = advice
        self.where = where
        self.status = status

    def __str__(self) -> str:
        place = f" ({self.where})" if self.where else ""
        return f"{self.message}{place} {self.advice}".strip()


def _megabytes(count: int) -> str:
    return f"{count / 1_000_000:.1f} MB"


_EXPORT = "Export the score as MusicXML (.musicxml or .mxl) and send that file."


# -- what was sent is no MusicXML (415), or broken (400) ---------------------------------------------------------------


def empty() -> ScoreError:
    """Nothing, or nothing but blanks, was sent."""
    return ScoreError("empty", "The file is empty.", "Send a MusicXML file (.musicxml, .xml or .mxl).", None, 400)


def html_page() -> ScoreError:
    """A web page instead of a score: typically a download link that led to a sign-in page."""
    return ScoreError(
        "html-page",
        "This is a web page (HTML), not a score.",
        "Download the score file itself and send that.",
        None,
        415,
    )


def not_xml(kind: str, advice: str = _EXPORT) -> ScoreError:
    """Something that does not even begin like XML; `kind` names what it looks like."""
    return ScoreError("not-xml", f"This is {kind}, not MusicXML.", advice, None, 415)


def malformed(reason: str, line: int | None, column: int | None = None) -> ScoreError:
    """The XML parser's own complaint."""
    where = None if not line else f"line {line}" + (f", column {column}" if column else "")
    return ScoreError(
        "malformed-xml",
        f"The XML is not well-formed: {reason.rstrip('. ')}.",
        "Repair that place or export again.",
        where,
        400,
    )


def truncated(line: int | None) -> ScoreError:
    """The file stops before its last element ends."""
    return ScoreError(
        "truncated",
        "The file ends in the middle of the score.",
        "It was probably cut off on its way: fetch or export it again.",
        f"line {line}" if line else None,
        400,
    )


def wrong_root(tag: str, known: tuple[str, str] | None = None) -> ScoreError:
    """XML, but no score; `known` says what it is and what to do about it."""
    if known is not None:
        return ScoreError("not-musicxml", f"This is {known[0]}, not MusicXML.", known[1], None, 415)
    return ScoreError(
        "not-musicxml", f"This is XML, but its root is <{tag}>, not <score-partwise>.", _EXPORT, None, 415
    )


def timewise() -> ScoreError:
    """A score ordered by bar first."""
    return ScoreError(
        "timewise",
        "This score is ordered bar by bar (<score-timewise>); only <score-partwise> can be cleaned.",
        "Send the marked copy, which is partwise.",
        None,
        415,
    )


def namespaced(tag: str) -> ScoreError:
    """Elements with a namespace or prefix: MusicXML has none, and nobody else would read it either."""
    return ScoreError(
        "namespaced", f"<{tag}> stands in an XML namespace; MusicXML uses none.", "Remove the namespace.", None, 415
    )


def entities_declared() -> ScoreError:
    """An internal subset that declares entities: refused as a whole, harmless or not."""
    return ScoreError(
        "entities-declared",
        "The document type declares entities of its own.",
        "Remove the <!ENTITY …> declarations and write the characters themselves.",
        None,
        400,
    )


def encoding_unsupported(name: str) -> ScoreError:
    """An encoding whose bytes cannot be searched for tags safely, or that nobody knows."""
    return ScoreError(
        "encoding-unsupported", f"The text encoding {name} is not supported.", "Save the file as UTF-8.", None, 415
    )


def encoding_wrong(name: str, offset: int) -> ScoreError:
    """Bytes that are not what the byte order mark or the declaration says."""
    return ScoreError(
        "encoding-wrong", f"The text is not valid {name}.", "Save the file as UTF-8.", f"byte {offset}", 400
    )


def misplaced_note(parent: str, line: int | None) -> ScoreError:
    """A note element that does not stand directly in a measure: its marks could not be placed with certainty."""
    return ScoreError(
        "misplaced-note",
        f"A <note> stands in <{parent}> and not directly in a <measure>.",
        "Export the score again.",
        f"line {line}" if line else None,
        400,
    )


# -- compressed scores -------------------------------------------------------------------------------------------------


def bad_archive(reason: str) -> ScoreError:
    """A .mxl that cannot be opened."""
    return ScoreError(
        "bad-archive", f"The compressed score (.mxl) cannot be opened: {reason}.", "Export it again.", None, 400
    )


def encrypted_archive() -> ScoreError:
    """A .mxl with a password."""
    return ScoreError(
        "encrypted-archive", "The compressed score is locked with a password.", "Send it without a password.", None, 415
    )


def no_container(known: tuple[str, str] | None = None) -> ScoreError:
    """A zip archive that is no .mxl; `known` says what it is and what to do about it."""
    if known is not None:
        return ScoreError("no-container", f"This is {known[0]}, not compressed MusicXML.", known[1], None, 415)
    return ScoreError(
        "no-container",
        "This is a zip archive without META-INF/container.xml, so it is no compressed MusicXML.",
        _EXPORT,
        None,
        415,
    )


# -- too large (413) ---------------------------------------------------------------------------------------------------


def too_large(what: str, size: int, limit: int) -> ScoreError:
    """More bytes than the limit allows."""
    return ScoreError(
        "too-large",
        f"{what} is too large: {_megabytes(size)}; the limit is {_megabytes(limit)}.",
        "Send one movement or one part at a time.",
        None,
        413,
    )


def too_many(what: str, count: int, limit: int) -> ScoreError:
    """More notes, elements or archive entries than the limit allows."""
    return ScoreError(
        "too-many",
        f"Too many {what}: {count:,}; the limit is {limit:,}.",
        "Send one movement or one part at a time.",
        None,
        413,
    )


def unpacks_too_far(ratio: int, limit: int) -> ScoreError:
    """A compression ratio no real score has."""
    return ScoreError(
        "unpacks-too-far",
        f"The compressed score unpacks to more than {limit} times its size.",
        "This is not how scores compress: export it again.",
        f"ratio {ratio}",
        413,
    )


def too_deep(line: int | None) -> ScoreError:
    """Elements within elements beyond what any score needs."""
    return ScoreError(
        "too-deep",
        "The elements are nested too deeply for a score.",
        "Export it again.",
        f"line {line}" if line else None,
        413,
    )


# -- understood, but not to be planned (422) ---------------------------------------------------------------------------


_TUNES_SHOWN = 12


def unknown_part(wanted: str, parts: Sequence[str]) -> ScoreError:
    """The part asked for is not in the score."""
    return ScoreError(
        "unknown-part", f"There is no part {wanted!r}.", f"The score has: {', '.join(parts) or 'no parts'}.", None, 422
    )


def no_part(instrument: str, parts: Sequence[str], other: str | None = None) -> ScoreError:
    """No part looks as if it were for the instrument; `other` is one that a part is for."""
    advice = f"Name the part to be planned; the score has: {', '.join(parts) or 'no parts'}."
    if other is not None:
        advice += f" For the {other} part ask for instrument={other}."
    return ScoreError("no-part", f"No part of this score is marked as a {instrument} part.", advice, None, 422)


def unsure_part(instrument: str, parts: Sequence[str]) -> ScoreError:
    """Several parts might be meant, none for certain."""
    return ScoreError(
        "unsure-part",
        f"It is not certain which part is the {instrument} part.",
        f"Name it; the score has: {', '.join(parts)}.",
        None,
        422,
    )


def unknown_tune(wanted: str, tunes: Sequence[str]) -> ScoreError:
    """A collection does not have the tune asked for."""
    shown = ", ".join(tunes[:_TUNES_SHOWN]) + (f" and {len(tunes) - _TUNES_SHOWN} more" if tunes[_TUNES_SHOWN:] else "")
    return ScoreError("unknown-tune", f"There is no tune {wanted}.", f"The file has: {shown}.", "option tune", 422)


def no_collection() -> ScoreError:
    """A tune was asked for in a file that is no collection."""
    return ScoreError(
        "no-collection",
        "Only ABC files hold tunes with numbers, and this is none.",
        "Leave out the option tune.",
        "option tune",
        422,
    )


def several_scores(count: int) -> ScoreError:
    """Several tunes were asked for where one score is the answer."""
    return ScoreError(
        "several-scores",
        f"The answer would be {count} scores, and a MusicXML file holds one.",
        "Ask for one tune by its number, or for ABC as the answer (notation=abc), which holds them all.",
        "option tune",
        422,
    )


def not_from_abc() -> ScoreError:
    """ABC was asked for as the answer to something else."""
    return ScoreError(
        "not-from-abc",
        "Only a score that came as ABC can go back as ABC.",
        "Leave out the option notation; the answer is MusicXML.",
        "option notation",
        422,
    )


def not_drawn() -> ScoreError:
    """The engraver cannot read the score, or its process ended over it."""
    return ScoreError(
        "not-drawn",
        "There is no picture of this score: the engraver cannot draw it.",
        "It can still be marked and reviewed. Export it again, or leave out the bar with what is unusual in it.",
        None,
        422,
    )


# -- our own fault (500) -----------------------------------------------------------------------------------------------


def mark_misplaced() -> ScoreError:
    """The guard's refusal: a mark would stand at another note than the one it was meant for."""
    return ScoreError(
        "mark-misplaced",
        "The marks could not be written at their notes, so nothing was changed.",
        "Please report this score.",
        None,
        500,
    )


def marks_not_removable() -> ScoreError:
    """The guard's refusal: the answer, cleaned again, would not be the input; so there is no answer."""
    return ScoreError(
        "marks-not-removable",
        "The marks could not be written so that they can be taken out again without a trace; nothing was changed.",
        "Please report this score.",
        None,
        500,
    )


def our_fault(fault: BaseException) -> str:
    """Return the sentence for an exception that nobody foresaw: where it arose, never its name or text."""
    place = ""
    trace = fault.__traceback__
    while trace is not None:
        frame, line, trace = trace.tb_frame, trace.tb_lineno, trace.tb_next
        module = str(frame.f_globals.get("__name__", ""))
        if module.split(".")[0] in ("rules", "service"):
            place = f" ({module}, line {line})"
    return f"This is a fault of ours{place}. Please report it with the score."


# -- what was asked for (400) ------------------------------------------------------------------------------------------


def unknown_option(name: str, known: Sequence[str]) -> ScoreError:
    """An option that does not exist; the nearest one is named."""
    from difflib import get_close_matches

    nearest = get_close_matches(name, known, n=1)
    hint = f"Did you mean {nearest[0]}?" if nearest else f"There are: {', '.join(known)}."
    return ScoreError("unknown-option", f"There is no option {name!r}.", hint, None, 400)


def bad_option(name: str, given: str, expected: str) -> ScoreError:
    """An option with a value that it cannot have."""
    return ScoreError(
        "bad-option", f"The option {name} cannot be {given!r}.", f"Give {expected}.", f"option {name}", 400
    )


def unknown_bar(option: str, bar: str, part: str, first: str, last: str) -> ScoreError:
    """A bar that the part does not have."""
    return ScoreError(
        "unknown-bar",
        f"There is no bar {bar}.",
        f"The bars go from {first} to {last}.",
        f"option {option}, part {part}",
        400,
    )

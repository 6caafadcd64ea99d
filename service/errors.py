"""Errors about scores and options, one constructor for each: a stable code, what, where, and what to do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


class Sentence(str):
    """English text with its template and parts, as those of the rules; `client` reads errors without the rules."""

    template: str = ""
    parts: Mapping[str, str | int] = {}


def said(template: str, /, **parts: str | int) -> Sentence:
    """Return a text with its placeholders filled in."""
    made = Sentence(template.format(**parts))
    made.template, made.parts = template, parts
    return made


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
        return str(self.sentence).strip()

    @property
    def sentence(self) -> Sentence:
        """The whole in one text: what is wrong, where, and what to do."""
        if self.where:
            parts = {"message": self.message, "where": self.where, "advice": self.advice}
            return said("{message} ({where}) {advice}", **parts)
        return said("{message} {advice}", message=self.message, advice=self.advice)


def _megabytes(count: int) -> str:
    return f"{count / 1_000_000:.1f} MB"


_EXPORT = said("Export the score as MusicXML (.musicxml or .mxl) and send that file.")


# -- what was sent is no MusicXML (415), or broken (400) ---------------------------------------------------------------


def empty() -> ScoreError:
    """Nothing, or nothing but blanks, was sent."""
    return ScoreError(
        "empty", said("The file is empty."), said("Send a MusicXML file (.musicxml, .xml or .mxl)."), None, 400
    )


def html_page() -> ScoreError:
    """A web page instead of a score: typically a download link that led to a sign-in page."""
    return ScoreError(
        "html-page",
        said("This is a web page (HTML), not a score."),
        said("Download the score file itself and send that."),
        None,
        415,
    )


def not_xml(kind: str, advice: str = _EXPORT) -> ScoreError:
    """Something that does not even begin like XML; `kind` names what it looks like."""
    return ScoreError("not-xml", said("This is {kind}, not MusicXML.", kind=kind), advice, None, 415)


def malformed(reason: str, line: int | None, column: int | None = None) -> ScoreError:
    """The XML parser's own complaint."""
    where = None
    if line:
        where = (
            said("line {line}, column {column}", line=line, column=column) if column else said("line {line}", line=line)
        )
    return ScoreError(
        "malformed-xml",
        said("The XML is not well-formed: {reason}.", reason=reason),
        said("Repair that place or export again."),
        where,
        400,
    )


def truncated(line: int | None) -> ScoreError:
    """The file stops before its last element ends."""
    return ScoreError(
        "truncated",
        said("The file ends in the middle of the score."),
        said("It was probably cut off on its way: fetch or export it again."),
        said("line {line}", line=line) if line else None,
        400,
    )


def wrong_root(tag: str, known: tuple[str, str] | None = None) -> ScoreError:
    """XML, but no score; `known` says what it is and what to do about it."""
    if known is not None:
        return ScoreError("not-musicxml", said("This is {kind}, not MusicXML.", kind=known[0]), known[1], None, 415)
    return ScoreError(
        "not-musicxml", said("This is XML, but its root is <{tag}>, not <score-partwise>.", tag=tag), _EXPORT, None, 415
    )


def timewise() -> ScoreError:
    """A score ordered by bar first."""
    return ScoreError(
        "timewise",
        said("This score is ordered bar by bar (<score-timewise>); only <score-partwise> can be cleaned."),
        said("Send the marked copy, which is partwise."),
        None,
        415,
    )


def namespaced(tag: str) -> ScoreError:
    """Elements with a namespace or prefix: MusicXML has none, and nobody else would read it either."""
    return ScoreError(
        "namespaced",
        said("<{tag}> stands in an XML namespace; MusicXML uses none.", tag=tag),
        said("Remove the namespace."),
        None,
        415,
    )


def entities_declared() -> ScoreError:
    """An internal subset that declares entities: refused as a whole, harmless or not."""
    return ScoreError(
        "entities-declared",
        said("The document type declares entities of its own."),
        said("Remove the <!ENTITY …> declarations and write the characters themselves."),
        None,
        400,
    )


def encoding_unsupported(name: str) -> ScoreError:
    """An encoding whose bytes cannot be searched for tags safely, or that nobody knows."""
    return ScoreError(
        "encoding-unsupported",
        said("The text encoding {name} is not supported.", name=name),
        said("Save the file as UTF-8."),
        None,
        415,
    )


def encoding_wrong(name: str, offset: int) -> ScoreError:
    """Bytes that are not what the byte order mark or the declaration says."""
    return ScoreError(
        "encoding-wrong",
        said("The text is not valid {name}.", name=name),
        said("Save the file as UTF-8."),
        said("byte {offset}", offset=offset),
        400,
    )


def misplaced_note(parent: str, line: int | None) -> ScoreError:
    """A note element that does not stand directly in a measure: its marks could not be placed with certainty."""
    return ScoreError(
        "misplaced-note",
        said("A <note> stands in <{parent}> and not directly in a <measure>.", parent=parent),
        said("Export the score again."),
        said("line {line}", line=line) if line else None,
        400,
    )


# -- compressed scores -------------------------------------------------------------------------------------------------


def bad_archive(reason: str) -> ScoreError:
    """A .mxl that cannot be opened."""
    return ScoreError(
        "bad-archive",
        said("The compressed score (.mxl) cannot be opened: {reason}.", reason=reason),
        said("Export it again."),
        None,
        400,
    )


def encrypted_archive() -> ScoreError:
    """A .mxl with a password."""
    return ScoreError(
        "encrypted-archive",
        said("The compressed score is locked with a password."),
        said("Send it without a password."),
        None,
        415,
    )


def no_container(known: tuple[str, str] | None = None) -> ScoreError:
    """A zip archive that is no .mxl; `known` says what it is and what to do about it."""
    if known is not None:
        return ScoreError(
            "no-container", said("This is {kind}, not compressed MusicXML.", kind=known[0]), known[1], None, 415
        )
    return ScoreError(
        "no-container",
        said("This is a zip archive without META-INF/container.xml, so it is no compressed MusicXML."),
        _EXPORT,
        None,
        415,
    )


# -- too large (413) ---------------------------------------------------------------------------------------------------


def too_large(what: str, size: int, limit: int) -> ScoreError:
    """More bytes than the limit allows."""
    return ScoreError(
        "too-large",
        said(
            "{what} is too large: {size}; the limit is {limit}.",
            what=what,
            size=_megabytes(size),
            limit=_megabytes(limit),
        ),
        said("Send one movement or one part at a time."),
        None,
        413,
    )


def too_many(what: str, count: int, limit: int) -> ScoreError:
    """More notes, elements or archive entries than the limit allows."""
    return ScoreError(
        "too-many",
        said("Too many {what}: {count}; the limit is {limit}.", what=what, count=f"{count:,}", limit=f"{limit:,}"),
        said("Send one movement or one part at a time."),
        None,
        413,
    )


def unpacks_too_far(ratio: int, limit: int) -> ScoreError:
    """A compression ratio no real score has."""
    return ScoreError(
        "unpacks-too-far",
        said("The compressed score unpacks to more than {limit} times its size.", limit=limit),
        said("This is not how scores compress: export it again."),
        said("ratio {ratio}", ratio=ratio),
        413,
    )


def too_deep(line: int | None) -> ScoreError:
    """Elements within elements beyond what any score needs."""
    return ScoreError(
        "too-deep",
        said("The elements are nested too deeply for a score."),
        said("Export it again."),
        said("line {line}", line=line) if line else None,
        413,
    )


# -- understood, but not to be planned (422) ---------------------------------------------------------------------------

_TUNES_SHOWN = 12


def unknown_part(wanted: str, parts: Sequence[str]) -> ScoreError:
    """The part asked for is not in the score."""
    return ScoreError(
        "unknown-part",
        said("There is no part {wanted}.", wanted=repr(wanted)),
        said("The score has: {parts}.", parts=", ".join(parts) or said("no parts")),
        None,
        422,
    )


def no_part(instrument: str, parts: Sequence[str], other: str | None = None) -> ScoreError:
    """No part looks as if it were for the instrument; `other` is one that a part is for."""
    listed = ", ".join(parts) or said("no parts")
    advice = said("Name the part to be planned; the score has: {parts}.", parts=listed)
    if other is not None:
        advice = said(
            "Name the part to be planned; the score has: {parts}. For the {other} part ask for instrument={other}.",
            parts=listed,
            other=other,
        )
    return ScoreError(
        "no-part",
        said("No part of this score is marked as a {instrument} part.", instrument=said(instrument)),
        advice,
        None,
        422,
    )


def unsure_part(instrument: str, parts: Sequence[str]) -> ScoreError:
    """Several parts might be meant, none for certain."""
    return ScoreError(
        "unsure-part",
        said("It is not certain which part is the {instrument} part.", instrument=said(instrument)),
        said("Name it; the score has: {parts}.", parts=", ".join(parts)),
        None,
        422,
    )


def unknown_tune(wanted: str, tunes: Sequence[str]) -> ScoreError:
    """A collection does not have the tune asked for."""
    shown = ", ".join(tunes[:_TUNES_SHOWN])
    if tunes[_TUNES_SHOWN:]:
        shown = said("{listed} and {n} more", listed=shown, n=len(tunes) - _TUNES_SHOWN)
    return ScoreError(
        "unknown-tune",
        said("There is no tune {wanted}.", wanted=wanted),
        said("The file has: {shown}.", shown=shown),
        said("option tune"),
        422,
    )


def no_collection() -> ScoreError:
    """A tune was asked for in a file that is no collection."""
    return ScoreError(
        "no-collection",
        said("Only ABC files hold tunes with numbers, and this is none."),
        said("Leave out the option tune."),
        said("option tune"),
        422,
    )


def several_scores(count: int) -> ScoreError:
    """Several tunes were asked for where one score is the answer."""
    return ScoreError(
        "several-scores",
        said("The answer would be {count} scores, and a MusicXML file holds one.", count=count),
        said("Ask for one tune by its number, or for ABC as the answer (notation=abc), which holds them all."),
        said("option tune"),
        422,
    )


def not_from_abc() -> ScoreError:
    """ABC was asked for as the answer to something else."""
    return ScoreError(
        "not-from-abc",
        said("Only a score that came as ABC can go back as ABC."),
        said("Leave out the option notation; the answer is MusicXML."),
        said("option notation"),
        422,
    )


def not_drawn() -> ScoreError:
    """The engraver cannot read the score, or its process ended over it."""
    return ScoreError(
        "not-drawn",
        said("There is no picture of this score: the engraver cannot draw it."),
        said("It can still be marked and reviewed. Export it again, or leave out the bar with what is unusual in it."),
        None,
        422,
    )


# -- our own fault (500) -----------------------------------------------------------------------------------------------


def mark_misplaced() -> ScoreError:
    """The guard's refusal: a mark would stand at another note than the one it was meant for."""
    return ScoreError(
        "mark-misplaced",
        said("The marks could not be written at their notes, so nothing was changed."),
        said("Please report this score."),
        None,
        500,
    )


def marks_not_removable() -> ScoreError:
    """The guard's refusal: the answer, cleaned again, would not be the input; so there is no answer."""
    return ScoreError(
        "marks-not-removable",
        said(
            "The marks could not be written so that they can be taken out again without a trace; nothing was changed."
        ),
        said("Please report this score."),
        None,
        500,
    )


# -- what was asked for (400) ------------------------------------------------------------------------------------------


def unknown_option(name: str, known: Sequence[str]) -> ScoreError:
    """An option that does not exist; the nearest one is named."""
    from difflib import get_close_matches

    nearest = get_close_matches(name, known, n=1)
    hint = said("There are: {known}.", known=", ".join(known))
    if nearest:
        hint = said("Did you mean {nearest}?", nearest=nearest[0])
    return ScoreError("unknown-option", said("There is no option {name}.", name=repr(name)), hint, None, 400)


def bad_option(name: str, given: str, expected: str) -> ScoreError:
    """An option with a value that it cannot have."""
    return ScoreError(
        "bad-option",
        said("The option {name} cannot be {given}.", name=name, given=repr(given)),
        said("Give {expected}.", expected=expected),
        said("option {name}", name=name),
        400,
    )


def unknown_bar(option: str, bar: str, part: str, first: str, last: str) -> ScoreError:
    """A bar that the part does not have."""
    return ScoreError(
        "unknown-bar",
        said("There is no bar {bar}.", bar=bar),
        said("The bars go from {first} to {last}.", first=first, last=last),
        said("option {option}, part {part}", option=option, part=part),
        400,
    )

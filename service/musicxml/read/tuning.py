"""Scordatura: modelled if the tuning is certain, refused with a clear error otherwise.

MusicXML's `<pitch>`, after `<transpose>`, is taken as what sounds. A part that is written as it would be fingered in
the ordinary tuning gives itself away where it writes notes below the lowest string, and is refused.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from lxml.etree import _Element

from rules import Instrument, Pitch

from ...errors import ScoreError, said
from ..notation.attributes import open_string
from ..notation.notes import WrittenNote
from ..notation.part import WrittenPart
from ..notation.values import fault, reason_of, whole

_ADVICE = said(
    "Write the part in one tuning, at sounding pitch, with <scordatura> before the first note; or remove it."
)


def _accords(scordatura: _Element, tuning: dict[int, Pitch]) -> None:
    for accord in scordatura.iterchildren("accord"):
        tuning[whole(accord.get("string"))] = open_string(accord)


def _refuse(part: str, why: str) -> ScoreError:
    return ScoreError(
        "scordatura",
        said("The part prescribes a tuning that cannot be planned: {why}.", why=why),
        _ADVICE,
        said("part {part}", part=part),
        422,
    )


def tuned_instrument(part: _Element, written: WrittenPart, instrument: Instrument) -> tuple[Instrument, list[str]]:
    """Return the instrument in the tuning that the part prescribes, and remarks about it.

    Raises:
        ScoreError: if the tuning changes after the first note, is no tuning of this instrument, or is contradicted.
    """
    count = len(instrument.open_strings)
    tuning = dict(zip(instrument.string_numbers, instrument.open_strings, strict=True))
    lines: Iterable[_Element] = part.iter("scordatura", "staff-tuning")
    first_pitch = next(part.iter("pitch"), None)
    for element in lines:
        before = dict(tuning)
        try:
            if element.tag == "scordatura":
                _accords(element, tuning)
            else:
                tuning[count + 1 - whole(element.get("line"))] = open_string(element)  # lines count from the lowest
        except ValueError as error:
            raise fault(
                "scordatura",
                said("The tuning cannot be read: {reason}.", reason=reason_of(error)),
                _ADVICE,
                element,
                written.part_id,
                "?",
            ) from None
        late = tuning != before and first_pitch is not None and _comes_after(element, first_pitch)
        if late:
            raise fault(
                "scordatura",
                said("The tuning changes within the part."),
                _ADVICE,
                element,
                written.part_id,
                _bar(element),
            )
    open_strings = tuple(tuning[number] for number in sorted(tuning))
    if open_strings == instrument.open_strings:
        return instrument, []
    return _checked(open_strings, written, instrument)


def _bar(element: _Element) -> str:
    measure = next(element.iterancestors("measure"), None)
    return "?" if measure is None else measure.get("number") or "?"


def _comes_after(element: _Element, first_pitch: _Element) -> bool:
    root = first_pitch.getroottree().getroot()
    return (
        next(found for found in root.iter("pitch", str(element.tag)) if found is element or found is first_pitch)
        is first_pitch
    )


def _checked(strings: Sequence[Pitch], written: WrittenPart, instrument: Instrument) -> tuple[Instrument, list[str]]:
    names = " ".join(pitch.name for pitch in reversed(strings))
    if len(strings) != len(instrument.open_strings):
        raise _refuse(written.part_id, _other_strings(strings, names, instrument))
    if any(high.midi <= low.midi for high, low in pairwise(strings)):
        raise _refuse(written.part_id, said("strings {names} do not rise from the lowest to the highest", names=names))
    lowest = min(written.notes, key=lambda note: note.pitch.midi, default=None)
    if lowest is not None and lowest.pitch.midi < strings[-1].midi:
        raise _refuse(written.part_id, _too_low(lowest, written, names))
    remark = said("the strings are tuned {names}; written notes were taken as what sounds", names=names)
    return instrument.tuned(tuple(strings)), [remark]


def _too_low(note: WrittenNote, written: WrittenPart, names: str) -> str:
    bar = written.measures[note.measure].label
    return said(
        "{pitch} in bar {bar} lies below the lowest string of {names}, so it is not written as it sounds",
        pitch=note.pitch.name,
        bar=bar,
        names=names,
    )


def _other_strings(strings: Sequence[Pitch], names: str, instrument: Instrument) -> str:
    return said(
        "{n} strings ({names}) for the instrument {instrument}",
        n=len(strings),
        names=names,
        instrument=said(instrument.name),
    )

"""Timewise MusicXML as partwise: the same measures, ordered by part first (MusicXML 4.0, "score-timewise")."""

from __future__ import annotations

from lxml import etree

from .header import HEADER


def to_partwise(root: etree._Element) -> bytes:
    """Return a timewise score as partwise MusicXML; what stands in the measures is not changed."""
    made = etree.Element("score-partwise", _attributes(root))
    for child in root.iterchildren(etree.Element):
        if child.tag != "measure":
            made.append(child)
    parts: dict[str, etree._Element] = {}
    listed = [each.get("id") or "" for each in made.iterfind("part-list/score-part")]
    found = {each.get("id") or "" for each in root.iterfind("measure/part")}
    for id in [*listed, *sorted(found - set(listed))]:
        if id in found:
            parts[id] = etree.SubElement(made, "part", id=id)
    for measure in root.iterfind("measure"):
        given = {part.get("id") or "": part for part in measure.iterfind("part")}
        for id, part in parts.items():
            here = etree.SubElement(part, "measure", _attributes(measure))
            here.extend(list(given[id]) if id in given else [])
    return HEADER + etree.tostring(made, encoding="utf-8") + b"\n"


def _attributes(element: etree._Element) -> dict[str, str]:
    return {str(name): str(value) for name, value in element.attrib.items()}

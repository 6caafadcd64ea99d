"""The W3C's MusicXML 4.0 schema, loaded without a network.

Source of the schema: `musicxml_4_0.xsd` as shipped by the `musicxml` package, equal to the W3C tag v4.0. The two
schemas it imports (`xml.xsd`, `xlink.xsd`) are answered by short ones of our own with the attributes it refers to.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from lxml import etree

_XML = b"""<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/>
<xs:attribute name="space"><xs:simpleType><xs:restriction base="xs:NCName">
<xs:enumeration value="default"/><xs:enumeration value="preserve"/></xs:restriction></xs:simpleType></xs:attribute>
</xs:schema>"""

_XLINK = b"""<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">
<xs:attribute name="href" type="xs:anyURI"/><xs:attribute name="type" type="xs:string" fixed="simple"/>
<xs:attribute name="role" type="xs:token"/><xs:attribute name="title" type="xs:token"/>
<xs:attribute name="show" type="xs:string"/><xs:attribute name="actuate" type="xs:string"/>
</xs:schema>"""


class _Offline(etree.Resolver):
    def resolve(self, system_url: str, public_id: str, context: Any) -> Any:
        if system_url.endswith("xlink.xsd"):
            return self.resolve_string(_XLINK, context)
        if system_url.endswith("xml.xsd"):
            return self.resolve_string(_XML, context)
        return None


@cache
def musicxml_schema() -> etree.XMLSchema:
    """The schema, compiled once."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Offline())
    text = (files("musicxml") / "generate_classes" / "musicxml_4_0.xsd").read_bytes()
    return etree.XMLSchema(etree.fromstring(text, parser))


def is_valid(document: bytes) -> bool:
    """Whether a MusicXML document (XML, not an archive) is valid by the schema."""
    return musicxml_schema().validate(etree.fromstring(document))

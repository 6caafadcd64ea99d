"""What the name of a part says: violin, viola, another instrument, or nothing, in the languages of scores.

Names are those that editions print (common practice).
"""

from __future__ import annotations

import re

_END = r"(?:$|(?=[\s\d.,:;()/\[\]&+\-]|[IV]+\b))"
_VIOLIN = re.compile(
    r"\b(?:violin(?:e|en|o|i|a|y|s|en|os)?|viloin|violín|violín|violines|violon(?:s)?|viol\.?|vlns?|vlni|vno|vni|vlno|vl|vn|vns"
    r"|viool|violen|violer|geigen?|fiddles?|fiolin(?:er)?|fiol(?:er)?|viulu(?:t)?|viiul|hegedű|skrzypce|skrz|housle|husle"
    r"|keman|vioară|viori|vijole|violina|violine|gusle|cigulka|biolin|fidla|fiðla|vioolid|smuikas|vijole)"
    + _END
    + r"|скрипк|цигулк|виолин|βιολ[ίι](?!ον?τσ)|כינור|كمان|ไวโอลิน|vĩ cầm|バイオリン|ヴァイオリン|小提琴|바이올린",
    re.IGNORECASE,
)
_NO_VIOLIN = re.compile(
    r"violonc|violonch|cello|violone|gamba|amore|piccolo|contrabass|double bass|виолонч|violenc", re.IGNORECASE
)
_VIOLA = re.compile(
    r"\b(?:violas?|viole|violen|bratschen?|bratš|brač|altos?\s*\(?violas?\)?|altviool|altfiol|altviolin|bratsj|alttoviulu"
    r"|brácsa|altówk[ai]|violă|altas|viola\s*\d|vla|vlas|vle|va|br)"
    + _END
    + r"|альт|βιόλα|ויולה|ヴィオラ|ビオラ|中提琴|비올라",
    re.IGNORECASE,
)
_NO_VIOLA = re.compile(
    r"gamba|amore|pomposa|bastarda|caipira|violin|violon|saxo|clar|voice|flute|gitar|guitar|viola da", re.IGNORECASE
)
_SHORT_VIOLIN = re.compile(r"^V\.?\s*(?:\d|I{1,2}\b)", re.IGNORECASE)
_OTHER = re.compile(
    r"\b(?:violoncell|violonc|cell[oi]|vlc|vc|violone|contrabass|contrebasse|kontrabass|double bass|cb|db|kb|"
    r"fl[uö]te|fl[aû]uto|flute|flöte|flauta|traverso|piccolo|recorder|blockfl|whistle|oboe|hautbois|hoboe|"
    r"clarinet|klarinet|clar|fagott?|bassoon|basson|horn|corno|cor\b|cornet|tr[ou]mpet|tromba|trombone|posaune|tuba|"
    r"sax|timpani|pauken|drum|percussion|schlag|glocken|marimba|vibra|xylo|piano|klavier|pianoforte|pf|cembalo|"
    r"harpsichord|clavecin|organ|orgel|harp|harfe|arpa|guitar|gitarre|chitarra|lute|laute|mandolin|banjo|ukulele|"
    r"accordion|akkordeon|concertina|continuo|b\.\s?c\.|gamba|viola d|voice|vocal|stimme|gesang|canto|chant|voix|"
    r"soprano?|"
    r"mezzo|alt[oi]?|tenore?|ténor|bariton|bass[eo]?|choir|chor|coro|vox)",
    re.IGNORECASE,
)


def named_instrument(name: str) -> str | None:
    """Return "violin" or "viola" if `name` says so in one of the languages known, else None."""
    if _VIOLA.search(name) and not _NO_VIOLA.search(name):
        return "viola"
    if (_VIOLIN.search(name) and not _NO_VIOLIN.search(name)) or _SHORT_VIOLIN.match(name.strip()):
        return "violin"
    return None


def names_another(name: str) -> bool:
    """Return whether `name` says that a part is for another instrument or a voice."""
    return named_instrument(name) is None and _OTHER.search(name) is not None

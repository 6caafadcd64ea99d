"""Coverage-guided fuzzing of container, reader and splice: python -m tests.soak.fuzz_bytes RUNS SECONDS [SEED].

The engine is atheris (libFuzzer). It starts from the sample scores and small invented scores, and mutates bytes, tags
and whole elements; every input goes through `laws.check_bytes`, half of them also as the score of an archive. Ends with
a line of figures; a crash stops the run and leaves the input in the folder for findings.
"""

from __future__ import annotations

import contextlib
import copy
import io
import random
import re
import sys
import tempfile
import zipfile
from pathlib import Path

import atheris
from lxml import etree

with atheris.instrument_imports(include=["service.musicxml"], enable_loader_override=False):
    from service.musicxml.file import container
    from service.musicxml.read import reader
    from service.musicxml.write import splice
    from tests.soak.laws import check_bytes

ROOT = Path(__file__).resolve().parents[2]
assert all((container, reader, splice)), "imported for the engine to follow"
_TAG = re.compile(rb"<[^<>]*>|[^<]+")
_SPLICES = (
    b"<note>", b"</note>", b"<note/>", b"<chord/>", b"<grace/>", b"<backup><duration>1</duration></backup>",
    b"<rest/>", b"<notations>", b"</notations>", b"<technical>", b"</technical>", b"<fingering>1</fingering>",
    b"<string>9</string>", b"<tie type='start'/>", b"<tied type='stop'/>", b"<!-- <note> -->", b"<![CDATA[</note>]]>",
    b"<?handframe begin?>", b"<?handframe end?>", b"<?handframe was PHRlY2huaWNhbC8+?>", b"<?p?>",
    b"<duration>-1</duration>", b"<duration>0</duration>", b"<duration>1e9</duration>",
    b"<duration>99999999999999999999</duration>", b"<divisions>0</divisions>", b"<divisions>x</divisions>",
    b"<octave>99</octave>", b"<octave>-9</octave>", b"<alter>7.5</alter>", b"<step>H</step>",
    b"<per-minute>0</per-minute>", b"<per-minute>1e400</per-minute>", b"<beats>0</beats>",
    b"<beat-type>0</beat-type>", b"<transpose><chromatic>x</chromatic></transpose>",
    b"<time-modification><actual-notes>0</actual-notes></time-modification>", b"<measure>", b"</measure>",
    b"<part id='P1'>", b"</part>", b"<staves>99</staves>", b"<sound tempo='nan'/>", b"<words>sul G</words>",
    b"<words>9th pos.</words>", b"&#0;", b"&#65;", b"\xef\xbb\xbf", b"\xff\xfe", b"\0",
)  # fmt: skip
counts: dict[str, int] = {}


def small_scores() -> list[bytes]:
    """Scores to start from: the first bars of each sample, and one of everything by hand."""
    found = []
    for path in sorted((ROOT / "sample_scores").iterdir()):
        if path.suffix not in {".musicxml", ".mxl"}:
            continue
        data = path.read_bytes()
        if path.suffix == ".mxl":
            with zipfile.ZipFile(path) as archive:
                data = archive.read(
                    next(n for n in archive.namelist() if n.endswith((".musicxml", ".xml")) and "META" not in n)
                )
        root = etree.fromstring(data)
        for part in root.findall("part"):
            for measure in part.findall("measure")[3:]:
                part.remove(measure)
        found.append(etree.tostring(root.getroottree(), encoding="utf-8"))
    return found


_TEXTS = (
    "",
    "0",
    "-1",
    "1",
    "x",
    "nan",
    "inf",
    "1e400",
    "99999999999999999999",
    "0.3333",
    "٣",
    " 4 ",
    "G",
    "H",
    "III",
    "2-3",
)


def mutated(data: bytes, limit: int, seed: int) -> bytes:
    """Change the input: its elements as a tree (what stays well-formed goes furthest), its tags, or its bytes."""
    chance = random.Random(seed)
    kind = chance.random()
    if kind < 0.1:
        return atheris.Mutate(data, limit)[:limit]
    if kind < 0.85 and (changed := changed_tree(data, chance)) and len(changed) <= limit:
        return changed
    return changed_tags(data, chance)[:limit]


def changed_tree(data: bytes, chance: random.Random) -> bytes | None:
    """Drop, double, move or rename whole elements, or change their text or attributes; None if there is no tree."""
    try:
        root = etree.fromstring(data)
    except (etree.XMLSyntaxError, ValueError):
        return None
    for _ in range(chance.randint(1, 3)):
        elements = list(root.iter(etree.Element))
        chance.choice((_change_place, _change_place, _change_content))(
            chance.choice(elements), chance.choice(elements), chance
        )
    return etree.tostring(root.getroottree(), encoding="utf-8")


def _change_place(one: etree._Element, other: etree._Element, chance: random.Random) -> None:
    parent = one.getparent()
    if parent is None:
        return
    kind = chance.randrange(4)
    if kind == 0:
        parent.remove(one)
    elif kind == 1:
        one.addnext(copy.deepcopy(one))
    elif kind == 2 and len(one) < 30 and one not in other.iterancestors():
        other.append(copy.deepcopy(one))
    elif kind == 3:
        with contextlib.suppress(etree.XMLSyntaxError):
            one.addprevious(etree.fromstring(chance.choice(_SPLICES)))


def _change_content(one: etree._Element, other: etree._Element, chance: random.Random) -> None:
    kind = chance.randrange(3)
    if kind == 0:
        one.text = chance.choice(_TEXTS)
    elif kind == 1:
        one.tag = other.tag
    else:
        one.set(chance.choice(("number", "type", "id", "tempo", "print-object")), chance.choice(_TEXTS))


def changed_tags(data: bytes, chance: random.Random) -> bytes:
    """Drop, double or swap tags and texts, or put something odd in."""
    pieces = _TAG.findall(data)
    for _ in range(chance.randint(1, 4)):
        if not pieces:
            break
        here, there = chance.randrange(len(pieces)), chance.randrange(len(pieces))
        kind = chance.randrange(5)
        if kind == 0:
            del pieces[here]
        elif kind == 1:
            pieces.insert(here, pieces[there])
        elif kind == 2:
            pieces[here], pieces[there] = pieces[there], pieces[here]
        elif kind == 3:
            pieces.insert(here, chance.choice(_SPLICES))
        else:
            pieces[here] = chance.choice(_SPLICES)
    return b"".join(pieces)


def archived(score: bytes) -> bytes:
    """The score in an archive."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("META-INF/container.xml", "<container><rootfile full-path='s.xml'/></container>")
        made.writestr("s.xml", score)
    return buffer.getvalue()


def one_input(data: bytes) -> None:
    """Check one input: as it stands, or (by its length) as the score of an archive."""
    outcome = check_bytes(archived(data) if len(data) % 8 == 0 else data)
    counts[outcome] = counts.get(outcome, 0) + 1
    total = sum(counts.values())
    if total % 50_000 == 0:
        figures()


def figures() -> None:
    """Print what came out so far."""
    told = ", ".join(f"{code} {count:,}" for code, count in sorted(counts.items(), key=lambda c: -c[1]))
    sys.stdout.write(f"executions: {sum(counts.values()):,}; {told}\n")
    sys.stdout.flush()


def main() -> None:
    """Run until the runs or the seconds are spent."""
    runs, seconds = sys.argv[1], sys.argv[2]
    seed = sys.argv[3] if len(sys.argv) > 3 else "1"
    corpus = Path(tempfile.mkdtemp(prefix="fuzz-"))
    for number, score in enumerate(small_scores()):
        (corpus / f"start-{number}").write_bytes(score)
    findings = corpus / "findings-"
    arguments = [
        sys.argv[0],
        f"-runs={runs}",
        f"-max_total_time={seconds}",
        f"-seed={seed}",
        "-max_len=8000",
        "-timeout=20",
    ]
    arguments += [
        "-rss_limit_mb=2000",
        "-print_final_stats=1",
        "-verbosity=0",
        f"-artifact_prefix={findings}",
        str(corpus),
    ]
    atheris.Setup(arguments, one_input, custom_mutator=mutated)
    atheris.Fuzz()


if __name__ == "__main__":
    main()

"""What a check of a catalogue says around its findings; the findings themselves are worded by the rules."""

from .message import Message, Wording

FINDINGS = Message("one finding", "{n} findings")
FILES = Message("one file", "{n} files")
PASSAGES = Message("one passage", "{n} passages")
PARTS = Message("one part", "{n} parts")
ERRORS = Message("one error", "{n} errors")
WARNINGS = Message("one warning", "{n} warnings")
NOTES = Message("one note", "{n} notes")
SEVERITIES = {"error": ERRORS, "warning": WARNINGS, "note": NOTES}
"""How many of each severity, the gravest first."""
SEVERITY = {"error": Message("error"), "warning": Message("warning"), "note": Message("note")}

# -- one finding, or the same in bars close by -------------------------------------------------------------------------

FINDING_AT = Message("{where}: {finding}")
ANSWERED = Message("{finding} (answered by proposal {number})")
AGAIN = Message("{finding} (and once more in this bar)", "{finding} (and {n} times more in this bar)")
ALSO_IN = Message("{finding} (also in bar {bars})", "{finding} (also in bars {bars})")
AT_BEAT = Message("bar {bar}, beat {beat} ({notes}): {finding}")
IN_BARS = Message("bars {bars} ({notes}): {finding}")
SHOWN_AT = Message("{part}, bar {bars}")
SHOWN_IN = Message("{part}, bar {bars} ({notes}): {finding}")
BAR = Message("bar {bar}")
OF_SEVERITY = Message("{severity}: {finding}")
ON_PROOF = Message("bar {bar}, beat {beat} ({notes}): {severity}: {finding}")
ON_PROOF_IN_BARS = Message("bars {bars} ({notes}): {severity}: {finding}")
EXEMPTED = Message("exempted {finding}: {reason}")
KNOWN = Message("in the baseline: {findings}")
IN_BASELINE = Message("in the baseline")
MORE = Message("and one more ({counts})", "and {n} more ({counts})")
MORE_FILES = Message("and one more", "and {n} more")
UNDRAWN = Message("These bars cannot be drawn.")
DEALT_WITH = Message("dealt with")

# -- one part, one file ------------------------------------------------------------------------------------------------

UNDER_POLICY = Message("{findings} (policy {policy})")
POLICY = Message("policy {policy}")
NEEDS_LEVEL = Message("{part}, needs level {level}")
FORCED_BY = Message("{part}, needs level {level} (bar {bars})", "{part}, needs level {level} (bars {bars})")
NOT_CHECKED = Message("could not be checked")
CAN_BE_READ = Message("can be read")
HAS_A_PART = Message("has a part to check")

# -- the whole run -----------------------------------------------------------------------------------------------------

RUN = Message("{files}, {parts}, one note: {severities}", "{files}, {parts}, {n} notes: {severities}")
EXEMPTED_COUNT = Message("one exempted", "{n} exempted")
KNOWN_COUNT = Message("one in the baseline", "{n} in the baseline")
SKIPPED = Message("one file without a part for violin or viola", "{n} files without a part for violin or viola")
FAULTS = Message("one file could not be checked", "{n} files could not be checked")
SKIPPED_LABEL = Message("skipped, without a part for violin or viola: {files}")

TITLE = Message("Left-hand check")
PROOF_TITLE = Message("Left-hand proof list")
IN_ALL = Message("In all")
WHAT_FAILS = Message("What fails")
LEVEL_NEEDED = Message("Level needed")
BY_RULE = Message("Findings by rule")
HARDEST = Message("Hardest bars")
HARDEST_BY_EFFORT = Message("Hardest bars (effort a second)")
SKIPPED_HEADING = Message("Skipped")
SKIPPED_FILES = Message("Skipped, without a part for violin or viola")
FAULTY_FILES = Message("Could not be checked")
HARD_BAR = Message("{file}, {part}, bar {bar}")

FILE_COLUMN = Message("file")
PART_COLUMN = Message("part")
PARTS_COLUMN = Message("parts")
BAR_COLUMN = Message("bar")
NOTES_COLUMN = Message("notes")
FINDING_COLUMN = Message("finding")
RULE_COLUMN = Message("rule")
LEVEL_COLUMN = Message("level")
LEFT_COLUMN = Message("left")
ANSWERED_COLUMN = Message("answered")
RATE_COLUMN = Message("left per 100 bars")
EFFORT_COLUMN = Message("effort a second")

BUILT_IN_POLICIES = (
    Message("proof"),
    Message("first position"),
    Message("first and third position"),
    Message("to third position"),
    Message("to fifth position"),
    Message("the whole fingerboard"),
)
_BUILT_IN = {message.text: message for message in BUILT_IN_POLICIES}


def policy_name(wording: Wording, name: str) -> str:
    """Return the name of a policy: a house's own as it stands, one that comes with the program in the language."""
    return wording.say(_BUILT_IN[name]) if name in _BUILT_IN else name

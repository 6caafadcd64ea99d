"""What a player has to decide, each with a choice, by the rule that finds it and its outcome.

A finding that is not listed here is for publishers: it stands in the reports of a policy and not in a player's.
"""

from ..message import Message

HIGH_NOTE = Message("the high {note}")
VERY_HIGH_NOTE = Message("the very high {note}")
LOW_NOTE = Message("the low {note}")
CHOICES = {
    ("held-fourth-finger", "open"): Message(
        "{where}: the long {pitch} is on the 4th finger, for the vibrato. Or play the {open_string}, which rings more."
    ),
    ("held-fourth-finger", "away"): Message(
        "{where}: the long {pitch} is on the 4th finger. If that sounds weak, play it in {position} ({fingers}) {home}."
    ),
    ("held-fourth-finger", "away-together"): Message(
        "{where}: the long {pitch} are on the 4th finger. "
        "If that sounds weak, play them in {position} ({fingers}) {home}."
    ),
    ("held-open-string", "held"): Message(
        "{where}: the long {pitch} is on the open string, without vibrato. "
        "For vibrato, play it with the 4th finger on the {string}."
    ),
    ("octave-at-half-the-string", "reached"): Message(
        "{where}: the 4th finger reaches for {pitch}. Touch it lightly as a harmonic, which is easier, or press it."
    ),
    ("octave-at-half-the-string", "moved"): Message(
        "{where}: the 4th finger plays {pitch} and, just before or after it, another note on the same string. "
        "There is no time for a harmonic: press {pitch}, or leave it out."
    ),
    ("octave-at-half-the-string", "moved-grace"): Message(
        "{where}: the 4th finger plays the grace note {pitch} and the {next} after it. "
        "There is no time for a harmonic: press {pitch} and slide back to {next}, or leave the grace note out."
    ),
    ("fifth-across-two-strings", "together"): Message(
        "{where}: the {finger} plays on two strings at once. "
        "Place it between them so that it holds down both, or play only one of the two notes."
    ),
    ("awkward-grip", "wide"): Message(
        "{where}: {low} and {high} lie far apart for the hand. "
        "If the stretch does not come easily, leave one of them out."
    ),
    ("chord-not-held", "chord"): Message(
        "{where}: the hand cannot hold {chord} together. Planned without {left_out}; you may leave out another note."
    ),
    ("chord-not-held", "one-string"): Message(
        "{where}: two notes of the chord ({chord}) lie on the lowest string. Planned without {left_out}; "
        "you may leave out another note."
    ),
    ("chord-not-held", "level"): Message(
        "{where}: {chord} do not lie under the hand together at this level. "
        "Play {left_out} briefly and let it go, or leave it out."
    ),
    ("chord-not-held", "apart"): Message(
        "{where}: {chord} do not lie on strings that are side by side at this level, and the bow cannot hold both. "
        "Play {left_out} briefly, then {pitch}, or leave {left_out} out."
    ),
    ("shift-without-time", "hurried"): Message(
        "{where}: there is hardly time for the shift to {position}. Take the passage slower, or shift at another place."
    ),
    ("shift-across-repeat", "jump"): Message(
        "{where}: coming from bar {bar}, the hand has to jump to {position}. "
        "Go there early the first time, or let the bow breathe."
    ),
    ("excursion-for-one-note", "avoidable"): Message(
        "{where}: you go to {position} for {pitch} alone, which first position has too. Go there, or stay."
    ),
    ("trill-on-fourth-finger", "trill"): Message(
        "{where}: the trill on {pitch} is on the 4th finger, which leaves none for the upper note. "
        "Play it in {position} ({fingers}) {home}, or leave the trill out."
    ),
    ("trill-on-fourth-finger", "open"): Message(
        "{where}: the trill on {pitch} is on the 4th finger, which leaves none for the upper note. "
        "Trill on the {open_string} with the 1st finger, or leave the trill out."
    ),
    ("trill-on-fourth-finger", "beyond"): Message(
        "{where}: the trill on {pitch} is on the 4th finger, which leaves none for the upper note. "
        "Leave the trill out, until you have learned {position} ({fingers})."
    ),
    ("trill-on-fourth-finger", "only-there"): Message(
        "{where}: the trill on {pitch} is on the 4th finger, which leaves none for the upper note. Leave the trill out."
    ),
    ("trill-on-open-string", "trill"): Message(
        "{where}: the trill on {pitch} is on the {open_string}. Trill with the 1st finger."
    ),
    ("trill-on-open-string", "elsewhere"): Message(
        "{where}: the trill on {pitch} is on the {open_string}. "
        "Trill with the 1st finger, or play it in {position} ({fingers}) {home}."
    ),
    ("note-above-compass", "beyond-fingerboard"): Message(
        "{where}: {pitch} lies beyond the end of the fingerboard. Play it an octave lower, or leave it out."
    ),
    ("note-above-compass", "left-out"): Message(
        "{where}: {pitch} is out of reach at this level. Play it an octave lower, or leave it out."
    ),
    ("note-below-compass", "below"): Message(
        "{where}: {pitch} lies below the lowest open string. Play it an octave higher, or leave it out."
    ),
    ("note-outside-level", "chord"): Message(
        "{where}: {chord} do not lie under the hand together at this level. "
        "Learn them in {position}, or leave out a note."
    ),
    ("note-outside-level", "chord-planned"): Message(
        "{where}: {chord} do not lie under the hand together at this level, and are planned in {position}. "
        "Learn them there, or leave out a note."
    ),
    ("note-outside-level", "left-out"): Message(
        "{where}: {pitch} is out of reach at this level. "
        "Play it an octave lower or leave it out, until you have learned {position} ({fingers}).",
        "{where}: {pitch} are out of reach at this level. "
        "Play them an octave lower or leave them out, until you have learned {position} ({fingers}).",
    ),
    ("note-outside-level", "in-passing"): Message(
        "{where}: {pitch} is out of reach at this level. Leave it out and hold the note before it a little longer, "
        "until you have learned {position} ({fingers}).",
        "{where}: {pitch} are out of reach at this level. Leave them out and hold the notes before them a little "
        "longer, until you have learned {position} ({fingers}).",
    ),
    ("note-outside-level", "in-a-figure"): Message(
        "{where}: {pitch} is out of reach at this level. Play the whole figure an octave lower, or leave the note out, "
        "until you have learned {position} ({fingers}).",
        "{where}: {pitch} are out of reach at this level. Play the whole figure an octave lower, or leave these notes "
        "out, until you have learned {position} ({fingers}).",
    ),
    ("note-outside-level", "beyond"): Message(
        "{where}: {pitch} is out of reach at this level, and planned in {position}. "
        "Learn it there, play it an octave lower, or leave it out.",
        "{where}: {pitch} are out of reach at this level, and planned in {position}. "
        "Learn them there, play them an octave lower, or leave them out.",
    ),
    ("shift-kind-not-allowed", "kind"): Message(
        "{where}: the shift to {position} comes under a slur. Change the bow there, or let the shift be heard."
    ),
    ("position-beyond-level", "asked"): Message(
        "{where}: the marks ask for {position}, which is beyond this level. Learn it, or plan without the marks."
    ),
    ("restez-not-kept", "cannot-stay"): Message(
        "{where}: the part says restez (stay there), but {pitch} does not lie in {position}. "
        "Leave the position for it: the word may stand in the wrong place."
    ),
}
NOTES_BY_BAR = {
    ("held-fourth-finger", "away"): Message(
        "{where}: these long notes are on the 4th finger. "
        "If that sounds weak, play them in {position} ({fingers}) {home}."
    ),
    ("note-outside-level", "left-out"): Message(
        "{where}: these notes are out of reach at this level. "
        "Play them an octave lower or leave them out, until you have learned {position} ({fingers})."
    ),
    ("note-outside-level", "in-passing"): Message(
        "{where}: these notes are out of reach at this level. Leave them out and hold the notes before them a little "
        "longer, until you have learned {position} ({fingers})."
    ),
    ("note-outside-level", "in-a-figure"): Message(
        "{where}: these notes are out of reach at this level. Play each figure as a whole an octave lower, or leave "
        "these notes out, until you have learned {position} ({fingers})."
    ),
    ("note-outside-level", "beyond"): Message(
        "{where}: these notes are out of reach at this level, and planned in {position}. "
        "Learn them there, play them an octave lower, or leave them out."
    ),
}
"""The same of different notes that ask for the same: they are told together, and the place names them bar by bar."""
COME_BACK = (
    Message("and come back after it"),
    Message("with the notes beside it, and come back after them"),
)
COME_BACK_EACH_TIME = (
    Message("and come back each time"),
    Message("with the notes beside it, and come back each time"),
)
COME_BACK_IN_THE_REST = (
    Message("and come back in the rest after it"),
    Message("with the notes beside it, and come back in the rest after them"),
)
COME_BACK_IN_EACH_REST = (
    Message("and come back in the rest each time"),
    Message("with the notes beside it, and come back in the rest each time"),
)
COME_BACK_OVER_OPEN = (
    Message("and come back while you play the {open_string}"),
    Message("with the notes beside it, and come back while you play the {open_string}"),
)
COME_BACK_AT_THE_BOW = (
    Message("and come back at the change of bow, on {note}"),
    Message("with the notes beside it, and come back at the change of bow, on {note}"),
)
COME_BACK_AT_EACH_BOW = (
    Message("and come back at the change of bow each time"),
    Message("with the notes beside it, and come back at the change of bow each time"),
)
STAY_THERE = (
    Message("and stay there"),
    Message("with the notes beside it, and stay there"),
)
"""Each of these for a note by itself, and for one with others that go with it: their fingers are told."""
EACH_TIME = {
    COME_BACK_IN_THE_REST: COME_BACK_IN_EACH_REST,
    COME_BACK_AT_THE_BOW: COME_BACK_AT_EACH_BOW,
}
BAR_WITH_NOTES = Message("{bars} ({notes})")
NOTE_WITH_FINGER = Message("{note} ({finger})")
SAVING_A_CROSSING = {
    ("held-fourth-finger", "open"): Message(
        "{where}: the long {pitch} is on the 4th finger, which keeps the bow on its string and allows vibrato. "
        "Or play the {open_string}, which rings more."
    ),
    ("held-open-string", "held"): Message(
        "{where}: the long {pitch} is on the open string, which keeps the bow on its string but has no vibrato. "
        "For vibrato, play it with the 4th finger on the {string}."
    ),
}
"""The same where the notes beside it lie on the same string."""
PRINTED = {
    "contradictory-marks": Message(
        "{where}: the marks printed on {pitch} do not go together. "
        "Look them up in another edition, or plan without the printed marks."
    ),
    "finger-cannot-sound-note": Message(
        "{where}: {pitch} cannot be played as the mark on it says. "
        "Look it up in another edition, or plan without the printed marks."
    ),
    "marks-break-the-hand": Message(
        "{where}: the printed marks call the hand to {position}, and there is hardly time to go there. "
        "Play it slower, or plan without the printed marks."
    ),
}
"""By rule, for those that find fault with what is printed in the part."""
NAMED_BY_HEIGHT = frozenset({"note-outside-level", "note-above-compass", "note-below-compass"})
"""Rules about notes that lie too high or too low: the note is called high or low."""
FOR_UNMET = frozenset({*PRINTED, "restez-not-kept"})
"""Rules about marks. A mark that the plan could not keep is told as that, and not as a choice as well."""

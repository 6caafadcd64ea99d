// Written by `make docs` from service/config/options.py; change that, not this file.

export const OPTIONS = {
  "instrument": {
    "label": "Instrument",
    "help": "the instrument to plan for",
    "default": "violin",
    "choices": {
      "violin": "violin",
      "viola": "viola"
    }
  },
  "part": {
    "label": "Part",
    "help": "part to work on, by id or name; without it, all parts for the instrument",
    "default": [],
    "example": "P1"
  },
  "level": {
    "label": "Level",
    "help": "positions and kinds of shift that the player knows",
    "default": "first-and-third",
    "choices": {
      "first": "1st position only",
      "first-and-third": "1st and 3rd",
      "to-third": "up to 3rd",
      "to-fifth": "up to 5th",
      "all": "all positions"
    }
  },
  "positions": {
    "label": "Positions known",
    "help": "positions that the player knows, instead of those of the level; 0 is half position",
    "default": "",
    "pattern": "^(18|17|16|15|14|13|12|11|10|9|8|7|6|5|4|3|2|1|0)([, ]+(18|17|16|15|14|13|12|11|10|9|8|7|6|5|4|3|2|1|0))*$",
    "example": "1,3,5"
  },
  "printed": {
    "label": "Printed fingerings",
    "help": "fingerings that the part already has: they bind the plan, are replaced, or are ignored",
    "default": "keep",
    "choices": {
      "keep": "keep",
      "replace": "replace",
      "ignore": "ignore"
    }
  },
  "fingers": {
    "label": "Fingers shown",
    "help": "finger numbers to print",
    "default": "essential",
    "choices": {
      "essential": "where needed",
      "all": "all",
      "shifts": "at shifts only"
    }
  },
  "language": {
    "label": "Language",
    "help": "language of reports, cards, messages and sheets, and of position words unless they have their own",
    "default": "en-GB",
    "choices": {
      "en-GB": "English (British)",
      "en-US": "English (American)",
      "de": "Deutsch",
      "fr": "Français",
      "it": "Italiano",
      "es": "Español"
    }
  },
  "mark_language": {
    "label": "Position words",
    "help": "language of the position words in the score; without it, `language`",
    "default": "",
    "choices": {
      "en-GB": "English (British)",
      "en-US": "English (American)",
      "de": "Deutsch",
      "fr": "Français",
      "it": "Italiano",
      "es": "Español"
    }
  },
  "range_lines": {
    "label": "Position lines",
    "help": "print a dashed line as long as a position holds",
    "default": false
  },
  "shift_lines": {
    "label": "Shift lines",
    "help": "print a slanted line at each shift (some programs play it)",
    "default": false
  },
  "strings": {
    "label": "Strings",
    "help": "how strings are printed: Roman numerals above the staff, elements of the file, or both",
    "default": "words",
    "choices": {
      "words": "as numerals",
      "elements": "as elements of the file",
      "both": "both"
    }
  },
  "measures": {
    "label": "Bars",
    "help": "bars to mark; without it, all bars",
    "default": "",
    "pattern": "^[^\\s-]+(-[^\\s-]+)?$",
    "example": "5-12"
  },
  "pin": {
    "label": "Decisions",
    "help": "a decision of the player, for a row of the plan or for bars",
    "default": [],
    "example": "n57:finger=2,string=3"
  },
  "character": {
    "label": "Character",
    "help": "how much tone weighs against ease",
    "default": "from-the-part",
    "choices": {
      "from-the-part": "from the part",
      "singing": "singing",
      "brilliant": "brilliant"
    }
  },
  "hand": {
    "label": "Hand",
    "help": "whose fingering: standard, or what counts more or less, as `handframe learn` finds it",
    "default": "standard",
    "pattern": "^(standard|(tone|open_strings|height|shifts|stretches|one_string|crossings|weak_fingers)=[0-9]{1,2}(\\.[0-9]{1,4})?(,(tone|open_strings|height|shifts|stretches|one_string|crossings|weak_fingers)=[0-9]{1,2}(\\.[0-9]{1,4})?)*)$",
    "example": "shifts=0.7,tone=1.4"
  },
  "tempo": {
    "label": "Tempo if none",
    "help": "quarter notes a minute where the part prints no tempo",
    "default": "",
    "minimum": 10,
    "maximum": 400,
    "example": "96"
  },
  "tune": {
    "label": "Tune",
    "help": "tune of an ABC collection, by its number, or all; without it, the first, and all for a review",
    "default": "",
    "pattern": "^(all|[0-9]{1,9})$",
    "example": "12"
  },
  "notation": {
    "label": "Marked score as",
    "help": "notation of the marked score: MusicXML, or ABC for what came as ABC",
    "default": "musicxml",
    "choices": {
      "musicxml": "MusicXML",
      "abc": "ABC"
    }
  },
  "explain": {
    "label": "Reasons",
    "help": "report the cost of every note of the plan, by reason",
    "default": false
  }
};

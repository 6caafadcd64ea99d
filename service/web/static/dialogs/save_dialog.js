// Saving the work: the marked score, the report, the practice sheet, the part on paper.

import * as client from "../api/client.js";
import { download } from "../elements/download.js";
import { button, field, select } from "../elements/elements.js";
import { instrumentOf, partName, partsAlike, requestOptions, session } from "../state/session.js";
import { suffixName } from "../text/file_names.js";
import { words } from "../text/words.js";
import { offer, openOffers } from "./offer.js";

/** @typedef {() => Uint8Array<ArrayBuffer> | null} Midi makes a MIDI file of the part at hand */

/**
 * @param {object} actions
 * @param {() => void} actions.print
 * @param {() => Promise<void>} actions.practice
 * @param {Midi} actions.midi
 * @param {(error: unknown) => void} actions.showError
 * @param {string} paper the chosen paper
 * @param {(paper: string) => void} onPaper
 */
export function openSaveDialog({ print, practice, midi, showError }, paper, onPaper) {
  const text = words.save;
  const choice = partChoice();
  /** Close the dialog if an action fails, so that the error can be seen. @param {() => unknown} action */
  const guard = (action) => async () => {
    try {
      await action();
    } catch (error) {
      dialog.close();
      showError(error);
    }
  };
  const showSheet = async () => {
    await practice();
    dialog.close();
  };
  const printPart = () => {
    dialog.close();
    print();
  };
  const dialog = openOffers(text.title, [
    choice.element,
    offer(
      text.marked,
      text.markedWhat(markedName()),
      guard(() => saveMarked(choice.parts())),
      "main",
    ),
    midiOffer(midi),
    offer(text.report, text.reportWhat, guard(saveReport)),
    offer(text.practice, text.practiceWhat, guard(showSheet)),
    field(text.paper, select(Object.entries(text.papers), paper, onPaper)),
    button(text.print, printPart),
  ]);
}

/** The choice between the part at hand and all parts for its instrument, if there are others. */
function partChoice() {
  const alike = partsAlike();
  let parts = [session.part];
  /** @type {[string, string][]} */
  const choices = [
    ["this", words.save.thisPart(partName(session.part))],
    ["all", words.save.allParts(instrumentOf(session.part))],
  ];
  const choose = (/** @type {string} */ value) => {
    parts = value === "all" ? alike : [session.part];
  };
  const element = alike.length > 1 ? field(words.save.parts, select(choices, "this", choose)) : null;
  return { element, parts: () => parts };
}

const markedName = () => suffixName(session.score.name, "marked");

/** Save the marked score, of the part at hand or of several. @param {string[]} [parts] */
export async function saveMarked(parts) {
  download(markedName(), await client.annotateScore(session.score, requestOptions(parts)));
}

/** The offer to save the part as sound. @param {Midi} midi */
export function midiOffer(midi) {
  const save = () => {
    const file = midi();
    if (file) download(suffixName(session.score.name, "part", ".mid"), file, "audio/midi");
  };
  return offer(words.save.midi, words.save.midiWhat, save);
}

async function saveReport() {
  const text = await client.reportText(session.score, requestOptions());
  download(suffixName(session.score.name, "review", ".txt"), text, "text/plain");
}

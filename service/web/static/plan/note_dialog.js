// The dialog about one note, beside the note: the ways to take it, and what each costs nearby.

import * as client from "../api/client.js";
import { errorText } from "../api/service_error.js";
import { openDialog } from "../elements/dialog.js";
import { button, field, make } from "../elements/elements.js";
import { placeBeside } from "../music/page_layout.js";
import { noteDecision, noteDecisionAt, pinsOf, remarkAt, remarkDecision, replaceDecision } from "../state/decisions.js";
import { change, removeDecision, requestOptions, session } from "../state/session.js";
import { capitalize } from "../text/sentences.js";
import { words } from "../text/words.js";
import { costText, isPresent, wishFrom } from "./note_choice.js";

/** @import { NoteChoice, PlanRow, PlanView } from "../api/answers.js" */

const LONGEST_REMARK = 200; // characters

/**
 * @param {PlanView} plan
 * @param {number} row
 * @param {Record<number, string>} strings names of the open strings
 * @param {() => DOMRect | null} place where the note is now
 * @param {{ close: () => void, play: () => void, placed: (dialog: DOMRect) => void }} handlers what happens when the
 *   dialog closes, what plays from the note, and what is done once the dialog stands
 */
export function openNoteDialog(plan, row, strings, place, handlers) {
  const note = plan.plan[row];
  const earlier = noteDecisionAt(session.decisions, session.part, row);
  const list = make("div", { class: "note-choices", "aria-live": "polite" });
  /** @type {NoteChoice | null} */
  let chosen = null;
  const choose = (/** @type {NoteChoice} */ choice) => {
    chosen = choice;
  };
  const remark = remarkAt(session.decisions, session.part, row);
  const text = make("input", {
    id: "remark",
    value: remark?.text ?? "",
    maxlength: LONGEST_REMARK,
    autocomplete: "off",
  });
  const decide = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    const written = text.value.trim();
    const isRemarked = written !== (remark?.text ?? "");
    // Whoever writes a remark and leaves the finger alone has decided about the remark only.
    const isDecided = chosen && !(isRemarked && !earlier && isPresent(chosen, note));
    const decision = isDecided && chosen ? noteDecision(session.part, row, note, wishFrom(chosen), strings) : null;
    change((now) => {
      if (decision) now.decisions = replaceDecision(now.decisions, decision);
      if (isRemarked) now.decisions = now.decisions.filter((other) => other !== remark);
      if (isRemarked && written) now.decisions = [...now.decisions, remarkDecision(session.part, row, note, written)];
    });
    dialog.close();
  };
  const clear = () => {
    if (earlier) removeDecision(earlier);
    dialog.close();
  };
  const play = () => {
    dialog.close();
    handlers.play();
  };
  const content = make(
    "form",
    { submit: decide },
    make("h2", { id: "note-title", text: words.note.title(note.pitch, note.place) }),
    list,
    field(words.note.remark, text),
    make(
      "div",
      { class: "slip-acts" },
      make("button", { type: "submit", class: "main", text: words.note.set }),
      earlier ? button(words.note.clear, clear) : null,
      button(words.note.play, play),
      button(words.note.close, () => dialog.close()),
    ),
  );
  const dialog = openDialog({ class: "slip note-slip", "aria-labelledby": "note-title" }, [content], handlers.close);
  const options = { ...requestOptions(), pin: pinsOf(session.decisions.filter((other) => other !== earlier)) };

  function stand() {
    setPlace(dialog, place());
    handlers.placed(dialog.getBoundingClientRect());
  }

  async function fill() {
    list.replaceChildren(make("p", { class: "fine", text: words.note.looking }));
    stand();
    try {
      const choices = await client.noteChoices(session.score, options, row);
      list.replaceChildren(...choiceList(choices, note, strings, choose));
    } catch (error) {
      list.replaceChildren(make("p", { text: errorText(error) }), button(words.faults.retry, fill));
    }
    stand();
    /** @type {HTMLElement | null} */ (list.querySelector("input:checked, input"))?.focus();
  }
  return fill();
}

/**
 * The ways of the level, and, on demand, those beyond it.
 * @param {NoteChoice[]} choices
 * @param {PlanRow} note
 * @param {Record<number, string>} strings
 * @param {(choice: NoteChoice) => void} onChoice
 */
function choiceList(choices, note, strings, onChoice) {
  const item = (/** @type {NoteChoice} */ choice) => {
    const checked = isPresent(choice, note);
    if (checked) onChoice(choice);
    const way = capitalize(words.note.what(wishFrom(choice), strings));
    const id = `choice-${choice.string}-${choice.finger}-${choice.position}`;
    const text = choice.rise === 0 && choice.within_level ? words.note.planned : costText(choice);
    const input = make("input", { type: "radio", name: "choice", id, checked, change: () => onChoice(choice) });
    return make(
      "li",
      {},
      input,
      make(
        "label",
        { for: id },
        make("span", { class: "choice-way", text: way }),
        make("span", { class: "fine", text }),
      ),
    );
  };
  const within = choices.filter((choice) => choice.within_level);
  const beyond = choices.filter((choice) => !choice.within_level);
  const isBeyond = beyond.some((choice) => isPresent(choice, note));
  return [
    within.length ? make("ul", {}, within.map(item)) : make("p", { text: words.note.none }),
    ...(beyond.length
      ? [
          make(
            "details",
            { class: "more", open: isBeyond },
            make("summary", { text: words.note.beyond(beyond.length) }),
            make("ul", {}, beyond.map(item)),
          ),
        ]
      : []),
  ];
}

/** Put the dialog beside its note; on a small screen the style sheet says where. @param {HTMLElement} dialog @param {DOMRect | null} note */
function setPlace(dialog, note) {
  if (!note) return;
  dialog.classList.toggle("at-left", note.left > innerWidth / 2);
  const { left, top } = placeBeside(note, dialog.getBoundingClientRect(), { width: innerWidth, height: innerHeight });
  dialog.style.left = `${left}px`;
  dialog.style.top = `${top}px`;
}

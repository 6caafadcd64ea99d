// The question before decisions are lost, where the browser keeps nothing.

import { openDialog } from "../elements/dialog.js";
import { button, make } from "../elements/elements.js";
import { words } from "../text/words.js";

/** Do something at once, or, if decisions would be lost, after the player agrees. @param {boolean} isLoss @param {() => void} action */
export function askBeforeLoss(isLoss, action) {
  if (!isLoss) return action();
  const leave = () => {
    dialog.close();
    action();
  };
  const dialog = openDialog({ class: "slip", "aria-labelledby": "loss-title" }, [
    make("h2", { id: "loss-title", text: words.acts.another }),
    make("p", { text: words.faults.notKept }),
    make(
      "div",
      { class: "slip-acts" },
      button(words.faults.stay, () => dialog.close(), { class: "main" }),
      button(words.faults.leave, leave),
    ),
  ]);
}

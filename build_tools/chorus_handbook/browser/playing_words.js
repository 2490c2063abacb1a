// @ts-check
/** Writes what the player tells screen readers when it begins: the key, and which parts are heard. */

import { gettext } from "./words.js";

/** @import { PlaybackChoices } from "./playback_choices.js" */

/**
 * The sentence, such as "Playing in C. Alto louder."
 * @param {string} key its name; "" if nobody sings a pitch
 * @param {PlaybackChoices} choices
 */
export function playingWords(key, { quick, part }) {
  const playing = key ? gettext("Playing in {key}.", { key }) : gettext("Playing.");
  const name = part?.selectedOptions[0]?.textContent;
  const heard = name && quick ? heardOf(quick.value, name) : "";
  return heard ? `${playing} ${heard}` : playing;
}

/**
 * Which parts are heard; "" if all are.
 * @param {string} choice the value of the quick choice
 * @param {string} part the name of the singer's part
 */
function heardOf(choice, part) {
  if (choice === "only") return gettext("{part} only.", { part });
  if (choice === "louder") return gettext("{part} louder.", { part });
  if (choice === "others") return gettext("All but {part}.", { part });
  return choice === "echo" ? gettext("{part}, and you answer.", { part }) : "";
}

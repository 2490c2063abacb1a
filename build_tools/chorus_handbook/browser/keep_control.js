// @ts-check
/**
 * A button that keeps something on this device, for reading without a signal. It says how large that is,
 * shows how far the download is, and removes what is kept. Another button cancels the download. It has
 * nothing to offer where the whole handbook is kept, and without a signal it keeps nothing (`kept.css`).
 */

import { allKept, FullError, KeepError } from "./kept_files.js";
import { startWorker } from "./opened_pages.js";
import { decimal, gettext } from "./words.js";

/** @import { Asked, KeptFiles, Progress } from "./kept_files.js" */

/** Into how many parts a download is divided for screen readers, which are told after each. */
const TOLD = 4;
/** After a button has changed what it does, taps are ignored for this many milliseconds: a second tap in haste means what the first one meant (our choice). */
const HASTE_MS = 1000;
/** When a button last changed so, in milliseconds, on all of the page, because a list moves up when something is removed. */
let changed = -HASTE_MS;
const GB = 1e9;

export class KeepControl {
  /**
   * @param {HTMLElement} box the place on the page for the button
   * @param {KeptFiles} kept
   * @param {Pick<Asked, "page" | "title" | "pages" | "everything">} asked
   * @param {string} label of the button, such as "Keep this warm-up on this device"
   */
  constructor(box, kept, asked, label) {
    this.kept = kept;
    this.asked = asked;
    this.label = label;
    /** Called when something was kept or removed. */
    this.onChange = () => {};
    this.button = button(() => void this.tap());
    /** Beside it, because whoever taps twice would hit it in the same place: cancels, or removes what has arrived. */
    this.second = button(() => void this.tapSecond());
    this.bar = document.createElement("progress");
    this.bar.setAttribute("aria-label", label);
    this.status = document.createElement("p");
    this.status.setAttribute("role", "status");
    /** Whether all of it is kept. */
    this.whole = false;
    /** Whether it is kept with the whole handbook. */
    this.within = false;
    /** What the buttons do now. @type {"" | "keep" | "go on" | "cancel" | "remove"} */
    this.doing = "";
    /** Cancels the download; null when there is none. @type {AbortController | null} */
    this.download = null;
    this.size = 0;
    this.told = 0;
    box.replaceChildren(this.button, this.second, this.bar, this.status);
    this.show();
  }

  /** Finds out how large it is, and whether it is kept already, and shows that. */
  async look() {
    const { requests } = await this.kept.read();
    const here = requests.find(({ page }) => page === this.asked.page);
    this.within = !this.asked.everything && allKept({ requests });
    this.whole = here?.whole ?? false;
    this.size = here?.bytes ?? 0;
    if (this.within) this.status.textContent = gettext("Kept with the whole handbook.");
    else if (here && !here.whole) this.status.textContent = gettext("Only a part of it is on this device, because the download broke off.");
    this.begun = Boolean(here);
    this.doing = ""; // nothing has changed, it is only known now
    this.show();
    if (this.whole || this.within) return;
    const files = await this.kept.list().catch(() => null);
    if (!files) return;
    this.size = this.kept.pathsOf(files, this.asked).reduce((sum, path) => sum + (files.get(path)?.size ?? 0), 0);
    this.show();
  }

  /** Shows the buttons and the progress as they are now. */
  show() {
    const size = this.size ? megabytes(this.size) : "";
    this.bar.hidden = !this.download;
    this.button.hidden = this.within;
    this.second.hidden = this.within || !(this.download || (this.begun && !this.whole));
    this.second.textContent = this.download ? gettext("Cancel") : gettext("Remove what has arrived");
    for (const one of [this.button, this.second]) one.classList.toggle("hb-keep-offer", !this.whole && !this.download);
    this.button.setAttribute("aria-disabled", String(Boolean(this.download)));
    const doing = this.download ? "cancel" : this.whole ? "remove" : this.begun ? "go on" : "keep";
    if (this.doing && doing !== this.doing && doing !== "go on") changed = performance.now();
    this.doing = doing;
    if (this.whole) this.button.textContent = this.removal(size);
    else if (this.begun && !this.download) this.button.textContent = size ? gettext("Go on ({size} in all)", { size }) : gettext("Go on");
    else this.button.textContent = size ? gettext("{what} ({size})", { what: this.label, size }) : this.label;
  }

  /** The label of the button when a tap removes what is kept. @param {string} size */
  removal(size) {
    const { title, everything } = this.asked;
    if (everything) return gettext("Remove the whole handbook from this device ({size})", { size });
    return gettext("Remove “{title}” from this device ({size})", { title, size });
  }

  /** Removes what is kept, or keeps it; does nothing while it is downloaded. */
  async tap() {
    if (this.download || (this.doing !== "go on" && inHaste())) return;
    if (this.whole) await this.remove();
    else await this.keep();
  }

  /** Cancels the download, or removes what has arrived. */
  async tapSecond() {
    if (inHaste()) return;
    if (this.download) this.download.abort();
    else await this.remove();
  }

  /** Downloads and keeps it. */
  async keep() {
    const download = new AbortController();
    this.download = download;
    this.begun = true;
    this.told = 0;
    this.tell(gettext("Downloading …"));
    try {
      await startWorker(this.kept.base);
      await this.kept.keep(this.asked, { signal: download.signal, progress: (progress) => this.progress(progress) });
      this.tell(gettext("It is kept on this device, and opens without a signal."));
      this.whole = true;
    } catch (reason) {
      if (download.signal.aborted) await this.forget(gettext("Cancelled. Nothing of it is kept."));
      else {
        this.begun = await this.isBegun();
        this.tell(messageOf(reason));
      }
    }
    this.download = null;
    this.show();
    this.onChange();
  }

  /** Whether any of it may have arrived. */
  async isBegun() {
    const kept = await this.kept.read().catch(() => null);
    return Boolean(kept?.requests.some(({ page }) => page === this.asked.page));
  }

  /** Removes it from this device. */
  async remove() {
    await this.forget(gettext("It is removed from this device."));
    this.show();
    this.button.focus();
    this.onChange();
  }

  /** Deletes its files. @param {string} message what the reader is then told */
  async forget(message) {
    try {
      await this.kept.remove(this.asked.page);
      this.begun = this.whole = false;
      this.tell(message);
    } catch (reason) {
      this.tell(messageOf(reason));
    }
  }

  /** Shows how far the download is. @param {Progress} progress */
  progress({ done, all }) {
    if (!this.download) return; // the download has failed, but some of its files are still arriving
    this.bar.max = all || 1;
    this.bar.value = done;
    const part = Math.floor((TOLD * done) / (all || 1));
    if (part <= this.told) return;
    this.told = part;
    this.tell(gettext("{done} of {all} downloaded", { done: megabytes(done), all: megabytes(all) }));
  }

  /** Tells the reader something. @param {string} message */
  tell(message) {
    this.status.textContent = message;
    this.show();
  }
}

/** What to tell the reader when something could not be kept. @param {unknown} reason */
function messageOf(reason) {
  if (reason instanceof KeepError || reason instanceof FullError) return reason.message;
  console.warn("keep", reason);
  return gettext("This cannot be kept here: {why}", { why: String(reason) });
}

/** A size as pages write it: "1.2 MB". @param {number} bytes */
export function megabytes(bytes) {
  const rounded = (/** @type {number} */ unit) => decimal(Math.max(Math.round((10 * bytes) / unit) / 10, 0.1));
  return bytes < GB ? gettext("{n} MB", { n: rounded(1e6) }) : gettext("{n} GB", { n: rounded(GB) });
}

/** Whether a tap comes so soon after a change that it is meant for what the button did before. */
function inHaste() {
  return performance.now() - changed < HASTE_MS;
}

/** A new button. @param {() => void} tapped called when it is tapped */
function button(tapped) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "md-button";
  made.addEventListener("click", tapped);
  return made;
}

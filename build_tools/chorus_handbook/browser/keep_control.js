// @ts-check
/**
 * A button that keeps something on this device, for reading without a signal. It says how large that is,
 * shows how far the download is, can cancel it, and removes what is kept.
 */

import { FullError, KeepError } from "./kept_files.js";
import { startWorker } from "./opened_pages.js";
import { decimal, gettext } from "./words.js";

/** @import { Asked, KeptFiles, Progress } from "./kept_files.js" */

/** Into how many parts a download is divided for screen readers, which are told after each. */
const TOLD = 4;
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
    this.second = button(() => void this.remove());
    this.second.textContent = gettext("Remove what has arrived");
    this.bar = document.createElement("progress");
    this.bar.setAttribute("aria-label", label);
    this.status = document.createElement("p");
    this.status.setAttribute("role", "status");
    /** Whether all of it is kept. */
    this.whole = false;
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
    this.whole = here?.whole ?? false;
    this.size = here?.bytes ?? 0;
    if (here && !here.whole) this.status.textContent = gettext("Only a part of it is on this device, because the download broke off.");
    this.begun = Boolean(here);
    this.show();
    if (this.whole) return;
    const files = await this.kept.list().catch(() => null);
    if (!files) return;
    this.size = this.kept.pathsOf(files, this.asked).reduce((sum, path) => sum + (files.get(path)?.size ?? 0), 0);
    this.show();
  }

  /** Shows the buttons and the progress as they are now. */
  show() {
    const size = this.size ? megabytes(this.size) : "";
    this.bar.hidden = !this.download;
    this.second.hidden = !this.begun || this.whole || Boolean(this.download);
    if (this.download) this.button.textContent = gettext("Cancel");
    else if (this.whole) this.button.textContent = this.removal(size);
    else if (this.begun) this.button.textContent = size ? gettext("Go on ({size} in all)", { size }) : gettext("Go on");
    else this.button.textContent = size ? gettext("{what} ({size})", { what: this.label, size }) : this.label;
  }

  /** The label of the button when a tap removes what is kept. @param {string} size */
  removal(size) {
    const { title, everything } = this.asked;
    if (everything) return gettext("Remove the whole handbook from this device ({size})", { size });
    return gettext("Remove “{title}” from this device ({size})", { title, size });
  }

  /** Cancels the download, removes what is kept, or keeps it. */
  async tap() {
    if (this.download) this.download.abort();
    else if (this.whole) await this.remove();
    else await this.keep();
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
      else this.tell(messageOf(reason));
    }
    this.download = null;
    this.show();
    this.onChange();
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

/** A new button. @param {() => void} tapped called when it is tapped */
function button(tapped) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "md-button";
  made.addEventListener("click", tapped);
  return made;
}

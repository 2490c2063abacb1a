// @ts-check
/**
 * The page on which a reader puts a warm-up together as a draft. Every change makes a new plan; the
 * drafts are then stored in this browser, and the whole page is drawn again from the plan. The drafts
 * as they were before a change are kept for "Undo", until the page is left.
 */

import { clockOf, joinsByItem } from "./attendance.js";
import { timeOfDay, timetable } from "./clock.js";
import { withDay } from "./draft_day.js";
import { makeMovable } from "./draft_drag.js";
import { readForm } from "./draft_form.js";
import { broughtBy, draftLabels, receivedIn } from "./draft_received.js";
import { changedItem, draftRow, noticeOf, titleOf } from "./draft_row.js";
import { DraftSearch } from "./draft_search.js";
import { copy, save, share } from "./draft_share.js";
import { lookAt, showSummary } from "./draft_summary.js";
import { DraftTake } from "./draft_take.js";
import { CHANGE_EVENT, showTonight } from "./draft_tonight.js";
import { MOST_ITEMS, currentOf, draftsIn, emptyPlan, storedDrafts, withDraft, withExercise, withMoved, withPlan, withReceived } from "./drafts.js";
import { noticed } from "./finding_sentences.js";
import { runningOrder } from "./planning.js";
import { FACTS } from "./shared_facts.js";
import { clashes } from "./same_room.js";
import { findings } from "./warm_up_checks.js";
import { gettext } from "./words.js";

/** @import { Drafts } from "./drafts.js" */
/** @import { Plan, Planning } from "./planning.js" */

class DraftPage {
  /** @param {HTMLElement} page @param {Planning} planning */
  constructor(page, planning) {
    this.page = page;
    this.planning = planning;
    const handbook = new URL(page.dataset.handbook ?? "", location.href);
    this.handbook = handbook;
    this.store = storedDrafts(handbook.pathname);
    this.all = draftsIn(this.store);
    this.stored = JSON.stringify(this.store.read());
    /** For "Undo": the drafts as they were before each change; for "Redo", as they were before each "Undo". @type {Drafts[]} */
    this.before = [];
    /** @type {Drafts[]} */
    this.after = [];
    /** The place of the item whose fields are shown; -1 for none. */
    this.open = -1;
    this.taking = new DraftTake(page, handbook);
    this.list = this.find(".hb-draft-items");
    this.search = new DraftSearch(this.find(".hb-draft-add"), (slug) => this.add(slug));
    makeMovable(this.list, ".hb-draft-handle", (from, to) => this.move(from, to, ".hb-draft-handle"));
    page.addEventListener("click", (event) => this.click(event));
    page.addEventListener("change", (event) => this.changed(event));
    addEventListener("storage", () => this.catchUp());
    addEventListener("pageshow", () => this.catchUp()); // a page that was left is not told of changes in storage
    addEventListener("hashchange", () => this.openLink(""));
    document.addEventListener(CHANGE_EVENT, (event) => event instanceof CustomEvent && this.replan(event.detail.plan, event.detail.said));
    this.find(".hb-draft-work").hidden = false;
    this.openLink(document.referrer);
    if (!currentOf(this.all)) this.all = withDraft(this.all, this.dated(emptyPlan(gettext("Warm-up"))));
    this.show();
  }

  /** The part of the page that a selector finds. @param {string} selector @returns {HTMLElement} */
  find(selector) {
    const found = this.page.querySelector(selector);
    if (!(found instanceof HTMLElement)) throw new Error(selector);
    return found;
  }

  /** The plan of the current draft. @returns {Plan} */
  get plan() {
    return this.dated(currentOf(this.all)?.plan ?? emptyPlan(""));
  }

  /** The plan with a date; see `withDay`. @param {Plan} plan @returns {Plan} */
  dated(plan) {
    return withDay(plan, this.planning);
  }

  /**
   * Shows what another tab has stored since this page last read the storage. "Undo" would overwrite it,
   * so there is nothing to undo afterwards.
   * @returns {boolean} whether another tab had changed anything
   */
  catchUp() {
    const stored = JSON.stringify(this.store.read());
    if (stored === this.stored) return false;
    this.stored = stored;
    this.all = draftsIn(this.store);
    [this.before, this.after, this.open] = [[], [], -1];
    this.show();
    this.tell(gettext("Your drafts were changed in another tab: this is how they are now. “Undo” reaches back no further than this."));
    return true;
  }

  /** Makes a draft of the plan in the page's address, if there is one after the "#". @param {string} referrer the address of the page that led here; "" if none did */
  openLink(referrer) {
    const received = receivedIn(location.hash.slice(1), this.planning);
    if (!received) return;
    history.replaceState(null, "", location.pathname + location.search);
    const { plan, told } = received;
    this.catchUp();
    if (!plan.items.length) return this.tell(told);
    // "Undo" reaches back no further than this: it must not take away what was received.
    [this.before, this.after, this.open] = [[], [], -1];
    const by = broughtBy(referrer, this.handbook);
    this.put((by === "link" ? withReceived : withDraft)(this.all, this.dated(plan)), gettext("Opened as a new draft."));
    this.tell([by === "link" ? gettext("This warm-up came by link. It is a draft of your own now, beside your others.") : "", told, this.unstored].filter(Boolean).join(" "));
  }

  /** What to tell the reader if this browser stores nothing; else "". */
  get unstored() {
    return this.store.lasting ? "" : gettext("Nothing more can be stored in this browser: its storage is full or switched off. Share the warm-up by link, or save it as a file, before you leave this page.");
  }

  /** Makes a change that can be undone. Does nothing if another tab has changed the drafts. @param {Drafts} all the drafts after the change @param {string} said what screen readers are told */
  change(all, said) {
    if (this.catchUp()) return;
    this.before.push(this.all);
    this.after = [];
    this.put(all, said);
  }

  /** Stores and shows these drafts. @param {Drafts} all @param {string} said what screen readers are told */
  put(all, said) {
    this.all = all;
    this.store.save(all);
    this.stored = JSON.stringify(this.store.read());
    this.tell(this.unstored);
    this.find(".hb-draft-link").hidden = true; // it is of the warm-up as it was
    this.show();
    this.say(said);
  }

  /** Gives the current draft another plan, as a change that can be undone. @param {Plan} plan @param {string} said what screen readers are told */
  replan(plan, said) {
    this.change(withPlan(this.all, plan), said);
  }

  undo() {
    const all = this.catchUp() ? null : this.before.pop();
    if (!all) return;
    this.after.push(this.all);
    this.open = -1;
    this.put(all, gettext("Undone."));
  }

  redo() {
    const all = this.catchUp() ? null : this.after.pop();
    if (!all) return;
    this.before.push(this.all);
    this.put(all, gettext("Done again."));
  }

  /** Adds an exercise at the end. @param {string} slug */
  add(slug) {
    const { plan } = this;
    if (plan.items.length >= MOST_ITEMS) return this.tell(gettext("A warm-up can have at most {n} items. Take one out first.", { n: MOST_ITEMS }));
    const title = this.planning.exercises[slug].title;
    const button = () => this.page.querySelector(`button[data-slug="${slug}"]`);
    const before = button()?.getBoundingClientRect().top;
    this.replan(withExercise(plan, slug), gettext("{title} is now item {n}.", { title, n: plan.items.length + 1 }));
    const after = button();
    if (!(after instanceof HTMLElement)) return;
    after.focus({ preventScroll: true });
    // The draft above has grown; the list stays under the finger. Browsers do not see to it by themselves:
    // all rows are drawn anew, so that they have none left to hold on to.
    if (before !== undefined) scrollBy({ top: after.getBoundingClientRect().top - before, behavior: "instant" });
  }

  /** Moves an item to another place; places count from 0. @param {number} from @param {number} to @param {string} focus selects the control in the item that gets the focus afterwards */
  move(from, to, focus) {
    const { plan } = this;
    if (to < 0 || to >= plan.items.length) return;
    const title = this.titleAt(from);
    if (this.open >= 0) this.open = this.open === from ? to : -1;
    this.replan(withMoved(plan, from, to), gettext("{title} is now item {n} of {count}.", { title, n: to + 1, count: plan.items.length }));
    this.focus(to, focus);
  }

  /** Takes out the item at a place, from 0. @param {number} place */
  remove(place) {
    const { plan } = this;
    const title = this.titleAt(place);
    this.open = -1;
    this.replan({ ...plan, items: plan.items.filter((_, other) => other !== place) }, gettext("{title} was taken out. “Undo” brings it back.", { title }));
    this.focus(Math.min(place, plan.items.length - 2), ".hb-draft-open");
  }

  /** Gives the focus to a control of the item at a place, from 0; without items, to the search. @param {number} place @param {string} selector */
  focus(place, selector) {
    const control = this.list.children[place]?.querySelector(selector) ?? this.page.querySelector("[name=wanted]");
    if (control instanceof HTMLElement) control.focus();
  }

  /** The title of the item at a place, from 0. @param {number} place */
  titleAt(place) {
    const item = this.plan.items[place];
    return titleOf(item, this.planning.exercises[item.exercise] ?? null);
  }

  /** Does what the button that was clicked is for. @param {MouseEvent} event */
  click({ target }) {
    const button = target instanceof Element ? target.closest("button") : null;
    const place = Number(button?.closest("li")?.dataset.place ?? -1);
    if (button?.matches(".hb-draft-open")) {
      this.open = this.open === place ? -1 : place;
      this.show();
      this.focus(place, ".hb-draft-open");
    }
    const acts = {
      undo: () => this.undo(),
      redo: () => this.redo(),
      new: () => this.change(withDraft(this.all, this.dated(emptyPlan(gettext("Warm-up"), this.plan))), gettext("A new draft.")),
      delete: () => this.delete(),
      earlier: () => this.move(place, place - 1, "[data-do=earlier]"),
      later: () => this.move(place, place + 1, "[data-do=later]"),
      remove: () => this.remove(place),
      share: () => void share(this.find(".hb-draft-link"), this.plan).then((told) => this.say(told)),
      copy: () => void copy(this.find(".hb-draft-link")).then((told) => this.say(told)),
      save: () => this.tell(save(this.plan, this.planning)),
      look: () => lookAt(this.page, this.store.lasting),
    };
    Reflect.get(acts, button?.dataset.do ?? "")?.();
    if (button?.dataset.take) void this.take(button.dataset.take);
  }

  /** Opens the draft on the music stand, or prints it. @param {string} what "stand", "sheet" or "strip" */
  async take(what) {
    const { plan, planning } = this;
    try {
      await this.taking.take(what, plan, runningOrder(plan, planning), planning);
    } catch (reason) {
      this.tell(gettext("Some exercises of this warm-up could not be loaded. Try again when there is a signal."));
      if (!(reason instanceof TypeError)) throw reason;
    }
  }

  /** Deletes the current draft. There is always one, so an empty one follows the last. */
  delete() {
    const { current } = this.all;
    const id = currentOf(this.all)?.id;
    const drafts = this.all.drafts.filter((one) => one.id !== id);
    const rest = drafts.length ? { current, drafts } : withDraft({ current, drafts }, this.dated(emptyPlan(gettext("Warm-up"))));
    this.open = -1;
    this.change(rest, gettext("The draft is deleted. “Undo” brings it back."));
  }

  /** Called when a field was changed: the choice of the draft, a field of an item, or one of the whole. @param {Event} event */
  changed({ target }) {
    if (!(target instanceof HTMLInputElement || target instanceof HTMLSelectElement)) return;
    if (target.name === "draft") {
      this.open = -1;
      if (!this.catchUp()) this.put({ ...this.all, current: target.value }, "");
    } else if (target.closest(".hb-draft-item")) {
      this.changeItem(Number(target.closest("li")?.dataset.place), target.name);
    } else if (target.closest(".hb-draft-about")) {
      this.replan(readForm(target.name, this.find(".hb-draft-about"), this.plan, this.planning), gettext("Changed."));
    }
  }

  /** Takes over what a field of an item says now. @param {number} place of the item, from 0 @param {string} name of the field */
  changeItem(place, name) {
    const { plan } = this;
    const numbers = this.planning.exercises[plan.items[place].exercise];
    const item = changedItem(plan.items[place], this.list.children[place], name, numbers);
    this.replan({ ...plan, items: plan.items.map((one, other) => (other === place ? item : one)) }, gettext("Changed."));
    this.focus(place, `[name=${name}]`);
  }

  /** Draws the whole page from the current plan. */
  show() {
    const { plan, planning } = this;
    const order = runningOrder(plan, planning);
    const found = findings(order).map((one) => ({ ...one, ...noticed(one, plan, order, planning) }));
    /** For each item whose exercise is in the handbook, its number in the plan, from 1. */
    const numbers = plan.items.flatMap(({ exercise }, place) => (Object.hasOwn(planning.exercises, exercise) ? [place + 1] : []));
    const slots = timetable(order.items);
    const joins = joinsByItem(plan, slots, planning);
    const template = this.page.querySelector("template");
    if (!template) return;
    const rows = plan.items.map((item, place) => {
      const planned = numbers.indexOf(place + 1);
      const slot = slots[planned] ?? null;
      return draftRow(template, {
        place,
        item,
        numbers: planning.exercises[item.exercise] ?? null,
        planned: order.items[planned] ?? null,
        slot,
        joins: joins[planned] ?? [],
        begins: slot ? timeOfDay(clockOf(plan.starts), slot.begins) : "",
        told: found.filter((one) => planned >= 0 && one.item === planned),
        link: new URL(`exercises/${item.exercise}/`, this.handbook).href,
        open: place === this.open,
      }, planning);
    });
    this.list.replaceChildren(...rows);
    this.find(".hb-draft-findings").replaceChildren(...found.filter(({ item }) => item === null).map(noticeOf));
    const met = clashes(plan, planning);
    this.find(".hb-draft-clashes").replaceChildren(...met.map(noticeOf));
    const seen = { found: found.filter(({ answer }) => !answer).length + met.length, lasting: this.store.lasting };
    showSummary((selector) => this.find(selector), plan, order, numbers, planning, seen);
    this.showDrafts();
    this.search.update(planning, plan);
    showTonight({ plan, order, planning });
  }

  /** Shows the list of drafts, and whether there is anything to undo or to redo. */
  showDrafts() {
    for (const [name, list] of /** @type {const} */ ([["undo", this.before], ["redo", this.after]])) {
      /** @type {HTMLButtonElement} */ (this.find(`.hb-draft-bar [data-do=${name}]`)).disabled = !list.length;
    }
    const choice = /** @type {HTMLSelectElement} */ (this.find("[name=draft]"));
    const current = currentOf(this.all)?.id;
    const labels = draftLabels(this.all.drafts);
    choice.replaceChildren(...this.all.drafts.map(({ id }, n) => new Option(labels[n], id, false, id === current)));
  }

  /** Shows a message, which stays on the page until the next change. @param {string} message */
  tell(message) {
    this.find(".hb-draft-told").textContent = message;
  }

  /** Tells screen readers what has changed; nothing of it is seen. @param {string} message */
  say(message) {
    this.find("[role=status]").textContent = message;
  }
}

const page = document.querySelector(".hb-draft");
if (page instanceof HTMLElement) {
  try {
    const planning = await (await fetch(page.dataset.planning ?? "")).json();
    if (planning.version !== FACTS.formats.planning) throw new Error("another version");
    new DraftPage(page, planning);
  } catch (reason) {
    const told = page.querySelector(".hb-draft-told");
    if (told) told.textContent = gettext("The exercises could not be loaded. Load the page again when there is a signal; your drafts stay in this browser.");
    if (!(reason instanceof TypeError)) throw reason;
  }
}

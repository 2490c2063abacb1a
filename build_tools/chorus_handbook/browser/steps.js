// @ts-check
/**
 * On the page of an exercise, turns the time that a step states ("20 s") into a button that starts a
 * countdown. The countdown stays in view in large figures. It makes no sound, since people may be singing,
 * and goes on to the next step only when it is tapped.
 */

import { Countdown, due, figures } from "./countdown.js";
import { WakeLock } from "./wake_lock.js";
import { gettext, ngettext } from "./words.js";

/** How often the countdown is updated, in milliseconds. */
const LOOK_MS = 200;

/** A step with a time: its button, its list item, its number in the list, and its seconds. @typedef {{button: HTMLButtonElement, item: Element, number: number, seconds: number}} Step */

/**
 * Makes a button of the time of a step.
 * @param {HTMLElement} time
 * @returns {Step[]} the step; empty if the time is not in a numbered list
 */
function stepOf(time) {
  const item = time.closest("li");
  const list = item?.parentElement;
  if (!item || !(list instanceof HTMLOListElement)) return [];
  const button = document.createElement("button");
  button.type = "button";
  button.className = time.className;
  const unseen = document.createElement("span");
  unseen.className = "hb-unseen";
  unseen.textContent = ` ${gettext("Count down")}`;
  button.append(...time.childNodes, unseen);
  time.replaceWith(button);
  const number = list.start + [...list.children].indexOf(item);
  return [{ button, item, number, seconds: Number(time.dataset.seconds) }];
}

/** A new element. @param {string} kind its tag @param {string} className @param {string} [text] */
function made(kind, className, text = "") {
  const element = document.createElement(kind);
  element.className = className;
  element.textContent = text;
  return element;
}

/** Makes the countdown, and lets the buttons start it. @param {Step[]} steps */
function setUp(steps) {
  const panel = made("div", "hb-countdown");
  panel.role = "group";
  panel.ariaLabel = gettext("Countdown");
  panel.hidden = true;
  const name = made("span", "hb-countdown-step");
  const left = made("span", "hb-countdown-left");
  left.role = "timer"; // screen readers do not announce every change of it
  const status = made("span", "hb-unseen");
  status.role = "status";
  const [pause, next, stop] = ["", gettext("Next step"), gettext("End")].map((text) => {
    const button = made("button", "", text);
    /** @type {HTMLButtonElement} */ (button).type = "button";
    return /** @type {HTMLButtonElement} */ (button);
  });
  panel.append(name, left, pause, next, stop);
  document.querySelector(".hb-sections")?.append(panel, status);

  const screen = new WakeLock();
  let place = 0;
  let countdown = new Countdown(0);
  let before = 0;
  let timer = 0;

  /** Starts the countdown of a step. @param {number} which its place among the steps, from 0 */
  function begin(which) {
    place = which;
    const { number, seconds } = steps[place];
    countdown = new Countdown(seconds);
    before = seconds;
    countdown.start(Date.now());
    status.textContent = ngettext("Step {number}: {n} second.", "Step {number}: {n} seconds.", seconds, { number });
    name.textContent = gettext("Step {number}", { number });
    panel.hidden = false;
    next.disabled = place + 1 >= steps.length;
    for (const { item } of steps) item.classList.toggle("hb-step-now", item === steps[place].item);
    show();
  }

  /** Shows the time left, and sees to it that it is shown again soon. */
  function show() {
    const now = countdown.seconds(Date.now());
    left.textContent = figures(now);
    panel.classList.toggle("hb-over", now === 0);
    pause.textContent = countdown.running ? gettext("Pause") : gettext("Go on");
    pause.disabled = now === 0;
    const event = due(before, now);
    if (event === "soon") status.textContent = ngettext("{n} second left.", "{n} seconds left.", now);
    if (event === "over") status.textContent = gettext("The time of this step is over.");
    before = now;
    clearInterval(timer);
    if (countdown.running && now > 0) timer = setInterval(show, LOOK_MS);
    screen.keep(!panel.hidden);
  }

  /** Closes the countdown. */
  function end() {
    clearInterval(timer);
    const { button, item } = steps[place];
    item.classList.remove("hb-step-now");
    const focused = panel.contains(document.activeElement);
    panel.hidden = true;
    status.textContent = "";
    screen.keep(false);
    if (focused) button.focus({ preventScroll: true });
  }

  steps.forEach(({ button }, which) => button.addEventListener("click", () => begin(which)));
  next.addEventListener("click", () => {
    begin(place + 1);
    if (next.disabled) pause.focus(); // a disabled button would lose the focus
  });
  pause.addEventListener("click", () => {
    if (countdown.running) countdown.pause(Date.now());
    else countdown.start(Date.now());
    show();
  });
  stop.addEventListener("click", end);
  panel.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    event.preventDefault(); // so that Escape does not also stop the player
    end();
  });
}

const times = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("span.hb-step-time")]);
const steps = times.flatMap(stepOf);
if (steps.length) setUp(steps);

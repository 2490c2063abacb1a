// @ts-check
/**
 * The player's controls on the page of an exercise. What is to sound is fetched while the page is
 * at rest, the context made at the first tap; after that nothing is asked of the network.
 */

import { ChordHolder } from "./chord_holder.js";
import { fillCents } from "./cents_table.js";
import { Follower } from "./follow.js";
import { SoundError } from "./instrument.js";
import { brought } from "./loudness.js";
import { Mix } from "./mix.js";
import { OneAtATime } from "./one_at_a_time.js";
import { keyName } from "./own_row.js";
import { Player } from "./player.js";
import { pitch } from "./schedule.js";
import { Sounding } from "./sounding.js";
import { AssetLoader } from "./asset_loader.js";
import { voiceControls } from "./voice_controls.js";
import { gettext, ngettext } from "./words.js";

/** @import { Notes } from "./schedule.js" */
/** @import { PlayMode, PlayOptions } from "./player.js" */

const TICK_MS = 25;
/** Milliseconds in which a second tap on "Play" is taken for a slip of the finger. */
const SECOND_TAP_MS = 350;
/** Milliseconds for which a browser may take its time to let sound begin; Firefox took 1700 of them. */
const PATIENCE_MS = 3000;
const PITCH_SECONDS = 2;

/**
 * @param {HTMLElement} box
 * @param {HTMLElement} figure
 */
export function setUp(box, figure) {
  /** @type {<T extends Element>(selector: string, kind: new () => T) => T} */
  const part = (selector, kind) => {
    const found = box.querySelector(selector);
    if (!(found instanceof kind)) throw new Error(`${selector} is missing`);
    return found;
  };
  const play = part(".hb-play", HTMLButtonElement);
  const stop = part(".hb-stop", HTMLButtonElement);
  const says = part(".hb-player-says", HTMLElement);
  const tempo = part("[name=tempo]", HTMLInputElement);
  const mode = part("[name=play-mode]", HTMLSelectElement);
  const countIn = part("[name=count-in]", HTMLInputElement);
  const more = part(".hb-player-more", HTMLDetailsElement);
  const cents = box.querySelector("table.hb-cents");
  const just = () => box.querySelector("[name=tuning]:checked")?.getAttribute("value") === "just";
  const mix = new Mix(/** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-voice]")]).map((row) => row.dataset.voice ?? ""));

  const assets = new AssetLoader(box.dataset.notes ?? "", box.dataset.instrument ?? "");
  const others = new OneAtATime(giveWay);

  /** @type {AudioContext | null} */
  let context = null;
  /** @type {{notes: Notes, player: Player, follower: Follower, holder: ChordHolder} | null} */
  let ready = null;
  let busy = false;
  let played = 0;
  let timer = 0;
  let wanted = 0;
  /** The key that the player asks the score for, which is not to be taken for a reader's choice. */
  let asking = "";
  /** @type {Sounding[]} */
  let given = [];

  /** All that is needed to sound; to be called within a tap. */
  async function sound() {
    if (!("AudioContext" in window)) {
      throw new SoundError(gettext("This browser cannot play the exercise: it lacks Web Audio. Use a newer browser."));
    }
    if (!context) {
      const session = "audioSession" in navigator ? navigator.audioSession : null;
      if (session) /** @type {{type: string}} */ (session).type = "playback";
      context = new AudioContext({ latencyHint: "interactive" });
      context.addEventListener("statechange", interrupted);
    }
    const running = context.resume();
    const patience = new Promise((done) => setTimeout(done, PATIENCE_MS));
    const loading = gettext("Loading the sound …");
    if (!ready || context.state !== "running") says.textContent = loading;
    if (!ready) {
      const [found, instrument] = await Promise.all([assets.notes.get(), assets.instrument.get()]);
      const player = new Player(context, instrument, found, chosenOptions(found));
      const follower = new Follower(figure, found);
      ready = { notes: found, player, follower, holder: new ChordHolder(box, player, follower, mix) };
      player.onEnd = () => ended(gettext("Finished."));
      player.mix(mix.levels(), mix.shares());
      tellReach(found, player);
    }
    await Promise.race([running, patience]);
    if (context.state !== "running") {
      throw new SoundError(gettext("The browser has not let the sound start. Tap again."));
    }
    if (says.textContent === loading) says.textContent = "";
    part(".hb-player-silence", HTMLElement).hidden = !likelySilenced();
    return ready;
  }

  /** @param {Notes} found @returns {PlayOptions} */
  function chosenOptions(found) {
    const key = Math.max(0, found.keys.findIndex((one) => one.key === figure.dataset.key));
    const way = /** @type {PlayMode} */ (mode.value);
    return { mode: way, key, tempo: Number(tempo.value) / 100, just: just(), countIn: countIn.checked };
  }

  /** @param {() => Promise<void>} task begun by a tap; a second tap meanwhile does nothing */
  async function tapped(task) {
    if (busy) return;
    busy = true;
    await attempted(task);
    busy = false;
  }

  /** @param {() => Promise<void>} task whose failure is told; it stands in no tap's way */
  async function attempted(task) {
    try {
      await task();
    } catch (reason) {
      console.warn("player", reason);
      says.textContent =
        reason instanceof SoundError ? reason.message : gettext("The exercise could not be played. Reload the page.");
    }
  }

  async function toggle() {
    if (ready?.player.state === "playing") {
      if (performance.now() - played > SECOND_TAP_MS) pause(gettext("Paused."));
      return;
    }
    const { player, holder, follower } = await sound();
    holder.end();
    hushPitch();
    if (player.state === "stopped") player.options = chosenOptions(player.notes);
    follower.inView = true;
    player.play();
    played = performance.now();
    begun();
    says.textContent = gettext("Playing in {key}.", { key: keyWord(player.keyNow(player.origin)) });
  }

  function begun() {
    others.begins();
    play.textContent = gettext("Pause");
    stop.disabled = false;
    clearInterval(timer);
    timer = setInterval(beat, TICK_MS);
    cancelAnimationFrame(wanted);
    wanted = requestAnimationFrame(draw);
  }

  /** @param {string} word */
  function pause(word) {
    ready?.player.pause();
    rest(ready?.player.state === "paused" ? gettext("Go on") : gettext("Play"));
    says.textContent = word;
  }

  /** @param {string} word on the button */
  function rest(word) {
    clearInterval(timer);
    cancelAnimationFrame(wanted);
    play.textContent = word;
  }

  /** @param {string} word */
  function ended(word) {
    if (!ready) return;
    ready.player.stop();
    ready.holder.end();
    ready.follower.clear();
    rest(gettext("Play"));
    show(ready.player.options.key);
    if (document.activeElement === stop) play.focus();
    stop.disabled = true;
    says.textContent = word;
  }

  function beat() {
    ready?.player.tick(document.hidden);
  }

  function draw() {
    if (!ready || !context || ready.player.state !== "playing") return;
    const { player, follower } = ready;
    const heard = context.currentTime - (context.outputLatency || 0);
    follower.show(player.due(heard), mix.levels());
    const key = player.keyNow(heard);
    if (show(key)) says.textContent = gettext("Now in {key}.", { key: keyWord(key) });
    wanted = requestAnimationFrame(draw);
  }

  /** @param {number} place */
  function keyWord(place) {
    return keyName(ready?.notes.keys[place].key.replace(/\d+$/, "") ?? "");
  }

  /** Has the score shown in a key. @param {number} place */
  function show(place) {
    const key = ready?.notes.keys[place].key ?? "";
    if (!key || key === figure.dataset.key) return false;
    asking = key;
    figure.dispatchEvent(new CustomEvent("handbook:choose-key", { detail: { key } }));
    asking = "";
    return true;
  }

  function interrupted() {
    if (context?.state === "running" || ready?.player.state !== "playing") return;
    pause(gettext("Paused: something else took over the sound. “Go on” continues from here."));
  }

  function giveWay() {
    ready?.holder.end();
    hushPitch();
    if (ready?.player.state === "playing") pause(gettext("Paused: another page started playing."));
  }

  /** @param {string} voice "" for the tonic */
  async function givePitch(voice) {
    const { notes: found, player } = await sound();
    if (!context) return;
    others.begins();
    hushPitch();
    const key = Math.max(0, found.keys.findIndex((one) => one.key === figure.dataset.key));
    const first = found.voices.find(({ name }) => name === voice)?.notes.find((note) => note.semitones.length);
    const tuning = { just: just() };
    const midis = first
      ? first.semitones.map((semitones, place) => pitch(found, tuning, key, semitones, first.cents[place]))
      : [pitch(found, tuning, key, 0, 0)];
    const origin = context.currentTime + 0.02;
    const kind = /** @type {const} */ ("note");
    const events = midis
      .filter((one) => player.instrument.reaches(one))
      .map((midi) => ({ at: 0, length: PITCH_SECONDS, kind, key, voice: null, id: null, midi, level: 1 }));
    const level = brought(events, new Map(), player.instrument.tones);
    for (const event of events) {
      given.push(new Sounding(context, player.instrument, player.master, { ...event, level }, origin));
    }
  }

  function hushPitch() {
    for (const one of given) one.fade(context?.currentTime ?? 0);
    given = [];
  }

  /** @param {Notes} found @param {Player} player */
  function tellReach(found, player) {
    const beyond = found.keys.some((_, key) =>
      found.voices.some((voice) =>
        voice.notes.some((note) => note.semitones.some((one) => !player.instrument.reaches(pitch(found, {}, key, one, 0)))),
      ),
    );
    part(".hb-player-reach", HTMLElement).hidden = !beyond;
  }

  function showTempo() {
    const beats = Math.round((Number(box.dataset.tempo) * Number(tempo.value)) / 100);
    part(".hb-tempo-told", HTMLElement).textContent = ngettext("{n} beat a minute", "{n} beats a minute", beats);
    const percent = { percent: tempo.value };
    tempo.setAttribute(
      "aria-valuetext",
      ngettext("{n} beat a minute, {percent} percent", "{n} beats a minute, {percent} percent", beats, percent),
    );
  }

  async function showCents() {
    if (!(cents instanceof HTMLTableElement)) return;
    const found = await assets.notes.get();
    part(".hb-tuning-told", HTMLElement).textContent = found.tuning.told;
    fillCents(cents, found, Math.max(0, found.keys.findIndex((one) => one.key === figure.dataset.key)));
  }

  play.addEventListener("click", () => void tapped(toggle));
  stop.addEventListener("click", () => ended(gettext("Stopped.")));
  box.querySelector(".hb-give-pitch")?.addEventListener("click", () => void tapped(() => givePitch("")));
  tempo.addEventListener("input", () => {
    showTempo();
    ready?.player.change({ tempo: Number(tempo.value) / 100 });
  });
  mode.addEventListener("change", () => ready?.player.change({ mode: /** @type {PlayMode} */ (mode.value) }));
  for (const choice of box.querySelectorAll("[name=tuning]")) {
    choice.addEventListener("change", () => {
      ready?.player.change({ just: just() });
      ready?.holder.renew();
    });
  }
  voiceControls(box, mix, {
    changed() {
      ready?.player.mix(mix.levels(), mix.shares());
      ready?.holder.renew();
    },
    pitch: (voice) => void tapped(() => givePitch(voice)),
  });
  box.querySelector(".hb-hold")?.addEventListener("click", () =>
    void tapped(async () => {
      const { player, holder } = await sound();
      if (holder.held) {
        holder.end();
        says.textContent = "";
        return;
      }
      if (player.state === "stopped") player.options = chosenOptions(player.notes);
      if (player.state === "playing") pause(gettext("Paused."));
      hushPitch();
      stop.disabled = false;
      others.begins();
      holder.begin();
    }),
  );
  figure.addEventListener("handbook:key", () => {
    if (more.open) void showCents().catch(() => {});
    if (!ready || figure.dataset.key === asking) return;
    const { key } = chosenOptions(ready.notes);
    ready.player.change({ key });
    ready.holder.renew();
    if (ready.player.state === "playing") says.textContent = gettext("Now in {key}.", { key: keyWord(key) });
  });
  more.addEventListener("toggle", () => more.open && void attempted(showCents));
  document.addEventListener("visibilitychange", beat);
  window.addEventListener("pagehide", () => ready?.player.state === "playing" && pause(gettext("Paused.")));
  showTempo();
  box.hidden = false;
  assets.prefetch();
}

/** Telephones and tablets whose silent switch mutes pages. */
function likelySilenced() {
  return /iPhone|iPad|iPod/.test(navigator.userAgent) || (navigator.userAgent.includes("Mac") && navigator.maxTouchPoints > 1);
}

for (const box of document.querySelectorAll(".hb-player")) {
  const figure = box.closest(".hb-score")?.querySelector(".hb-figure");
  if (box instanceof HTMLElement && figure instanceof HTMLElement) setUp(box, figure);
}

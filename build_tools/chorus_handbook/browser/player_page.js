// @ts-check
/**
 * The player on the page of an exercise: connects its controls, the score and the sound.
 *
 * Notes, tones and code are fetched while the page is idle. The browser's sound output can only be opened by
 * the first tap.
 */

import { AssetLoader, SoundError } from "./asset_loader.js";
import { connectHearOnly } from "./hear_only.js";
import { PlaybackChoices } from "./playback_choices.js";
import { PlayerBar } from "./player_bar.js";
import { playingWords } from "./playing_words.js";
import { openToPractise } from "./practice.js";
import { BarChoice, barAt } from "./section.js";
import { isLikelySilenced, SoundingPage } from "./sounding_page.js";
import { WakeLock } from "./wake_lock.js";
import { gettext, keyName } from "./words.js";

/** @import { Notes } from "./schedule.js" */
/** @import { Playback } from "./playback.js" */
/** @import { PlayMode, PlayOptions } from "./player.js" */

const TICK_MS = 25; // how often the player hands sounds over while it plays
const SECOND_TAP_MS = 350; // in which a second tap on "Play" is taken for an accident

/**
 * @param {HTMLElement} box the exercise: its row of controls, score and mixer
 * @param {HTMLElement} row the row of controls
 * @param {HTMLElement} figure the score
 */
export function setUp(box, row, figure) {
  /** @type {<T extends Element>(selector: string, kind: new () => T) => T} */
  const part = (selector, kind) => {
    const found = box.querySelector(selector);
    if (!(found instanceof kind)) throw new Error(`${selector} is missing`);
    return found;
  };
  const play = part(".hb-play", HTMLButtonElement);
  const stop = part(".hb-stop", HTMLButtonElement);
  const status = part(".hb-player-status", HTMLElement);
  const mode = part("[name=play-mode]", HTMLSelectElement);
  const countIn = part("[name=count-in]", HTMLInputElement);
  const givePitch = box.querySelector(".hb-give-pitch"); // null if nobody sings a pitch
  const more = part(".hb-player-options", HTMLDetailsElement);
  const instrument = new URL(row.dataset.instrument ?? "", location.href);
  const assets = new AssetLoader(row.dataset.notes ?? "", instrument.href);
  const page = new SoundingPage({ giveWay, interrupted });
  const screenLock = new WakeLock();
  const choices = new PlaybackChoices(box, Number(row.dataset.tempo), new URL("../../", instrument).pathname, {
    mixed() {
      loaded?.player.mix(choices.mix.levels(), choices.mix.shares());
      loaded?.reference.renew();
      if (loaded?.player.state === "playing") tellPlaying(currentKey());
      if (choices.echoed !== bars.echoed) practiceChanged();
    },
    tempo: () => loaded?.player.change({ tempo: choices.tempo }),
    tuned() {
      loaded?.player.change({ just: choices.just });
      loaded?.reference.renew();
    },
    startingNote: (voice) => void tapped(() => soundStart(voice)),
  });
  connectHearOnly(box, { sounds: () => loaded?.player.state === "playing", play: () => play.click() });
  const bars = new BarChoice(box, choices.echoed, practiceChanged);
  const bar = new PlayerBar(box, row.dataset, {
    play: () => void tapped(toggle),
    stop: () => ended(gettext("Stopped.")),
    next: () => void tapped(nextKey),
    key: (key) => figure.dispatchEvent(new CustomEvent("handbook:choose-key", { detail: { key } })),
  });

  /** Null until the sound is loaded. @type {Playback | null} */
  let loaded = null;
  let busy = false;
  let playedAt = 0;
  let timer = 0;
  let frame = 0;
  /** The key that the player asks the score to show, so that it is not taken for a reader's choice. */
  let requestedKey = "";
  const tellPlaying = (/** @type {number} */ key) => (status.textContent = playingWords(givePitch ? keyWord(key) : "", choices));

  /** Loads everything that is needed for sound. Must be called while a tap is handled. @returns {Promise<Playback>} */
  async function load() {
    const { context, running } = page.open();
    const loading = gettext("Loading the sound …");
    if (!loaded || context.state !== "running") status.textContent = loading;
    if (!loaded) {
      const [code, notes, tones] = await Promise.all([assets.code.get(), assets.notes.get(), assets.instrument.get()]);
      bars.fill(notes);
      loaded = new code.Playback(context, tones, notes, { box, figure, mix: choices.mix, options: chosenOptions(notes) });
      loaded.player.notes = bars.of(notes);
      loaded.follower.bars = bars.chosen;
      loaded.player.onEnd = runEnded;
      part(".hb-player-reach", HTMLElement).hidden = !loaded.lacksTones;
    }
    await running;
    if (status.textContent === loading) status.textContent = "";
    part(".hb-player-silence", HTMLElement).hidden = !isLikelySilenced();
    return loaded;
  }

  /** The index of the key in which the score is shown. @param {Notes} notes */
  function shownKey(notes) {
    return Math.max(0, notes.keys.findIndex(({ key }) => key === figure.dataset.key));
  }

  /** The options as the controls are set. @param {Notes} notes @returns {PlayOptions} */
  function chosenOptions(notes) {
    const chosen = /** @type {PlayMode} */ (mode.value);
    return { mode: chosen, key: shownKey(notes), tempo: choices.tempo, just: choices.just, countIn: countIn.checked };
  }

  /** Runs a task that a tap has started. Until it ends, other taps do nothing. @param {() => Promise<void>} task */
  async function tapped(task) {
    if (busy) return;
    busy = true;
    await attempted(task);
    busy = false;
  }

  /** Runs a task and shows its failure. Taps are not blocked meanwhile. @param {() => Promise<void>} task */
  async function attempted(task) {
    try {
      await task();
    } catch (reason) {
      console.warn("player", reason);
      status.textContent =
        reason instanceof SoundError ? reason.message : gettext("The exercise could not be played. Reload the page.");
    }
  }

  /** Loads the sound and prepares a run: single notes and chords that sound are ended. */
  async function prepare() {
    const found = await load();
    found.reference.end();
    found.single.end();
    if (found.player.state === "stopped") found.player.options = chosenOptions(found.notes);
    found.follower.inView = true;
    return found;
  }

  async function toggle() {
    if (loaded?.player.state === "playing") {
      if (performance.now() - playedAt > SECOND_TAP_MS) pause(gettext("Paused."));
      return;
    }
    const { player } = await prepare();
    player.play();
    begun(player.keyNow(player.origin));
  }

  async function nextKey() {
    const { player, notes } = await prepare();
    const key = currentKey() + 1;
    if (key >= notes.keys.length) return;
    player.goTo(key);
    showKey(key);
    begun(key);
  }

  /** Plays from the bar at a point of the window. @param {MouseEvent} event */
  async function startAtBar({ clientX, clientY }) {
    const { player, follower } = await prepare();
    const id = follower.noteAt(clientX, clientY)?.replace(/\.g\d+$/, ""); // a grace note's is its note's
    const note = player.notes.voices.flatMap((voice) => voice.notes).find((one) => one.id === id);
    if (!note) return;
    player.startAt((player.notes.bars ?? [0])[barAt(player.notes, note.at)]);
    begun(currentKey());
  }

  /** Called when other bars are to be practised, or in another way. What sounds begins again. */
  function practiceChanged() {
    bars.echoed = choices.echoed;
    if (!loaded) return;
    const { state } = loaded.player;
    if (mode.value !== "climb") loaded.player.options.key = currentKey();
    if (state !== "stopped") ended("");
    loaded.player.notes = bars.of(loaded.notes);
    loaded.follower.bars = bars.chosen;
    if (state === "playing") void tapped(toggle);
  }

  /** The index of the key that sounds, or that would sound next. */
  function currentKey() {
    if (!loaded) return 0;
    const { player, notes } = loaded;
    return player.state === "stopped" ? shownKey(notes) : player.keyNow(player.context.currentTime);
  }

  /** Shows that playing has begun. @param {number} key the index of its key */
  function begun(key) {
    playedAt = performance.now();
    page.begins();
    screenLock.keep(true);
    showState(gettext("Pause"));
    tellPlaying(key);
    clearInterval(timer);
    timer = setInterval(beat, TICK_MS);
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(draw);
  }

  /** Shows that the run sounds or is paused. @param {string} word the text of the play button */
  function showState(word) {
    play.textContent = word;
    stop.disabled = false;
    if (loaded) bar.show(word, loaded.notes, currentKey());
  }

  /** Pauses. @param {string} text what the reader is told */
  function pause(text) {
    loaded?.player.pause();
    rest();
    showState(loaded?.player.state === "paused" ? gettext("Go on") : gettext("Play"));
    status.textContent = text;
  }

  function rest() {
    clearInterval(timer);
    cancelAnimationFrame(frame);
    screenLock.keep(false);
  }

  /** Called at the end of the run. If the singer chooses each key, the bar stays and waits for that. */
  function runEnded() {
    if (!loaded) return;
    const { player, notes, follower } = loaded;
    if (player.options.mode !== "by-hand" || player.options.key + 1 >= notes.keys.length) return ended(gettext("Finished."));
    follower.clear();
    rest();
    showState(gettext("Play"));
    status.textContent = gettext("Tap “Next key” to go on, or “Play” for the same key again.");
  }

  /** Stops, and shows that. @param {string} text what the reader is told */
  function ended(text) {
    if (!loaded) return;
    loaded.player.stop();
    loaded.reference.end();
    loaded.follower.clear();
    rest();
    showKey(loaded.player.options.key);
    play.textContent = gettext("Play");
    if (bar.hide() || document.activeElement === stop) play.focus({ preventScroll: true });
    stop.disabled = true;
    status.textContent = text;
  }

  function beat() {
    loaded?.player.tick(document.hidden);
  }

  function draw() {
    if (loaded?.player.state !== "playing") return;
    const { player, follower } = loaded;
    const heard = player.context.currentTime - page.latency;
    follower.show(player.due(heard), choices.mix.levels());
    const key = player.keyNow(heard);
    if (showKey(key)) status.textContent = gettext("Now in {key}.", { key: keyWord(key) });
    frame = requestAnimationFrame(draw);
  }

  /** The name of a key. @param {number} place its index */
  function keyWord(place) {
    return keyName(loaded?.notes.keys[place].key ?? "", row.dataset.named);
  }

  /** Shows the score in a key. @param {number} place its index */
  function showKey(place) {
    const key = loaded?.notes.keys[place].key ?? "";
    if (!key || key === figure.dataset.key) return false;
    requestedKey = key;
    figure.dispatchEvent(new CustomEvent("handbook:choose-key", { detail: { key } }));
    requestedKey = "";
    return true;
  }

  function interrupted() {
    if (loaded?.player.state === "playing") pause(gettext("Paused: something else took over the sound. “Go on” continues from here."));
  }

  function giveWay() {
    loaded?.reference.end();
    loaded?.single.end();
    if (loaded?.player.state === "playing") pause(gettext("Paused: another page started playing."));
  }

  /** Sounds the note on which a voice starts. @param {string} voice "" for the tonic */
  async function soundStart(voice) {
    const playback = await load();
    page.begins();
    playback.soundStart(voice, shownKey(playback.notes), choices.just);
  }

  async function toggleChord() {
    const { player, reference, single } = await load();
    if (reference.sounding) {
      reference.end();
      status.textContent = "";
      if (player.state === "stopped") ended("");
      return;
    }
    if (player.state === "stopped") player.options = chosenOptions(player.notes);
    if (player.state === "playing") pause(gettext("Paused."));
    single.end();
    page.begins();
    showState(player.state === "paused" ? gettext("Go on") : gettext("Play"));
    reference.begin();
  }

  async function showCents() {
    const [code, notes] = await Promise.all([assets.code.get(), assets.notes.get()]);
    bars.fill(notes);
    code.fillCents(box, notes, shownKey(notes));
  }

  play.addEventListener("click", () => void tapped(toggle));
  givePitch?.addEventListener("click", () => void tapped(() => soundStart("")));
  box.querySelector(".hb-hold")?.addEventListener("click", () => void tapped(toggleChord));
  mode.addEventListener("change", () => loaded?.player.change({ mode: /** @type {PlayMode} */ (mode.value) }));
  figure.querySelector(".hb-drawings")?.addEventListener("click", (event) => {
    if (event instanceof MouseEvent && event.target instanceof Element && event.target.closest(".hb-wide, .hb-narrow")) void tapped(() => startAtBar(event));
  });
  figure.addEventListener("handbook:key", () => {
    if (more.open) void showCents().catch(() => {});
    if (!loaded) return;
    const { player, reference } = loaded;
    if (figure.dataset.key !== requestedKey) {
      player.change({ key: shownKey(loaded.notes) });
      reference.renew();
      if (player.state === "playing") status.textContent = gettext("Now in {key}.", { key: keyWord(player.options.key) });
    }
    if (!stop.disabled) showState(play.textContent ?? "");
  });
  more.addEventListener("toggle", () => more.open && void attempted(showCents));
  document.addEventListener("visibilitychange", beat);
  window.addEventListener("pagehide", () => loaded?.player.state === "playing" && pause(gettext("Paused.")));
  row.hidden = false;
  part(".hb-mixer", HTMLElement).hidden = false;
  assets.prefetch();
}

for (const row of document.querySelectorAll(".hb-player")) {
  const box = row.closest(".hb-exercise");
  const figure = box?.querySelector(".hb-figure");
  if (!(row instanceof HTMLElement) || !(box instanceof HTMLElement) || !(figure instanceof HTMLElement)) continue;
  openToPractise(row, figure);
  setUp(box, row, figure);
}

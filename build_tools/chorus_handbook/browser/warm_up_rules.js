// @ts-check
/**
 * The numbers and the sentences of the checks of warm-ups, written once for Python
 * (`warmups/findings.py`) and the browser (`finding_sentences.js`). The table is plain JSON.
 *
 * - kinds: what pages call each kind of warm-up, which are messages.
 * - chart: in SVG units, the width of the chart of the build-up, the height of a bar for each level of
 *   impact, and the space above and below the bars, where their impact and their number are written.
 * - sheet: heights on the cue sheet in millimetres: of a sheet of A4 within its margins; of a line of text
 *   and of a title; of a staff with the notes above and below it; what borders and padding add to a row;
 *   of the sheet's title, the heads of its columns and the gaps together. Then how many characters fit on a
 *   line of the sheet, of a title, and of its two columns. All was measured in a browser and is a little
 *   too high, so that US Letter usually has room for a sheet too. `steps`: how many steps are shown if
 *   they are cut; `staves`: with more items than this, scale numbers replace the staves, so that the text
 *   need not shrink; `lengths`: how long the texts of a row may be, from the shortest to whole: the most
 *   words of what to say, and of each step (0: no steps).
 * - clock: half-seconds between two items, between them where the formation changes, and after the
 *   last (`warmups/clock.py`).
 * - limits: what each check allows; times in half-seconds, intervals in semitones. The modules in
 *   `warmups/checks/` explain them.
 * - findings: what each check says, by the name of the finding: its code, what is wrong, and what to do.
 *   Pages say `page_message` and `page_hint` instead, if there are any, because their readers do not write
 *   files. What pages show are messages (`catalogue.py`); `handbook check` prints English.
 */
export const RULES = {
  "kinds": {
    "weekly": "weekly",
    "short": "short",
    "concert": "before a concert",
    "outdoor": "outdoors",
    "seated": "seated",
    "children": "children",
    "online": "online"
  },
  "chart": { "width": 360, "step": 15, "top": 14, "foot": 16 },
  "sheet": { "height": 285, "line": 4.5, "title_line": 5.8, "staff": 15, "row": 1.2, "frame": 20, "wide": 98, "title": 23, "left": 30, "right": 54, "steps": 5, "staves": 8, "lengths": [[10, 0], [10, 4], [10000, 4], [10000, 6], [10000, 10], [10000, 16], [10000, 10000]] },
  "clock": { "between": 30, "change": 90, "end": 120 },
  "limits": {
    "too_many_weeks": 8,
    "strong": { "needed": 240, "needed_in_short": 60, "needed_if_strong": 480, "late": 960, "longest": 120 },
    "prepared_within": 5,
    "leap": { "widest": 7, "needed": 240 },
    "harmony": { "lines": 3, "impact": 3 },
    "prepared_impact": 3,
    "most_changes": 2,
    "join_in": { "impact": 3, "effort": 1 },
    "first_impact": 3,
    "longest": { "weekly": 2400, "short": 720, "concert": 3600, "outdoor": 960, "seated": 2400, "children": 1200, "online": 2400 },
    "concert": { "impact": 4, "first_block": 720, "later_block": 360 },
    "outdoor": { "widest": 9, "loud": 4 },
    "children": { "item": 150, "most_still": 2 },
    "online_lines": 3,
    "phrase": { "seated": 14, "children": 8, "breaths": 2 },
    "seated_lower": 2
  },
  "findings": {
    "voices": {
      "code": "warmup-voices",
      "message": "None of the voices present can sing {item} in {key}.",
      "hint": "Plan other keys, or correct the fields \"present\" and \"there\", which say who is there and when.",
      "page_hint": "Plan other keys, or say who is there."
    },
    "strong-early": {
      "code": "warmup-strong",
      "message": "{item} comes after only {before} of singing; it needs {needed} of singing before it.",
      "hint": "Move it to a later place, or put gentler items before it."
    },
    "strong-long": {
      "code": "warmup-strong",
      "message": "{item} sounds for {time}; strong singing should last no longer than {longest}.",
      "hint": "Plan fewer of its keys, under \"keys\".",
      "page_hint": "Plan fewer of its keys."
    },
    "extremes": {
      "code": "warmup-extremes",
      "message": "{item} takes {notes}: outside the comfortable range, and more than {interval} beyond any note that the voice has sung earlier in this warm-up.",
      "hint": "Begin it in a key nearer the middle, or put a hum, a trill or a glide before it that comes within {interval} of that note."
    },
    "leap": {
      "code": "warmup-leap",
      "message": "{item} leaps by {interval} after only {before} of singing; a leap of more than a fifth needs {needed} of singing before it.",
      "hint": "Move it to a later place, or put an item that moves by step before it."
    },
    "time": {
      "code": "warmup-time",
      "field": "minutes",
      "message": "This warm-up takes {time}, which is {over} more than \"minutes\" says. The longest item is {item} with {length}.",
      "page_message": "This warm-up takes {time}, which is {over} more than it may take. The longest item is {item} with {length}.",
      "hint": "Leave out an item, or plan fewer keys or minutes for one, or mark those that can be left out with \"if_time: 1\".",
      "page_hint": "Leave out an item, plan fewer keys or minutes for one, or mark what can be left out, under “If time is short”."
    },
    "harmony": {
      "code": "warmup-harmony",
      "message": "{item} has {n} different lines, and nothing before it is sung in unison; singing in unison should come first.",
      "hint": "Put an item in unison before it, such as a hum or a scale."
    },
    "body": {
      "code": "warmup-body",
      "message": "{item} comes before any item for the body or the breath; one of these should come first.",
      "hint": "Put an item for the body or the breath before it, such as a stretch, easy breathing or a gentle hum."
    },
    "close-strong": {
      "code": "warmup-close",
      "message": "The last item, {item}, is strong singing (impact 5).",
      "hint": "End with a gentler item; move \"{title}\" to an earlier place."
    },
    "close-full": {
      "code": "warmup-close",
      "message": "The last item, {item}, is full singing (impact 4) and does not bring the chorus together.",
      "hint": "End with an item for blend, tuning or harmony, or with the piece's first chord; move \"{title}\" to an earlier place."
    },
    "level": {
      "code": "warmup-level",
      "message": "The first item, {item}, has level 3 (over some weeks) and is not known yet; a warm-up should begin with something easy or known.",
      "hint": "Begin with an item of level 1, which can be sung at once, or with one that the chorus knows."
    },
    "new-concert": {
      "code": "warmup-new",
      "message": "{item} is new on a concert day.",
      "hint": "Replace it with an item that everyone knows."
    },
    "new-hard": {
      "code": "warmup-new",
      "message": "{item} is new and has level 3 (it takes some weeks to learn).",
      "hint": "Teach it in rehearsal first, over some weeks."
    },
    "new-second": {
      "code": "warmup-new",
      "message": "{item} is new, and so is {others} before it; one new item in a warm-up is enough.",
      "hint": "Keep this item for another week, or replace it with one that the chorus knows."
    },
    "new-further": {
      "code": "warmup-new",
      "message": "{item} is new, and so are {others} before it; one new item in a warm-up is enough.",
      "hint": "Keep this item for another week, or replace it with one that the chorus knows."
    },
    "running": {
      "code": "warmup-running",
      "message": "{item} was sung in each of the last {n} weeks; what is sung so often in a row is soon sung without listening.",
      "hint": "Let it rest for a while. If it is to stay for the season, write \"keep: opener\" or \"keep: closer\" for it.",
      "page_hint": "Let it rest for a while, unless it is to stay for the season as its opener or closer."
    },
    "formation": {
      "code": "warmup-formation",
      "message": "The formation changes {n} times, which takes {time}; two changes are enough. The third is before {item}.",
      "hint": "Put items with the same formation next to each other, or have an item sung in the formation of the item before it: write that formation under \"formation\".",
      "page_hint": "Put items with the same formation next to each other, or choose for one of them the formation of the item before it, under “How you stand”."
    },
    "parts-missing": {
      "code": "warmup-parts",
      "message": "{item} has {n} different lines, and nobody is there to sing that of {voices}.",
      "hint": "Give that line to others and say so under \"variation\", or choose an item that everyone who is there can sing in unison.",
      "page_hint": "Give that line to others and say so under “What is changed”, or choose an item that everyone who is there can sing in unison."
    },
    "parts-alone": {
      "code": "warmup-parts",
      "message": "{item} gives {voices} a line of its own, for which there are only one or two singers.",
      "hint": "Have them sing another line and say so under \"variation\", or choose an item in which they share a line with others.",
      "page_hint": "Have them sing another line and say so under “What is changed”, or choose an item in which they share a line with others."
    },
    "join-in": {
      "code": "warmup-join-in",
      "field": "join_in",
      "message": "Latecomers join in after item {n}, so they begin with {item}, which is a lot for voices that have not sung yet.",
      "hint": "Let them in before an item of impact {impact} or less that can be sung at once, or move such an item there."
    },
    "arrival-one": {
      "code": "warmup-arrival",
      "message": "{voices} comes {time} after the start and then begins with {item}, which is a lot for voices that have not sung yet.",
      "hint": "Put an item of impact {impact} or less before it, or let those who come late hum along at first."
    },
    "arrival-several": {
      "code": "warmup-arrival",
      "message": "{voices} come {time} after the start and then begin with {item}, which is a lot for voices that have not sung yet.",
      "hint": "Put an item of impact {impact} or less before it, or let those who come late hum along at first."
    },
    "length": {
      "code": "warmup-length",
      "field": "minutes",
      "message": "This warm-up takes {time}, which is long for its kind ({kind}): {longest} are usual at most.",
      "hint": "Leave out an item, or correct \"kind\".",
      "page_hint": "Leave out an item, or choose another kind."
    },
    "concert-strong": {
      "code": "warmup-occasion",
      "message": "{item} has impact {n}, which is too strong before a concert.",
      "hint": "Replace it with an item of impact {impact} or less, to save the voices."
    },
    "concert-singing": {
      "code": "warmup-occasion",
      "field": "kind",
      "message": "This warm-up for a concert has {time} of singing; {most} are enough.",
      "hint": "Plan fewer keys, or leave out an item."
    },
    "concert-block": {
      "code": "warmup-occasion",
      "field": "kind",
      "message": "The block right before the concert has {time} of singing; {most} are enough.",
      "hint": "Plan fewer keys, or leave out an item."
    },
    "outdoor": {
      "code": "warmup-occasion",
      "message": "{item} is too wide and loud for outdoors: it spans {interval} at impact {n}.",
      "hint": "Replace it with an item that spans {widest} or less, or sing it indoors."
    },
    "children-item": {
      "code": "warmup-occasion",
      "message": "{item} takes {time}, which is long for children.",
      "hint": "Write \"minutes: {minutes}\" or less, and plan fewer keys.",
      "page_hint": "Plan {minutes} minutes or less, and fewer keys."
    },
    "online-round": {
      "code": "warmup-occasion",
      "message": "{item} is a round, and online the singers do not hear each other in time.",
      "hint": "Choose an item that each singer can sing alone, such as an echo: the leader sings a phrase, and the others repeat it muted."
    },
    "online-lines": {
      "code": "warmup-occasion",
      "message": "{item} has {n} lines at once, and online the singers do not hear each other in time.",
      "hint": "Choose an item that each singer can sing alone, such as an echo: the leader sings a phrase, and the others repeat it muted."
    },
    "online-goal": {
      "code": "warmup-occasion",
      "message": "{item} is mainly for {goal}, and online the singers do not hear each other in time.",
      "hint": "Choose an item that each singer can sing alone, such as an echo: the leader sings a phrase, and the others repeat it muted."
    },
    "phrase": {
      "code": "warmup-phrase",
      "message": "{item} has a phrase of {time}, which is long for this kind of warm-up; {longest} are enough.",
      "hint": "Choose an item with shorter phrases; or let singers breathe within the phrase, and answer this notice under \"answers\".",
      "page_hint": "Choose an item with shorter phrases, or let singers breathe within the phrase."
    },
    "seated": {
      "code": "warmup-seated",
      "message": "{item} takes {notes}: above the comfortable range of older singers, even if it is sung two semitones lower.",
      "hint": "Leave out its highest keys, under \"keys\".",
      "page_hint": "Leave out its highest keys."
    },
    "from-above-none": {
      "code": "warmup-from-above",
      "message": "Children should sing at least one tune that begins on its highest note and comes down, but no item here has one. The first item with a tune is {item}.",
      "hint": "Begin with an item that falls from its highest note, softly, such as a call on two falling notes."
    },
    "from-above-low": {
      "code": "warmup-from-above",
      "message": "{item} takes {notes}: below the comfortable range, where children push their voices.",
      "hint": "Leave out its lowest keys, under \"keys\".",
      "page_hint": "Leave out its lowest keys."
    },
    "stillness": {
      "code": "warmup-stillness",
      "message": "{item} is the third item in a row in which children stand still; at most two should follow each other.",
      "hint": "Put an item that claps, steps or shakes before it, or add a movement and say so under \"variation\".",
      "page_hint": "Put an item that claps, steps or shakes before it, or add a movement and say so under “What is changed”."
    }
  }
};

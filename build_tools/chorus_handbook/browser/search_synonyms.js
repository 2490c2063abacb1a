// @ts-check
/**
 * English words of choral singing, and words in other languages that stand in scores, that mean much the
 * same (common practice), so that a reader need not know which of them a handbook uses. Each line of
 * `GROUPS` is a group of such words; what stands after ">" is meant by those before, and does not mean them. A word that means something only in one chorus belongs in the field
 * `words` of that chorus's vocabulary.yml.
 */
const GROUPS = `
  intonation tuning pitch tune
  flat sink sag
  audiation inner hearing
  aural ear listening
  swing jazz groove
  syncopation offbeat
  coloratura agility melisma runs
  rhythm beat pulse
  tempo speed
  diction pronunciation articulation enunciation
  text lyrics words
  breath inhale exhale air
  gasp snatch
  onset attack
  falsetto head kopfstimme
  chest bruststimme
  register passaggio break
  crack break
  resonance ring placement projection
  blend ensemble
  harmony chord
  round canon
  drone pedal bourdon
  ostinato pattern
  arpeggio arpeggiando arpeggiato triad
  glissando glide slide portamento siren
  staccato staccatissimo detached
  legato smooth sustained
  crescendo cresc swell grow
  diminuendo dim decrescendo fade
  dynamics volume
  loud louder forte fortissimo ff
  soft softer quiet piano pianissimo pp
  posture stance alignment
  relax release loosen
  tension tight stiff release
  solfege solfa solfeggio tonic
  sight reading
  improvise improvisation invent
  memory memorise memorize heart
  clap percussion
  stamp step
  hum humming bocca bouche
  trill bubble roll raspberry
  straw tube
  shout yell call
  beginner novice new
  children kids boys girls young
  older seniors elderly
  seated sitting chair
  walk step march
  movement move dance
  partner pair
  conductor director leader
  chorus choir
  unaccompanied cappella
  energiser energizer energy lively
  tired sleepy exhausted
  calm still settle
  concentration focus attention
  hoarse laryngitis
  ill sick unwell cold
  fast faster quick rapid allegro presto vivace accelerando stringendo
  slow slower adagio lento largo ritardando rallentando
  accent marcato sforzando
  light leggiero leggero
  sweet tender dolce
  hold fermata pause
  minor moll
  major dur
  scale tonleiter gamme
  short brief
  game fun play
  low lower deep
  high higher top
  men male > tenors
  men male > basses
  women female ladies > sopranos
  women female ladies > altos
  altos mezzo contralto
  basses baritone
  unison unisono together
  dissonance clash
  vowel diphthong
  rehearsal practice
  warmup opener
  cooldown after
`;

/**
 * For the stem of each word above, the stems of the words that mean much the same.
 * @param {(word: string) => string} stem gives the stem of a word
 * @returns {Map<string, string[]>}
 */
export function synonymsBy(stem) {
  /** @type {Map<string, string[]>} */
  const found = new Map();
  for (const line of GROUPS.trim().split("\n")) {
    const [wide, narrow = []] = line.split(">").map((words) => words.trim().split(" ").map(stem));
    const all = [...wide, ...narrow];
    for (const one of wide) found.set(one, [...(found.get(one) ?? []), ...all.filter((other) => other !== one)]);
  }
  return found;
}

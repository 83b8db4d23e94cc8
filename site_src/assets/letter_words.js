// The words of a letter: cleaned, cut to one form, and laid beside the phrases of the table.
// Every word keeps where it stands in the letter as it was pasted.

const MOST_LETTERS = 12000; // a longer text is read from its start
const MOST_WORDS = 1500;
const sum = (numbers) => numbers.reduce((total, number) => total + number, 0);
const blank = (text) => text.replace(/[^\n]/g, " ");

// ---- the text, every change of the same length

const ALIKE = [
  [/[‘’ʼ`´]/g, "'"],
  [/[“”]/g, '"'],
  [/[–—]/g, "-"],
  [/[\u00a0\r\t]/g, " "],
];
const TAGS = [
  /<(script|style)\b[\s\S]*?(?:<\/\1\s*>|$)/gi,
  /<[^<>\n]{0,300}>/g,
  /&(?:nbsp|lt|gt|amp|quot|#\d+);/gi,
];
const NOTICES = [
  /^ *-- *$[\s\S]*/m,
  /\bsent from my (?:\w+ )?(?:phone|tablet|\w+)\b/g,
  /^.*\b(?:confidential|intended recipient|legally privileged|disclaimer)\b[\s\S]*?(?:\n *\n|$)/gm,
];
const QUOTES = [
  /^ *(?:>|\|).*$/gm,
  /^ *on\b.{5,120}\bwrote: *$/gm,
  /^ *-{2,} *(?:original|forwarded) message.*$/gm,
];
const HEADERS = [/^ *>* *(?:from|to|cc|sent|date|subject): .{0,120}$/gm];
const FEWEST = 12; // with fewer words of its own, a letter is what it quotes

const small = (text) =>
  Array.from({ length: text.length }, (_, at) => {
    const low = text[at].toLowerCase();
    return low.length === 1 ? low : text[at];
  }).join("");

// The letter in small letters, of the same length, with spaces for what is not the customer's.
export function plain(letter) {
  const erase = (text, patterns) => patterns.reduce((left, it) => left.replace(it, blank), text);
  let text = small(letter.slice(0, MOST_LETTERS));
  for (const [pattern, mark] of ALIKE) text = text.replace(pattern, mark);
  text = erase(text, [...TAGS, ...NOTICES]);
  const count = (of) => (of.match(/[a-z]{2,}/g) ?? []).length;
  const own = erase(text, [...QUOTES, ...HEADERS]);
  if (count(own) >= FEWEST || count(own) * 2 >= count(text)) return own;
  return erase(text, HEADERS).replace(/^ *>+/gm, blank);
}

// ---- words

const PLURAL = /(?:ss|x|zz|ch|sh)es$/;
const DOUBLED = /([bdfgmnprtv])\1$/;
// After -ed and -ing: scrap(ing) is scrape, riddl(ed) is riddle, glu(ed) is glue.
const MUTE = /^[^aeiouy]*[aeiouy][^aeiouwxy]$|[bcdfgkptz]l$|[uvz]$/;

// One form for a word and its plural, -ed and -ing. The builder cuts phrases in the same way.
export function stem(word) {
  let cut = word.replace(/'s?$/, "").replace(/'/g, "");
  if (cut.length <= 3) return cut;
  if (cut.length > 4 && cut.endsWith("ies")) cut = `${cut.slice(0, -3)}y`;
  else if (PLURAL.test(cut)) cut = cut.slice(0, -2);
  else if (/[^siu]s$/.test(cut)) cut = cut.slice(0, -1);
  const bare = /^(.*[aeiouy].*)(?:ing|ed)$/.exec(cut)?.[1];
  if (!bare || bare.length < 3) return cut;
  if (DOUBLED.test(bare)) return bare.slice(0, -1);
  return MUTE.test(bare) ? `${bare}e` : bare;
}

// Edits between two words: a letter more, a letter less, one changed, two neighbours swapped.
export function edits(one, other, most) {
  if (Math.abs(one.length - other.length) > most) return most + 1;
  let before = [];
  let last = Array.from({ length: other.length + 1 }, (_, at) => at);
  for (let i = 1; i <= one.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= other.length; j += 1) {
      const change = one[i - 1] === other[j - 1] ? 0 : 1;
      row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + change);
      if (i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]) {
        row[j] = Math.min(row[j], before[j - 2] + 1);
      }
    }
    if (Math.min(...row) > most) return most + 1;
    [before, last] = [last, row];
  }
  return last[other.length];
}

const MOODS = ["guessing", "heard", "past", "present"];
const tolerance = ([shortest, , long], length) => (length < shortest ? 0 : length < long ? 1 : 2);
const prepared = new WeakMap();

// The table made ready for reading; once for every table.
export function lexicon(table) {
  if (!prepared.has(table)) prepared.set(table, made(table));
  return prepared.get(table);
}

function made(table) {
  const { same, small: little, joined, common, slips } = table.reading;
  const said = Object.entries(same).flatMap(([head, all]) =>
    [head, ...all.split(" ")].map((it) => [it, head]),
  );
  const groups = [table.phrases, table.guesses];
  const listed = (group) => Object.values(group).flatMap((all) => all.split(/[ |/]/));
  const meant = [...groups.flatMap(listed), ...said.map(([it]) => stem(it))];
  const known = new Set([...meant, ...listed(table.plants.words)]);
  // A slip may mean a word of ours; never a danger, and never another plant.
  const byStart = new Map();
  for (const word of new Set(meant)) {
    if (word.length < slips[1]) continue;
    byStart.set(word[0], [...(byStart.get(word[0]) ?? []), word]);
  }
  return {
    arithmetic: arithmetic(table.table),
    ends: endsOf(table),
    known,
    slips,
    byStart,
    // A word as it is written goes before one that only shares its stem.
    same: new Map([...said.map(([it, head]) => [stem(it), head]), ...said]),
    small: new Set(little.split(" ")),
    joined: new Map(joined.map((pair) => [pair, pair.replace(" ", "")])),
    common: new Set(common.split(" ")),
    harmless: table.reading.not_denied.map((turn) => turn.split(" ").slice(1)),
    signs: indexed(table.phrases),
    guesses: indexed(table.guesses),
    models: modelsOf(table.models),
    moods: asWritten(Object.fromEntries(MOODS.map((mood) => [mood, table.reading[mood]]))),
    asked: asWritten(apart(table.asked)),
    topics: asWritten(apart(table.topics)),
    groups: asWritten(apart(table.groups)),
    seasons: asWritten(table.places.seasons),
    plants: indexed(table.plants.words),
    places: placesOf(table.places),
    wishes: asWritten(table.answers.replies.wishes),
    languages: Object.entries(table.languages).map(([id, all]) => [id, new Set(all.split(" "))]),
  };
}

const FIRST_SIGN = 35; // a row's number travels as one printable sign, from "#" on

export const numbers = (text) => Array.from(text, (it) => it.charCodeAt(0) - FIRST_SIGN);

// Signs, then answers: an id travels as its number in this list.
const idsOf = ({ signs }) =>
  [...Object.keys(signs), ...Object.values(signs).flatMap(({ answers }) => answers)];

// What is said on the way to an end of the tree, as it stands in an address.
function endsOf({ table, ends }) {
  const ids = idsOf(table);
  const texts = Object.entries(ends)
    .map(([end, said]) => [end, numbers(said).map((at) => ids[at]).join(".")]);
  return Object.fromEntries(texts);
}

// The arithmetic as the module of reasoning reads it.
function arithmetic(table) {
  const ids = idsOf(table);
  const signs = Object.entries(table.signs).map(([name, sign]) => [
    name,
    {
      ...sign,
      row: numbers(sign.row),
      rows: sign.rows.map(numbers),
      silent: numbers(sign.silent),
      notAfter: numbers(sign.notAfter).map((at) => ids[at]),
    },
  ]);
  const unpacked = (seasons) => Object.fromEntries(Object.entries(seasons)
    .map(([season, row]) => [season, numbers(row).map((at) => table.factors[at])]));
  const context = Object.fromEntries(Object.entries(table.context)
    .map(([zone, seasons]) => [zone, unpacked(seasons)]));
  const steps = table.steps.map((step) =>
    ({ ...step, right: numbers(step.right), harms: numbers(step.harms) }));
  const own = table.own.map(numbers);
  return { ...table, context, steps, own, signs: Object.fromEntries(signs) };
}

const MIDDLE = 45; // a weight travels as one printable sign; this one is nought

// {labels, bias, even, weights: feature -> [[label, weight]]} of a packed model.
function unpacked({ labels, bias, even, step, features: names, weights }) {
  const rows = weights.split(" ").map((row) => {
    const signs = numbers(row);
    return Array.from({ length: signs.length / 2 }, (_, at) =>
      [labels[signs[2 * at]], (signs[2 * at + 1] - MIDDLE) * step]);
  });
  return { labels, bias, even, weights: new Map(names.split(",").map((name, at) => [name, rows[at]])) };
}

const modelsOf = (models) =>
  Object.fromEntries(Object.entries(models).map(([id, it]) => [id, it.features ? unpacked(it) : it]));

export const TOKEN = /[\p{L}\p{N}]+(?:'[\p{L}]+)?/gu;
const HEAD = 2; // letters of a first word that every turn of phrase must share with the letter

// Turns of phrase travel as one text, with commas between them.
const apart = (groups) =>
  Object.fromEntries(Object.entries(groups).map(([id, turns]) => [id, turns.split(",")]));

// Turns of phrase, word for word as they are written; a star lets any ending follow.
function asWritten(groups) {
  const index = new Map();
  for (const [id, turns] of Object.entries(groups)) {
    for (const turn of turns) {
      const words = turn.replaceAll("-", " ").split(" ").map((it) => ({ text: it.replace("*", ""), open: it.endsWith("*") }));
      const head = words[0].text.slice(0, HEAD);
      if (!index.has(head)) index.set(head, []);
      index.get(head).push({ id, words });
    }
  }
  return index;
}

// {id: where its turns stand}, in a text that begins at `offset` of the letter.
export function turnsIn(index, text, offset = 0) {
  const tokens = [...text.matchAll(TOKEN)];
  const found = new Map();
  for (const [at, { 0: first, index: from }] of tokens.entries()) {
    for (const { id, words } of index.get(first.slice(0, HEAD)) ?? []) {
      const fits = words.every(({ text: word, open }, step) => {
        const said = tokens[at + step]?.[0];
        return said === word || (open && said?.startsWith(word));
      });
      if (!fits) continue;
      const last = tokens[at + words.length - 1];
      const place = { start: offset + from, end: offset + last.index + last[0].length };
      found.set(id, [...(found.get(id) ?? []), place]);
    }
  }
  return found;
}

// Every name of a place: [pattern, state, country], the longest names first.
function placesOf({ states, cities, countries }) {
  const named = [
    ...Object.entries(states).map(([code, name]) => [name.toLowerCase(), code, "us"]),
    ...Object.entries(cities).flatMap(([code, all]) => all.map((it) => [it, code, "us"])),
    ...Object.entries(countries).flatMap(([code, all]) => all.map((it) => [it, "", code])),
  ];
  return named
    .map(([name, state, country]) => [new RegExp(`(^|[^a-z])(${name})(?![a-z])`), state, country, name])
    .sort((one, other) => other[3].length - one[3].length);
}

// A word of the letter as the table spells it.
function canonical(lex, word) {
  const cut = stem(word);
  const same = lex.same.get(word) ?? lex.same.get(cut);
  if (same) return same;
  const most = /^[a-z]+$/.test(word) ? tolerance(lex.slips, word.length) : 0;
  if (!most || lex.known.has(cut) || lex.small.has(word) || lex.common.has(cut)) return cut;
  let [best, nearest] = [cut, most + 1];
  for (const known of lex.byStart.get(cut[0]) ?? []) {
    const away = edits(cut, known, most);
    if (away < nearest) [best, nearest] = [known, away];
  }
  return lex.same.get(best) ?? best;
}

const SENTENCE = /[.!?]+(?=\s|$|["')])|\n *\n|\n(?= *[-*•\d])|;/g;
const CLAUSES = new Set(["but", "though", "although", "however", "except", "yet", "whereas"]);
// "and it was mush": what was denied before this is denied no longer.
const ONWARD = new Set(["and", "so", "because", "when", "while", "until", "since", "as"]);
const SUBJECTS = new Set(["it", "they", "i", "we", "he", "she", "the", "there", "now", "then", "my", "its"]);
const LIST = new Set(["or", "nor"]);

// The letter as sentences: {words, asks, text}.
export function sentences(lex, text) {
  const found = [];
  let [from, left] = [0, MOST_WORDS];
  for (const match of [...text.matchAll(SENTENCE), { 0: "", index: text.length }]) {
    const said = text.slice(from, match.index);
    const words = wordsOf(lex, said, from).slice(0, left);
    left -= words.length;
    if (words.length) found.push({ words, asks: match[0].startsWith("?"), text: said, start: from, end: match.index });
    from = match.index + match[0].length;
  }
  return found;
}

function wordsOf(lex, text, offset) {
  const raw = [...text.matchAll(/[\p{L}\p{N}]+(?:'[\p{L}]+)?|[,():]| - /gu)];
  const words = [];
  let [clause, comma, turn] = [0, 0, 0];
  for (let at = 0; at < raw.length; at += 1) {
    const said = raw[at][0];
    if (ONWARD.has(said) && SUBJECTS.has(raw[at + 1]?.[0])) turn += 1;
    if (/^(?:[,():]| - )$/.test(said)) {
      comma += 1;
      continue;
    }
    if (CLAUSES.has(said)) clause += 1;
    const start = offset + raw[at].index;
    const pair = `${said} ${raw[at + 1]?.[0] ?? ""}`;
    const joined = lex.joined.get(pair) ?? lex.joined.get(pair.replace(/s$/, ""));
    if (joined) at += 1;
    const end = offset + raw[at].index + raw[at][0].length;
    const word = /n't$/.test(said) ? "not" : canonical(lex, joined ?? said);
    words.push({ word, raw: joined ?? said, start, end, clause, comma, turn, at: words.length });
  }
  return telling(lex, words);
}

// Without the small words; a "no" that denies nothing is marked, and one that opens a list.
function telling(lex, words) {
  for (const [at, it] of words.entries()) {
    if (it.word !== "not") continue;
    const after = words.slice(at + 1, at + 4).map((next) => next.raw);
    it.harmless = lex.harmless.some((turn) => turn.every((word, step) => after[step] === word));
    const rest = words.slice(at + 1, at + 10).filter((next) => next.clause === it.clause);
    it.list = rest.some((next) => LIST.has(next.raw)) && rest[0]?.comma === it.comma;
  }
  return words.filter((it) => it.word === "not" || !lex.small.has(it.raw));
}

// ---- phrases

// {word: phrases whose rarest word it is}; a phrase is slots, a slot the words that may fill it.
function indexed(groups) {
  const phrases = Object.entries(groups).flatMap(([id, said]) =>
    said.split("|").map((text) => ({ id, text, slots: text.split(" ").map((it) => it.split("/")) })),
  );
  const counts = new Map();
  for (const word of phrases.flatMap(({ slots }) => slots.flat())) {
    counts.set(word, (counts.get(word) ?? 0) + 1);
  }
  const rare = (slot) => sum(slot.map((word) => counts.get(word))) + (slot[0] === "not" ? 1e6 : 0);
  const index = new Map();
  for (const phrase of phrases) {
    const anchor = phrase.slots.reduce((best, slot) => (rare(slot) < rare(best) ? slot : best));
    for (const word of anchor) {
      if (!index.has(word)) index.set(word, []);
      index.get(word).push({ ...phrase, anchor });
    }
  }
  return index;
}

const ROOM = 3; // other words that may stand between those of a phrase
const BACK = 4; // how many words a "no" reaches forward
const LIST_BACK = 8; // the same along a list: no slime, beetles or worms

function fits(slot, word, anchor) {
  if (!slot.includes(word.word) || word.clause !== anchor.clause) return false;
  if (word.word !== "not") return true;
  return !word.harmless && word.at < anchor.at && (word.comma === anchor.comma || word.list);
}

function filled(phrase, words, at) {
  const most = phrase.slots.length + ROOM;
  const used = [at];
  for (const slot of phrase.slots) {
    if (slot === phrase.anchor) continue;
    let [best, nearest] = [-1, most];
    for (let to = Math.max(0, at - most); to < Math.min(words.length, at + most); to += 1) {
      const away = Math.abs(to - at) + Math.abs(words[to].comma - words[at].comma);
      if (away < nearest && !used.includes(to) && fits(slot, words[to], words[at])) {
        [best, nearest] = [to, away];
      }
    }
    if (best < 0) return null;
    used.push(best);
  }
  used.sort((one, other) => one - other);
  return used.at(-1) - used[0] < most ? used : null;
}

function denied(words, from) {
  const first = words[from];
  for (let at = from - 1; at >= Math.max(0, from - LIST_BACK); at -= 1) {
    const it = words[at];
    if (it.clause !== first.clause || it.turn !== first.turn) return false;
    if (it.word !== "not" || it.harmless) continue;
    if (it.list) return true;
    if (from - at <= BACK && it.comma === first.comma) return true;
  }
  return false;
}

// How its words stand: how many others between them, how many commas, and whether in order.
function spread(phrase, words, used) {
  const own = phrase.slots.map((slot) => used.find((at) => slot.includes(words[at].word)));
  return {
    between: words[used.at(-1)].at - words[used[0]].at + 1 - used.length,
    commas: words[used.at(-1)].comma - words[used[0]].comma,
    ordered: own.every((at, place) => !place || at > own[place - 1]),
  };
}

// Every phrase of an index that stands in the words: {id, used, slots, start, end, denied}.
export function matches(index, words) {
  const found = [];
  for (const [at, { word }] of words.entries()) {
    for (const phrase of index.get(word) ?? []) {
      const used = filled(phrase, words, at);
      if (!used) continue;
      const says = phrase.slots.some((slot) => slot[0] === "not");
      found.push({
        id: phrase.id,
        phrase: phrase.text,
        used,
        slots: used.length,
        ...spread(phrase, words, used),
        start: words[used[0]].start,
        end: Math.max(...used.map((it) => words[it].end)),
        denied: !says && used.some((from) => denied(words, from)),
      });
    }
  }
  return found;
}

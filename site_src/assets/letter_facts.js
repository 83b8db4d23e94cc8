// What a letter tells beside the trouble: where, when, which plant, our own links, and a language
// that we can't read. Pure.

import { matches, turnsIn } from "./letter_words.js";
import { own, parseFragment } from "./reason.js";
import { placeOf } from "./said.js";

// ---- where and when

function zoneOf(table, state, country) {
  const found = Object.entries(table.zones).find(([, [states, countries]]) =>
    state ? states.includes(state) : countries.includes(country),
  );
  return found ? found[0] : "";
}

export function regionIn(table, lex, letter, given) {
  if (given) {
    const known = own(table.places.states, given.toUpperCase());
    const state = known ? given.toUpperCase() : "";
    const country = known ? "us" : given.toLowerCase();
    return { state, country, zone: zoneOf(table, state, country) };
  }
  const code = /,\s*([A-Z]{2})(?=[\s.,\d)]|$)/.exec(letter.original);
  const byCode = code && own(table.places.states, code[1]) ? code[1] : "";
  const near = byCode
    ? { state: byCode, country: "us", start: code.index + 1, end: code.index + code[0].length }
    : named(lex, letter.text);
  return near && { ...near, zone: zoneOf(table, near.state, near.country) };
}

const LIVES = /\b(?:here in|i am in|i'm in|im in|we are in|we're in|live in|living in|garden in|grow in|zone \w+,?)\W*$/;
const ELSEWHERE = /\b(?:aunt|uncle|cousin|sister|brother|mother|father|mom|dad|friend|daughter|son|she|he|they)\b[^.;]{0,25}\b(?:in|from)\W*$/;

// The place that a letter is from: one where the writer lives before one where others do.
function named(lex, text) {
  const found = lex.places.flatMap(([pattern, state, country]) => {
    const hit = pattern.exec(text);
    if (!hit) return [];
    const start = hit.index + hit[1].length;
    const before = text.slice(Math.max(0, start - 60), start);
    const weight = LIVES.test(before) ? 1 : ELSEWHERE.test(before) ? -1 : 0;
    return [{ state, country, start, end: start + hit[2].length, weight }];
  });
  found.sort((one, other) => other.weight - one.weight); // else the longest name
  if (!found.length) return null;
  const { weight, ...place } = found[0];
  return place;
}

const BARE = ["may", "march", "august"]; // months that are other words too
const BEFORE = /(?:\b(?:in|early|late|mid|since|by|of|last|this|end of|until|till|from|to|is|it's|its|now)|,)[ -]+$/;
const NOT_NOW = /\b(?:last|since|planted|ordered|came|bought|until|till|by|next|from|before|back)\b[^.,;]{0,20}$/;
const IS_NOW = /\b(?:now|it's|it is|this|today is|today|here in)\b[^.;]{0,12}$/;
const SIGNED = /\n[^\n]{0,30}$/;

// The month in which the letter was written: one that is said to be now, else the last one told
// that is not past. A month below the letter is a name.
export function monthIn(table, letter, given) {
  if (given) return given;
  const { months, short_months: short } = table.places;
  const told = months.flatMap((name, at) => {
    const brief = short[at] === name ? "" : `|${short[at]}\\.?(?= \\d)`;
    return [...letter.text.matchAll(new RegExp(`\\b(?:${name}${brief})\\b`, "g"))].flatMap(({ 0: word, index }) => {
      const before = letter.text.slice(Math.max(0, index - 40), index);
      const after = letter.text.slice(index + word.length);
      const bare = BARE.includes(word) && !BEFORE.test(before) && !/^ \d/.test(after);
      const name_ = !after.trim().replace(/[.!]/g, "") && SIGNED.test(`${before}${word}`);
      if (bare || name_) return [];
      return [{ month: at + 1, index, now: IS_NOW.test(before), past: NOT_NOW.test(before) }];
    });
  });
  const rank = (it) => (it.now ? 2 : it.past ? 0 : 1);
  told.sort((one, other) => rank(other) - rank(one) || other.index - one.index);
  return told[0]?.month ?? null;
}

const NOW = /(?:this|in|late|early|it's|it is|of) $/;

export function seasonIn(table, lex, letter, month, region) {
  const south = region && table.places.south.includes(region.country);
  const turned = south && month ? ((month + 5) % 12) + 1 : month;
  const byMonth = Object.entries(table.seasons).find(([, months]) => months.includes(turned));
  if (byMonth) return byMonth[0];
  for (const [season, hits] of turnsIn(lex.seasons, letter.text)) {
    if (!own(table.seasons, season)) continue;
    if (hits.some(({ start }) => NOW.test(letter.text.slice(0, start)))) return season;
  }
  return "";
}

// ---- another plant

// The plant that a letter is about if it is not ours; null if it is.
export function otherPlant(lex, letter, found) {
  const { mark, ours: withOurs, other } = lex.arithmetic.scale.letters;
  const weights = new Map();
  let ours = found.has("@ours");
  for (const { words } of letter.sentences) {
    for (const it of matches(lex.plants, words)) {
      const [plant, kind] = it.id.split(" ");
      if (plant === "ours") ours = true;
      else if (!it.denied) weights.set(`${plant} ${kind} ${words[it.used[0]].word}`, mark);
    }
  }
  const totals = new Map();
  for (const [key, weight] of weights) {
    const [plant, kind] = key.split(" ");
    if (ours && kind === "name") continue;
    totals.set(plant, (totals.get(plant) ?? 0) + weight);
  }
  const [best] = [...totals].sort((a, b) => b[1] - a[1]);
  return best && best[1] >= (ours ? withOurs : other) ? best[0] : null;
}

// ---- our own links

export function linked(table, lex, letter) {
  const found = /#([a-z0-9-]+(?:\.[a-z0-9-]+)*)(?:~([a-z0-9._-]*))?/.exec(letter.text);
  if (found) {
    const { findings } = parseFragment(table.table, found[1]);
    const place = placeOf(found[2] ?? "");
    if (Object.keys(findings).length) {
      return { findings, place, start: found.index, end: found.index + found[0].length };
    }
  }
  const end = /\/result\/([a-z0-9-]+(?:\/[a-z0-9-]+)?)\//.exec(letter.text);
  if (!end || !own(lex.ends, end[1])) return null;
  const { findings } = parseFragment(table.table, lex.ends[end[1]]);
  return { findings, place: placeOf(""), start: end.index, end: end.index + end[0].length };
}

// ---- a language that is not ours

// The language of a letter that holds more of its small words than of English: "es", else "".
export function languageIn({ languages }, letter) {
  const said = letter.text.match(/\p{L}+/gu) ?? [];
  const counts = languages.map(([id, small]) => [id, said.filter((it) => small.has(it)).length]);
  const english = counts.find(([id]) => id === "en")[1];
  const [best] = counts.filter(([, count]) => count > Math.max(english, 1))
    .sort((one, other) => other[1] - one[1]);
  return best?.[0] ?? "";
}

// What a letter says is seen. Where a plant has a trained model each answer has a chance to be
// said; a plant without one is read by the phrases of its records. Pure.

import { chance, scores, shares, speaking } from "./letter_models.js";
import { matches, turnsIn } from "./letter_words.js";
import { share, sum } from "./reason.js";

function signsOf(table) {
  const signs = new Map();
  for (const [name, { answers }] of Object.entries(table.signs)) {
    for (const answer of answers) signs.set(answer, name);
  }
  return signs;
}

// ---- by the trained model

// What the words of the whole letter lead to: {cause: share}, none of them nought.
export function leads({ causes, scale: { letters } }, lex, found) {
  if (!lex.models.causes) return null;
  const said = shares(scores(lex.models.causes, found));
  const total = 1 + letters.floor * causes.length;
  return Object.fromEntries(causes.map((it) => [it, ((said[it] ?? 0) + letters.floor) / total]));
}

// The leading causes in tenths, as a link carries them.
export function inTenths(said, { letters }) {
  return Object.entries(said)
    .map(([cause, each]) => [cause, Math.min(9, Math.floor(10 * each + 0.5))])
    .filter(([, tenths]) => tenths > 0)
    .sort((one, other) => other[1] - one[1])
    .slice(0, letters.led);
}

// Answers with the chance that the letter says them, the likeliest of each sign.
export function trained(table, lex, letter, sentences, said) {
  const model = lex.models.answers;
  const { weights } = lex.models.says;
  const { scale: { letters } } = table;
  const best = new Map();
  for (const [at, { found, hits }] of sentences.entries()) {
    const { text, start } = letter.sentences[at];
    if (turnsIn(lex.moods, text, start).has("heard")) continue; // hearsay is no observation
    const hit = new Map(hits.map((it) => [it.id, it]));
    for (const [answer, score] of Object.entries(scores(model, found.keys()))) {
      if (!hit.has(answer) && score < letters.heard) continue;
      const known = best.get(answer);
      const longest = longer(hit.get(answer), known?.hit);
      if (!known || score > known.score) best.set(answer, { score, at, hit: longest });
      else known.hit = longest;
    }
  }
  const bySign = new Map();
  const signs = signsOf(table);
  for (const [answer, { score, at, hit }] of best) {
    const sign = signs.get(answer);
    if (!sign) continue;
    const fits = share(table, table.signs[sign], table.signs[sign].answers.indexOf(answer));
    const together = sum(fits.map((each, place) => each * said[table.causes[place]]));
    const usual = sum(fits) / fits.length;
    const phrase = hit ? [1, score, hit.slots, hit.covers] : [0, 0, 0, 0];
    const row = [1, score, Math.log(together), Math.log(usual), ...phrase];
    const read = chance(sum(row.map((each, place) => each * weights[place])));
    // A sentence that is hardly more than a phrase of the records says it, however short the letter.
    const is = Math.max(read, hit?.covers >= letters.whole && hit.slots > 1 ? letters.plainly : 0);
    if (is < letters.told || is <= (bySign.get(sign)?.chance ?? 0)) continue;
    const { start, found } = { ...letter.sentences[at], ...sentences[at] };
    const span = hit ?? shifted(speaking(model, answer, found), start) ?? letter.sentences[at];
    bySign.set(sign, { sign, answer, chance: is, start: span.start, end: span.end, hedged: false });
  }
  return fitting(table, [...bySign.values()]);
}

const longer = (one, other) => (!other || (one && one.slots > other.slots) ? one : other);
const shifted = (span, by) => span && { start: span.start + by, end: span.end + by };

// Of two findings of which one denies what the other needs, the surer stays.
function fitting(table, chosen) {
  const bySign = new Map(chosen.map((it) => [it.sign, it]));
  for (const it of [...chosen].sort((one, other) => one.chance - other.chance)) {
    for (const [needed, said] of Object.entries(table.signs[it.sign].needs ?? {})) {
      const there = bySign.get(needed);
      if (!there || said.includes(there.answer)) continue;
      bySign.delete(there.chance < it.chance ? needed : it.sign);
    }
  }
  return [...bySign.values()];
}

// ---- by the phrases of the records alone

// How far a sentence can be trusted as an observation: {guess(start, end), void}.
function mood(lex, sentence, contrasted) {
  const moods = turnsIn(lex.moods, sentence.text, sentence.start);
  const short = sentence.asks && sentence.words.length <= 4;
  return {
    guess: (start, end) => {
      const [from, to] = around(sentence, start, end);
      return short || (moods.get("guessing") ?? []).some((it) => it.start < to && from < it.end);
    },
    void: moods.has("heard") || (contrasted && moods.has("past") && !moods.has("present")),
  };
}

// The part of a sentence, between commas, that holds the words from start to end.
function around(sentence, start, end) {
  const { text, start: first } = sentence;
  const from = text.slice(0, start - first).search(/[,:()][^,:()]*$/);
  const to = text.slice(end - first).search(/[,:()]/);
  return [first + Math.max(0, from), to < 0 ? first + text.length : end + to];
}

// A single word that is itself the name of a guess says nothing more than the guess.
const inside = (it, named) =>
  named.some((guess) => guess.start <= it.start && it.end <= guess.end);

export function byPhrases(table, lex, letter) {
  const contrasted = turnsIn(lex.moods, letter.text).has("present");
  const signs = signsOf(table);
  const seen = letter.sentences.flatMap((sentence) => {
    const how = mood(lex, sentence, contrasted);
    if (how.void) return [];
    const named = matches(lex.guesses, sentence.words).filter((it) => !it.denied);
    return outermost(matches(lex.signs, sentence.words), signs).flatMap((it) => {
      const guessed = how.guess(it.start, it.end);
      if (it.denied || (guessed && inside(it, named))) return [];
      return [{ ...it, hedged: guessed || sentence.asks }];
    });
  });
  return fitting(table, settled(signs, seen));
}

// Of two answers to one sign, that of the shorter phrase goes where the longer one holds it.
function outermost(found, signs) {
  return found.filter(
    (it) =>
      !found.some(
        (other) =>
          other.id !== it.id &&
          signs.get(other.id) === signs.get(it.id) &&
          other.slots > it.slots &&
          it.used.every((at) => other.used.includes(at)),
      ),
  );
}

const strength = (it) => (it.hedged ? 0 : 10) + it.slots;

// One answer for every sign: the surest, then the one said at more places, then the first.
function settled(signs, seen) {
  const bySign = new Map();
  for (const it of seen) {
    const answers = bySign.get(signs.get(it.id)) ?? new Map();
    answers.set(it.id, [...(answers.get(it.id) ?? []), it]);
    if (signs.has(it.id)) bySign.set(signs.get(it.id), answers);
  }
  return [...bySign].flatMap(([sign, answers]) => {
    const scored = [...answers].map(([answer, all]) => {
      const best = all.reduce((a, b) => (strength(b) > strength(a) ? b : a));
      const places = new Set(all.map((it) => it.start)).size;
      const is = strength(best) + Math.min(places - 1, 2) * 0.6;
      return { sign, answer, chance: is, start: best.start, end: best.end, hedged: best.hedged };
    });
    scored.sort((a, b) => b.chance - a.chance || a.start - b.start);
    return scored.slice(0, 1);
  });
}

// ---- the customer's own guess

export function guessIn(lex, letter) {
  const named = letter.sentences
    .flatMap((sentence) => matches(lex.guesses, sentence.words))
    .filter((it) => !it.denied);
  if (!named.length) return null;
  const best = named.reduce((a, b) => (b.slots > a.slots ? b : a));
  const same = named.filter((it) => it.start === best.start && it.end === best.end);
  const { start, end } = best;
  const words = letter.original.slice(start, end);
  return { causes: [...new Set(same.map((it) => it.id))], words, start, end };
}

// Reads a customer's letter: what is seen, what is guessed, whether anyone is in danger, where
// and when, and what it points to. Pure: no page, no network, no storage; the same letter
// gives the same result. `table` is letters-<plant>.json, made from the words in the records.

import { lexicon, matches, plain, sentences, turnsIn } from "./letter_words.js";
import { features, tokens } from "./letter_models.js";
import {
  families as familiesOf,
  firstStep,
  formatFragment,
  headline,
  looks,
  parseFragment,
  rank,
  twoTroubles,
} from "./reason.js";

const own = (object, key) => Object.prototype.hasOwnProperty.call(object, key);
const sum = (numbers) => numbers.reduce((total, number) => total + number, 0);

function signsOf(table) {
  const signs = new Map();
  for (const [name, { answers }] of Object.entries(table.table.signs)) {
    for (const answer of answers) signs.set(answer, name);
  }
  return signs;
}

// ---- what is seen

// How far a sentence can be trusted as an observation: {guess(start, end), void, asks}.
function mood(lex, sentence, contrasted) {
  const moods = turnsIn(lex.moods, sentence.text, sentence.start);
  const has = (name) => moods.has(name);
  const short = sentence.asks && sentence.words.length <= 4;
  return {
    guess: (start, end) => {
      const [from, to] = around(sentence, start, end);
      return short || (moods.get("guessing") ?? []).some((it) => it.start < to && from < it.end);
    },
    void: has("heard") || (contrasted && has("past") && !has("present")),
    asks: sentence.asks && has("asking"),
  };
}

function observed(table, lex, letter) {
  const contrasted = turnsIn(lex.moods, letter.text).has("present");
  const seen = [];
  const guesses = [];
  for (const sentence of letter.sentences) {
    const how = mood(lex, sentence, contrasted);
    const named = matches(lex.guesses, sentence.words).filter((it) => !it.denied);
    guesses.push(...named);
    if (how.void) continue;
    for (const it of outermost(matches(lex.signs, sentence.words), table)) {
      const guessed = how.guess(it.start, it.end);
      if (it.denied || (guessed && inside(it, named))) continue;
      seen.push({ ...it, hedged: guessed || sentence.asks });
    }
  }
  return { seen, guesses };
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

// Of two answers to one sign, that of the shorter phrase goes where the longer one holds it.
function outermost(found, table) {
  const signs = signsOf(table);
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
function settled(table, seen) {
  const signs = signsOf(table);
  const bySign = new Map();
  for (const it of seen) {
    const sign = signs.get(it.id);
    if (!sign) continue;
    const answers = bySign.get(sign) ?? new Map();
    answers.set(it.id, [...(answers.get(it.id) ?? []), it]);
    bySign.set(sign, answers);
  }
  const chosen = [];
  for (const [sign, answers] of bySign) {
    const scored = [...answers].map(([answer, all]) => {
      const best = all.reduce((a, b) => (strength(b) > strength(a) ? b : a));
      const places = new Set(all.map((it) => it.start)).size;
      return { sign, answer, best, score: strength(best) + Math.min(places - 1, 2) * 0.6 };
    });
    scored.sort((a, b) => b.score - a.score || a.best.start - b.best.start);
    const [first, second] = scored;
    // The kind of trouble is no choice between two: both may be true.
    if (sign === table.first && second && !second.best.hedged) continue;
    chosen.push(first);
  }
  return fitting(table, chosen);
}

// Answers whose needs are denied go; a need that only one answer meets is filled in.
function fitting(table, chosen) {
  const bySign = new Map(chosen.map((it) => [it.sign, it]));
  for (const it of chosen) {
    for (const [needed, said] of Object.entries(table.table.signs[it.sign].needs ?? {})) {
      const there = bySign.get(needed);
      if (!there && said.length === 1) {
        bySign.set(needed, { ...it, sign: needed, answer: said[0] });
      } else if (there && !said.includes(there.answer)) {
        const drop = said.length === 1 && it.score >= there.score;
        if (drop) bySign.set(needed, { ...it, sign: needed, answer: said[0] });
        else bySign.delete(it.sign);
      }
    }
  }
  return [...bySign.values()];
}

// ---- danger

const DENIED = /(?:\b(?:no|not|never|none|nobody|without|nor)|n't)(?:\s+\w+){0,3}\s*$/;

// Where the words of each group of dangers stand, by sentence.
function dangerWords(lex, sentence) {
  const found = turnsIn(lex.dangers, sentence.text, sentence.start);
  const plainly = (it) => !DENIED.test(sentence.text.slice(0, it.start - sentence.start));
  return new Map([...found].map(([id, all]) => [id, all.filter(plainly)]).filter(([, all]) => all.length));
}

function dangerIn(table, lex, letter) {
  const groups = letter.sentences.map((sentence) => dangerWords(lex, sentence));
  const fired = table.dangers.rules.flatMap((rule) => {
    for (const [at, here] of groups.entries()) {
      const near = [here, groups[at + 1] ?? new Map()];
      const hits = (name) => near.flatMap((group) => group.get(name) ?? []);
      const met = rule.all.map(hits);
      if (!rule.all.some((name) => here.has(name)) || met.some((all) => !all.length)) continue;
      if ((rule.unless ?? []).some((name) => hits(name).length)) continue;
      if (apart(met)) return [{ rule, hits: met.map((all) => all[0]) }];
    }
    return [];
  });
  return fired.map(({ rule, hits }) => ({
    rule: rule.id,
    aid: rule.aid,
    line: rule.line,
    start: Math.min(...hits.map((it) => it.start)),
    end: Math.max(...hits.map((it) => it.end)),
  }));
}

// The groups of a rule must be met by different words.
function apart(met) {
  const taken = new Set();
  return met.every((hits) => {
    const free = hits.find((it) => !taken.has(`${it.start} ${it.end}`));
    if (free) taken.add(`${free.start} ${free.end}`);
    return Boolean(free);
  });
}

// ---- what the models look at

// Groups of words in a sentence: those of dangers, and the turns in which customers ask.
function groupsIn(lex, sentence) {
  const asked = turnsIn(lex.asks, sentence.text, sentence.start);
  return [
    ...turnsIn(lex.groups, sentence.text, sentence.start).keys(),
    ...[...asked.keys()].map((id) => `ask:${id}`),
    ...[...new Set(matches(lex.plants, sentence.words).map((it) => it.id.split(" ").slice(-1)[0]))].map((kind) => `plant:${kind}`),
  ];
}

const OPENS = /^\W*(?:(?:and|so|but|also|um|uh|well|ok|okay|please|now|or)\W+)*(?:how|what|whats|what's|when|why|where|who|which|can|could|do|does|did|is|are|will|would|should|am|have|has|may|any|shall|ought|isn't|aren't|don't|won't)\b/;
const WANTS = /\b(?:i want to know|want to know|wondering|wonder if|wonder whether|i wonder|tell me|let me know|please advise|advise|need to know|like to know|i'd like to|i would like|my question|question is|can you|could you|can i|do i|should i|shall i|how do|how to|what do|is there|i ask|i'm asking|asking|help|please|i want|or not|or should|or do i|wanna know|not sure if|not sure whether|unsure)\b/;

export function candidatesFor(text, table) {
  const lex = lexicon(table);
  const original = String(text ?? "");
  const clean = plain(original);
  const letter = { original, text: clean, sentences: sentences(lex, clean) };
  const contrasted = turnsIn(lex.moods, letter.text).has("present");
  const signs = signsOf(table);
  return letter.sentences.flatMap((sentence, at) => {
    const how = mood(lex, sentence, contrasted);
    const named = matches(lex.guesses, sentence.words).filter((it) => !it.denied);
    const groups = [...turnsIn(lex.groups, sentence.text, sentence.start).keys()];
    const plants = matches(lex.plants, sentence.words).map((it) => it.id);
    const topics = [...turnsIn(lex.topics, sentence.text, sentence.start).keys()];
    return outermost(matches(lex.signs, sentence.words), table).map((it) => ({
      answer: it.id, sign: signs.get(it.id), phrase: it.phrase, slots: it.slots, between: it.between, commas: it.commas,
      ordered: it.ordered, denied: it.denied, asks: sentence.asks, void: how.void, guess: how.guess(it.start, it.end),
      named: inside(it, named), said: original.slice(it.start, it.end), groups, plants, topics, at,
      clauses: sentence.words.at(-1)?.clause ?? 0, n: sentence.words.length, start: it.start, end: it.end, text: sentence.text,
    }));
  });
}

export function sentencesFor(text, table) {
  const lex = lexicon(table);
  const original = String(text ?? "");
  const clean = plain(original);
  const letter = { original, text: clean, sentences: sentences(lex, clean) };
  return letter.sentences.map((sentence) => ({
    text: sentence.text,
    asks: sentence.asks || OPENS.test(sentence.text) || WANTS.test(sentence.text),
    mark: sentence.asks,
    words: tokens(lex, sentence.text),
    groups: [...turnsIn(lex.groups, sentence.text, sentence.start).keys()],
    topics: [...turnsIn(lex.topics, sentence.text, sentence.start).keys()],
    turns: [...turnsIn(lex.asks, sentence.text, sentence.start).keys()],
    plants: [...new Set(matches(lex.plants, sentence.words).map((it) => it.id))],
    signs: [...new Set(matches(lex.signs, sentence.words).filter((it) => !it.denied).map((it) => it.id))],
  }));
}

export function featuresFor(text, table) {
  const lex = lexicon(table);
  const original = String(text ?? "");
  const clean = plain(original);
  const letter = { original, text: clean, sentences: sentences(lex, clean) };
  const found = features(lex, letter, (sentence) => groupsIn(lex, sentence));
  for (const sentence of letter.sentences) {
    const asks = sentence.asks || OPENS.test(sentence.text) || WANTS.test(sentence.text);
    const topics = [...turnsIn(lex.topics, sentence.text, sentence.start).keys()].sort();
    for (const [at, topic] of topics.entries()) {
      found.add(`#${topic}`);
      if (asks) found.add(`?#${topic}`);
      if (sentence.asks) found.add(`??#${topic}`);
    }
    if (asks) for (const word of sentence.text.match(/[a-z]+/g) ?? []) found.add(`%${word}`);
    const shown = matches(lex.signs, sentence.words);
    for (const it of shown) found.add(`~${it.id}`);
  }
  for (const { rule } of dangerIn(table, lex, letter)) found.add(`!${rule}`);
  return [...found];
}

// ---- another plant

function plantIn(lex, letter) {
  const weights = new Map();
  let ours = false;
  for (const sentence of letter.sentences) {
    for (const it of matches(lex.plants, sentence.words)) {
      const [plant, kind] = it.id.split(" ");
      if (plant === "ours") ours = true;
      else if (!it.denied) {
        const key = `${plant} ${kind} ${sentence.words[it.used[0]].word}`;
        weights.set(key, lex.arithmetic.scale.letters.mark);
      }
    }
  }
  return { weights, ours: ours || /\bcannas?\b/.test(letter.text) };
}

function otherPlant(lex, letter) {
  const { weights, ours } = plantIn(lex, letter);
  const totals = new Map();
  for (const [key, weight] of weights) {
    const [plant, kind] = key.split(" ");
    if (ours && kind === "name") continue;
    totals.set(plant, (totals.get(plant) ?? 0) + weight);
  }
  const [best] = [...totals].sort((a, b) => b[1] - a[1]);
  return best && best[1] >= lex.arithmetic.scale.letters[ours ? "ours" : "other"] ? best[0] : null;
}

// ---- where and when

function zoneOf(table, state, country) {
  const found = Object.entries(table.zones).find(([, [states, countries]]) =>
    state ? states.includes(state) : countries.includes(country),
  );
  return found ? found[0] : "";
}

function regionIn(table, lex, letter, given) {
  const code = /,\s*([A-Z]{2})(?=[\s.,\d)]|$)/.exec(letter.original);
  const byCode = code && own(table.places.states, code[1]) ? code[1] : "";
  const near = byCode
    ? { state: byCode, country: "us", start: code.index + 1, end: code.index + code[0].length }
    : named(lex, letter.text);
  if (near) return { ...near, zone: zoneOf(table, near.state, near.country) };
  if (!given) return null;
  const known = own(table.places.states, given.toUpperCase());
  const state = known ? given.toUpperCase() : "";
  const country = known ? "us" : given.toLowerCase();
  return { state, country, zone: zoneOf(table, state, country) };
}

function named(lex, text) {
  for (const [pattern, state, country] of lex.places) {
    const hit = pattern.exec(text);
    if (hit) return { state, country, start: hit.index, end: hit.index + hit[0].length };
  }
  return null;
}

function monthIn(table, letter, given) {
  const { months, short_months: short } = table.places;
  for (const [at, name] of months.entries()) {
    const bare = name === "may" || name === "march";
    const before = "(?:in|early|late|mid|since|by|of|last|this|end of|until|from|,|to)[ -]";
    const pattern = bare ? `${before}${name}\\b|\\b${name} \\d` : `\\b(?:${name}|${short[at]}\\.?(?= \\d| ?$))\\b`;
    if (new RegExp(pattern).test(letter.text)) return at + 1;
  }
  return given ?? null;
}

const NOW = /(?:this|in|late|early|it's|it is|of) $/;

function seasonIn(table, lex, letter, month, region) {
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

// ---- our own links

function linked(table, lex, letter) {
  const found = /#([a-z0-9-]+(?:\.[a-z0-9-]+)*)/.exec(letter.text);
  if (found) {
    const { findings } = parseFragment(table.table, found[1]);
    if (Object.keys(findings).length) {
      return { findings, start: found.index, end: found.index + found[0].length };
    }
  }
  const end = /\/result\/([a-z0-9-]+(?:\/[a-z0-9-]+)?)\//.exec(letter.text);
  if (!end || !own(lex.ends, end[1])) return null;
  const { findings } = parseFragment(table.table, lex.ends[end[1]]);
  return { findings, start: end.index, end: end.index + end[0].length };
}

// ---- the whole

function weighed(table, findings, context, guess) {
  const ranking = rank(table.table, findings, context);
  if (!guess) return ranking;
  const shares = ranking.shares.map((share, place) =>
    guess.causes.includes(table.table.causes[place]) ? share * table.table.scale.letters.guess : share,
  );
  const total = sum(shares);
  const even = shares.map((share) => share / total);
  const order = even.map((_, place) => place).sort((a, b) => even[b] - even[a] || a - b);
  const topShare = even[order[0]];
  const open = topShare < table.table.scale.named;
  return { shares: even, order, top: table.table.causes[order[0]], topShare, open };
}

// How much likelier the findings that are plainly said are with what would be named than
// without; findings read from the same words count once.
function support(table, told, causes) {
  const { prior, signs } = table.table;
  const places = causes.map((cause) => table.table.causes.indexOf(cause));
  const weight = (all) => sum(all.map((place) => prior[place]));
  const everyone = prior.map((_, place) => place);
  const bySpan = [];
  for (const { sign: name, answer, hedged, start, end } of told) {
    const column = signs[name].answers.indexOf(answer);
    if (hedged || name === table.first || column < 0) continue;
    const share = (all) =>
      sum(all.map((place) => prior[place] * signs[name].rows[signs[name].row[place]][column])) / weight(all);
    const ratio = share(places) / share(everyone);
    const same = bySpan.find((it) => it.start < end && start < it.end);
    if (same) same.ratio = Math.max(same.ratio, ratio);
    else bySpan.push({ start, end, ratio });
  }
  return bySpan.reduce((all, { ratio }) => all * Math.max(ratio, 1), 1);
}

function guessIn(letter, guesses) {
  if (!guesses.length) return null;
  const best = guesses.reduce((a, b) => (b.slots > a.slots ? b : a));
  const same = guesses.filter((it) => it.start === best.start && it.end === best.end);
  const causes = [...new Set(same.map((it) => it.id))];
  const { start, end } = best;
  return { causes, words: letter.original.slice(start, end), start, end };
}

// The most telling look. Not the kind of trouble again once anything is known, and nothing that
// would most likely be answered with "none of these".
function nextLook(table, findings, context) {
  const known = Object.keys(findings).length > 0;
  const nones = Object.values(table.table.signs).map(({ none }) => none);
  const vain = ({ id, chance }) => chance >= table.table.scale.letters.vain && nones.includes(id);
  const open = looks(table.table, findings, context).filter(
    ({ sign }) => !known || sign !== table.first,
  );
  return (open.find(({ answers }) => !answers.some(vain)) ?? open[0])?.sign ?? null;
}

// Read one letter. `state` and `month` are what the grower knows beside the letter.
export function readLetter(text, table, { state = "", month = null } = {}) {
  const lex = lexicon(table);
  const original = String(text ?? "");
  const clean = plain(original);
  const letter = { original, text: clean, sentences: sentences(lex, clean) };
  const { seen, guesses } = observed(table, lex, letter);
  const link = linked(table, lex, letter);
  const chosen = settled(table, seen).filter((it) => !own(link?.findings ?? {}, it.sign));
  const told = [
    ...Object.entries(link?.findings ?? {}).map(([sign, answer]) => ({
      sign,
      answer,
      start: link.start,
      end: link.end,
      hedged: false,
    })),
    ...chosen.map(({ sign, answer, best }) => ({
      sign,
      answer,
      start: best.start,
      end: best.end,
      hedged: best.hedged,
    })),
  ].map((it) => ({ ...it, words: original.slice(it.start, it.end) }));
  const region = regionIn(table, lex, letter, state);
  const when = monthIn(table, letter, month);
  const context = { zone: region?.zone ?? "", season: seasonIn(table, lex, letter, when, region) };
  const urgent = dangerIn(table, lex, letter);
  return {
    findings: told.sort((a, b) => a.start - b.start || a.sign.localeCompare(b.sign)),
    guess: guessIn(letter, guesses),
    urgent: urgent.length ? urgent : null,
    otherPlant: otherPlant(lex, letter),
    region,
    month: when,
    ...weigh(table, told, context, guessIn(letter, guesses)),
  };
}

const enoughSaid = (table, plainly, head) =>
  [plainly, head].every(({ kind, share }) => kind !== "open" && share >= table.scale.likely);

// Everything that follows from findings; the page weighs again when one is switched off.
export function weigh(file, told, context, guess) {
  const table = { ...file, table: lexicon(file).arithmetic };
  const order = Object.keys(table.table.signs);
  const sorted = [...told].sort((a, b) => order.indexOf(a.sign) - order.indexOf(b.sign));
  const findings = Object.fromEntries(sorted.map((it) => [it.sign, it.answer]));
  const ranking = weighed(table, findings, context, guess);
  const head = headline(table.table, ranking);
  // A guess may tip the order; it never makes a letter say enough.
  const plainly = guess ? headline(table.table, weighed(table, findings, context, null)) : head;
  const named = head.kind === "cause" ? [head.id] : head.within;
  const fragment = formatFragment(findings);
  return {
    context,
    ranking: ranking.order.map((place) => ({
      cause: table.table.causes[place],
      probability: ranking.shares[place],
    })),
    families: familiesOf(table.table, ranking).map(({ id, share, causes }) => ({ id, share, causes })),
    head,
    firstStep: firstStep(table.table, ranking, findings, head).step,
    enough: enoughSaid(table.table, plainly, head)
      && support(table, told, named) >= table.table.scale.letters.telling,
    troubles: twoTroubles(table.table, findings, context),
    ask: nextLook(table, findings, context),
    link: fragment ? `${table.address}#${fragment}` : table.address,
  };
}

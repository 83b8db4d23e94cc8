// Reads a customer's letter: what kind of mail it is, whether anyone may be hurt, what is asked,
// what is seen and what that points to. Pure: no page, no network, no storage; the same letter
// gives the same result. `table` is letters-<plant>.json, made from the records.

import { urgentIn } from "./letter_danger.js";
import { languageIn, linked, monthIn, otherPlant, regionIn, seasonIn } from "./letter_facts.js";
import { byPhrases, guessIn, inTenths, leads, trained } from "./letter_findings.js";
import { features, likeliest, scores } from "./letter_models.js";
import { lexicon, plain, sentences, turnsIn } from "./letter_words.js";
import { replyTo } from "./letters_reply.js";
import {
  families as familiesOf,
  firstStep,
  formatFragment,
  headline,
  looks,
  rank,
  sum,
  twoTroubles,
} from "./reason.js";
import { tailOf } from "./said.js";

// ---- what kind of mail, and what is asked

function kindOf({ kinds }, found, urgent) {
  return urgent ? "danger" : likeliest(kinds, found);
}

// What is asked, in the order of the letter. A question that no model has learnt is read by its
// turns of phrase, in sentences that ask; there a learnt one needs a turn of its own, too.
function askedIn({ models: { asks }, arithmetic: { scale: { letters } } }, each) {
  const said = new Map();
  const unlearnt = (mark) => mark[0] === "!" && !asks.labels.includes(mark.slice(1));
  for (const { found } of each) {
    const turns = found.has("?") ? [...found.keys()].filter(unlearnt) : [];
    for (const turn of turns) said.set(turn.slice(1), letters.asked);
    for (const [id, score] of Object.entries(scores(asks, found.keys()))) {
      const told = !turns.length || found.has(`!${id}`);
      if (told && score > letters.asked) said.set(id, Math.max(score, said.get(id) ?? 0));
    }
  }
  return [...said.keys()];
}

// ---- what it points to

// How much likelier the findings that are plainly said are with what would be named than
// without; findings read from the same words count once.
function support(table, told, causes) {
  const { prior, signs, scale } = table.table;
  const counts = (name) => name !== table.first || scale.letters.first;
  const places = causes.map((cause) => table.table.causes.indexOf(cause));
  const weight = (all) => sum(all.map((place) => prior[place]));
  const everyone = prior.map((_, place) => place);
  const bySpan = [];
  for (const { sign: name, answer, hedged, start, end } of told) {
    const column = signs[name].answers.indexOf(answer);
    if (hedged || !counts(name) || column < 0) continue;
    const share = (all) =>
      sum(all.map((place) => prior[place] * signs[name].rows[signs[name].row[place]][column])) / weight(all);
    const ratio = share(places) / share(everyone);
    const same = bySpan.find((it) => it.start < end && start < it.end);
    if (same) same.ratio = Math.max(same.ratio, ratio);
    else bySpan.push({ start, end, ratio });
  }
  return bySpan.reduce((all, { ratio }) => all * Math.max(ratio, 1), 1);
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

// Everything that follows from findings; the page weighs again when one is dropped or changed.
// `context` is {zone, season, words}: the words only tip the order, and never say enough.
export function weigh(file, told, context) {
  const table = { ...file, table: lexicon(file).arithmetic };
  const order = Object.keys(table.table.signs);
  const sorted = [...told].sort((a, b) => order.indexOf(a.sign) - order.indexOf(b.sign));
  const findings = Object.fromEntries(sorted.map((it) => [it.sign, it.answer]));
  const ranking = rank(table.table, findings, context);
  const head = headline(table.table, ranking);
  const named = head.kind === "cause" ? [head.id] : head.within;
  const fragment = formatFragment(findings);
  return {
    context,
    told: findings,
    ranking: ranking.order.map((place) => ({
      cause: table.table.causes[place],
      probability: ranking.shares[place],
    })),
    families: familiesOf(table.table, ranking).map(({ id, share, causes }) => ({ id, share, causes })),
    head,
    firstStep: firstStep(table.table, ranking, findings, head).step,
    enough: head.kind !== "open" && head.share >= table.table.scale.likely
      && support(table, told, named) >= table.table.scale.letters.telling,
    troubles: twoTroubles(table.table, findings, context),
    ask: nextLook(table, findings, context),
    link: `${table.address}#${fragment}${tailOf({ ...context, letter: true })}`,
  };
}

// ---- the whole

function prepared(text, table) {
  const lex = lexicon(table);
  const original = String(text ?? "");
  const clean = plain(original);
  const letter = { original, text: clean, sentences: sentences(lex, clean) };
  const all = features(lex, letter);
  return { lex, letter, found: all.letter, each: all.sentences };
}

// What the models look at, for the tool that trains them.
export function featuresOf(text, table) {
  const { letter, found, each } = prepared(text, table);
  return {
    letter: [...found],
    sentences: each.map((it, at) => ({
      text: letter.sentences[at].text,
      features: [...it.found.keys()],
      hits: it.hits.map(({ id, slots, covers }) => [id, slots, covers]),
    })),
  };
}

function toldIn(lex, letter, each, said, link) {
  const read = said
    ? trained(lex.arithmetic, lex, letter, each, said)
    : byPhrases(lex.arithmetic, lex, letter);
  const ofLink = Object.entries(link?.findings ?? {}).map(([sign, answer]) =>
    ({ sign, answer, chance: 1, start: link.start, end: link.end, hedged: false }));
  const known = new Set(ofLink.map(({ sign }) => sign));
  return [...ofLink, ...read.filter(({ sign }) => !known.has(sign))]
    .map((it) => ({ ...it, words: letter.original.slice(it.start, it.end) }))
    .sort((a, b) => a.start - b.start || a.sign.localeCompare(b.sign));
}

// Read one letter. `state` and `month` are what the grower knows beside the letter.
export function readLetter(text, table, { state = "", month = null } = {}) {
  const { lex, letter, found, each } = prepared(text, table);
  const language = languageIn(lex, letter);
  const region = regionIn(table, lex, letter, state);
  const when = monthIn(table, letter, month);
  const urgent = language ? null : urgentIn(table, lex, letter, { found, each });
  const said = leads(lex.arithmetic, lex, found);
  const guess = guessIn(lex, letter);
  const link = linked({ table: lex.arithmetic }, lex, letter);
  const told = language ? [] : toldIn(lex, letter, each, said, link);
  const words = said ? inTenths(said, lex.arithmetic.scale) : ofGuess(lex, guess);
  const context = {
    zone: region?.zone || link?.place.zone || "",
    season: seasonIn(table, lex, letter, when, region) || link?.place.season || "",
    words: language ? [] : link?.place.words ?? words,
  };
  const read = {
    kind: language ? "foreign" : kindOf(lex.models, found, urgent),
    language,
    asks: language ? [] : askedIn(lex, each),
    urgent,
    findings: told,
    guess,
    named: found.has("@ours"),
    otherPlant: otherPlant(lex, letter, found),
    region,
    month: when,
    ...weigh(table, told, context),
  };
  return { ...read, reply: replyTo(text, read, table) };
}

// Which of a nursery's plants a letter is about: {plant, told}. The one it names most often; if it
// names none more often than the rest, the one of which it says most that we know, not told.
export function plantOf(text, tables) {
  if (tables.length === 1) return { plant: tables[0].plant, told: true };
  const seen = tables.map((table) => {
    const names = turnsIn(lexicon(table).groups, plain(text)).get("ours") ?? [];
    return { table, named: names.length + text.includes(`/${table.plant}/`) };
  }).sort((one, other) => other.named - one.named);
  const most = seen.filter(({ named }) => named === seen[0].named).map(({ table }) => table);
  if (most.length === 1) return { plant: most[0].plant, told: true };
  const known = most.map((table) => readLetter(text, table).findings.length);
  return { plant: most[known.indexOf(Math.max(...known))].plant, told: false };
}

// A customer's guess counts for a little where no model reads the words.
const ofGuess = ({ arithmetic: { scale: { letters } } }, guess) =>
  (guess?.causes ?? []).slice(0, letters.led).map((cause) => [cause, letters.guess]);

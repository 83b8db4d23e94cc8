// Linear models over what stands in a letter; tests/tools/train_letters.py learns their weights
// from letters, and the builder sends them packed. Pure.

import { TOKEN, matches, stem, turnsIn } from "./letter_words.js";

const LEADS = "(?:(?:and|so|but|also|um|uh|well|ok|okay|please|now|or)\\W+)*";
const ASKS = "how|what|whats|what's|when|why|where|who|which|can|could|do|does|did|is|are|will|" +
  "would|should|am|have|has|may|any|shall|ought|isn't|aren't|don't|won't";
const OPENS = new RegExp(`^\\W*${LEADS}(?:${ASKS})\\b`);
const WANTS = new RegExp(
  "\\b(?:want to know|wanna know|wondering|wonder (?:if|whether)|tell me|let me know|advise|need " +
  "to know|like to know|i(?:'d| would) like|question is|my question|can you|could you|can i|do " +
  "i|should i|shall i|how do|how to|what do|is there|i ask|asking|help|please|i want|or not|or " +
  "should|or do i|not sure (?:if|whether)|unsure)\\b",
);

const words = (lex, text) => [...text.matchAll(TOKEN)].map(({ 0: said, index }) => ({
  word: canonical(lex, said),
  start: index,
  end: index + said.length,
}));

function canonical(lex, said) {
  if (/n't$/.test(said)) return "not";
  const cut = stem(said);
  return /^\d+$/.test(cut) ? "0" : lex.same.get(said) ?? lex.same.get(cut) ?? cut;
}

// Phrases of answers that are not denied, the longest of each answer; `covers` is its part of
// the words that tell something.
function hitsIn(lex, sentence) {
  const best = new Map();
  for (const it of matches(lex.signs, sentence.words)) {
    if (it.denied || it.slots <= (best.get(it.id)?.slots ?? 0)) continue;
    best.set(it.id, { ...it, covers: it.slots / sentence.words.length });
  }
  return [...best.values()];
}

const there = (index, { text, start }) => [...turnsIn(index, text, start).keys()];

// What stands in a sentence: words, phrases of answers that are not denied, groups of words.
function read(lex, sentence) {
  return {
    words: words(lex, sentence.text),
    hits: hitsIn(lex, sentence),
    groups: turnsIn(lex.groups, sentence.text, sentence.start),
    topics: there(lex.topics, sentence),
    turns: there(lex.asked, sentence),
    marked: sentence.asks,
    asks: sentence.asks || OPENS.test(sentence.text) || WANTS.test(sentence.text),
  };
}

const pairs = (groups, mark) => groups.sort().flatMap((one, at) =>
  groups.slice(0, at).map((other) => mark + other + mark + one));

// Of one sentence, each with the words it stands on: words and neighbours; "~" a phrase, "<" one
// of the sentence before; "#" what a question is about, "!" a turn that asks it; "?" in a question.
function ofSentence(now, before) {
  const found = new Map();
  const add = (name, from, to = from) => {
    if (!found.has(name)) found.set(name, from && { start: from.start, end: to.end });
  };
  for (const [at, one] of now.words.entries()) {
    add(one.word, one);
    if (at) add(`${now.words[at - 1].word} ${one.word}`, now.words[at - 1], one);
    if (now.asks) add(`?${one.word}`, one);
  }
  for (const hit of now.hits) add(`~${hit.id}`, null);
  for (const hit of before?.hits ?? []) add(`<${hit.id}`, null);
  for (const topic of now.topics) {
    for (const mark of ["#", ...(now.asks ? ["?#"] : []), ...(now.marked ? ["??#"] : [])]) {
      add(mark + topic, null);
    }
  }
  for (const turn of now.turns) add(`!${turn}`, null);
  for (const group of now.groups.keys()) add(`@${group}`, null);
  if (now.asks) add("?", null);
  if (now.marked) add("??", null);
  return found;
}

// Of the whole letter: the same, and pairs of groups: "@" in one sentence, "&" anywhere; "^" what
// its first sentence is about and "$" its last; "%" how it is built.
function ofLetter(sentences, each) {
  const found = new Set(each.flatMap((all) => [...all.keys()]));
  const groups = sentences.map((it) => [...it.groups.keys()]);
  for (const here of groups) for (const it of pairs(here, "@")) found.add(it);
  for (const it of pairs([...new Set(groups.flat())], "&")) found.add(it);
  for (const [mark, at] of [["^", 0], ["$", -1]]) {
    for (const it of each.at(at)?.keys() ?? []) if (/^[@#]/.test(it)) found.add(mark + it);
  }
  const asking = sentences.filter((it) => it.asks).length;
  const phrases = [...found].filter((it) => it[0] === "~").length;
  found.add(`%phrases ${Math.min(phrases, 4)}`).add(`%asks ${Math.min(asking, 3)}`);
  found.add(`%long ${Math.min(sentences.length, 8)}`);
  return found.add(`%asking ${Math.floor((4 * asking) / Math.max(sentences.length, 1))}`);
}

// {letter: features, sentences: [{found, hits, groups}]}: `groups` says where their words stand.
export function features(lex, letter) {
  const sentences = letter.sentences.map((it) => read(lex, it));
  const each = sentences.map((it, at) => ofSentence(it, sentences[at - 1]));
  return {
    letter: ofLetter(sentences, each),
    sentences: each.map((found, at) => {
      const { hits, groups } = sentences[at];
      return { found, hits, groups };
    }),
  };
}

// {label: score}: the bias and the weights of all that was found; an "even" model counts a long
// letter no more than a short one, and says from how many features on.
export function scores({ labels, bias, even, weights }, found) {
  const totals = Object.fromEntries(labels.map((label) => [label, 0]));
  let known = 0;
  for (const feature of found) {
    const row = weights.get(feature);
    if (!row) continue;
    known += 1;
    for (const [label, weight] of row) totals[label] += weight;
  }
  const length = even ? Math.sqrt(Math.max(known, even)) : 1;
  for (const [at, label] of labels.entries()) totals[label] = totals[label] / length + bias[at];
  return totals;
}

// The label that scores best.
export function likeliest(model, found) {
  const [[label]] = Object.entries(scores(model, found)).sort((one, other) => other[1] - one[1]);
  return label;
}

// Scores as chances that sum to 1.
export function shares(totals) {
  const most = Math.max(...Object.values(totals));
  const raised = Object.entries(totals).map(([label, score]) => [label, Math.exp(score - most)]);
  const all = raised.reduce((sum, [, each]) => sum + each, 0);
  return Object.fromEntries(raised.map(([label, each]) => [label, each / all]));
}

export const chance = (score) => 1 / (1 + Math.exp(-score));

// The words of a sentence that speak most for a label: the best one and those beside it.
export function speaking({ weights }, label, found) {
  const spans = [];
  for (const [feature, span] of found) {
    const weight = span && weights.get(feature)?.find(([it]) => it === label)?.[1];
    if (weight > 0) spans.push({ ...span, weight });
  }
  spans.sort((one, other) => other.weight - one.weight);
  const [best, ...rest] = spans;
  if (!best) return null;
  let { start, end } = best;
  for (const it of rest) {
    if (it.end < start - NEAR || it.start > end + NEAR) continue;
    if (Math.max(end, it.end) - Math.min(start, it.start) > LONGEST) continue;
    [start, end] = [Math.min(start, it.start), Math.max(end, it.end)];
  }
  return { start, end };
}

const NEAR = 6; // letters between two words that still belong together
const LONGEST = 60;

// Linear models over what stands in a letter; tests/tools/train_letters.py learns their weights.
// Pure.

import { stem } from "./letter_words.js";

const WORD = /[\p{L}\p{N}]+(?:'\p{L}+)?/gu;

// All that a model may look at, each once: words in one form, neighbours, words of a question
// ("?die"), and groups of words, alone and with another in the same sentence ("@pet", "@ate@pet").
// `groupsIn` gives the groups of one sentence.
export function features(lex, letter, groupsIn) {
  const found = new Set();
  const all = new Set();
  for (const sentence of letter.sentences) {
    const words = tokens(lex, sentence.text);
    for (const [at, word] of words.entries()) {
      found.add(word);
      if (sentence.asks) found.add(`?${word}`);
      if (at) found.add(`${words[at - 1]} ${word}`);
    }
    const groups = [...groupsIn(sentence)].sort();
    for (const [at, group] of groups.entries()) {
      all.add(group);
      found.add(`@${group}`);
      for (const other of groups.slice(0, at)) found.add(`@${other}@${group}`);
    }
  }
  const there = [...all].sort();
  for (const [at, group] of there.entries()) {
    for (const other of there.slice(0, at)) found.add(`&${other}&${group}`);
  }
  return found;
}

export function tokens(lex, text) {
  return (text.match(WORD) ?? []).map((said) => {
    if (/n't$/.test(said)) return "not";
    const cut = stem(said);
    return /^\d+$/.test(cut) ? "0" : lex.same.get(said) ?? lex.same.get(cut) ?? cut;
  });
}

// {label: score}: the bias and the weights of all that was found.
export function scores({ bias, weights }, found) {
  const totals = { ...bias };
  for (const feature of found) {
    for (const [label, weight] of weights.get(feature) ?? []) totals[label] += weight;
  }
  return totals;
}

// Scores as chances that sum to 1.
export function shares(totals) {
  const most = Math.max(...Object.values(totals));
  const raised = Object.entries(totals).map(([label, score]) => [label, Math.exp(score - most)]);
  const all = raised.reduce((sum, [, each]) => sum + each, 0);
  return Object.fromEntries(raised.map(([label, each]) => [label, each / all]));
}

export const chance = (score) => 1 / (1 + Math.exp(-score));

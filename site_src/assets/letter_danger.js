// Whether a person or an animal may be hurt, and what to do first. A trained model decides, or
// words of a life in danger beside a person; nothing that is asked or excused silences it. Pure.

import { likeliest, scores } from "./letter_models.js";

const DENIED = /(?:\b(?:no|not|never|none|nobody|without|nor)|n't)(?:\s+\w+){0,3}\s*$/;

// Words that call the ambulance before all else, where they are not denied and not in fish or
// plants; `sure` where a person is named and nothing says perhaps, or long ago.
function graveIn(sentence, { groups: found }) {
  const plainly = (it) => !DENIED.test(sentence.text.slice(0, it.start - sentence.start));
  const throat = (found.get("throat") ?? []).some(plainly);
  if (!(throat || (found.get("grave") ?? []).some(plainly)) || found.has("fish")) return null;
  const person = found.has("adult") || found.has("child") || (throat && !found.has("animal"));
  if (!person && found.has("animal")) return null;
  return { ...sentence, sure: person && !found.has("perhaps") && !found.has("long-ago") };
}

// Whether a sentence speaks of a person; one that something is "like" is none.
const LIKENED = /\blike (?:an?|the|my|some|any) (?:\w+ )?$/;
const hasPerson = ({ groups: found }, { text, start }) =>
  [...(found.get("adult") ?? []), ...(found.get("child") ?? [])]
    .some((it) => !LIKENED.test(text.slice(0, it.start - start)));

// Words of someone who thinks of ending their life: they need no model.
const despairs = ({ groups: found }) => found.has("despair") && !found.has("long-ago");

// Words of a burn by heat choose their box: no model was taught it.
const burnt = ({ groups: found }) => found.has("burn") && !found.has("long-ago");

// The boxes of first aid, the first the most urgent: [{aid, line, start, end}]; null if calm.
export function urgentIn({ lines, animals }, lex, letter, { found, each }) {
  const { danger, boxes } = lex.models;
  if (!danger) return null;
  const graves = letter.sentences.map((it, at) => graveIn(it, each[at])).filter(Boolean);
  const grave = graves.find((it) => it.sure) ?? graves[0];
  const despair = each.some(despairs);
  if (scores(danger, found).danger <= 0 && !grave?.sure && !despair) return null;
  const box = despair ? "life-line" : each.some(burnt) ? "burn" : likeliest(boxes, found);
  const aids = grave && box !== "life-line" ? ["call-now", ...(box === "call-now" ? [] : [box])] : [box];
  const told = each.map((it) => scores({ ...danger, even: 0 }, it.found.keys()).danger);
  const at = told.indexOf(Math.max(...told));
  const { start, end } = grave ?? letter.sentences[at] ?? { start: 0, end: 0 };
  const animal = found.has("@animal") && !each.some((it, at) => hasPerson(it, letter.sentences[at]));
  return aids.map((aid) => ({ aid, animal, line: (animal && animals[aid]) || lines[aid], start, end }));
}

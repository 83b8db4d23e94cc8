// The next question, for findings that only the browser knows: the grower's tree leads, the
// arithmetic finishes. The builder's next_look.py does the same; a test holds both equal.

import { look, makesSense, near, openSigns, rank } from "./reason.js";

export { makesSense };

// The question of the tree that these findings lead to; empty where it has ended.
export function inTree(table, tree, findings) {
  let place = tree.first;
  while (Object.hasOwn(tree.questions, place)) {
    const [sign, ways, otherwise] = tree.questions[place];
    if (makesSense(table, findings, sign)) return place;
    const said = findings[sign] ?? "";
    place = Object.hasOwn(ways, said) ? ways[said] : otherwise;
  }
  return "";
}

function nearness(table, here, there) {
  const { near: [same, beside, far], neighbours, memory } = table.scale;
  if (!here || there === here || there === memory || !there) return same;
  const joined = neighbours.some((pair) => pair.includes(here) && pair.includes(there));
  return joined ? beside : far;
}

// Where somebody looked last; nowhere before the first look.
function standing(table, findings) {
  const places = Object.keys(findings).map((sign) => table.signs[sign].at);
  return places.reverse().find((place) => place !== table.scale.memory) ?? "";
}

export function mostTelling(table, findings, context = {}) {
  const here = standing(table, findings);
  let best = "";
  let most = near(table.scale.worth) - 1;
  for (const name of openSigns(table, findings)) {
    const worth = near(look(table, findings, name, context).worth
      * nearness(table, here, table.signs[name].at));
    if (worth > most) [best, most] = [name, worth];
  }
  return best;
}

// What to ask now: its sign, and the tree's question if one asks it; null for the result.
export function nextLook(table, tree, findings, context = {}) {
  const { looks, sure } = table.scale;
  if (Object.keys(findings).length >= looks) return null;
  if (rank(table, findings, context).topShare >= sure) return null;
  const question = inTree(table, tree, findings);
  if (question) return { sign: tree.questions[question][0], question };
  const sign = mostTelling(table, findings, context);
  return sign ? { sign, question: "" } : null;
}

// The causes that fit so far, best first.
export function fits(table, findings, context = {}) {
  const ranking = rank(table, findings, context);
  return ranking.order.slice(0, table.scale.also)
    .filter((place) => ranking.shares[place] >= table.scale.shown)
    .map((place) => table.causes[place]);
}

// What a result shows, for findings that no built page has: the same choices, field by field,
// as the builder's result views. Pure: `data` is the plant's data file, nothing is drawn here.

import {
  checkState, firstStep, formatFragment, gate, headline, looks, rank, sureness, twoTroubles,
} from "./reason.js";

const SHOWN_FROM = 0.05;
const MOST_ALSO = 4;
const LOOK_FROM_BITS = 0.12;
const SETTLED = 0.95;
const TWO_FROM = 0.5;
const FOR = ["always", "usually", "sometimes"];

const put = (form, values) => form.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
const shareOf = (data, ranking, cause) => ranking.shares[data.table.causes.indexOf(cause)];
const bestFirst = (data, ranking) => ranking.order.map((place) => data.table.causes[place]);

function sureWords(data, share) {
  const { word, tenths } = sureness(data.table, share);
  const form = tenths ? data.words.in_ten : data.words.under_one;
  return put(form, { word: data.words.sureness[word], tenths });
}

function nameOf(data, head) {
  if (head.kind === "cause") return data.causes[head.id].called;
  return head.kind === "family" ? data.families[head.id].called : "";
}

function headView(data, ranking, head) {
  const cause = head.kind === "cause" ? data.causes[head.id] : null;
  const open = head.kind === "open";
  return {
    cause: cause !== null,
    family: head.kind === "family",
    open,
    name: nameOf(data, head),
    latin: cause?.latin ?? "",
    in_short: cause?.in_short ?? "",
    sure: open ? "" : sureWords(data, head.share),
    tenths: sureness(data.table, head.share).tenths,
    unclear: head.kind === "family" ? data.families[head.id].unclear : "",
    drawing: open ? "" : data.causes[ranking.top].drawing,
    normal: cause?.normal ?? false,
  };
}

function alsoView(data, ranking, id, lead) {
  const cause = data.causes[id];
  const share = shareOf(data, ranking, id);
  const split = lead ? data.causes[lead].alike[id] ?? cause.alike[lead] : "";
  return {
    name: cause.name,
    address: cause.address,
    sure: sureWords(data, share),
    tenths: sureness(data.table, share).tenths,
    split: split || cause.in_short,
  };
}

function withinViews(data, ranking, head) {
  if (head.kind !== "family") return [];
  const shown = head.within.filter((id) => shareOf(data, ranking, id) >= SHOWN_FROM);
  return shown.map((id) => alsoView(data, ranking, id, id === shown[0] ? "" : shown[0]));
}

function alsoViews(data, ranking, head) {
  const open = head.kind === "open";
  const named = open ? [] : head.kind === "family" ? head.within : [ranking.top];
  const rest = bestFirst(data, ranking).filter((id) => !named.includes(id));
  const fair = rest.filter((id) => shareOf(data, ranking, id) >= SHOWN_FROM).slice(0, MOST_ALSO);
  const alike = Object.keys(data.causes[ranking.top].alike);
  const fill = rest.filter((id) => alike.includes(id) && !fair.includes(id));
  const shown = [...fair, ...fill.slice(0, Math.max(0, 2 - fair.length))];
  return shown.map((id) => alsoView(data, ranking, id, open ? "" : ranking.top));
}

function stepView(data, ranking) {
  const choice = firstStep(data.table, ranking);
  const step = data.steps[choice.step];
  const firstTwo = bestFirst(data, ranking).slice(0, 2);
  return {
    ...step,
    for_all: firstTwo.every((id) => data.causes[id].first.includes(choice.step)),
    tenths: sureness(data.table, choice.right).tenths,
  };
}

function answerView(data, sign, answer, findings, context) {
  const shown = data.signs[sign].answers[answer];
  const given = { ...findings, [sign]: answer };
  const head = headline(data.table, rank(data.table, given, context));
  const named = head.kind !== "open";
  return {
    ...shown,
    fragment: formatFragment(given),
    address: "",
    then: named ? nameOf(data, head) : data.words.still_open,
    sure: named ? sureWords(data, head.share) : "",
  };
}

function lookView(data, findings, ranking, head, context) {
  const [best] = looks(data.table, findings, context);
  const check = data.causes[ranking.top].check;
  if (!best || best.worth < LOOK_FROM_BITS || ranking.topShare >= SETTLED) return null;
  if (head.kind === "cause" && check?.sign === best.sign) return null;
  const sign = data.signs[best.sign];
  const answers = data.table.signs[best.sign].answers.map((answer) =>
    answerView(data, best.sign, answer, findings, context));
  if (answers.every(({ then }) => then === nameOf(data, head))) return null;
  const { question, where, how_to_check } = sign;
  return { question, where, answers, how_to_check };
}

function checkView(data, findings, ranking, head, context) {
  const check = data.causes[ranking.top].check;
  if (!check || head.kind !== "cause") return null;
  const state = checkState(data.table, ranking.top, findings);
  const { [check.sign]: _, ...rest } = findings;
  const rows = (answers) => answers.map((answer) => answerView(data, check.sign, answer, rest, context));
  return {
    do: check.do,
    passes: rows(check.passes),
    fails: rows(check.fails),
    if_fails: check.if_fails,
    open: state === "open",
    passed: state === "passed",
    failed: state === "failed",
  };
}

function reasons(data, lead, findings) {
  const sides = { for: [], against: [] };
  for (const [sign, said] of Object.entries(findings)) {
    const word = said ? data.causes[lead].says[sign]?.[said] : "";
    if (!word) continue;
    const { question, answers, none } = data.signs[sign];
    const says = said === none ? `${question} ${answers[said].says}` : answers[said].says;
    const side = FOR.includes(word) ? "for" : "against";
    sides[side].push({ says, how: data.words.frequency[word] });
  }
  return sides;
}

function rungViews(data, lead, findings, share) {
  return data.tiers.flatMap(([tier, name]) => {
    const steps = data.causes[lead].plan.filter((step) => step.tier === tier);
    if (!steps.length) return [];
    const shut = !gate(data.table, lead, tier, findings, share).open;
    return [{ tier, name, shut, steps: steps.map(({ tier: _, ...step }) => step) }];
  });
}

function equalWords(data, findings) {
  const ranking = rank(data.table, findings, { equal: true });
  const head = headline(data.table, ranking);
  return head.kind === "open" ? "" : `${nameOf(data, head)}: ${sureWords(data, head.share)}`;
}

function twoNamed(data, findings, context) {
  const { share, pairs } = twoTroubles(data.table, findings, context);
  if (share <= TWO_FROM || !pairs.length) return [];
  return pairs[0].causes.map((id) => {
    const { called, address } = data.causes[id];
    return { name: called, address };
  });
}

function toldViews(data, findings) {
  return Object.entries(findings).map(([sign, said]) => {
    const { [sign]: _, ...rest } = findings;
    return {
      question: data.signs[sign].question,
      answer: said ? data.signs[sign].answers[said].says : data.words.cant_tell,
      sign,
      address: data.signs[sign].address,
      change: formatFragment(rest),
    };
  });
}

export function mailLink(data, fragment) {
  const { to, subject, body, address, plant } = data.mail;
  const at = fragment ? `${address}#${fragment}` : address;
  const plain = (text) => encodeURIComponent(text.replaceAll("\n", "\r\n"))
    .replace(/[!'()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`);
  return `mailto:${to}?subject=${plain(put(subject, { plant }))}` +
    `&body=${plain(put(body, { address: at }))}`;
}

export function noteWords(data, notes) {
  return notes.map(({ kind, token }) => put(data.words.notes[kind], { token }));
}

// Which place and season the answer is weighed for, and whether that changed its name.
export function placeWords(data, findings, context) {
  const [zone, season] = [data.zones, data.seasons].map((list, at) =>
    list.find(([id]) => id === [context.zone, context.season][at])?.[1]);
  if (!zone) return [];
  const { weighed, same, other, open } = data.words.place;
  const [here, anywhere] = [context, {}].map((where) => {
    const head = headline(data.table, rank(data.table, findings, where));
    return nameOf(data, head);
  });
  const where = season ? `${zone}, ${season.toLowerCase()}` : zone;
  const then = here === anywhere ? same : anywhere ? other : open;
  return [`${put(weighed, { where })} ${put(then, { name: anywhere })}`];
}

export function viewOf(data, findings, context = {}) {
  const ranking = rank(data.table, findings, context);
  const head = headline(data.table, ranking);
  const shown = headView(data, ranking, head);
  const lead = ranking.top;
  const sides = shown.open ? { for: [], against: [] } : reasons(data, lead, findings);
  const rungs = shown.cause ? rungViews(data, lead, findings, ranking.topShare) : [];
  const fragment = formatFragment(findings);
  const { called, address } = data.causes[lead];
  return {
    plant: data.plant.id,
    fragment,
    head: shown,
    within: withinViews(data, ranking, head),
    now: stepView(data, ranking),
    look: lookView(data, findings, ranking, head, context),
    check: checkView(data, findings, ranking, head, context),
    also: alsoViews(data, ranking, head),
    reasons_for: sides.for,
    reasons_against: sides.against,
    why: sides.for.length + sides.against.length > 0,
    rungs,
    ticks: rungs.some(({ steps }) => steps.some(({ ticks }) => ticks)),
    whole: shown.cause ? { name: called, address } : null,
    year: shown.cause ? data.causes[lead].year : "",
    caution: rungs.some(({ tier }) => data.sprays.includes(tier)),
    equal: equalWords(data, findings),
    told: toldViews(data, findings),
    two: twoNamed(data, findings, context),
    notes: [],
    mail: mailLink(data, fragment),
  };
}

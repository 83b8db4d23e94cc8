// What a result shows, for findings that no built page has: an outcome in words, field by field
// as the builder's result views. Pure: `data` holds the plant's two data files.

import {
  formatFragment, gate, headline, rank, sureness, toldBefore, twoTroubles,
} from "./reason.js";
import { denies, outcome } from "./outcome.js";
import { tailOf } from "./said.js";


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
    named: !open,
    name: nameOf(data, head),
    in_short: cause?.in_short ?? "",
    sure: open ? "" : sureWords(data, head.share),
    tenths: sureness(data.table, head.share).tenths,
    unclear: head.kind === "family" ? data.families[head.id].unclear : "",
    drawing: open ? "" : data.causes[ranking.top].drawing,
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

function withinViews(data, findings, { ranking, head }) {
  if (head.kind !== "family") return [];
  const { shown: least, deniedShown } = data.table.scale;
  // "Which one" needs two to choose from, however small the second.
  const shown = head.within.filter((id, place) => place < data.table.scale.compare
    || shareOf(data, ranking, id) >= (denies(data.table, findings, id) ? deniedShown : least));
  return shown.map((id) => alsoView(data, ranking, id, id === shown[0] ? "" : shown[0]));
}

// Look-alikes that no answer denies, where too few causes have a fair share.
function toCompare(data, findings, { ranking, head, also }) {
  const named = [head.id, ...head.within, ...also];
  const { alike } = data.causes[ranking.top];
  return bestFirst(data, ranking)
    .filter((id) => Object.hasOwn(alike, id) && !named.includes(id)
      && !denies(data.table, findings, id))
    .slice(0, Math.max(0, data.table.scale.compare - also.length));
}

function alsoViews(data, findings, found) {
  const [top, second] = bestFirst(data, found.ranking);
  return [...found.also, ...toCompare(data, findings, found)]
    .map((id) => alsoView(data, found.ranking, id, id === top ? second : top));
}

// A step in the words for somebody who gave these answers.
function stepView(data, findings, { ranking, head, step }) {
  const { do: plain, after, how, control } = data.steps[step.step];
  const answer = toldBefore(after, findings);
  const firstTwo = bestFirst(data, ranking).slice(0, 2);
  return {
    do: answer ? after[answer] : plain,
    how,
    control,
    for_all: head.kind !== "cause"
      && firstTwo.every((id) => data.causes[id].first.includes(step.step)),
  };
}

function answerView(data, sign, { answer, head }, findings) {
  const named = head.kind !== "open";
  return {
    ...data.signs[sign].answers[answer],
    fragment: formatFragment({ ...findings, [sign]: answer }),
    address: "",
    then: named ? nameOf(data, head) : data.words.still_open,
    sure: named ? sureWords(data, head.share) : "",
  };
}

// A look's answers say what they would change.
function lookView(data, findings, { look, head: now }) {
  if (!look) return null;
  const tenths = ({ share }) => sureness(data.table, share).tenths;
  const same = ({ head }) =>
    head.kind === now.kind && head.id === now.id && tenths(head) === tenths(now);
  const { question, where, how_to_check } = data.signs[look.sign];
  const answers = look.answers.map((then) => ({
    ...answerView(data, look.sign, then, findings), ...(same(then) ? { then: "", sure: "" } : {}),
  }));
  return { question, where, answers, how_to_check };
}

function checkView(data, findings, { head, check: found }) {
  if (!found) return null;
  const { sign, do: what, if_fails } = data.causes[head.id].check;
  const { [sign]: _, ...rest } = findings;
  const rows = (answers) => answers.map((then) => answerView(data, sign, then, rest));
  return {
    do: what,
    fits: rows(found.fits),
    // A name beside these would seem to be what such an answer speaks for.
    unsure: rows(found.unsure).map((row) => ({ ...row, then: "", sure: "" })),
    other: rows(found.other),
    if_fails,
    open: found.state === "open",
    passed: found.state === "passed",
    failed: found.state === "failed",
  };
}

function reasons(data, { ranking, reasons: found }) {
  const sides = { for: [], against: [] };
  for (const { sign, answer, supports } of found) {
    const word = data.causes[ranking.top].says[sign][answer];
    if (!(supports ? data.table.scale.supports : data.table.scale.opposes).includes(word)) continue;
    const { question, answers, none } = data.signs[sign];
    const says = answer === none ? `${question} ${answers[answer].says}` : answers[answer].says;
    sides[supports ? "for" : "against"].push({ says, how: data.words.frequency[word] });
  }
  return sides;
}

function rungViews(data, findings, { ranking, head, check }) {
  const toCheck = check?.state === "open";
  return data.tiers.flatMap(([tier, name]) => {
    const steps = data.causes[head.id].plan.filter((step) => step.tier === tier);
    if (!steps.length) return [];
    const shut = !gate(data.table, head.id, tier, findings, ranking.topShare).open;
    return [{
      tier,
      name,
      check_first: shut && toCheck,
      ask_first: shut && !toCheck,
      steps: steps.map(({ tier: _, ...step }) => step),
    }];
  });
}

function equalWords(data, findings) {
  const ranking = rank(data.table, findings, { equal: true });
  const head = headline(data.table, ranking);
  return head.kind === "open" ? "" : `${nameOf(data, head)}: ${sureWords(data, head.share)}`;
}

function twoNamed(data, findings, context) {
  const { share, pairs } = twoTroubles(data.table, findings, context);
  if (share <= data.table.scale.twoFrom || !pairs.length) return [];
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

// The whole address that holds these findings: for paper, for mail, for copying.
export function wholeLink(data, fragment, context = {}) {
  const text = `${fragment}${tailOf(context)}`;
  return text ? `${data.mail.address}#${text}` : data.mail.address;
}

function mailLink(data, address) {
  const { to, subject, body, plant } = data.mail;
  const plain = (text) => encodeURIComponent(text.replaceAll("\n", "\r\n"))
    .replace(/[!'()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`);
  return `mailto:${to}?subject=${plain(put(subject, { plant }))}` +
    `&body=${plain(put(body, { address }))}`;
}

// What could not be used of an address, without a word of what stood there.
export function noteWords(data, notes) {
  return [...new Set(notes.map(({ kind }) => data.words.notes[kind]))];
}

// Which place and season the answer is weighed for, and whether that changed its name.
export function placeWords(data, findings, context) {
  const [zone, season] = [data.zones, data.seasons].map((list, at) =>
    list.find(([id]) => id === [context.zone, context.season][at])?.[1]);
  if (!zone) return [];
  const { weighed, same, other, open } = data.words.place;
  const [here, anywhere] = [context, { words: context.words }].map((where) => {
    const head = headline(data.table, rank(data.table, findings, where));
    return nameOf(data, head);
  });
  const where = season ? `${zone}, ${season.toLowerCase()}` : zone;
  const then = here === anywhere ? same : anywhere ? other : open;
  return [`${put(weighed, { where })} ${put(then, { name: anywhere })}`];
}

// What the words of a letter led to, as the link says it.
function ledWords({ causes, words }, { words: led = [] }) {
  return led.map(([id, tenths]) => put(words.led, { name: causes[id].called, tenths })).join(", ");
}

export function viewOf(data, findings, context = {}) {
  const found = outcome(data.table, findings, context);
  const { ranking, head } = found;
  const shown = headView(data, ranking, head);
  const lead = ranking.top;
  const sides = reasons(data, found);
  const also = alsoViews(data, findings, found);
  const rungs = shown.cause ? rungViews(data, findings, found) : [];
  const fragment = formatFragment(findings);
  const link = wholeLink(data, fragment, context);
  const { called, address } = data.causes[lead];
  return {
    plant: data.plant.id,
    fragment,
    head: shown,
    within: withinViews(data, findings, found),
    now: stepView(data, findings, found),
    look: lookView(data, findings, found),
    check: checkView(data, findings, found),
    also,
    reasons_for: sides.for,
    reasons_against: sides.against,
    why: sides.for.length + sides.against.length > 0,
    rungs,
    ticks: rungs.some(({ steps }) => steps.some(({ ticks }) => ticks)),
    whole: shown.cause ? { name: called, address } : null,
    year: shown.cause ? data.causes[lead].year : "",
    caution: rungs.some(({ tier }) => data.sprays.includes(tier)),
    alone: shown.named && !also.length && shown.tenths < data.table.scale.tenths,
    equal: shown.open ? "" : equalWords(data, findings),
    told: toldViews(data, findings),
    two: twoNamed(data, findings, context),
    notes: [],
    letter: false,
    led: ledWords(data, context),
    link,
    mail: mailLink(data, link),
  };
}

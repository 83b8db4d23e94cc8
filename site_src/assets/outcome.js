// What one set of findings comes to: everything that a result says, as ids and numbers. The
// builder's outcome.py decides the same for the pages it makes; a test holds both equal.

import {
  canBeSeen, checkState, firstStep, headline, looks, rank, share, start, sum, sureness,
} from "./reason.js";

const without = (findings, sign) =>
  Object.fromEntries(Object.entries(findings).filter(([name]) => name !== sign));
const barred = (table, step) => table.steps.find(({ id }) => id === step).bars ?? [];
const given = (findings) => Object.entries(findings).filter(([, said]) => said !== null);

function then(table, findings, context, before, sign, answer) {
  const all = { ...findings, [sign]: answer };
  const ranking = rank(table, all, context);
  const head = headline(table, ranking);
  const column = table.signs[sign].answers.indexOf(answer);
  const read = share(table, table.signs[sign], column);
  return {
    answer,
    chance: sum(read.map((number, place) => number * before.shares[place])),
    head,
    step: firstStep(table, ranking, all, head).step,
  };
}

const each = (table, findings, context, before, sign) =>
  table.signs[sign].answers.map((answer) => then(table, findings, context, before, sign, answer));

// The most telling look that can change the cause named first or the first step.
export function offeredLook(table, findings, context = {}) {
  const ranking = rank(table, findings, context);
  const { looks: most, more, sure, worth, change } = table.scale;
  if (Object.keys(findings).length >= most + more || ranking.topShare >= sure) return null;
  const head = headline(table, ranking);
  const { step } = firstStep(table, ranking, findings, head);
  const bars = barred(table, step);
  const changes = (it) => it.step !== step || it.head.kind !== head.kind || it.head.id !== head.id;
  for (const look of looks(table, findings, context)) {
    if (look.worth < worth) return null;
    if (bars.includes(look.sign)) continue;
    const answers = each(table, findings, context, ranking, look.sign);
    if (sum(answers.filter(changes).map(({ chance }) => chance)) >= change) {
      return { sign: look.sign, answers };
    }
  }
  return null;
}

function namesAnother(head, cause) {
  if (head.kind === "family") return !head.within.includes(cause);
  return head.kind === "cause" && head.id !== cause;
}

// The look that could prove the named cause wrong, its answers by what would then be named.
function checkOutcome(table, findings, context, ranking, head, step) {
  const check = head.kind === "cause" ? table.checks[head.id] : null;
  if (!check) return null;
  const state = checkState(table, head.id, findings);
  const nothing = { state, fits: [], unsure: [], other: [] };
  if (state !== "open") return nothing;
  const unasked = without(findings, check.sign);
  const mayLook = !barred(table, step).includes(check.sign);
  if (!mayLook || !canBeSeen(table, unasked, check.sign)) return null;
  const all = each(table, findings, context, ranking, check.sign);
  const other = all.filter((it) => namesAnother(it.head, head.id));
  const fits = all.filter((it) =>
    it.head.kind === "cause" && it.head.id === head.id && check.passes.includes(it.answer));
  // What leaves the same cause as sure as it is tells nothing, so it is not listed.
  const now = sureness(table, head.share).tenths;
  const weaker = (it) => it.head.kind !== "cause" || it.head.id !== head.id
    || sureness(table, it.head.share).tenths < now;
  const unsure = all.filter((it) => !fits.includes(it) && !other.includes(it) && weaker(it));
  return fits.length || other.length || unsure.length ? { state, fits, unsure, other } : null;
}

// Whether some answer is hardly ever seen with a cause that speaks of its sign.
export function denies(table, findings, cause) {
  const row = table.causes.indexOf(cause);
  return given(findings).some(([sign, said]) => {
    const { answers, denied, row: rows, silent } = table.signs[sign];
    return !silent.includes(row) && denied[rows[row]].includes(answers.indexOf(said));
  });
}

// Causes that are not named and have a fair share, best first.
function alsoPossible(table, ranking, findings, head) {
  const named = { cause: [head.id], family: head.within, open: [] }[head.kind];
  const { shown, deniedShown, also } = table.scale;
  const found = ranking.order
    .filter((place) => {
      const cause = table.causes[place];
      const least = denies(table, findings, cause) ? deniedShown : shown;
      return !named.includes(cause) && ranking.shares[place] >= least;
    })
    .slice(0, also);
  // Answers that deny everything still deserve to be told what comes nearest.
  const nearest = head.kind === "open" ? ranking.order.slice(0, 2) : [];
  return (found.length ? found : nearest).map((place) => table.causes[place]);
}

// The answers that are clearly more, or less, likely with a cause than otherwise.
function reasons(table, lead, findings) {
  const row = table.causes.indexOf(lead);
  const rest = start(table, {}).map((number, place) => (place === row ? 0 : number));
  return given(findings).flatMap(([sign, answer]) => {
    const { answers, silent } = table.signs[sign];
    if (silent.includes(row)) return [];
    const seen = share(table, table.signs[sign], answers.indexOf(answer));
    const times = (seen[row] * sum(rest)) / sum(rest.map((number, place) => number * seen[place]));
    const { speaks } = table.scale;
    return times >= speaks || times <= 1 / speaks ? [{ sign, answer, supports: times > 1 }] : [];
  });
}

export function outcome(table, findings, context = {}) {
  const ranking = rank(table, findings, context);
  const head = headline(table, ranking);
  const step = firstStep(table, ranking, findings, head);
  return {
    ranking,
    head,
    step,
    look: offeredLook(table, findings, context),
    check: checkOutcome(table, findings, context, ranking, head, step.step),
    also: alsoPossible(table, ranking, findings, head),
    reasons: head.kind === "open" ? [] : reasons(table, ranking.top, findings),
  };
}

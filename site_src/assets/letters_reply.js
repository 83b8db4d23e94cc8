// Writes the answer to a letter that was read. Pure: pieces come from words/replies.yaml, facts
// from the records, and what goes in follows from what was read.

import { asWritten, plain, turnsIn } from "./letter_words.js";
import { sureness } from "./reason.js";
import { tailOf } from "./said.js";

const SENT = tailOf({ letter: true }); // the page it opens says who sent it
const FIRST_LINES = ["life", "poison", "animal", "water", "pesticide"];
const PEOPLE = ["life", "poison"];

const fill = (piece, values) => piece.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
export const countWords = (text) => (text.match(/\S+/g) ?? []).length;

function sure(read, answers, table, share) {
  const { word, tenths } = sureness(table.table, share);
  const { replies, words } = answers;
  if (tenths < 1) return replies.under_one;
  return fill(replies.sure, { word: words.sureness[word].toLowerCase(), tenths });
}

// What the customer asks for besides: {wish: true}.
export function wishesIn(text, answers) {
  return new Set(turnsIn(asWritten(answers.replies.wishes), plain(text)).keys());
}

// Whom to call and what to do, for the customer's country.
export function emergency(read, answers) {
  if (!read.urgent) return null;
  const byLine = (it) => FIRST_LINES.indexOf(it.line);
  const [first] = [...read.urgent].sort((one, other) => byLine(one) - byLine(other));
  const { lines, aid, unknown } = answers.emergencies;
  const country = read.region?.country ?? answers.nursery.country;
  const known = lines[country] ?? [];
  const of = (what) => known.find((it) => it[0] === what);
  const call = of(first.line) ?? (PEOPLE.includes(first.line) ? of("life") : undefined);
  return { aid: aid[first.aid] ?? null, call, unknown: known.length ? "" : unknown };
}

function dangerPieces(read, answers) {
  const { replies } = answers;
  const { aid, call, unknown } = emergency(read, answers);
  return [
    must(replies.says.danger),
    must(call ? fill(replies.call, { number: call[1], say: call[2] }) : unknown),
    must(aid ? aid.do.slice(0, 2).join(" ") : ""),
    may(aid ? aid.do_not[0] : ""),
    may(replies.after),
  ];
}

const must = (text) => ({ text, must: true });
const may = (text) => ({ text, must: false });

function verdict(read, answers, table) {
  const { replies, causes, families } = answers;
  const { says } = replies;
  const { head, troubles } = read;
  const [pair] = troubles.pairs;
  if (pair && troubles.share > table.table.scale.twoFrom && read.enough) {
    const [one, two] = pair.causes.map((id) => causes[id].called);
    return fill(says.two, { one, two });
  }
  const values = { sure: sure(read, answers, table, head.share) };
  if (!read.enough) {
    const { called } = { ...families[head.id], ...causes[head.id] };
    const thin = head.kind === "open" || read.findings.length < table.table.scale.letters.fewNamed;
    return thin ? says.open : fill(says.maybe, { ...values, called });
  }
  if (head.kind === "family") return fill(says.family, { ...values, ...families[head.id] });
  const piece = causes[head.id].kind === "normal" ? says.normal : says.cause;
  return fill(piece, { ...values, called: causes[head.id].called });
}

// Whether the customer's guess differs from everything that is named.
function wrongGuess(read) {
  if (!read.guess || !read.enough) return false;
  const named = read.head.kind === "family" ? read.head.within : [read.head.id];
  const likely = read.ranking.slice(0, 3).map((it) => it.cause);
  return !read.guess.causes.some((id) => named.includes(id) || likely.includes(id));
}

function caution(read, answers, wishes) {
  const { careful } = answers.replies;
  const wished = Object.keys(answers.replies.wishes).find((it) => wishes.has(it) && careful[it]);
  const [best] = read.ranking;
  const cause = answers.causes[best.cause];
  const worm = ["leafrollers", "caterpillars"].includes(cause.family);
  if (wished) return careful[wished];
  if (read.enough && best.cause === "virus") return careful.virus;
  if (read.enough && worm) return careful.spiny;
  return read.enough && cause.kind === "pathogen" ? careful.knife : careful.look;
}

function plantPieces(read, answers, table, wishes) {
  const { replies, signs, steps, causes } = answers;
  const look = read.ask ? signs[read.ask] : null;
  const arrived = wishes.has("arrived") && read.findings.some((it) => it.sign.startsWith("root"));
  const blank = wishes.has("photos") && read.findings.length < table.table.scale.letters.few;
  const unsure = !read.enough || read.ranking[0].probability < table.table.scale.letters.plain;
  const ask = read.enough ? replies.ask : replies.ask_first;
  return [
    may(replies.thanks),
    arrived ? must(replies.says.arrived) : may(""),
    must(verdict(read, answers, table)),
    may(wrongGuess(read) ? fill(replies.guess, { guess: causes[read.guess.causes[0]].called }) : ""),
    must(read.enough ? fill(replies.today, { step: steps[read.firstStep] }) : ""),
    must(blank ? replies.photos : ""),
    { text: look && unsure ? fill(ask, look) : "", must: !read.enough },
    must(caution(read, answers, wishes)),
    must(read.findings.length ? fill(replies.link, { link: `${read.link}${SENT}` }) : ""),
  ];
}

function office(read, answers) {
  const { offices, replies } = answers;
  const state = read.region?.state ?? "";
  if (read.region && read.region.country !== "us") return may("");
  const piece = state ? replies.office : replies.office_any;
  return may(offices[state] ? fill(piece, offices[state]) : "");
}

// The reply to a letter, as plain text of at most `answers.most` words.
export function replyTo(text, read, answers, table) {
  const { replies, nursery, others } = answers;
  const wishes = wishesIn(text, answers);
  const other = fill(replies.says.other, { plant: others[read.otherPlant] ?? "" });
  const only = (text) => [may(replies.thanks), must(text), office(read, answers)];
  const body = () => {
    if (read.urgent) return dangerPieces(read, answers);
    if (read.otherPlant) return only(other);
    if (wishes.has("remove")) return only(replies.says.remove);
    return [...plantPieces(read, answers, table, wishes), office(read, answers)];
  };
  const pieces = [must(replies.hello), ...body(), must(nursery.sign_off)].filter((it) => it.text);
  return short(pieces, answers.most).map((it) => it.text).join("\n\n");
}

// Leaves optional pieces out, the last first, until the rest is short enough.
function short(pieces, most) {
  const length = (all) => all.reduce((total, it) => total + countWords(it.text), 0);
  const kept = [...pieces];
  for (let at = kept.length - 1; at >= 0 && length(kept) > most; at -= 1) {
    if (!kept[at].must) kept.splice(at, 1);
  }
  return kept;
}

// A letter to be opened in a mail program (RFC 6068).
export function mailTo(subject, body) {
  const lines = body.replace(/\r?\n/g, "\r\n");
  return `mailto:?subject=${encodeURIComponent(subject)}&body=${encodeURIComponent(lines)}`;
}


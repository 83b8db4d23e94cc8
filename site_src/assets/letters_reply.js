// Writes the answer to a letter that was read. Pure: pieces come from words/replies.yaml and
// asked.yaml, facts from the records, and what goes in follows from what was read.

import { lexicon, plain, turnsIn } from "./letter_words.js";
import { sureness, toldBefore } from "./reason.js";

const FIRST_LINES = ["crisis", "life", "poison", "animal", "water", "pesticide"];
const PEOPLE = ["life", "poison"];
const AND_LIFE = ["poison", "crisis"]; // the ambulance, too, if it gets so far
const OFFICES = ["water", "pesticide"]; // they help, but not within the hour
const AMBULANCE = "call-now";
const ALWAYS = ["snake", "allergy"]; // cautions that no spray must be asked about for
const MOST_ANSWERS = 3;

const fill = (piece, values) => piece.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
export const countWords = (text) => (text.match(/\S+/g) ?? []).length;
const must = (text) => ({ text, must: true });
const may = (text) => ({ text, must: false });

// ---- who writes

const CLOSES = "thanks|thank you|thx|cheers|best|regards|love|yours|sincerely|warmly|blessings|ta|respectfully";
const NAME = "([A-Z][a-z]+(?:-[A-Z][a-z]+)?)";
const EITHER_CASE = CLOSES.replace(/\b[a-z]/g, (it) => `[${it.toUpperCase()}${it}]`);
const REST = "(?:\\s+[A-Z][\\w.]*){0,2}(?:,[^\\n]*)?\\s*$"; // more names, then the place
const SIGNED = [
  new RegExp(`(?:${EITHER_CASE})[^\\n]{0,20}?[,.!\\n]\\s*[-–—]?\\s*${NAME}${REST}`),
  new RegExp(`\\n\\s*[-–—]?\\s*${NAME}${REST}`),
  new RegExp(`[.!?]\\s*[-–—]+\\s*${NAME}${REST}`),
  new RegExp(`\\b[Mm]y name is ${NAME}`),
];
const TITLED = new RegExp(`[,.!?\\n]\\s*(Mrs?|Ms|Miss|Dr)\\.?\\s+(?:[A-Z][\\w.]*\\s+){0,2}${NAME}(?:,[^\\n]*)?\\s*$`);
const NO_NAMES = new Set(CLOSES.split("|").concat("please", "help", "you", "advance", "again", "all", "so"));

// The name that a letter is signed with, to begin an answer: the first one, or the last with
// its title; empty if there is none.
export function signedBy(text) {
  const end = text.trimEnd().slice(-160);
  const [, title, last] = TITLED.exec(end) ?? [];
  if (last) return `${title}${title === "Miss" ? "" : "."} ${last}`;
  for (const [at, pattern] of SIGNED.entries()) {
    const name = pattern.exec(at < SIGNED.length - 1 ? end : text)?.[1];
    if (name && /^[A-Z]/.test(name) && !NO_NAMES.has(name.toLowerCase())) return name;
  }
  return "";
}

// ---- danger

// Whom to call and what to do, for the customer's country: {line, aids, calls}; `calls` are
// sentences, the most urgent first. The ambulance is called now for who can't breathe, and for
// any other harm to people if it gets so far.
export function emergency(read, table) {
  if (!read.urgent) return null;
  const { answers } = table;
  const { lines: all, aid, unknown } = answers.emergencies;
  const byUrgency = (one, other) => FIRST_LINES.indexOf(one) - FIRST_LINES.indexOf(other);
  const lines = [...new Set(read.urgent.map((it) => it.line))].sort(byUrgency);
  if (AND_LIFE.some((it) => lines.includes(it)) && !lines.includes("life")) lines.push("life");
  const known = all[read.region?.country || answers.nursery.country] ?? [];
  const of = (what) => known.find((it) => it[0] === what);
  const calls = lines.map((line) => of(line) ?? (PEOPLE.includes(line) ? of("life") : null));
  return {
    line: lines[0],
    aids: read.urgent.filter((it) => aid[it.aid]).map(({ aid: id, animal }, at, { length }) =>
      ({ ...aid[id], short: shortOf(aid[id], animal, length > 1) })),
    calls: known.length
      ? [...new Set(calls)].filter(Boolean).map((it) => callOf(it, read, answers))
      : [unknown],
  };
}

// All of a box that a reply has room for; what another box beside it says too, is left to that.
const shortOf = (aid, animal, beside) =>
  (animal && aid.short_animal) || (beside && aid.short_beside) || aid.short;

function callOf([what, number, say], read, { replies }) {
  const is = (line) => read.urgent.some((it) => it.line === line);
  const ofLife = () => {
    if (read.urgent.some((it) => it.aid === AMBULANCE)) return replies.call_life;
    return is("crisis") ? replies.call_crisis_life : replies.call_if;
  };
  const piece = { life: ofLife(), crisis: replies.call_crisis };
  return fill(piece[what] ?? (OFFICES.includes(what) ? replies.call_office : replies.call), { number, say });
}

function dangerPieces(read, table) {
  const { replies } = table.answers;
  const { line, aids, calls } = emergency(read, table);
  const crisis = line === "crisis";
  const first = line === "life" ? [] : aids.filter((it) => it.rinse_first);
  const then = aids.filter((it) => !first.includes(it));
  return [
    must(crisis ? "" : replies.says.danger),
    ...first.map((it) => must(it.short)),
    ...calls.map(must),
    ...then.map((it) => must(it.short)),
    crisis ? may("") : may(replies.after),
  ];
}

// ---- the trouble

function sure({ table, answers: { replies, words } }, share) {
  const { word, tenths } = sureness(table, share);
  if (tenths < 1) return replies.under_one;
  return fill(replies.sure, { word: words.sureness[word].toLowerCase(), tenths });
}

// The two troubles that a letter plainly tells of; none if one is likelier.
function bothIn(read, { table }) {
  const [pair] = read.troubles.pairs;
  return pair && read.enough && read.troubles.share > table.scale.twoFrom ? pair.causes : [];
}

function verdict(read, table) {
  const { answers } = table;
  const { replies: { says }, causes, families } = answers;
  const both = bothIn(read, table).map((id) => causes[id].called);
  if (both.length) return fill(says.two, { one: both[0], two: both[1] });
  const { head } = read;
  const values = { sure: sure(table, head.share) };
  if (!read.enough) {
    const { called } = { ...families[head.id], ...causes[head.id] };
    const thin = head.kind === "open" || read.findings.length < table.table.scale.letters.fewNamed;
    return thin ? says.open : fill(says.maybe, { ...values, called });
  }
  if (head.kind === "family") return fill(says.family, { ...values, ...families[head.id] });
  const piece = causes[head.id].kind === "normal" ? says.normal : says.cause;
  return fill(piece, { ...values, called: causes[head.id].called });
}

// A step in the words that fit what was told.
const said = ({ do: plainly, after }, { told }) => after[toldBefore(after, told)] ?? plainly;

function steps(read, table) {
  const { answers: { replies, steps: all, causes } } = table;
  const both = bothIn(read, table).map((id) => all[causes[id].first]).filter(Boolean);
  const does = new Set((both.length ? both : [all[read.firstStep]]).map((it) => said(it, read)));
  return read.enough ? fill(replies.today, { step: [...does].join(" ") }) : "";
}

// ---- what was asked

// What is named: a cause, or nothing.
const causeOf = (read) => (read.enough && read.head.kind === "cause" ? read.head.id : "");

// What was asked and its answer, by the records: [{asks, text, page}]. One that a named cause
// answers better is told so.
export function answersTo(read, { answers: { asked, causes } }) {
  const cause = causeOf(read);
  return read.asks.flatMap((id) => {
    const { asks, page, reply, for: instead = {}, arrived, well } = asked[id] ?? {};
    if (!reply) return [];
    const text = (read.kind === "arrival" && arrived) || (read.kind !== "trouble" && well)
      || instead[cause] || instead[causes[cause]?.kind] || reply;
    return [{ asks, text, page }];
  });
}

const answered = (read, table) =>
  [...new Set(answersTo(read, table).map(({ text }) => text))].slice(0, MOST_ANSWERS);

// The page that tells more of the first question that was answered.
function more(read, table) {
  const { answers: { nursery, replies } } = table;
  const [first] = answersTo(read, table);
  return first ? fill(replies.more, { page: nursery.site + first.page }) : "";
}

// Where it says what to photograph, for who is asked to show more.
const photoGuide = ({ answers: { nursery, replies } }) =>
  nursery.photos ? fill(replies.photo_guide, { page: nursery.site + nursery.photos }) : "";

// What else the letter speaks of: {wish: true}.
const wishesIn = (text, table) => new Set(turnsIn(lexicon(table).wishes, plain(text)).keys());

function caution(read, { answers: { replies: { careful, wishes: known }, causes, families } }, wishes) {
  const sprays = read.asks.includes("what-spray");
  const matters = (it) => wishes.has(it) && careful[it] && (sprays || ALWAYS.includes(it));
  const wished = Object.keys(known).find(matters);
  if (wished) return careful[wished];
  if (!read.enough) return "";
  const cause = causes[read.ranking[0].cause];
  const own = cause.careful || families[cause.family]?.careful;
  return own || (cause.kind === "pathogen" ? careful.knife : "");
}

// Whom to call if a spray does harm: in every reply that speaks of one.
function ifHarmed(read, table, wishes) {
  if (!read.asks.includes("what-spray")) return "";
  const { emergencies: { lines }, nursery, replies } = table.answers;
  const known = lines[read.region?.country || nursery.country] ?? [];
  const line = known.find((it) => it[0] === "poison") ?? known.find((it) => it[0] === "life");
  const animal = wishes.has("pets") && known.find((it) => it[0] === "animal");
  const pieces = [[replies.harmed, line], [replies.harmed_animal, animal]].filter(([, it]) => it);
  return pieces.map(([piece, it]) => fill(piece, { number: it[1] })).join(" ");
}

function troublePieces(text, read, table) {
  const { replies, signs, grown } = table.answers;
  const wishes = wishesIn(text, table);
  const look = read.ask ? signs[read.ask] : null;
  const blank = wishes.has("photos") && read.findings.length < table.table.scale.letters.few;
  const unsure = !read.enough || read.ranking[0].probability < table.table.scale.letters.plain;
  const ask = read.enough ? replies.ask : replies.ask_first;
  return [
    may(replies.thanks),
    must(verdict(read, table)),
    must(steps(read, table)),
    ...answered(read, table).map((text, at) => ({ text, must: !at })),
    must(blank ? replies.photos : ""),
    { text: look && unsure ? fill(ask, look) : "", must: !read.enough },
    may(blank || !read.enough ? photoGuide(table) : ""),
    must(read.enough || read.named || grown < 2 ? "" : replies.which_plant),
    must(caution(read, table, wishes)),
    must(ifHarmed(read, table, wishes)),
    must(read.findings.length ? fill(replies.link, { link: read.link }) : ""),
    may(more(read, table)),
    office(read, table),
  ];
}

// ---- the other kinds of mail

// Mail that tells of no trouble: what was asked, else the text for its kind.
function kindPieces(text, read, table) {
  const { replies: { kinds, thanks, says, careful }, nursery, others } = table.answers;
  const own = read.kind === "other-plant" && read.otherPlant
    ? fill(says.other, { other: others[read.otherPlant] })
    : fill(kinds[read.kind] ?? kinds.unclear, { nursery: nursery.name, email: nursery.email, site: nursery.site });
  // What we know of ours is no answer for another plant.
  const texts = read.kind === "other-plant" ? [] : answered(read, table);
  const wishes = wishesIn(text, table);
  return [
    ...(texts.length ? [may(thanks), ...texts.map(must), may(more(read, table))] : [must(own)]),
    may(read.kind === "arrival" ? photoGuide(table) : ""),
    ...ALWAYS.map((it) => must(wishes.has(it) ? careful[it] : "")),
    must(ifHarmed(read, table, wishes)),
  ];
}

function office(read, { answers: { offices, replies } }) {
  const state = read.region?.state ?? "";
  if (read.region && read.region.country !== "us") return may("");
  const piece = state ? replies.office : replies.office_any;
  return may(offices[state] ? fill(piece, offices[state]) : "");
}

function foreignPieces(read, { answers: { replies: { kinds } } }) {
  const own = kinds[`foreign_${read.language}`];
  return [must(kinds.foreign), ...(own ? [must(own)] : [])];
}

function body(text, read, table) {
  if (read.kind === "foreign") return foreignPieces(read, table);
  if (read.urgent) return dangerPieces(read, table);
  // A question about a plant of which nothing is told gets its answer and no diagnosis.
  const told = read.findings.length > 0 || !answered(read, table).length;
  if (read.kind === "trouble" && told) return troublePieces(text, read, table);
  return kindPieces(text, read, table);
}

// The reply to a letter, as plain text of at most `answers.most` words.
export function replyTo(text, read, table) {
  const { replies, nursery, most } = table.answers;
  const name = signedBy(text);
  const hello = name ? fill(replies.hello_name, { name }) : replies.hello;
  const pieces = [must(hello), ...body(text, read, table), must(nursery.sign_off)]
    .filter((it) => it.text);
  return short(pieces, most).map((it) => it.text).join("\n\n");
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
export function mailTo(subject, body, to = "") {
  const lines = body.replace(/\r?\n/g, "\r\n");
  return `mailto:${encodeURIComponent(to)}?subject=${encodeURIComponent(subject)}&body=${encodeURIComponent(lines)}`;
}

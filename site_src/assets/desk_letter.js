// One letter on the grower's desk: what was read, what she corrected, and the reply she sends.
// Pure: no page, no network, no storage.

export const COLUMNS = ["date", "place", "month", "plant", "kind", "cause", "confirmed", "was"];
const NAMES_A_CAUSE = ["trouble", "arrival"];

export const corrections = () => ({
  given: {}, // kind, plant, state, month, aids: as the grower set them
  off: new Set(), // signs she dropped
  own: new Map(), // sign -> the answer she chose
  asksOff: new Set(),
  asksOwn: new Set(),
  led: true, // whether the words of the letter count beside its findings
});

export const blank = (id, date) => ({
  id, date, text: "", read: null, ...corrections(),
  reply: "", // what stands in her box
  base: "", // the written reply that it started from
  made: "", // the reply as it would be written now
  typed: false,
  copied: "", // the reply as it was copied last
  was: "", // "", "yes", "unknown", "other" or a cause
});

const spaceless = (text) => text.replace(/\s+/g, "");
export const sameWords = (one, other) =>
  one.trim().split(/\s+/).join(" ") === other.trim().split(/\s+/).join(" ");

// The same reading for a text in which only blanks differ: its spans follow the letters.
export function moved(read, from, to) {
  if (spaceless(from) !== spaceless(to)) return read;
  const at = [];
  for (let place = 0; place < to.length; place += 1) if (/\S/.test(to[place])) at.push(place);
  const before = (place) => spaceless(from.slice(0, place)).length;
  const follow = (it) =>
    it && it.end > it.start
      ? { ...it, start: at[before(it.start)] ?? to.length, end: (at[before(it.end) - 1] ?? -1) + 1 }
      : it;
  return {
    ...read,
    findings: read.findings.map(follow),
    urgent: read.urgent && read.urgent.map(follow),
  };
}

function dangers({ read, given }, table) {
  if (!given.aids) return read.urgent?.length ? read.urgent : null;
  const set = given.aids.map((aid) => read.urgent?.find((it) => it.aid === aid)
    ?? { aid, line: table.lines[aid], start: -1, end: -1 });
  return set.length ? set : null;
}

function kindNow({ read, given }, urgent, findings) {
  if (urgent) return "danger";
  const kind = given.kind ?? read.kind;
  if (kind === "danger") return findings.length ? "trouble" : "other";
  if (given.plant === undefined || given.kind) return kind;
  if (given.plant) return "other-plant";
  return kind === "other-plant" ? "trouble" : kind;
}

function findingsNow({ read, off, own }) {
  const asRead = read.findings.filter((it) =>
    !off.has(it.sign) && (own.get(it.sign) ?? it.answer) === it.answer);
  const known = new Set(asRead.map(({ sign }) => sign));
  const chosen = [...own].filter(([sign]) => !off.has(sign) && !known.has(sign));
  return [...asRead, ...chosen.map(([sign, answer]) =>
    ({ sign, answer, words: "", start: -1, end: -1, chance: 1, hedged: false }))];
}

// The reading with all corrections, and what follows from it.
export function corrected(letter, table, weigh) {
  const { read, given, asksOff, asksOwn } = letter;
  const region = given.state === "" ? null : read.region;
  const month = given.month === 0 ? null : read.month;
  const findings = findingsNow(letter);
  const urgent = dangers(letter, table);
  const kind = kindNow(letter, urgent, findings);
  const context = {
    zone: region?.zone ?? "",
    season: given.month === 0 ? "" : read.context.season,
    words: letter.led ? read.context.words : [],
  };
  return {
    ...read,
    kind, urgent, findings, region, month,
    language: kind === "foreign" ? read.language : "",
    otherPlant: given.plant === undefined ? read.otherPlant : given.plant || null,
    asks: [...new Set([...read.asks, ...asksOwn])].filter((it) => !asksOff.has(it)),
    ...weigh(table, findings, context),
  };
}

// A newly written reply goes into the box, unless the grower has written there: then it waits.
export function write(letter, made) {
  letter.made = made;
  if (letter.typed) return;
  letter.reply = made;
  letter.base = made;
}
export const isCopied = (letter) => letter.copied !== "" && letter.copied === letter.reply;
export const waits = (letter) => letter.typed && letter.made !== letter.base;
export function take(letter) {
  letter.typed = false;
  write(letter, letter.made);
}
export function keep(letter) {
  letter.base = letter.made;
}
export function type(letter, text) {
  letter.reply = text;
  letter.typed = text.trim() !== "" && text !== letter.base;
}

// The text of a letter in parts, each with the ids of the spans that lie over it.
export function parts(text, spans) {
  const cuts = new Set([0, text.length]);
  const real = spans.filter((it) => it.end > it.start && it.start >= 0);
  for (const { start, end } of real) cuts.add(Math.min(start, text.length)).add(Math.min(end, text.length));
  const edges = [...cuts].sort((one, other) => one - other);
  return edges.slice(1).map((end, at) => ({
    text: text.slice(edges[at], end),
    of: real.filter((it) => it.start < end && edges[at] < it.end).map(({ id }) => id),
  }));
}

// ---- its head, as mail programs copy it

const lineOf = (text, name) =>
  [...text.matchAll(new RegExp(`^[>\\s]*${name}:[ \\t]*(\\S.*)$`, "gim"))].map((it) => it[1].trim());

export function sender(text, ours = "") {
  const found = lineOf(text, "From").map((it) => /[^\s<>"(),;:]+@[^\s<>"(),;:]+/.exec(it)?.[0] ?? "");
  return found.find((it) => it && it.toLowerCase() !== ours.toLowerCase()) ?? "";
}

export function subject(text, otherwise) {
  const [said] = lineOf(text, "Subject");
  if (!said) return otherwise;
  return /^re:/i.test(said) ? said : `Re: ${said}`;
}

// A short name for its tab: its subject, else its first words.
export function nameOf({ text }) {
  const [said] = lineOf(text, "Subject");
  const first = text.split("\n").map((it) => it.trim())
    .find((it) => it && !/^(?:from|to|date|sent|cc|subject):/i.test(it) && it.split(/\s+/).length > 2);
  return (said ?? first ?? text).trim().replace(/\s+/g, " ").slice(0, 32);
}

// ---- the tally

export const given = (now) => {
  const known = now.findings.length || now.context.words.length;
  return NAMES_A_CAUSE.includes(now.kind) && known ? now.ranking[0].cause : "";
};

export function rowOf(letter, now, plant) {
  const confirmed = ["", "yes", "unknown"].includes(letter.was) ? letter.was : "no";
  return {
    date: letter.date,
    place: now.region?.state || now.region?.country || "",
    month: now.month ?? "",
    plant: now.otherPlant ?? plant,
    kind: now.kind,
    cause: given(now),
    confirmed,
    was: confirmed === "no" ? letter.was : "",
  };
}

// Ids and numbers alone: nothing in it needs quotes, and nothing is a letter's text.
export const asCsv = (rows) =>
  [COLUMNS, ...rows.map((row) => COLUMNS.map((it) => row[it]))].map((it) => `${it.join(",")}\r\n`).join("");

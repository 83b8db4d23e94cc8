// What stands in the address after the #: answers and signs by id, joined by dots, then behind
// "~" the place and season that a result was weighed for, marks ("b", change and go back to the
// result; "l", sent by the nursery) and what the words of a letter led to, as tenths and causes
// ("5aphid_2thrips"). No other text of an address is used or shown.

const LONGEST = 2000;
const MARKS = /^[bl]*$/;
const WORDS = /^[1-9][a-z][a-z0-9-]*(?:_[1-9][a-z][a-z0-9-]*){0,2}$/;

const whole = () => {
  try {
    return decodeURIComponent(location.hash.slice(1, LONGEST));
  } catch {
    return location.hash.slice(1, LONGEST); // its signs are no word of ours, and are told so
  }
};

export const said = () => whole().split("~")[0];
export const sayPlace = () => whole().split("~")[1] ?? "";

export function placeOf(text = sayPlace()) {
  const [zone = "", season = "", marks = "", words = ""] = text.split(".");
  const plain = (word) => (/^[a-z-]*$/.test(word) ? word : "");
  const known = MARKS.test(marks) ? marks : "";
  return {
    zone: plain(zone),
    season: plain(season),
    back: known.includes("b"),
    letter: known.includes("l"),
    words: WORDS.test(words) ? words.split("_").map((it) => [it.slice(1), Number(it[0])]) : [],
  };
}

// Answers and signs by id, the last answer to a sign counting; anything else is left out.
export function readSaid(table, text) {
  const signOf = {};
  for (const [sign, { answers }] of Object.entries(table.signs)) {
    for (const answer of answers) signOf[answer] = sign;
  }
  const findings = {};
  for (const old of text.split(".")) {
    const token = Object.hasOwn(table.moved, old) ? table.moved[old] : old;
    const sign = Object.hasOwn(signOf, token) ? signOf[token] : token;
    if (!Object.hasOwn(table.signs, sign)) continue;
    if (sign !== token) findings[sign] = token;
    else if (!Object.hasOwn(findings, sign)) findings[sign] = null;
  }
  return findings;
}

export function tailOf({ zone = "", season = "", back = false, letter = false, words = [] }) {
  const marks = `${back ? "b" : ""}${letter ? "l" : ""}`;
  const led = words.map(([cause, tenths]) => `${tenths}${cause}`).join("_");
  if (!zone && !marks && !led) return "";
  const last = led ? [marks, led] : marks ? [marks] : [];
  return `~${[zone, season, ...last].join(".")}`;
}

export function addressOf(page, findings, place) {
  const text = Object.entries(findings).map(([sign, answer]) => answer ?? sign).join(".");
  const tail = tailOf(place);
  return text || tail ? `${page}#${text}${tail}` : page;
}

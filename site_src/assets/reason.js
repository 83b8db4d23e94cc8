// The arithmetic of the site, for findings that only the gardener's browser knows.
// Pure functions: `table` is the plant's data file, `findings` maps a sign to an answer or to
// null (asked, "I can't tell"). The builder computes the same numbers in the same way.

const ID = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const SAME = 1e12; // closer shares are equal, and equals keep the order of their ids

export const own = (object, key) => Object.prototype.hasOwnProperty.call(object, key);
export const near = (share) => Math.round(share * SAME);
export const sum = (numbers) => numbers.reduce((total, number) => total + number, 0);
export const share = (table, sign, column) =>
  sign.row.map((row) => sign.rows[row][column] / table.parts);

// Findings, in the order of the signs, without "I can't tell" and without what is not known.
function told(table, findings) {
  return Object.entries(table.signs).flatMap(([name, sign]) => {
    const column = own(findings, name) ? sign.answers.indexOf(findings[name]) : -1;
    return column < 0 ? [] : [{ name, sign, column }];
  });
}

function grouped(table, findings) {
  const groups = new Map();
  for (const { name, sign, column } of told(table, findings)) {
    const key = sign.group ? `group ${sign.group}` : name;
    groups.set(key, [...(groups.get(key) ?? []), share(table, sign, column)]);
  }
  return groups;
}

const product = (columns) =>
  columns.reduce((all, column) => all.map((number, place) => number * column[place]));

function meanOfGroup(columns) {
  if (columns.length === 1) return columns[0];
  return product(columns).map((number) => number ** (1 / columns.length));
}

export function start(table, { zone = "", season = "", equal = false, words = [] }) {
  if (equal) return table.causes.map(() => 1);
  const prior = table.prior.map((parts) => parts / table.parts);
  const ofZone = own(table.context, zone) ? table.context[zone] : {};
  const ofSeason = own(ofZone, season) ? ofZone[season] : ofZone[""];
  const factors = [
    ...((zone || season) && ofSeason ? [ofSeason] : []),
    ...(words.length ? [fromWords(table, words)] : []),
  ];
  return factors.reduce((all, factor) => all.map((number, place) => number * factor[place]), prior);
}

// What the words of a letter do to each cause: its tenths against an even share; the builder
// computes the same.
function fromWords({ causes, scale: { letters } }, words) {
  const tenths = new Map(words.filter(([cause]) => causes.includes(cause)));
  const left = Math.max(10 - sum([...tenths.values()]), letters.rest);
  const rest = left / Math.max(causes.length - tenths.size, 1);
  return causes.map((cause) => ((tenths.get(cause) ?? rest) / 10 * causes.length) ** letters.temper);
}

function ranked(table, weights) {
  const total = sum(weights);
  const shares = weights.map((weight) => weight / total);
  const order = shares
    .map((_, place) => place)
    .sort((a, b) => near(shares[b]) - near(shares[a]) || a - b);
  const topShare = shares[order[0]];
  const open = topShare < table.scale.named;
  return { shares, order, top: table.causes[order[0]], topShare, open };
}

// P(cause | findings): Bayes' rule over all causes.
export function rank(table, findings, context = {}) {
  let weights = start(table, context);
  for (const columns of grouped(table, findings).values()) {
    const mean = meanOfGroup(columns);
    weights = weights.map((weight, place) => weight * mean[place]);
    const most = Math.max(...weights);
    weights = weights.map((weight) => weight / most);
  }
  return ranked(table, weights);
}

export function entropy(weights) {
  const total = sum(weights);
  const inner = sum(weights.map((weight) => (weight > 0 ? weight * Math.log2(weight) : 0)));
  return Math.log2(total) - inner / total;
}

// Whether anybody who has found this could be asked about a sign: see the builder's findings.py.
export function makesSense(table, findings, name) {
  const needs = Object.entries(table.signs[name].needs ?? {});
  return canBeSeen(table, findings, name) && needs.every(([needed, answers]) =>
    own(findings, needed) && answers.includes(findings[needed]));
}

// The same for a look at what one would see together with what it needs.
export function canBeSeen(table, findings, name) {
  const { needs = {}, notAfter = [] } = table.signs[name];
  const said = Object.values(findings);
  // A sign's id stands for each of its answers but "none of these".
  const given = (sign) => (findings[sign] ?? table.signs[sign].none ?? null) !== (table.signs[sign].none ?? null);
  return (
    !own(findings, name) &&
    Object.entries(needs).every(([needed, answers]) =>
      (findings[needed] ?? null) === null || answers.includes(findings[needed])) &&
    !notAfter.some((id) => (own(table.signs, id) ? given(id) : said.includes(id))) &&
    !Object.keys(findings).some((told) => own(table.signs[told]?.needs ?? {}, name))
  );
}

export const openSigns = (table, findings) =>
  Object.keys(table.signs).filter((name) => makesSense(table, findings, name));

// Expected gain in bits of one sign, and what each answer would leave.
export function look(table, findings, name, context = {}) {
  const now = rank(table, findings, context).shares;
  const sign = table.signs[name];
  const answers = sign.answers.map((id, column) => ({
    id,
    chance: sum(share(table, sign, column).map((number, place) => number * now[place])),
    ...rank(table, { ...findings, [name]: id }, context),
  }));
  const left = sum(answers.map((answer) => answer.chance * entropy(answer.shares)));
  const gain = Math.max(entropy(now) - left, 0);
  return { sign: name, gain, worth: gain * (1 - sign.cant), answers };
}

// Every look that makes sense now, the most worth having first.
export function looks(table, findings, context = {}) {
  const found = openSigns(table, findings).map((name) => look(table, findings, name, context));
  return found.sort((a, b) => near(b.worth) - near(a.worth));
}

// Families of two or more causes, the likeliest first.
export function families(table, ranking) {
  return Object.entries(table.families)
    .map(([id, places]) => ({
      id,
      share: sum(places.map((place) => ranking.shares[place])),
      causes: ranking.order
        .filter((place) => places.includes(place))
        .map((place) => table.causes[place]),
    }))
    .sort((a, b) => near(b.share) - near(a.share));
}

// What may be named: the cause when it is likely, else a family that is, else a cause about even.
export function headline(table, ranking) {
  const { named, likely, family } = table.scale;
  const { top, topShare, open } = ranking;
  const best = families(table, ranking)[0];
  if (topShare < likely && best && best.share >= Math.max(named, topShare + family)) {
    return { kind: "family", id: best.id, share: best.share, within: best.causes };
  }
  if (open) return { kind: "open", id: "", share: topShare, within: [] };
  return { kind: "cause", id: top, share: topShare, within: [] };
}

// A step is senseless that looks at something told, with no words for the answer.
const asksAgain = ({ asks = [], told: words = [] }, findings) =>
  asks.some((sign) => (findings[sign] ?? null) !== null && !words.includes(findings[sign]));

// The first step: a named cause's own unless it may harm, else the one of highest value; if that
// is wrong for the cause that is named, the one for what is on no list.
// The answer after which a step is said in other words; undefined where none was told.
export const toldBefore = (after, findings) =>
  Object.values(findings).find((said) => said !== null && own(after, said));

export function firstStep(table, ranking, findings, head = headline(table, ranking)) {
  const { harm, borne, idle } = table.scale;
  const failed = head.kind === "cause" && checkState(table, head.id, findings) === "failed";
  const choices = table.steps.map((step) => {
    const right = sum(step.right.map((place) => ranking.shares[place]));
    const harmful = sum(step.harms.map((place) => ranking.shares[place]));
    const blocked = asksAgain(step, findings) || (step.idle && (failed || right < idle));
    const out = blocked || (step.idle && head.kind === "open");
    const value = out ? -Infinity : near(right - harm * harmful);
    return { step: step.id, right, wasted: Math.max(0, 1 - right - harmful), harmful, value, blocked };
  });
  const mine = head.kind === "cause" ? table.own[table.causes.indexOf(head.id)] : [];
  const its = mine.map((place) => choices[place])
    .find((choice) => !choice.blocked && choice.harmful <= borne);
  const best = choices.reduce((most, choice) => (choice.value > most.value ? choice : most));
  const fits = !mine.length || table.ask === null || mine.includes(choices.indexOf(best));
  return its ?? (fits ? best : choices[table.ask]);
}

// Findings by group, each as [share of the answer, whether the cause speaks] by cause.
function spokenGroups(table, findings) {
  const groups = new Map();
  for (const { name, sign, column } of told(table, findings)) {
    const silent = new Set(sign.silent);
    const columns = share(table, sign, column).map((said, place) => [said, !silent.has(place)]);
    const key = sign.group ? `group ${sign.group}` : name;
    groups.set(key, [...(groups.get(key) ?? []), columns]);
  }
  return [...groups.values()];
}

// What a gardener reads whose plant has both: the mean, or the one that speaks.
function either([one, oneSpeaks], [other, otherSpeaks]) {
  if (oneSpeaks === otherSpeaks) return (one + other) / 2;
  return oneSpeaks ? one : other;
}

// Whether two troubles at once explain the findings better than one, and the likeliest pairs.
export function twoTroubles(table, findings, context = {}) {
  const prior = start(table, context);
  const groups = spokenGroups(table, findings);
  const speaks = (place) =>
    Object.values(table.signs).some((sign) => !sign.silent.includes(place));
  const places = table.causes.map((_, place) => place).filter(speaks);
  const pairs = places.flatMap((one, at) => places.slice(at + 1).map((other) => [one, other]));
  const chance = (of) =>
    groups.reduce((all, columns) => {
      const logs = columns.map((column) => Math.log(of(column)));
      return all + sum(logs) / columns.length;
    }, 0);
  const before = sum(pairs.map(([one, other]) => prior[one] * prior[other]));
  const alone = prior.map(
    (number, place) =>
      Math.log((number / sum(prior)) * (1 - table.scale.two)) + chance((c) => c[place][0]),
  );
  const both = pairs.map(
    ([one, other]) =>
      Math.log((prior[one] * prior[other] * table.scale.two) / before) +
      chance((c) => either(c[one], c[other])),
  );
  const most = Math.max(...alone, ...both);
  const total = sum([...alone, ...both].map((log) => Math.exp(log - most)));
  const shares = both.map((log) => Math.exp(log - most) / total);
  const best = shares
    .map((_, at) => at)
    .sort((a, b) => near(shares[b]) - near(shares[a]) || a - b)
    .slice(0, 3);
  const causes = ([one, other]) =>
    (near(Math.exp(alone[other] - most)) > near(Math.exp(alone[one] - most))
      ? [other, one]
      : [one, other]
    ).map((place) => table.causes[place]);
  return {
    share: sum(shares),
    pairs: best.map((at) => ({ causes: causes(pairs[at]), share: shares[at] })),
  };
}

// A word of the scale and n of "n in 10"; 0 reads "fewer than 1 in 10". Rounded first, so that
// each tenth has one word.
export function sureness(table, share) {
  const tenths = Math.min(Math.floor(10 * share + 0.5), table.scale.tenths);
  // The word that the least share rounded to this number has earned.
  const least = Math.max(tenths - 0.5, 0) / 10;
  const [, word] = table.scale.bands.find(([edge]) => least >= edge);
  return { word, tenths };
}

export function checkState(table, cause, findings) {
  if (!own(table.checks, cause)) return "none";
  const { sign, passes, fails, toldBy } = table.checks[cause];
  const said = own(findings, sign) ? findings[sign] : null;
  const told = said === null && toldBy.some((answer) => Object.values(findings).includes(answer));
  if (told || passes.includes(said)) return "passed";
  return fails.includes(said) ? "failed" : "open";
}

// A spray opens only if the check has passed and the cause is likely enough.
export function gate(table, cause, tier, findings, share) {
  const gated = own(table.scale.needed, tier);
  const needed = gated ? table.scale.needed[tier] : 0;
  const check = checkState(table, cause, findings);
  const sure = share >= needed;
  return { open: !gated || (sure && check === "passed"), check, sure, needed };
}

function indexOfAnswers(table) {
  const signOf = new Map();
  for (const [name, sign] of Object.entries(table.signs)) {
    for (const answer of sign.answers) signOf.set(answer, name);
  }
  return signOf;
}

// The word for what is wrong with the token, or nothing.
function add(table, signOf, token, given) {
  if (token.length > table.scale.tokens[1] || !ID.test(token)) return "malformed";
  const isAnswer = signOf.has(token);
  if (table.ended?.includes(token)) return "ended";
  if (!isAnswer && !own(table.signs, token)) return "unknown";
  const sign = isAnswer ? signOf.get(token) : token;
  const said = given.get(sign) ?? [];
  const answer = isAnswer ? token : null;
  if (said.includes(answer)) return "repeated";
  given.set(sign, [...said, answer]);
  return "";
}

const denied = (table, findings, sign) =>
  Object.entries(table.signs[sign].needs ?? {}).some(
    ([needed, said]) =>
      own(findings, needed) && findings[needed] !== null && !said.includes(findings[needed]),
  );

function settle(table, given) {
  const findings = {};
  const notes = [];
  for (const [sign, said] of given) {
    const answers = said.filter((answer) => answer !== null);
    if (answers.length > 1) {
      notes.push(...answers.map((token) => ({ kind: "contradictory", token })));
      continue;
    }
    findings[sign] = answers[0] ?? null;
    if (said.length > 1) notes.push({ kind: "repeated", token: sign });
  }
  for (const sign of Object.keys(findings).filter((name) => denied(table, findings, name))) {
    notes.push({ kind: "unfit", token: findings[sign] || sign });
    delete findings[sign];
  }
  return { findings, notes };
}

// Findings out of the fragment of an address, which may hold anything.
export function parseFragment(table, text) {
  const moved = table.moved ?? {};
  const tokens = text.replace(/^#/, "").split(".").filter(Boolean)
    .map((token) => (own(moved, token) ? moved[token] : token));
  const signOf = indexOfAnswers(table);
  const given = new Map();
  const notes = [];
  const [most, longest] = table.scale.tokens;
  for (const [place, token] of tokens.slice(0, most + 1).entries()) {
    const kind = place === most ? "malformed" : add(table, signOf, token, given);
    if (kind) notes.push({ kind, token: [...token].slice(0, longest).join("") });
  }
  const settled = settle(table, given);
  return { findings: settled.findings, notes: [...notes, ...settled.notes] };
}

export function formatFragment(findings) {
  return Object.entries(findings)
    .map(([sign, answer]) => answer ?? sign)
    .join(".");
}

// "Answer a letter": shows what the reader understood, lets the grower correct it, and writes
// the reply. Everything stays in this page; the letter is put in as text and never as markup.

import { readLetter, weigh } from "./letters.js";
import { countWords, emergency, mailTo, replyTo } from "./letters_reply.js";

const $ = (id) => document.getElementById(id);
const { table: tableAt, root } = $("letter").dataset;
const load = (address) => fetch(address).then((answer) => answer.json());
const table = await load(tableAt);
const { answers } = table;

const signOf = new Map();
for (const [sign, { says }] of Object.entries(answers.signs)) {
  for (const id of Object.keys(says)) signOf.set(id, sign);
}
let read = null;
let off = new Set(); // signs the grower switched off
let own = new Map(); // sign -> answer that the grower chose

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}

// ---- what holds now

function current() {
  const kept = read.findings.filter((it) => !off.has(it.sign) && !own.has(it.sign));
  const chosen = [...own]
    .filter(([sign]) => !off.has(sign))
    .map(([sign, answer]) => ({ sign, answer, words: "", start: -1, end: -1, hedged: false }));
  const findings = [...kept, ...chosen];
  return { ...read, findings, ...weigh(table, findings, read.context) };
}

function show({ reply = true } = {}) {
  const now = current();
  showDanger(now);
  showLetter();
  showFindings(now);
  showCauses(now);
  if (!reply) return;
  $("reply").value = replyTo($("letter").value, now, table);
  afterReply();
}

function afterReply() {
  const text = $("reply").value;
  $("count").textContent = `${countWords(text)} of at most ${answers.most} words`;
  $("mail").href = mailTo(`Your ${table.plant}`, text);
}

// ---- parts of the page

function showDanger(now) {
  const first = emergency(now, table);
  $("danger").hidden = !first;
  if (!first) return;
  const call = first.call ? `Call ${first.call[1]}. ${first.call[2]}` : first.unknown;
  const steps = (first.aid?.do ?? []).map((line) => element("li", { textContent: line }));
  const not = (first.aid?.do_not ?? []).map((line) => element("li", { textContent: line }));
  $("danger-says").replaceChildren(
    element("p", {}, element("b", { textContent: first.aid?.title ?? "Danger" })),
    ...(call ? [element("p", { textContent: call })] : []),
    element("ul", {}, ...steps, ...not),
  );
}

// The letter with the words that were understood marked; overlaps become one mark.
function showLetter() {
  const text = $("letter").value;
  const spans = [...read.findings.filter((it) => !off.has(it.sign)), ...(read.urgent ?? []), ...(read.guess ? [read.guess] : [])]
    .filter((it) => it.end > it.start)
    .sort((one, other) => one.start - other.start);
  const parts = [];
  let at = 0;
  for (const { start, end } of spans) {
    if (start > at) parts.push(text.slice(at, start));
    if (end > at) parts.push(element("mark", { textContent: text.slice(Math.max(at, start), end) }));
    at = Math.max(at, end);
  }
  $("marked").replaceChildren(...parts, text.slice(at));
}

function showFindings(now) {
  const found = [...new Map([...read.findings.map((it) => [it.sign, it]), ...own.entries()].map(([sign, it]) => [sign, it])).keys()];
  const rows = found.map((sign) => findingRow(sign));
  const nothing = element("li", { className: "quiet", textContent: "Nothing yet. Add what you know below." });
  $("findings").replaceChildren(...(rows.length ? rows : [nothing]));
  const said = [];
  if (now.guess) said.push(`The customer's guess: ${now.guess.causes.map((id) => answers.causes[id].called).join(" or ")}. It weighs little.`);
  if (now.otherPlant) said.push(`This may be ${answers.others[now.otherPlant]}.`);
  if (now.region) said.push(`Place: ${now.region.state || now.region.country.toUpperCase()}.`);
  if (now.month) said.push(`Month: ${now.month}.`);
  $("besides").textContent = said.join(" ");
}

function findingRow(sign) {
  const mine = read.findings.find((it) => it.sign === sign);
  const chosen = own.get(sign) ?? mine.answer;
  const { question, says } = answers.signs[sign];
  const box = element("input", { type: "checkbox", id: `on-${sign}`, checked: !off.has(sign) });
  box.addEventListener("change", () => {
    if (box.checked) off.delete(sign);
    else off.add(sign);
    show();
    $(`on-${sign}`)?.focus();
  });
  const pick = element("select", { id: `is-${sign}` });
  pick.append(...Object.entries(says).map(([id, text]) => element("option", { value: id, textContent: text, selected: id === chosen })));
  pick.setAttribute("aria-label", question);
  pick.addEventListener("change", () => {
    own.set(sign, pick.value);
    off.delete(sign);
    show();
    $(`is-${sign}`)?.focus();
  });
  const from = own.has(sign) ? "you chose this" : `“${mine.words}”${mine.hedged ? ", not said plainly" : ""}`;
  return element(
    "li",
    {},
    element("label", { htmlFor: `on-${sign}` }, box, ` ${question}`),
    pick,
    element("span", { className: "quiet small", textContent: from }),
  );
}

function showCauses(now) {
  const rows = now.ranking.slice(0, 5).map(({ cause, probability }) => {
    const tenths = Math.min(Math.floor(10 * probability + 0.5), 9);
    const bar = element("span", { className: "marks" });
    bar.dataset.n = tenths;
    bar.setAttribute("aria-hidden", "true");
    const link = element("a", { href: `${root}causes/${cause}/`, textContent: answers.causes[cause].called });
    return element("li", {}, link, " ", bar, ` ${tenths ? `${tenths} in 10` : "fewer than 1 in 10"}`);
  });
  $("causes").replaceChildren(...rows);
  const look = now.ask ? answers.signs[now.ask] : null;
  $("ask").textContent = look ? `${look.question} ${look.where}` : "Nothing more to ask.";
  $("enough").textContent = now.enough ? "Enough to name it." : "Not enough to name it. The reply asks back.";
  $("link").href = `${root}${$("letter").dataset.result}#${now.link.split("#")[1] ?? ""}`;
  $("link").hidden = !now.findings.length;
}

// ---- what the grower does

$("letter").addEventListener("input", () => {
  off = new Set();
  own = new Map();
  read = readLetter($("letter").value, table);
  $("read").hidden = !$("letter").value.trim();
  show();
});

$("letter").addEventListener("keydown", (event) => {
  if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
    event.preventDefault();
    $("copy").click();
  }
});

async function copy(text, says) {
  try {
    await navigator.clipboard.writeText(text);
    $("done").textContent = says;
  } catch {
    $("done").textContent = "This browser does not let a page copy. Select the text and copy it yourself.";
    $("reply").select();
  }
}

$("copy").addEventListener("click", () => copy($("reply").value, "The reply is copied."));
$("reply").addEventListener("input", afterReply);
$("add").addEventListener("change", () => {
  const id = [...$("answers").options].find((it) => it.value === $("add").value)?.dataset.id;
  if (!id || !read) return;
  own.set(signOf.get(id), id);
  off.delete(signOf.get(id));
  $("add").value = "";
  show();
});

const quoted = (text) => JSON.stringify(text);
$("teach").addEventListener("submit", (event) => {
  event.preventDefault();
  const phrase = $("phrase").value.trim().toLowerCase();
  const id = $("means").value;
  if (!phrase) return;
  const where = `# in knowledge/${table.plant}/signs/${signOf.get(id)}.yaml, at the answer ${id}: put this into its list of words`;
  copy(`${where}\nwords: [${quoted(phrase)}]\n`, "The line is copied. Paste it into the file it names.");
});
document.addEventListener("selectionchange", () => {
  const chosen = document.getSelection();
  if (chosen?.anchorNode && $("marked").contains(chosen.anchorNode)) {
    const text = chosen.toString().trim();
    if (text && text.length <= 60) $("phrase").value = text;
  }
});
$("ready").textContent = "Ready.";

// "Answer a letter": shows what the reader understood, lets the grower correct it, and writes
// the reply. Everything stays in this page; the letter is put in as text and never as markup.

import * as desk from "./desk_letter.js";
import { picker } from "./desk_picker.js";
import { plantOf, readLetter, weigh } from "./letters.js";
import { countWords, emergency, mailTo, replyTo } from "./letters_reply.js";

const $ = (id) => document.getElementById(id);
const { root } = $("letter").dataset;
const tables = await Promise.all(
  $("letter").dataset.tables.split(" ").map(async (it) => (await fetch(it)).json()),
);
const labels = (all, field) => Object.fromEntries(Object.entries(all).map(([id, it]) => [id, it[field]]));
// What belongs to the plant of the letter that is open.
let table, causes, signs, asked, aids, signOf;

const NOT_ENOUGH = {
  trouble: "Not enough to name it. The reply asks back.",
  danger: "The reply is about the danger alone.",
};

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}
const option = (value, textContent) => element("option", { value, textContent });

// ---- the letters of this sitting; the last tab waits for the next one

const today = () => new Date(Date.now() - 60_000 * new Date().getTimezoneOffset()).toISOString().slice(0, 10);
const letters = [desk.blank(1, today())];
let letter = letters[0];
let saved = true; // whether the tally on disk is as new as the page's

const tableOf = (plant) => tables.find((it) => it.plant === plant);
const nowOf = (it) => desk.corrected(it, tableOf(it.read.plant), weigh);
const nursed = () => letters.filter((it) => it.read);

function waiting() {
  const last = letters.at(-1);
  if (!last.text.trim()) return last;
  letters.push(desk.blank(last.id + 1, today()));
  return letters.at(-1);
}

function open(it, { focus = "letter" } = {}) {
  letter = it;
  $("letter").value = it.text;
  $("done").textContent = "";
  for (const box of ["add", "ask-more", "danger-more", "phrase"]) $(box).value = "";
  show();
  $(focus)?.focus();
  if (focus === "letter") $("letter").setSelectionRange(0, 0);
  $("letter").scrollTop = 0;
}

function read() {
  const { state, month, grown } = letter.given;
  if (!letter.text.trim()) {
    letter.read = null;
    return;
  }
  const about = grown ? { plant: grown, told: true } : plantOf(letter.text, tables);
  const read = readLetter(letter.text, tableOf(about.plant), { state: state || "", month: month || null });
  letter.read = { ...read, plant: about.plant, plantTold: about.told };
}

function show() {
  if (letter.read) use(tableOf(letter.read.plant));
  const now = letter.read ? nowOf(letter) : null;
  if (now) desk.write(letter, replyTo(letter.text, now, table));
  waiting();
  $("desk").classList.toggle("empty", !now);
  for (const id of ["found", "points", "teach-fold"]) $(id).hidden = !now;
  showTabs();
  showDanger(now);
  showLetter(now);
  showReply();
  showSitting();
  if (!now) return;
  showFacts(now);
  showFindings(now);
  showAsks(now);
  showCauses(now);
}

// ---- parts of the page

function showTabs() {
  $("tabs").replaceChildren(...letters.map((it) => {
    const name = it.text.trim() ? `${it.id} ${desk.nameOf(it)}` : "Next letter";
    const tab = element("button", { type: "button", id: `tab-${it.id}`, tabIndex: it === letter ? 0 : -1 });
    if (desk.isCopied(it)) tab.append(element("span", { className: "copied" }, element("span", { className: "vh", textContent: "copied: " })));
    tab.append(name);
    tab.setAttribute("role", "tab");
    tab.setAttribute("aria-selected", String(it === letter));
    tab.setAttribute("aria-controls", "desk");
    tab.addEventListener("click", () => open(it));
    return tab;
  }));
  $(`tab-${letter.id}`).scrollIntoView({ block: "nearest", inline: "nearest" });
}

// A chip: its words, which may be a choice, and a button that drops it.
function chip(body, name, drop) {
  const away = element("button", { type: "button", className: "drop", textContent: "×" });
  away.setAttribute("aria-label", `Drop: ${name}`);
  away.addEventListener("click", drop);
  return element("li", {}, body, away);
}
const text = (textContent) => element("span", { className: "says", textContent });
const nothing = (textContent) => element("li", { className: "quiet none", textContent });

// After a list was made anew, the focus goes to its chip at the same place, or to the box below.
function change(list, box, what) {
  const chips = [...$(list).children];
  const at = chips.findIndex((it) => it.contains(document.activeElement));
  const part = document.activeElement?.tagName;
  what();
  saved = false;
  show();
  if (at < 0) return;
  const next = $(list).children[Math.min(at, $(list).children.length - 1)];
  (next?.querySelector(part === "SELECT" ? "select" : "button") ?? $(box)).focus();
}

function showDanger(now) {
  const first = now?.urgent ? emergency(now, table) : null;
  $("danger").hidden = !first;
  $("dangers").replaceChildren();
  if (!first) return;
  const set = now.urgent.map(({ aid }) => aid);
  $("dangers").replaceChildren(...set.map((aid) => {
    const it = chip(text(aids[aid] ?? aid), aids[aid] ?? aid, () =>
      change("dangers", "copy", () => { letter.given.aids = set.filter((other) => other !== aid); }));
    it.dataset.of = `danger ${aid}`;
    return it;
  }));
  $("danger-call").replaceChildren(...first.calls.map((textContent) => element("p", { textContent })));
  const lines = [...(first.aids[0]?.do ?? []), ...(first.aids[0]?.do_not ?? [])];
  $("danger-says").replaceChildren(...lines.map((textContent) => element("li", { textContent })));
}

// The letter with the words that were understood marked, behind the box in which it is written.
function showLetter(now) {
  const spans = [
    ...(now?.urgent ?? []).map((it) => ({ ...it, id: `danger ${it.aid}` })),
    ...(now ? letter.read.findings.filter((it) => !letter.off.has(it.sign)).map((it) => ({ ...it, id: it.sign })) : []),
  ];
  const marked = desk.parts(letter.text, spans).map((part) => {
    if (!part.of.length) return part.text;
    const mark = element("mark", { textContent: part.text });
    mark.dataset.of = part.of.join("|");
    mark.classList.toggle("urgent", part.of.some((it) => it.startsWith("danger ")));
    return mark;
  });
  $("marked").replaceChildren(...marked, "\n");
  $("marked").scrollTop = $("letter").scrollTop;
}

// The words of one chip stand out while it has the pointer or the focus.
function lift(chosen) {
  const of = chosen?.dataset.of ?? "";
  let first = null;
  for (const mark of $("marked").querySelectorAll("mark")) {
    const is = of !== "" && mark.dataset.of.split("|").includes(of);
    mark.classList.toggle("on", is);
    first ??= is ? mark : null;
  }
  if (first) {
    const box = $("letter");
    const outside = first.offsetTop < box.scrollTop || first.offsetTop + 24 > box.scrollTop + box.clientHeight;
    if (outside) box.scrollTop = first.offsetTop - box.clientHeight / 3;
  }
  $("about").textContent = chosen?.dataset.about ?? "";
}

function showReply() {
  if ($("reply").value !== letter.reply) $("reply").value = letter.reply;
  const waits = desk.waits(letter);
  if (waits && !$("changed").children.length) {
    const take = element("button", { type: "button", id: "take", textContent: "Take the new one" });
    const keep = element("button", { type: "button", id: "keep", className: "plain", textContent: "Keep mine" });
    take.addEventListener("click", () => { desk.take(letter); show(); $("reply").focus(); });
    keep.addEventListener("click", () => { desk.keep(letter); show(); $("reply").focus(); });
    $("changed").replaceChildren(element("p", {}, "The reply has changed. ", take, " ", keep));
  }
  if (!waits) $("changed").replaceChildren();
  if (!desk.isCopied(letter)) $("done").textContent = "";
  const said = $("reply").value;
  $("reply-print").textContent = said;
  $("count").textContent = said ? `${countWords(said)} words, at most ${table.answers.most}` : "";
  const about = desk.subject(letter.text, `Your ${table.answers.plant}`);
  $("mail").href = mailTo(about, said, desk.sender(letter.text, table.answers.nursery.email));
}

function showFacts(now) {
  const { region } = now;
  $("kind").querySelector("[value=danger]").disabled = !now.urgent;
  $("kind").value = now.kind;
  $("plant").value = now.otherPlant ?? "";
  $("untold").hidden = now.plantTold || now.otherPlant !== null;
  $("month").value = now.month ?? 0;
  $("state").value = region?.state || region?.country || "";
}

function findingChip(sign, answer, mine) {
  const { question, says } = signs[sign];
  const pick = element("select", { id: `is-${sign}` }, ...Object.entries(says).map(([id, said]) => option(id, said)));
  pick.value = answer;
  pick.setAttribute("aria-label", question);
  pick.addEventListener("change", () => change("findings", "add", () => letter.own.set(sign, pick.value)));
  const it = chip(pick, says[answer], () => change("findings", "add", () => letter.off.add(sign)));
  it.dataset.of = sign;
  const asRead = mine?.answer === answer;
  const from = asRead ? `“${mine.words.trim()}”${mine.hedged ? ", not said plainly" : ""}` : "you chose this";
  it.dataset.about = `${question} ${from}`;
  it.classList.toggle("own", !asRead);
  return it;
}

function showFindings(now) {
  const read = new Map(letter.read.findings.map((it) => [it.sign, it]));
  const chips = now.findings.map(({ sign, answer }) => findingChip(sign, answer, read.get(sign)));
  if (now.context.words.length) {
    const led = now.context.words.map(([cause, tenths]) => `${causes[cause].called} ${tenths}`).join(", ");
    chips.push(chip(text("from the words of the letter"), "what the words of the letter lead to", () => change("findings", "add", () => { letter.led = false; })));
    chips.at(-1).dataset.about = `Its words as a whole lead to, in tenths: ${led}.`;
  }
  $("findings").replaceChildren(...(chips.length ? chips : [nothing("Nothing yet.")]));
  $("about").textContent = "";
}

function showAsks(now) {
  const chips = now.asks.map((id) => chip(text(asked[id] ?? id), asked[id] ?? id, () =>
    change("asks", "ask-more", () => { letter.asksOff.add(id); letter.asksOwn.delete(id); })));
  $("asks").replaceChildren(...(chips.length ? chips : [nothing("No question found.")]));
}

function showCauses(now) {
  const rows = now.ranking.slice(0, 5).map(({ cause, probability }) => {
    const tenths = Math.min(Math.floor(10 * probability + 0.5), 9);
    const bar = element("span", { className: "marks" });
    bar.dataset.n = tenths;
    bar.setAttribute("aria-hidden", "true");
    const link = element("a", { href: `${root}causes/${cause}/`, target: "_blank", rel: "noopener", textContent: causes[cause].called });
    return element("li", {}, link, element("span", {}, bar, ` ${tenths ? `${tenths} in 10` : "under 1 in 10"}`));
  });
  $("causes").replaceChildren(...rows);
  const look = now.ask ? signs[now.ask] : null;
  $("ask").textContent = look ? `${look.question} ${look.where}` : "nothing more.";
  $("enough").textContent = now.enough ? "Enough to name it." : NOT_ENOUGH[now.kind] ?? "Not enough to name it.";
  $("link").href = `${root}${table.plant}/result/#${now.link.split("#")[1] ?? ""}`;
  $("link").hidden = !now.findings.length;
  const said = desk.given(now);
  const yes = $("was").querySelector("[value=yes]");
  yes.textContent = said ? `yes, ${causes[said].called}` : "yes, as we said";
  yes.disabled = !said;
  $("was").value = letter.was;
}

function showSitting() {
  const all = nursed();
  const told = all.filter(({ was }) => was).length;
  $("sitting").textContent = `${all.length} ${all.length === 1 ? "letter" : "letters"}, ${told} with what it was.`;
  $("csv").disabled = !all.length;
}

// ---- what the grower does

function reread() {
  const to = $("letter").value;
  const from = letter.text;
  letter.text = to;
  if (letter.read && desk.sameWords(from, to)) letter.read = desk.moved(letter.read, from, to);
  else read();
  if (!letter.read) Object.assign(letter, desk.corrections(), { was: "" });
  if (!letter.read && !letter.typed) Object.assign(letter, { reply: "", base: "", made: "" });
  saved = false;
  show();
}
$("letter").addEventListener("input", (event) => {
  reread();
  if (event.inputType === "insertFromPaste") $("letter").scrollTop = 0; // a letter is read from its top
});
$("letter").addEventListener("scroll", () => { $("marked").scrollTop = $("letter").scrollTop; });

// A letter pasted over the whole of another one is the next letter, and the first one stays.
$("letter").addEventListener("paste", (event) => {
  const { selectionStart, selectionEnd, value } = $("letter");
  const pasted = event.clipboardData?.getData("text/plain") ?? "";
  const over = value.trim() && selectionStart === 0 && selectionEnd === value.length;
  if (!over || !pasted.trim() || desk.sameWords(value, pasted)) return;
  event.preventDefault();
  open(waiting());
  $("letter").value = pasted.replace(/\r\n?/g, "\n");
  reread();
});

async function copy(said, where, words) {
  try {
    await navigator.clipboard.writeText(said);
    where.textContent = words;
    return true;
  } catch {
    where.textContent = "Your browser did not copy. The text is marked: copy it with Ctrl C.";
    return false;
  }
}

async function copyReply() {
  const it = letter;
  if (await copy($("reply").value, $("done"), "Copied.")) it.copied = it.reply;
  else $("reply").select();
  showTabs();
}
$("copy").addEventListener("click", copyReply);

document.addEventListener("keydown", (event) => {
  const copies = event.key === "Enter" && (event.ctrlKey || event.metaKey);
  const next = event.code === "KeyN" && event.altKey && !event.ctrlKey && !event.metaKey;
  if (!copies && !next) return;
  event.preventDefault();
  if (copies) copyReply();
  else open(waiting());
});

$("tabs").addEventListener("keydown", (event) => {
  const at = letters.indexOf(letter);
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: letters.length - 1 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  const it = letters[(to + letters.length) % letters.length];
  open(it, { focus: `tab-${it.id}` });
});

for (const name of ["pointerover", "focusin"]) {
  document.addEventListener(name, (event) => {
    const chosen = event.target.closest?.(".chips > li");
    if (chosen || name === "focusin" || !$("desk").querySelector(".chips :focus")) lift(chosen);
  });
}

$("reply").addEventListener("input", () => {
  desk.type(letter, $("reply").value);
  showReply();
  showTabs();
});
$("print").addEventListener("click", () => window.print());

// The facts: a change reads the letter again, or only writes the reply anew.
function fact(id, field, value, again) {
  $(id).addEventListener("change", () => {
    letter.given[field] = value($(id).value);
    if (again) read();
    saved = false;
    show();
  });
}
fact("state", "state", (it) => it, true);
fact("month", "month", Number, true);
$("plant").addEventListener("change", () => {
  const [grown, id] = $("plant").value.split("=");
  delete letter.given.kind;
  if (id) Object.assign(letter, desk.corrections(), { given: { grown: id } });
  else letter.given.plant = grown;
  if (id) read();
  saved = false;
  show();
});
fact("kind", "kind", (it) => {
  if (it !== "danger" && nowOf(letter).urgent) letter.given.aids = [];
  if (it !== "other-plant" && nowOf(letter).otherPlant) letter.given.plant = "";
  return it;
});

const answersToAdd = () => Object.values(signs).flatMap(({ question, says }) =>
  Object.entries(says).map(([id, said]) => ({ id, text: said, more: question })));
picker($("add"), $("add-list"), answersToAdd, (id) => {
  letter.own.set(signOf.get(id), id);
  letter.off.delete(signOf.get(id));
  saved = false;
  show();
});
const rest = (all, set) => Object.entries(all).filter(([id]) => !set.includes(id)).map(([id, said]) => ({ id, text: said }));
picker($("ask-more"), $("ask-more-list"), () => rest(asked, nowOf(letter).asks), (id) => {
  letter.asksOwn.add(id);
  letter.asksOff.delete(id);
  show();
});
const dangersNow = () => (nowOf(letter).urgent ?? []).map(({ aid }) => aid);
picker($("danger-more"), $("danger-more-list"), () => rest(aids, dangersNow()), (id) => {
  letter.given.aids = [...dangersNow(), id];
  show();
});

$("anew").addEventListener("click", () => {
  Object.assign(letter, desk.corrections());
  read();
  show();
  $("letter").focus();
});

$("was").addEventListener("change", () => {
  letter.was = $("was").value;
  saved = false;
  showSitting();
});

$("csv").addEventListener("click", () => {
  const rows = nursed().map((it) => desk.rowOf(it, nowOf(it), it.read.plant));
  const address = URL.createObjectURL(new Blob([desk.asCsv(rows)], { type: "text/csv" }));
  element("a", { href: address, download: `letters-${today()}.csv` }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  saved = true;
});

// Who closes the page loses the sitting: ask where something of it would be lost.
window.addEventListener("beforeunload", (event) => {
  if (!saved && letters.some(({ was, typed }) => was || typed)) event.preventDefault();
});

$("teach").addEventListener("submit", (event) => {
  event.preventDefault();
  const phrase = $("phrase").value.trim().toLowerCase();
  const id = $("means").value;
  if (!phrase) return;
  const where = `# in knowledge/${table.plant}/signs/${signOf.get(id)}.yaml, at the answer ${id}: put this into its list of words`;
  copy(`${where}\nwords: [${JSON.stringify(phrase)}]\n`, $("taught"), "The line is copied. Paste it into the file it names.");
});
// Words that are marked in the letter are those to be taught.
$("letter").addEventListener("select", () => {
  const { selectionStart, selectionEnd, value } = $("letter");
  const chosen = value.slice(selectionStart, selectionEnd).trim();
  if (chosen && chosen.length <= 60) $("phrase").value = chosen;
});

// ---- what the choices offer

const named = new Intl.DisplayNames("en", { type: "region" });
const { states, countries, months } = tables[0].places;
$("state").append(...Object.entries(states).map(([id, name]) => option(id, name)));
const abroad = element("optgroup", { label: "Elsewhere" });
abroad.append(...Object.keys({ us: 1, ...countries }).map((id) => option(id, named.of(id.toUpperCase()))));
$("state").append(abroad);
const monthName = (it) => it[0].toUpperCase() + it.slice(1);
$("month").append(...months.map((it, at) => option(at + 1, monthName(it))));

// Takes up a plant of ours: what its letters may say and be about.
function use(next) {
  if (next === table) return;
  table = next;
  ({ causes, signs } = table.answers);
  asked = labels(table.answers.asked, "asks");
  aids = labels(table.answers.emergencies.aid, "title");
  signOf = new Map(Object.entries(signs).flatMap(([sign, { says }]) => Object.keys(says).map((id) => [id, sign])));
  const grown = tables.filter((it) => it !== table);
  const { others } = table.answers;
  $("plant").replaceChildren(
    option("", table.answers.plant),
    ...grown.map((it) => option(`=${it.plant}`, it.answers.plant)),
    ...Object.entries(others).filter(([id]) => !grown.some(({ plant }) => plant === id)).map(([id, called]) => option(id, called)),
  );
  $("was-causes").replaceChildren(
    ...Object.entries(causes).map(([id, { called }]) => option(id, called)).sort((a, b) => a.textContent.localeCompare(b.textContent)),
    option("other", "something else"),
  );
  $("means").replaceChildren(...Object.values(signs).map(({ question, says }) =>
    element("optgroup", { label: question }, ...Object.entries(says).map(([id, said]) => option(id, said)))));
}
use(tables[0]);
$("waits").remove();
if ($("letter").value.trim()) reread(); // what was pasted while the page got ready
else show();
$("ready").textContent = "Ready.";

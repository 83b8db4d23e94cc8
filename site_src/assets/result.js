// Result pages: shows what findings in the address make of the plant. A built page whose own
// findings are the same is left as it stands; nothing is fetched for it.

import { parseFragment } from "./reason.js";
import { noteWords, placeWords, viewOf } from "./result_view.js";
import { placeOf, said, tailOf } from "./said.js";
import { draw, filled } from "./slots.js";

const place = document.getElementById("result");
const script = document.getElementById("result-script");
const { root } = place.dataset;
const whole = () => location.hash.slice(1);

const file = async (name) => (await fetch(new URL(script.dataset[name], location.href))).json();
const once = (make) => {
  let made;
  // What failed without signal is tried again when it is asked for again.
  return () => (made ??= make().catch((failed) => {
    made = undefined;
    throw failed;
  }));
};
const load = once(async () => {
  const [data, walk] = await Promise.all([file("table"), file("walk")]);
  return { ...data, table: walk.table };
});
// The pictures come after the words: nobody waits for them.
const pictures = once(async () => {
  const sheet = await file("drawings");
  const holder = document.createElement("div");
  holder.innerHTML = sheet.sprite;
  document.body.append(holder);
  return sheet.pictures;
});

// What the slots say of links: findings and the place they were weighed for ride along.
const linksFor = (data, where) => ({
  "@address#": (get, path) => {
    // Changed, and straight back to the result.
    const tail = tailOf({ ...where, back: true });
    return `${root}${get("address")}#${get(path)}${tail}`;
  },
  "@home": () => `${root}${data.plant.id}/`,
  "@help": () => `${root}local-help/`,
  "@": (get, path) => root + get(path),
  // The same answers without what the words of a letter led to.
  ">only ": (get, path) =>
    `${root}${data.plant.result}#${get(path)}${tailOf({ ...where, words: [] })}`,
  ">": (get, path) => `${root}${data.plant.result}#${get(path)}${tailOf(where)}`,
});

// The zone and season of an address; what is not in the lists counts for nothing.
function whereOf(data) {
  const { zone, season, letter, words } = placeOf();
  const known = (list, id) => (list.some(([each]) => each === id) ? id : "");
  return {
    zone: known(data.zones, zone),
    season: known(data.seasons, season),
    letter,
    words: words.filter(([cause]) => Object.hasOwn(data.causes, cause)),
  };
}

const sections = () => new Set([...place.querySelectorAll("[id]")].map(({ id }) => id));

async function show() {
  const text = whole();
  const free = place.dataset.free !== undefined;
  if (!text || sections().has(text) || (!free && text === place.dataset.told)) return;
  const data = await load();
  if (text !== whole()) return; // the address has changed since
  const { findings, notes } = parseFragment(data.table, said());
  const where = whereOf(data);
  const noted = [...noteWords(data, notes), ...placeWords(data, findings, where)];
  if (!Object.keys(findings).length) return tell(noted);
  const view = { ...viewOf(data, findings, where), notes: noted, letter: where.letter };
  const { content, drawn } = filled(data.skeleton, view, linksFor(data, where));
  place.replaceChildren(content);
  place.dataset.told = text;
  showTools();
  // What helps to decide stands open until a cause is named: a look first, else what to compare.
  const { look, head: { cause, open } } = view;
  const opens = { look: !cause, within: !look, also: open && !look };
  for (const [name, isOpen] of Object.entries(opens)) {
    for (const fold of place.querySelectorAll(`details.${name}`)) fold.open = isOpen;
  }
  document.title = document.title.replace(/^[^·]*/, `${place.querySelector("h1").innerText} `);
  pictures().then((all) => draw(drawn, all)).catch(() => {});
}

function tell(notes) {
  const list = place.querySelector(".notes");
  list.replaceChildren(...notes.map((note) => {
    const item = document.createElement("li");
    item.textContent = note;
    return item;
  }));
}

function showTools() {
  for (const tools of place.querySelectorAll(".tools")) tools.hidden = false;
}

// Without signal the answers are not lost: they stand in the address, and this says so.
function failed() {
  tell([place.dataset.failed]);
}

// The choice of a place and a season: an answer is weighed again where it stands.
const choice = document.getElementById("place");
const [zones, seasons] = choice.querySelectorAll("select");

function offer(select, rows, chosen) {
  if (select.options.length === 1) {
    select.append(...rows.map(([id, name]) => new Option(name, id)));
  }
  select.value = chosen;
}

async function choose() {
  const data = await load();
  const { zone, season } = whereOf(data);
  const month = new Date().getMonth() + 1;
  const named = data.seasons.map(([id, name, months]) =>
    [id, months.includes(month) ? data.words.place.now.replace("{season}", name) : name]);
  offer(zones, data.zones, zone);
  offer(seasons, named, season);
  seasons.disabled = !zone;
}

async function weigh() {
  const findings = said() || (place.dataset.told ?? "").split("~")[0];
  const season = zones.value ? seasons.value : "";
  const tail = tailOf({ ...placeOf(), zone: zones.value, season });
  history.replaceState(null, "", `#${findings}${tail}`);
  seasons.disabled = !zones.value;
  await settle();
  const shown = [...place.querySelectorAll("h1, .sure, .notes")].map((each) => each.innerText);
  choice.querySelector("[role=status]").textContent = shown.join(" ");
}

showTools();
choice.hidden = false;
choice.addEventListener("toggle", choose);
choice.addEventListener("change", weigh);
if (placeOf().zone || placeOf().season) choice.open = true;

// On paper what is folded opens, but for the looks that nobody can take there.
addEventListener("beforeprint", () => {
  for (const fold of place.querySelectorAll("details.plan, details.told, details.slip")) {
    fold.open = true;
  }
});
place.addEventListener("click", async ({ target }) => {
  const tool = target.closest("[data-tool]");
  if (!tool) return;
  if (tool.dataset.tool === "print") return print();
  const address = location.href;
  try {
    await navigator.clipboard.writeText(address);
    place.querySelector("#copied").textContent = tool.dataset.done;
  } catch {
    place.querySelector("#copied").textContent = address;
  }
});

// A link to a place on this page moves the focus; the answers stay in the address.
addEventListener("click", (event) => {
  const link = event.target.closest?.('a[href^="#"]');
  const there = link && document.getElementById(link.getAttribute("href").slice(1));
  if (!there) return;
  event.preventDefault();
  there.tabIndex = -1;
  there.focus();
});

// A mark for whoever must wait until the page shows what the address says.
const settle = () => show().catch(failed).finally(() => {
  document.documentElement.dataset.shown = location.hash;
});

addEventListener("hashchange", async () => {
  await settle();
  if (!sections().has(whole())) document.getElementById("main").focus();
});
settle();

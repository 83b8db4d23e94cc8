// Result pages: shows what findings in the address make of the plant. A built page whose own
// findings are the same is left as it stands; nothing is fetched for it.

import { parseFragment } from "./reason.js";
import { noteWords, placeWords, viewOf } from "./result_view.js";

const place = document.getElementById("result");
const script = document.getElementById("result-script");
const root = place.dataset.root;
const WHERE = "~"; // after the findings: "~zone.season", read here and on no other page
let tail = "";

const at = (scope, path) => path === "."
  ? scope[0]
  : path.split(".").reduce((value, key) => value?.[key],
    scope.find((each) => each !== null && typeof each === "object" && path.split(".")[0] in each));
const there = (value) => Array.isArray(value) ? value.length > 0 : Boolean(value);

const LINKS = {
  "@": (address) => root + address,
  ">": (fragment, data) => `${root}${data.plant.result}#${fragment}${tail}`,
};

function attribute(scope, spec, data) {
  if (spec.startsWith("@address#")) {
    const change = at(scope, spec.slice(9));
    return root + at(scope, "address") + (change || tail ? `#${change}${tail}` : "");
  }
  if (spec === "@home") return `${root}${data.plant.id}/`;
  if (spec === "@help") return `${root}local-help/`;
  const link = LINKS[spec[0]];
  if (link) return link(at(scope, spec.slice(1)), data);
  if (spec.includes("{")) return spec.replace(/\{(\w+)\}/g, (_, key) => at(scope, key));
  return at(scope, spec);
}

// One slot after the other: drop, repeat, then fill. Text is set as text, never as markup.
function fill(element, scope, data, pictures) {
  const { dataset } = element;
  if (dataset.if !== undefined && !there(at(scope, dataset.if))) return element.remove();
  if (dataset.each !== undefined) return repeat(element, scope, data, pictures);
  if (dataset.t !== undefined) element.textContent = at(scope, dataset.t) ?? "";
  if (dataset.d !== undefined) draw(element, at(scope, dataset.d), scope, pictures);
  if (dataset.a !== undefined) {
    const [name, spec] = dataset.a.split(/:(.*)/);
    element.setAttribute(name, attribute(scope, spec, data));
  }
  for (const child of [...element.children]) fill(child, scope, data, pictures);
}

function repeat(element, scope, data, pictures) {
  const pattern = element.firstElementChild;
  const items = at(scope, element.dataset.each) ?? [];
  element.replaceChildren(...items.map((item) => {
    const copy = pattern.cloneNode(true);
    const holder = document.createElement("div");
    holder.append(copy);
    fill(copy, [item, ...scope], data, pictures);
    return holder.firstChild;
  }).filter(Boolean));
}

function draw(element, name, scope, pictures) {
  // The drawings are our own files, rebuilt from an allow-list of shapes when the site is made.
  element.innerHTML = name ? pictures[name] ?? "" : "";
  const svg = element.firstElementChild;
  if (svg && scope[0].shows) {
    svg.removeAttribute("aria-hidden");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", scope[0].shows);
  }
}

let loading;
async function load() {
  const table = new URL(script.dataset.table, location.href);
  const drawings = new URL(script.dataset.drawings, location.href);
  const [data, sheet] = await Promise.all(
    [table, drawings].map(async (url) => (await fetch(url)).json()),
  );
  const holder = document.createElement("div");
  holder.innerHTML = sheet.sprite;
  document.body.append(holder);
  return { data, pictures: sheet.pictures };
}

function build(data, pictures, view) {
  const piece = document.createElement("template");
  piece.innerHTML = data.skeleton;
  for (const child of [...piece.content.children]) fill(child, [view], data, pictures);
  return piece.content;
}

const told = () => {
  try {
    return decodeURIComponent(location.hash.slice(1));
  } catch {
    return location.hash.slice(1);
  }
};

// The zone and season of an address; what is not in the lists counts for nothing.
function whereOf(data, text) {
  const [zone = "", season = ""] = text.split(".");
  const known = (list, id) => (list.some(([each]) => each === id) ? id : "");
  return { zone: known(data.zones, zone), season: known(data.seasons, season) };
}

const sections = () => new Set([...place.querySelectorAll("[id]")].map(({ id }) => id));

async function show() {
  const text = told();
  const free = place.dataset.free !== undefined;
  if (sections().has(text) || (!free && (!text || text === place.dataset.told))) return;
  loading ??= load();
  const { data, pictures } = await loading;
  const [said, where = ""] = text.split(WHERE);
  const { findings, notes } = parseFragment(data.table, said);
  const context = whereOf(data, where);
  tail = context.zone ? `${WHERE}${context.zone}.${context.season}` : "";
  const view = {
    ...viewOf(data, findings, context),
    notes: [...noteWords(data, notes), ...placeWords(data, findings, context)],
  };
  if (!free && !Object.keys(findings).length) return tell(view.notes);
  place.replaceChildren(build(data, pictures, view));
  place.dataset.told = text;
  document.title = document.title.replace(/^[^·]*/, `${place.querySelector("h1").innerText} `);
}

function tell(notes) {
  const list = place.querySelector(".notes");
  list.replaceChildren(...notes.map((note) => {
    const item = document.createElement("li");
    item.textContent = note;
    return item;
  }));
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
  loading ??= load();
  const { data } = await loading;
  const { zone, season } = whereOf(data, told().split(WHERE)[1] ?? "");
  const month = new Date().getMonth() + 1;
  const named = data.seasons.map(([id, name, months]) =>
    [id, months.includes(month) ? data.words.place.now.replace("{season}", name) : name]);
  offer(zones, data.zones, zone);
  offer(seasons, named, season);
  seasons.disabled = !zone;
}

async function weigh() {
  const [said] = (told() || (place.dataset.told ?? "")).split(WHERE);
  const season = zones.value ? seasons.value : "";
  const where = zones.value ? `${WHERE}${zones.value}.${season}` : "";
  history.replaceState(null, "", `#${said}${where}`);
  seasons.disabled = !zones.value;
  await settle();
  const shown = [...place.querySelectorAll("h1, .sure, .notes")].map((each) => each.innerText);
  choice.querySelector("[role=status]").textContent = shown.join(" ");
}

choice.hidden = false;
choice.addEventListener("toggle", choose);
choice.addEventListener("change", weigh);
if (told().includes(WHERE)) choice.open = true;

// A mark for whoever must wait until the page shows what the address says.
const settle = () => show().finally(() => {
  document.documentElement.dataset.shown = location.hash;
});

addEventListener("hashchange", async () => {
  await settle();
  if (!sections().has(told())) document.getElementById("main").focus();
});
settle();

// Question pages: leads each answer to what is worth asking next. What was said rides in the
// address after the #, where no server sees it. The page's own small handler has added the
// answer to a link even before this runs; then the link is the tree's, and the page it opens
// goes on from what it finds in the address.

import { addressOf, placeOf, readSaid, said, sayPlace } from "./said.js";

const told = document.getElementById("told");
const links = [...document.querySelectorAll("[data-say]")];
const root = document.body.dataset.root;
const { sign: mine } = told.dataset;
const here = (address) => new URL(address, document.baseURI).href;

let loading;
const load = () => {
  loading ??= Promise.all([
    fetch(here(told.dataset.walk)).then((answer) => answer.json()),
    import(here(told.dataset.next)),
  ]).catch((failed) => {
    loading = undefined; // without signal now; another try when the address changes
    throw failed;
  });
  return loading;
};

const without = (findings, sign) =>
  Object.fromEntries(Object.entries(findings).filter(([name]) => name !== sign));

// Where to go with these findings: the next question, or the result.
function onward({ walk, next }, findings, place) {
  const { back } = place;
  const plant = walk.plant;
  const found = back ? null : next.nextLook(walk.table, walk.tree, findings, place);
  const rest = { ...place, back: false };
  if (!found) return addressOf(`${root}${plant}/result/`, findings, rest);
  return questionAddress(walk, found.question || found.sign, findings, rest);
}

function questionAddress({ plant, tree }, name, findings, place) {
  const page = name === tree.first ? `${root}${plant}/` : `${root}${plant}/${name}/`;
  return addressOf(page, findings, place);
}

function lead(data, findings, place) {
  const rest = without(findings, mine);
  for (const link of links) {
    const { say } = link.dataset;
    link.href = onward(data, { ...rest, [mine]: say === mine ? null : say }, place);
    link.dataset.led = "";
  }
}

function line({ walk }, sign, answer, findings, place) {
  const [question, says] = walk.signs[sign];
  const item = document.createElement("li");
  const words = document.createElement("b");
  const change = document.createElement("a");
  const hidden = document.createElement("span");
  words.textContent = answer === null
    ? told.dataset.skip
    : says[walk.table.signs[sign].answers.indexOf(answer)];
  hidden.className = "vh";
  hidden.textContent = `: ${question}`;
  change.href = questionAddress(walk, sign, without(findings, sign), place);
  change.append(told.dataset.change, hidden);
  item.append(`${question} `, words, " ", change);
  return item;
}

function list(data, findings, place) {
  const rows = Object.entries(findings)
    .map(([sign, answer]) => line(data, sign, answer, findings, place));
  told.querySelector("ol").replaceChildren(...rows);
  told.hidden = rows.length === 0;
}

// How far the walk is, and the way back to the question before with all that was said by then.
function progress({ walk }, findings, place) {
  const signs = Object.keys(findings);
  const number = document.getElementById("number");
  const back = document.getElementById("back");
  const { most } = number.dataset;
  number.textContent = number.dataset.form
    .replace("{number}", Math.min(signs.length + 1, Math.max(most, signs.length)))
    .replace("{most}", most);
  number.hidden = signs.length === 0;
  const last = signs.at(-1);
  back.hidden = !last;
  if (last) back.href = questionAddress(walk, last, without(findings, last), place);
}

function fits({ walk, next }, findings, place) {
  const box = document.getElementById("fits");
  if (!box) return;
  const names = next.fits(walk.table, findings, place)
    .map((cause) => [walk.causes[cause], `${root}causes/${cause}/`]);
  box.querySelector("ol").replaceChildren(...names.map(([name, href]) => {
    const item = document.createElement("li");
    item.append(Object.assign(document.createElement("a"), { href, textContent: name }));
    return item;
  }));
}

async function carry() {
  const text = said();
  const [walk, next] = await load();
  if (text !== said()) return; // the address has changed since
  const data = { walk, next };
  const findings = readSaid(walk.table, text);
  const place = placeOf();
  const asked = Object.hasOwn(findings, mine);
  const fit = asked || next.makesSense(walk.table, findings, mine);
  // A link taken before the evidence was there may lead to what is answered or senseless.
  if (text && (asked || !fit) && !place.back) {
    location.replace(onward(data, findings, place));
    return;
  }
  lead(data, findings, place);
  if (!text && !sayPlace()) return;
  list(data, findings, place);
  progress(data, findings, place);
  fits(data, findings, place);
}

// A mark for whoever must wait until the links are right.
const settle = () => carry().catch(() => {}).finally(() => {
  document.documentElement.dataset.shown = location.hash;
});
addEventListener("hashchange", settle);
settle();

// Question pages: carries what was said over the questions, in the address after the #, where
// no server sees it. Without this script each link still leads on, with what its page knows.

const LONGEST = 2000;
const links = [...document.querySelectorAll("[data-say]")];
const told = document.getElementById("told");
const root = document.body.dataset.root;

// A place and a season that a result was weighed for ride on behind "~".
const tail = () => location.hash.match(/~[a-z.-]*$/)?.[0] ?? "";
const raw = () => {
  try {
    return decodeURIComponent(location.hash.slice(1, LONGEST)).split("~")[0];
  } catch {
    return "";
  }
};

// Answers and signs by id, the last answer to a sign counting; anything else is left out.
function read(tree, text) {
  const said = new Map();
  for (const old of text.split(".")) {
    const token = Object.hasOwn(tree.moved, old) ? tree.moved[old] : old;
    const sign = Object.hasOwn(tree.answers, token) ? tree.answers[token] : token;
    if (!Object.hasOwn(tree.signs, sign)) continue;
    if (sign !== token) said.set(sign, token);
    else if (!said.has(sign)) said.set(sign, null);
  }
  return said;
}

const write = (said) => [...said].map(([sign, answer]) => answer ?? sign).join(".") + tail();

// The next place that still has something to ask: nothing is asked twice.
function next(tree, node, said) {
  const seen = new Set();
  let place = node;
  while (Object.hasOwn(tree.nodes, place) && !seen.has(place)) {
    const { sign, ways, skip } = tree.nodes[place];
    if (!said.has(sign)) break;
    seen.add(place);
    const answer = said.get(sign);
    place = answer !== null && Object.hasOwn(ways, answer) ? ways[answer] : skip;
  }
  return place;
}

function address(tree, place) {
  return Object.hasOwn(tree.ends, place) ? tree.ends[place] : tree.nodes[place].address;
}

function lead(tree, here, said) {
  const { sign, ways, skip } = tree.nodes[here];
  for (const link of links) {
    const answer = link.dataset.say === sign ? null : link.dataset.say;
    const then = new Map(said);
    then.delete(sign);
    then.set(sign, answer);
    const place = next(tree, answer === null ? skip : ways[answer], then);
    link.href = `${root}${address(tree, place)}#${write(then)}`;
  }
}

function line(tree, sign, answer, said) {
  const item = document.createElement("li");
  const words = document.createElement("b");
  const change = document.createElement("a");
  const hidden = document.createElement("span");
  const { question, says, address: asked } = tree.signs[sign];
  const rest = new Map(said);
  rest.delete(sign);
  words.textContent = answer === null ? told.dataset.skip : says[answer];
  hidden.className = "vh";
  hidden.textContent = `: ${question}`;
  change.href = `${root}${asked}${rest.size ? `#${write(rest)}` : ""}`;
  change.append(told.dataset.change, hidden);
  item.append(`${question} `, words, " ", change);
  return item;
}

function list(tree, said) {
  const rows = [...said].map(([sign, answer]) => line(tree, sign, answer, said));
  told.querySelector("ol").replaceChildren(...rows);
  told.hidden = rows.length === 0;
}

async function carry() {
  const text = raw();
  // What the page was built for stands in its links already.
  if (text === (told.dataset.told ?? "") && !tail()) return;
  const tree = await (await fetch(new URL(told.dataset.tree, location.href))).json();
  const said = read(tree, text);
  lead(tree, told.dataset.node, said);
  list(tree, said);
  document.getElementById("fits")?.remove();
}

// A mark for whoever must wait until the links are right.
const settle = () => carry().finally(() => {
  document.documentElement.dataset.shown = location.hash;
});
addEventListener("hashchange", settle);
settle();

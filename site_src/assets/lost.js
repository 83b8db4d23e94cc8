// The lost page: looks into the address for what it may have meant. Answers after the # lead
// to what they point to; words between the slashes lead to pages of the same or nearly the
// same name. Everything is put in as text.

const place = document.getElementById("found");
const { root, names: file } = place.dataset;
const LONGEST = 2000;
const MOST = 5;

const words = (text) => {
  try {
    return decodeURIComponent(text.slice(0, LONGEST)).toLowerCase();
  } catch {
    return "";
  }
};
const own = (object, key) => Object.hasOwn(object, key);

// Letters to change, add or take away between two words; more than `most` is as good as many.
function distance(one, other, most) {
  if (Math.abs(one.length - other.length) > most) return most + 1;
  let row = [...other].map((_, place) => place + 1);
  [...one].forEach((letter, line) => {
    let corner = line;
    row = row.map((above, place) => {
      const left = place === 0 ? line + 1 : row[place - 1];
      const best = Math.min(above + 1, left + 1, corner + (other[place] === letter ? 0 : 1));
      corner = above;
      row[place] = best;
      return best;
    });
  });
  return row.at(-1) ?? one.length;
}

function nearest(names, word) {
  if (own(names, word)) return names[word];
  const most = word.length > 5 ? 2 : 1;
  const near = Object.keys(names)
    .filter((name) => name.length > 3)
    .map((name) => [distance(word, name, most), name])
    .filter(([far]) => far <= most)
    .sort(([a], [b]) => a - b);
  return near.length ? names[near[0][1]] : null;
}

function answersIn(plants, tokens) {
  for (const [plant, { says, moved, result }] of Object.entries(plants)) {
    const known = tokens
      .map((token) => (own(moved, token) ? moved[token] : token))
      .filter((token) => own(says, token));
    if (known.length) return { plant, result, known, says: known.map((id) => says[id]) };
  }
  return null;
}

function entry(text, address) {
  const item = document.createElement("li");
  const link = document.createElement("a");
  link.textContent = text;
  link.href = root + address;
  item.append(link);
  return item;
}

async function find() {
  const path = words(location.pathname).slice(root.length).split("/").filter(Boolean);
  const after = words(location.hash.slice(1)).split(".").filter(Boolean);
  if (!path.length && !after.length) return;
  const { names, plants } = await (await fetch(file)).json();
  const found = new Map();
  const said = answersIn(plants, [...after, ...path]);
  if (said) {
    const text = `${place.dataset.answers} ${said.says.join("; ")}`;
    found.set(`${said.result}#${said.known.join(".")}`, text);
  }
  for (const word of path.reverse()) {
    const near = nearest(names, word.replace(/\.html?$/, ""));
    if (near) found.set(near[1], near[0]);
  }
  const items = [...found].slice(0, MOST).map(([address, text]) => entry(text, address));
  place.querySelector("ul").replaceChildren(...items);
  place.hidden = items.length === 0;
}

find().finally(() => {
  document.documentElement.dataset.shown = location.hash;
});

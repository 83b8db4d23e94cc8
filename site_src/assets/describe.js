// "Tell us in your own words": the reader of letters, fetched only when somebody asks.

const $ = (id) => document.getElementById(id);
const box = $("letter");
const load = (address) => fetch(address).then((answer) => answer.json());
let ready = null;

const get = () => {
  const { table, reader, replies } = box.dataset;
  const here = (address) => new URL(address, document.baseURI).href;
  ready ??= Promise.all([import(here(reader)), import(here(replies)), load(table)]);
  return ready;
};

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}
const line = (text, className = "") => element("p", { textContent: text, className });

function danger(read, table, emergency) {
  const { aids: [aid], calls } = emergency(read, table);
  const steps = (aid?.do ?? []).map((text) => element("li", { textContent: text }));
  return element(
    "div",
    { className: "stop" },
    element("p", {}, element("b", { textContent: aid?.title ?? "First things first" })),
    ...calls.map((it) => line(it)),
    element("ul", {}, ...steps),
    element("p", {}, element("a", { href: `${box.dataset.root}emergencies/`, textContent: "Everything to do and whom to call" })),
  );
}

function understood(read, answers) {
  const rows = read.findings.map(({ sign, answer, words }) =>
    element("li", {}, `${answers.signs[sign].says[answer]} `, element("span", { className: "quiet small", textContent: `“${words}”` })),
  );
  return [element("h2", { textContent: "What we understood" }), element("ul", { className: "rows" }, ...rows)];
}

function pointing(read, answers) {
  const { causes, families, signs } = answers;
  const { head } = read;
  const called = head.kind === "family" ? families[head.id].called : causes[head.id]?.called;
  const look = read.ask ? signs[read.ask] : null;
  const words = read.enough ? `It may be ${called}.` : "We can't tell from this yet.";
  const where = `${box.dataset.root}${box.dataset.result}#${read.link.split("#")[1] ?? ""}`;
  return [
    element("p", { className: "now" }, element("b", { textContent: words })),
    ...(look && !read.enough ? [line(`A good next look: ${look.question} ${look.where}`)] : []),
    element("p", {}, element("a", { className: "btn", href: where, textContent: read.enough ? "What to do, and how sure this is" : "Go on from here" })),
  ];
}

// What the words ask beside the cause, and where to read on.
function asking(answered) {
  const rows = answered.map(({ asks, text, page }) =>
    element("li", {}, element("b", { textContent: asks }), ` ${text} `,
      element("a", { href: box.dataset.root + page.slice(1), ariaLabel: `Read on: ${asks}`, textContent: "Read on" })));
  return rows.length ? [element("h2", { textContent: "What you ask" }), element("ul", { className: "rows" }, ...rows)] : [];
}

async function tell(event) {
  event.preventDefault();
  try {
    show(...(await get()));
  } catch {
    ready = null; // the next try fetches again
    $("heard").replaceChildren(line("Your words could not be read here, now. Answer our questions instead, or try again.", "care"));
  }
}

function show({ readLetter }, { answersTo, emergency }, table) {
  const { answers } = table;
  const read = readLetter(box.value, table);
  const parts = [];
  if (read.urgent) parts.push(danger(read, table, emergency));
  if (read.otherPlant) parts.push(line(`From your words this sounds like ${answers.others[read.otherPlant]} and not a ${answers.plant}.`, "care"));
  if (read.findings.length) parts.push(...pointing(read, answers), ...understood(read, answers));
  if (!read.urgent && !read.otherPlant) parts.push(...asking(answersTo(read, table)));
  if (!parts.length) parts.push(line("We did not find words in this that we know. Our questions, with drawings, work better here."));
  $("heard").replaceChildren(...parts);
}

$("waits").remove();
$("tell").hidden = false;
$("tell").addEventListener("submit", tell);

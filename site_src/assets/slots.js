// Fills a piece of a page whose slots say what goes where: data-if drops, data-each repeats,
// data-t sets text, data-d names a drawing, data-a sets an attribute. Text is set as text,
// never as markup. The pattern is _result.html.j2, which says why a page is filled in two ways.

const at = (scope, path) => path === "."
  ? scope[0]
  : path.split(".").reduce((value, key) => value?.[key],
    scope.find((each) => each !== null && typeof each === "object" && path.split(".")[0] in each));
const there = (value) => Array.isArray(value) ? value.length > 0 : Boolean(value);

// `links` turns what a slot says of a link into an address; drawings are gathered in `drawn`.
export function filled(skeleton, view, links) {
  const piece = document.createElement("template");
  const drawn = [];
  piece.innerHTML = skeleton;
  for (const child of [...piece.content.children]) fill(child, [view], links, drawn);
  return { content: piece.content, drawn };
}

// One slot after the other: drop, repeat, then fill.
function fill(element, scope, links, drawn) {
  const { dataset } = element;
  if (dataset.if !== undefined && !there(at(scope, dataset.if))) return element.remove();
  if (dataset.each !== undefined) return repeat(element, scope, links, drawn);
  if (dataset.t !== undefined) element.textContent = at(scope, dataset.t) ?? "";
  if (dataset.d !== undefined) {
    element.replaceChildren();
    drawn.push([element, at(scope, dataset.d), scope[0].shows]);
  }
  if (dataset.a !== undefined) {
    const [name, spec] = dataset.a.split(/:(.*)/);
    element.setAttribute(name, attribute(scope, spec, links));
  }
  for (const child of [...element.children]) fill(child, scope, links, drawn);
}

function repeat(element, scope, links, drawn) {
  const pattern = element.firstElementChild;
  const items = at(scope, element.dataset.each) ?? [];
  element.replaceChildren(...items.map((item) => {
    const copy = pattern.cloneNode(true);
    const holder = document.createElement("div");
    holder.append(copy);
    fill(copy, [item, ...scope], links, drawn);
    return holder.firstChild;
  }).filter(Boolean));
}

function attribute(scope, spec, links) {
  const kind = Object.keys(links).find((each) => spec.startsWith(each));
  if (kind) return links[kind]((path) => at(scope, path), spec.slice(kind.length));
  if (spec.includes("{")) return spec.replace(/\{(\w+)\}/g, (_, key) => at(scope, key));
  return at(scope, spec);
}

// The drawings are our own files, rebuilt from an allow-list of shapes when the site is made.
export function draw(drawn, pictures) {
  for (const [element, name, shows] of drawn) {
    element.innerHTML = name ? pictures[name] ?? "" : "";
    const svg = element.firstElementChild;
    if (svg && shows) {
      svg.removeAttribute("aria-hidden");
      svg.setAttribute("role", "img");
      svg.setAttribute("aria-label", shows);
    }
  }
}

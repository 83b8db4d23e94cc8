// A box in which a few letters of any word find a line of a list. Enter takes the first.

const MOST = 8;

// Lines that hold every typed piece; those that hold all in their own words come first.
export function matching(options, typed) {
  const pieces = typed.toLowerCase().split(/\s+/).filter(Boolean);
  if (!pieces.length) return [];
  const holds = (text) => pieces.every((it) => text.toLowerCase().includes(it));
  const own = options.filter(({ text }) => holds(text));
  const more = options.filter((it) => !own.includes(it) && holds(`${it.text} ${it.more ?? ""}`));
  return [...own, ...more].slice(0, MOST);
}

function line(input, { id, text, more }, at) {
  const made = document.createElement("li");
  made.id = `${input.id}-${at}`;
  made.dataset.id = id;
  made.setAttribute("role", "option");
  made.setAttribute("aria-selected", "false");
  made.append(text);
  if (more) {
    const beside = document.createElement("small");
    beside.textContent = more;
    made.append(" ", beside);
  }
  return made;
}

export function picker(input, list, options, choose) {
  let at = 0;
  const shut = () => {
    list.hidden = true;
    input.setAttribute("aria-expanded", "false");
    input.removeAttribute("aria-activedescendant");
  };
  const point = (to) => {
    const lines = [...list.children];
    at = (to + lines.length) % lines.length;
    for (const [place, it] of lines.entries()) it.setAttribute("aria-selected", String(place === at));
    input.setAttribute("aria-activedescendant", lines[at].id);
    lines[at].scrollIntoView({ block: "nearest" });
  };
  const open = () => {
    const found = matching(options(), input.value);
    list.replaceChildren(...found.map((it, place) => line(input, it, place)));
    if (!found.length) return shut();
    list.hidden = false;
    input.setAttribute("aria-expanded", "true");
    return point(0);
  };
  const pick = (id) => {
    input.value = "";
    shut();
    choose(id);
    input.focus();
  };
  input.addEventListener("input", open);
  input.addEventListener("focus", open);
  input.addEventListener("blur", shut);
  input.addEventListener("keydown", (event) => {
    if (list.hidden || event.ctrlKey || event.metaKey) return;
    const moves = { ArrowDown: at + 1, ArrowUp: at - 1 };
    if (event.key in moves) point(moves[event.key]);
    else if (event.key === "Enter") pick(list.children[at].dataset.id);
    else if (event.key === "Escape") shut();
    else return;
    event.preventDefault();
  });
  list.addEventListener("pointerdown", (event) => event.preventDefault()); // the box keeps the focus
  list.addEventListener("click", (event) => {
    const chosen = event.target.closest("li");
    if (chosen) pick(chosen.dataset.id);
  });
}

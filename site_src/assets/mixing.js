/* Label arithmetic: exact fractions, every rounding down.
   It knows no amount and offers none. */

const NUMBER = /^(\d+)?(?:\.(\d+))?$/;
const FRACTION = /^(?:(\d+)[ -])?(\d+)\/(\d+)$/;

/* A number is [top, bottom], two whole numbers of any size. */
const times = (a, b) => [a[0] * b[0], a[1] * b[1]];
const over = (a, b) => [a[0] * b[1], a[1] * b[0]];
const less = (a, b) => a[0] * b[1] < b[0] * a[1];
const floor = (a) => a[0] / a[1];
const exact = (pair) => pair.map(BigInt);

/* A number above 0 as people write it, or a word for what is wrong. */
export function readNumber(text, data) {
  let plain = text.trim();
  for (const [glyph, written] of Object.entries(data.glyphs)) plain = plain.replaceAll(glyph, ` ${written}`).trim();
  if (!plain) return "empty";
  if (plain.includes(",")) return "comma";
  const digits = plain.replace(/\D/g, "").length;
  if (digits > data.digits || /[^\x00-\x7f]/.test(plain)) return "not-a-number";
  const value = valueOf(plain);
  if (value === null) return "not-a-number";
  return value[0] > 0n ? value : "not-above-0";
}

function valueOf(plain) {
  const fraction = FRACTION.exec(plain);
  if (fraction) {
    const [whole, top, bottom] = fraction.slice(1).map((part) => BigInt(part || 0));
    return bottom ? [whole * bottom + top, bottom] : null;
  }
  const number = NUMBER.exec(plain);
  if (!number || (number[1] === undefined && number[2] === undefined)) return null;
  const after = number[2] || "";
  return [BigInt((number[1] || "") + after || "0"), 10n ** BigInt(after.length)];
}

export function measure(amount, per, sprayer, data) {
  const numbers = [];
  for (const [field, [text]] of [["amount", amount], ["per", per], ["sprayer", sprayer]]) {
    const number = readNumber(text, data);
    if (typeof number === "string") return { field, reason: number };
    numbers.push(number);
  }
  if (data.weighed.includes(amount[1])) return { field: "amount", reason: "weighed" };
  const [product, water, filled] = [amount, per, sprayer].map(([, unit], at) => times(numbers[at], exact(data.units[unit])));
  if (!less(product, water)) return { field: "amount", reason: "more-than-water" };
  if (less(exact(data.most), filled)) return { field: "sprayer", reason: "too-large" };
  const ml = over(times(product, filled), water);
  if (less(ml, [1n, 10n])) return { field: "sprayer", reason: "too-little" };
  return measured(ml, data);
}

function measured(ml, data) {
  const tenths = Number(floor(times(ml, [10n, 1n])));
  const none = { tenths, spoon: "", quarters: 0, fit: "none" };
  const spoon = less(ml, times(exact(data.units.tsp), [3n, 1n])) ? "tsp" : "tbsp";
  const quarters = times(over(ml, exact(data.units[spoon])), [4n, 1n]);
  let nearest = (2n * quarters[0] + quarters[1]) / (2n * quarters[1]);
  if (less(times(exact(data.units.tbsp), [16n, 1n]), ml) || nearest === 0n) return none;
  const off = [quarters[0] - nearest * quarters[1], quarters[1]];
  const size = off[0] < 0n ? [-off[0], off[1]] : off;
  let fit = "exact";
  if (less([nearest, 20n], size)) {
    nearest = floor(quarters);
    fit = "between";
  } else if (off[0]) fit = off[0] < 0n ? "under" : "over";
  return nearest === 0n ? none : { tenths, spoon, quarters: Number(nearest), fit };
}

/* Words. */

const PARTS = ["", "¼", "½", "¾"];
const SPOONS = { tsp: ["teaspoon", "teaspoons"], tbsp: ["tablespoon", "tablespoons"] };
const WRONG = {
  empty: "this is empty. Type the number that stands on your label or sprayer.",
  comma: "write decimals with a point, such as 1.5, and no comma in thousands.",
  "not-a-number": "write a plain number, such as 2, 1.5 or 1 1/2.",
  "not-above-0": "the number must be more than 0.",
  weighed: "this product is weighed. Spoons measure volume, and one weight can fill very different spoons. Weigh it on a scale kept for this, as your label says.",
  "more-than-water": "that would be as much product as water. Read your label again.",
  "too-large": "that is more than 100 gallons. Work of that size is for a licensed person.",
  "too-little": "that is too little to measure. Mix a larger amount only if you can use it all, or choose a product that is ready to use.",
};

function spoons(quarters, spoon) {
  const whole = Math.floor(quarters / 4);
  const text = `${whole || ""}${PARTS[quarters % 4] && whole ? " " : ""}${PARTS[quarters % 4]}`;
  return `${text} ${SPOONS[spoon][quarters > 4 ? 1 : 0]}`;
}

export function inWords({ tenths, spoon, quarters, fit }) {
  const ml = `${tenths / 10} ml`;
  if (fit === "none") return { ml, spoons: tenths < 50 ? "Too little for a spoon. Use a marked syringe kept only for this." : "Use a marked jug kept only for this." };
  const near = spoons(quarters, spoon);
  const says = { exact: near, under: `just under ${near}`, over: `just over ${near}`, between: `between ${near} and ${spoons(quarters + 1, spoon)}: measure it in ml` };
  return { ml, spoons: `That is ${says[fit]}, with a spoon kept only for this.` };
}

/* The page. */

function paragraph(box, text, name = "p") {
  const made = document.createElement(name);
  made.textContent = text;
  box.append(made);
  return made;
}

function wire(form, data) {
  const box = document.getElementById("measured");
  const of = (id) => [document.getElementById(id).value, document.getElementById(`${id}-unit`).value];
  form.hidden = false;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    for (const field of form.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
    const found = measure(of("amount"), of("per"), of("sprayer"), data);
    box.hidden = false;
    box.replaceChildren();
    if (found.reason) {
      const field = document.getElementById(found.field);
      field.setAttribute("aria-invalid", "true");
      paragraph(box, WRONG[found.reason]).className = "wrong";
      field.focus();
      return;
    }
    const says = inWords(found);
    paragraph(box, `Measure ${says.ml}`).className = "do";
    paragraph(box, says.spoons);
    paragraph(box, "Rounded down. Never more than the label says: more is against the law. Your label also says what to wear, where and how often.");
  });
}

if (typeof document !== "undefined") {
  const form = document.getElementById("mix");
  if (form) wire(form, JSON.parse(document.getElementById("mixing").textContent));
}

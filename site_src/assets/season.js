/* From what a gardener saw to what comes next. Python computed every table; this looks up, adds
   days and draws. Days are numbered 0 to 364 from 1 January; from 365 on they are next year's. */

export const DAYS = 365;
const HORIZON = 2 * DAYS;
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August",
  "September", "October", "November", "December"];
const LENGTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const ESCAPES = { "\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n" };
const LINE_OCTETS = 75;

/* What stood in a field, as a value or as what is wrong with it. */

export function readDate(text) {
  const parts = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(text.trim());
  if (!parts) return { wrong: "write the date as year-month-day, such as 2026-07-14." };
  const [year, month, day] = parts.slice(1).map(Number);
  if (month < 1 || month > 12) return { wrong: `there is no month ${month}.` };
  const leap = new Date(Date.UTC(year, 1, 29)).getUTCMonth() === 1;
  const most = month === 2 && leap ? 29 : LENGTHS[month - 1];
  if (day < 1 || day > most) return { wrong: `${MONTHS[month - 1]} ${year} has no day ${day}.` };
  if (year < 2000 || year > 2100) return { wrong: `is the year ${year} right?` };
  const before = LENGTHS.slice(0, month - 1).reduce((sum, length) => sum + length, 0);
  return { value: { year, month, date: day, day: before + Math.min(day, LENGTHS[month - 1]) - 1 } };
}

/* An empty field is no number, and allowed. */
export function readCount(text, what, most) {
  const plain = text.trim();
  if (!plain) return { value: null };
  if (!/^\d{1,4}$/.test(plain)) return { wrong: `${what} is a whole number, such as 10.` };
  const value = Number(plain);
  if (value < 1 || value > most) return { wrong: `${what} can't be ${value}. Read your label again.` };
  return { value };
}

export function readZip(text) {
  const parts = /^(\d{5})(-\d{4})?$|^(\d{3})$/.exec(text.trim());
  if (!parts) return { wrong: "a ZIP code has five digits." };
  return { value: (parts[1] || parts[3]).slice(0, 3) };
}

/* The arithmetic, the same as builder/bedside/reason/usual_year.py. */

export function sumsOf(days) {
  const sums = [0];
  for (const tenths of days) sums.push(sums[sums.length - 1] + tenths);
  return sums;
}

function before(sums, day) {
  const years = Math.floor(day / DAYS);
  return years * sums[DAYS] + sums[day - years * DAYS];
}

export function reaching(sums, start, goal) {
  const base = before(sums, start);
  let low = start;
  let high = start + HORIZON;
  if (before(sums, high + 1) - base < goal) return null;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (before(sums, middle + 1) - base >= goal) high = middle;
    else low = middle + 1;
  }
  return low;
}

function span(sums, day, goal, extra, weather) {
  const days = goal.map((tenths, at) => reaching(sums, day, tenths + extra[at]));
  if (days.includes(null)) return null;
  return [Math.max(day, days[0] - weather), days[1], days[2] + weather];
}

function inSeason(frost, day) {
  if (frost.kind !== "dates") return true;
  return (frost.last <= day && day < frost.first) || day + DAYS < frost.first;
}

function beforeFrost(frost, day, later) {
  if (frost.kind !== "dates") return true;
  return later < (day < frost.first ? frost.first : frost.first + DAYS);
}

export function whatFollows(data, insect, sight, day) {
  const sums = data.sums || (data.sums = sumsOf(data.days));
  const young = [insect.young, insect.young, insect.young];
  const hatch = span(sums, day, sight.sum, [0, 0, 0], data.weather);
  const until = span(sums, day, sight.sum, young, data.weather);
  const looks = [];
  if (hatch && until) {
    for (let look = Math.max(day, hatch[0]); look < until[2] + data.every; look += data.every) looks.push(look);
  }
  return {
    hatch, until, looks,
    next: span(sums, day, sight.sum, insect.generation, data.weather),
    last: insect.last,
    inSeason: inSeason(data.frost, day),
    beforeFrost: hatch !== null && beforeFrost(data.frost, day, hatch[1]),
  };
}

/* Days of a spray, obeying the two numbers that the gardener read off a label. */
export function sprayDays(outlook, gap, most) {
  if (!outlook.hatch || !outlook.until) return [];
  const first = outlook.hatch[0];
  const last = outlook.last !== null && outlook.hatch[1] <= outlook.last
    ? Math.max(first, Math.min(outlook.until[2], outlook.last)) : outlook.until[2];
  const fits = Math.floor((last - first) / gap) + 1;
  const count = Math.min(fits, most);
  const length = (count - 1) * gap;
  const middle = outlook.hatch[1] - Math.floor(length / 2);
  const start = count === fits ? first : Math.min(Math.max(middle, first), last - length);
  return Array.from({ length: count }, (_, at) => start + at * gap);
}

/* A calendar file, as builder/bedside/pages/season/year_calendar.py writes it. */

export function folded(line) {
  const octets = new TextEncoder();
  let text = "";
  let size = 0;
  for (const character of line) {
    const length = octets.encode(character).length;
    if (size + length > LINE_OCTETS) {
      text += "\r\n ";
      size = 1;
    }
    text += character;
    size += length;
  }
  return text;
}

export function escaped(text) {
  return text.replace(/\r/g, "").replace(/[\\;,\n]/g, (character) => ESCAPES[character]);
}

export function calendar(name, events, stamp) {
  const lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Bedside//Year of a place//EN",
    "CALSCALE:GREGORIAN", `X-WR-CALNAME:${escaped(name)}`];
  for (const event of events) {
    lines.push("BEGIN:VEVENT", `UID:${event.uid}`, `DTSTAMP:${basic(stamp)}T000000Z`,
      `DTSTART;VALUE=DATE:${basic(event.first)}`,
      `DTEND;VALUE=DATE:${basic(new Date(event.last.getTime() + 864e5))}`,
      `SUMMARY:${escaped(event.summary)}`, `DESCRIPTION:${escaped(event.description)}`,
      "TRANSP:TRANSPARENT", "END:VEVENT");
  }
  return [...lines, "END:VCALENDAR"].map((line) => `${folded(line)}\r\n`).join("");
}

function basic(date) {
  return date.toISOString().slice(0, 10).replace(/-/g, "");
}

/* Words. */

export function dateOf(seen, day) {
  return new Date(Date.UTC(seen.year, seen.month - 1, seen.date) + (day - seen.day) * 864e5);
}

function inWords(date) {
  return `${MONTHS[date.getUTCMonth()]} ${date.getUTCDate()}`;
}

function fromTo(seen, first, last) {
  const [from, to] = [dateOf(seen, first), dateOf(seen, last)];
  if (last <= first) return inWords(from);
  return `${inWords(from)} to ${from.getUTCMonth() === to.getUTCMonth() ? to.getUTCDate() : inWords(to)}`;
}

function listed(seen, days) {
  const texts = days.map((day) => inWords(dateOf(seen, day)));
  return texts.length < 2 ? texts.join("") : `${texts.slice(0, -1).join(", ")} and ${texts[texts.length - 1]}`;
}

/* What comes next, as entries: head, text, and the days that a calendar or a drawing can show. */
export function entries(data, insect, seen, outlook, label) {
  const { hatch, until, next, looks, last } = outlook;
  const found = [];
  if (!outlook.inSeason) {
    found.push({ head: "Is the date right?", text: "Leaves are seldom outdoors there on that day." });
  }
  for (const by of insect.treatments.filter((one) => one.window === "now")) {
    found.push({ head: `Today: ${by.name}`, href: by.href, text: "It works on every age. Do it again whenever you find more." });
  }
  if (!hatch) {
    found.push({ head: "No further hatch", text: `${data.name} is not usually warm enough for one.` });
    return found;
  }
  const frost = outlook.beforeFrost ? "" : " Frost will most likely come first; then none will hatch.";
  found.push({ id: "hatch", head: `Next hatch: ${fromTo(seen, hatch[0], hatch[2])}`, first: hatch[0], last: hatch[2],
    text: `Most likely about ${inWords(dateOf(seen, hatch[1]))}. Your year will differ.${frost}` });
  if (!outlook.beforeFrost) return found;
  found.push({ id: "look", head: `Look on ${listed(seen, looks)}`, each: looks,
    text: insect.look });
  for (const by of insect.treatments.filter((one) => one.window === "young")) {
    found.push(...spraying(by, seen, outlook, label));
  }
  if (next && beforeFrost(data.frost, seen.day, next[1])) {
    found.push({ id: "next", head: `The hatch after that: ${fromTo(seen, next[0], next[2])}`, first: next[0], last: next[2],
      text: "The farther ahead, the wider the range." });
  }
  if (last !== null && seen.day <= last) {
    found.push({ id: "last", head: `Last useful day: about ${inWords(dateOf(seen, last))}`, first: last, last,
      text: "What hatches later is stopped by frost before it is grown." });
  }
  return found;
}

function spraying(by, seen, outlook, label) {
  const { hatch, until, last } = outlook;
  if (last !== null && last < hatch[0] && seen.day <= last) {
    return [{ head: `${by.name}: not worth it any more`, href: by.href, text: "Frost stops what hatches now." }];
  }
  const care = "Only if young ones are there when you look. Keep off open flowers. Not when rain is near: your label says how long it must dry. Read and follow your label.";
  if (label.gap === null) {
    return [{ head: `${by.name}: worth it from ${fromTo(seen, hatch[0], until[2])}`, href: by.href,
      text: `It reaches them only while they are young. ${care}` }];
  }
  const days = sprayDays(outlook, label.gap, label.most === null ? Infinity : label.most);
  const obeyed = label.most === null ? "Your label also says how many sprays a season may have: count them." : "That keeps to both numbers of your label.";
  return [{ id: "spray", head: `${by.name}, by your label: ${listed(seen, days)}`, href: by.href, each: days, text: `${obeyed} ${care}` }];
}

export function eventsOf(found, data, insect, seen, host) {
  return found.filter((entry) => entry.id).flatMap((entry) =>
    (entry.each || [entry.first]).map((day, at) => ({
      uid: `${entry.id}-${at + 1}-${insect.id}-${data.place}-${basic(dateOf(seen, seen.day))}@${host}`,
      first: dateOf(seen, day),
      last: dateOf(seen, entry.each ? day : entry.last),
      summary: entry.each ? entry.head.replace(/(:| on) [^:]*$/, "") : entry.head.split(":")[0],
      description: `${insect.name}. ${entry.text}`,
    })));
}

/* The page. */

function element(name, text, under) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  if (under) under.append(made);
  return made;
}

function complain(field, box, wrong) {
  field.setAttribute("aria-invalid", "true");
  box.replaceChildren();
  element("p", wrong, box).className = "wrong";
  field.focus();
}

function value(field, read, box) {
  const { value: found, wrong } = read;
  field.removeAttribute("aria-invalid");
  if (wrong) complain(field, box, wrong);
  return wrong ? undefined : found;
}

function findPlace(form) {
  const field = form.querySelector("input");
  const box = form.querySelector("[role=status]");
  form.hidden = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const digits = value(field, readZip(field.value), box);
    if (digits === undefined) return;
    const answer = await fetch(form.dataset.zips).catch(() => null);
    if (!answer || !answer.ok) return void complain(field, box, "the table did not load. Use the lists below.");
    const row = (await answer.json())[digits];
    if (!row) return void complain(field, box, `we have no town for ZIP codes that begin with ${digits}. Use the lists below.`);
    box.replaceChildren();
    const line = element("p", "", box);
    const link = element("a", `The year in ${row.place}`, line);
    link.href = row.address;
    line.append(`, ${row.miles} miles from you.`);
    if (row.climb_ft) element("p", `Mountains: it lies ${row.climb_ft} feet higher or lower than you, so its dates can be weeks off.`, box);
    else if (row.far) element("p", "That is far away: take its dates as rough.", box);
    if (row.last) element("p", `Frost nearest to you: usually over by ${row.last}, back by ${row.first}.`, box);
    link.focus();
  });
}

function drawOn(drawings, marks) {
  for (const drawing of drawings) {
    const [start, perDay, upright] = drawing.dataset.year.split(" ").map(Number);
    const { width, height } = drawing.viewBox.baseVal;
    drawing.querySelector(".seen").setAttribute("d", marks.map((day) => {
      const along = (start + (day % DAYS) * perDay).toFixed(1);
      return upright ? `M30 ${along}H${width}` : `M${along} 26V${height}`;
    }).join(""));
  }
}

function show(box, found, data, insect, seen) {
  box.replaceChildren();
  const list = element("ul", "", box);
  list.className = "next";
  for (const entry of found) {
    const item = element("li", "", list);
    const head = element("b", "", item);
    if (entry.href) element("a", entry.head, head).href = entry.href;
    else head.textContent = entry.head;
    item.append(entry.text);
  }
  const events = eventsOf(found, data, insect, seen, location.hostname || "garden.example");
  if (!events.length) return;
  const file = new Blob([calendar(`${insect.name}, ${data.name}`, events, dateOf(seen, seen.day))], { type: "text/calendar;charset=utf-8" });
  const link = element("a", "Put these days into my calendar", element("p", "", box));
  link.className = "btn";
  link.download = "looks.ics";
  link.href = URL.createObjectURL(file);
}

function askWhatIsSeen(place, section) {
  const data = JSON.parse(place.textContent);
  const [what, when, gap, most] = ["what", "when", "gap", "most"].map((id) => document.getElementById(id));
  const box = document.getElementById("next");
  for (const insect of data.insects) {
    const group = element("optgroup", "", what);
    group.label = insect.name;
    for (const sight of insect.sights) element("option", sight.says, group).value = `${insect.id}.${sight.id}`;
  }
  const now = new Date();
  when.value = new Date(Date.UTC(now.getFullYear(), now.getMonth(), now.getDate())).toISOString().slice(0, 10);
  what.value = location.hash.slice(1) || what.value;
  if (what.selectedIndex < 0) what.selectedIndex = 0;
  section.hidden = false;
  document.getElementById("seen").addEventListener("submit", (event) => {
    event.preventDefault();
    const seen = value(when, when.validity.badInput ? { wrong: "that day does not exist." } : readDate(when.value), box);
    if (seen === undefined) return;
    const label = {};
    label.gap = value(gap, readCount(gap.value, "Days between sprays", 120), box);
    if (label.gap === undefined) return;
    label.most = value(most, readCount(most.value, "Most sprays in a season", 30), box);
    if (label.most === undefined) return;
    if (label.gap === null && label.most !== null) return void complain(gap, box, "your label also says how many days must lie between sprays. Type that too.");
    const [id, sight] = what.value.split(".");
    const insect = data.insects.find((one) => one.id === id);
    const outlook = whatFollows(data, insect, insect.sights.find((one) => one.id === sight), seen.day);
    const found = entries(data, insect, seen, outlook, label);
    show(box, found, data, insect, seen);
    drawOn(document.querySelectorAll("svg.year"), [seen.day, ...(outlook.hatch ? [outlook.hatch[1]] : [])]);
  });
}

if (typeof document !== "undefined") {
  const form = document.getElementById("by-zip");
  if (form) findPlace(form);
  const place = document.getElementById("place");
  if (place) askWhatIsSeen(place, document.getElementById("ask"));
}

"use strict";
// What every part uses: the facts of the piece, names of signs, and what is chosen and shown at the moment.

const facts = JSON.parse(document.getElementById("facts").textContent);
const byId = (id) => document.getElementById(id);
const all = (selector, from = document) => [...from.querySelectorAll(selector)];
const wide = matchMedia("(min-width: 62rem)");

// What is shown: a view of the score, a size, the chosen name, notes shown at their other octave.
const now = { view: facts.views.length ? facts.views[0][0] : "", size: 1, chosen: "", other: new Set() };

// Bars with their signs, as the facts pack them: five values a sign.
const bars = facts.bars.map(([label, line, start, end, packed], index) => {
  const id = "b" + (index + 1);
  const signs = [];
  for (let place = 0; place < packed.length; place += 5) {
    const [name, down, from, to, says] = packed.slice(place, place + 5);
    signs.push({ id: name[0] === "e" ? id + name : name, line: line + down, start: from, end: to, says: facts.says[says] });
  }
  return { id, label, line, start, end, signs };
});
const signs = new Map();
for (const bar of bars) for (const sign of bar.signs) signs.set(sign.id, sign);

// The number of the bar in a name, from 1; 0 for none.
function barOf(name) {
  const found = /^(?:[a-z]+\d?-)?b(\d+)/.exec(name);
  return found && found[1] <= bars.length ? Number(found[1]) : 0;
}

// "b3e2" of "b3e2c5"; names of bars and of sung notes stay as they are.
const eventOf = (name) => (/^b\d+e\d+/.exec(name) || [name])[0];
const isStop = (name) => /^b\d+e\d+(?:c\d+(?:r\d+)?|[ux]\d+)$/.test(name);
const isEvent = (name) => /^b\d+e\d+$/.test(name);
// A word under a note: that note's name and which of its words it is.
const wordOf = (name) => /^(.+n\d+)w(\d+)$/.exec(name);
const isBar = (name) => /^b\d+$/.test(name);

// Signs of an event, the event itself left out.
function stopsOf(event) {
  const bar = bars[barOf(event) - 1];
  return bar ? bar.signs.filter((sign) => sign.id !== event && eventOf(sign.id) === event) : [];
}

// The bar whose lines hold a line of the text.
function barAtLine(line) {
  let low = 0;
  let high = bars.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (bars[middle].line <= line) low = middle + 1;
    else high = middle;
  }
  return low ? bars[low - 1] : null;
}

// --- addresses --------------------------------------------------------------------------------------------
// "#b12" is the bar with that number in print, "#m12" the twelfth that is typed, "#b12e3c5" a sign by its id.

const barByLabel = new Map();
for (const bar of bars) if (bar.label && !barByLabel.has(bar.label)) barByLabel.set(bar.label, bar.id);

function addressOf(name) {
  if (!isBar(name)) return "#" + name;
  const { label } = bars[barOf(name) - 1];
  return barByLabel.get(label) === name ? "#b" + label : "#m" + barOf(name);
}

// The sign or bar that the address names, or nothing; the part behind the hash is whatever somebody typed.
function namedByAddress() {
  let asked = "";
  try {
    asked = decodeURIComponent(location.hash.slice(1));
  } catch {
    return { asked, name: "" };
  }
  const typed = /^m(\d+)$/.exec(asked);
  const name = typed ? "b" + typed[1] : asked[0] === "b" && barByLabel.get(asked.slice(1));
  if (name && barOf(name)) return { asked, name };
  return { asked, name: signs.has(asked) ? asked : "" };
}

// --- order ------------------------------------------------------------------------------------------------

const order = new Map();
for (const bar of bars) for (const name of [bar.id, ...bar.signs.map((sign) => sign.id)]) order.set(name, order.size);

// Where something stands in the piece; what belongs to no bar stands before them all.
const orderOf = (name) => order.get(name) ?? order.get(eventOf(name)) ?? order.get("b" + barOf(name)) ?? -1;

// The names that an item of a list speaks of.
const namesOf = (item) => [item.dataset.at, ...(item.dataset.also ? item.dataset.also.split(" ") : [])].filter(Boolean);

// True while somebody types into a field.
const typing = (node) => node instanceof Element && node.matches("input:not([type=checkbox]), select, textarea");

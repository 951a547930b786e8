// Choosing a sign: seen in the score, in the text, in the lists, and told in words.

const nothingChosen = byId("chosen").textContent;

// Ways of choosing that leave no step to go back to: by keys, and what the page does by itself.
const UNREMEMBERED = new Set(["keys", "address", "kept"]);

// ``from`` is the pane it was chosen in, which does not move.
function choose(name, from) {
  now.chosen = name;
  chooseInScore(name, from !== "score");
  chooseInText(name, from !== "text");
  for (const item of all(".list .item.chosen")) item.classList.remove("chosen");
  const items = all(".list .item").filter((item) => namesOf(item).some((at) => within(at, name)));
  for (const item of items) item.classList.add("chosen");
  const pane = byId(document.body.dataset.list);
  const seen = items.find((item) => item.closest("section") === pane && !item.hidden);
  if (seen && from !== pane.id) bring(pane, seen);
  followSource(name);
  tell(name, items);
  showNote();
  if (name && from !== "address") remember(addressOf(name), from);
}

function remember(address, from) {
  if (address === location.hash) return;
  if (UNREMEMBERED.has(from)) history.replaceState(null, "", address);
  else history.pushState(null, "", address);
}

function chooseNothing() {
  choose("", "");
  history.replaceState(null, "", location.pathname + location.search);
}

// True if a place speaks of the chosen sign: the same, or its event or bar, or a sign in it.
function within(at, name) {
  if (!name) return false;
  return at === name || (isEvent(name) && eventOf(at) === name) || (isStop(name) && at === eventOf(name)) || (isBar(name) && barOf(at) === barOf(name));
}

function tell(name, items) {
  const line = byId("chosen");
  const bar = bars[barOf(name) - 1];
  byId("other").hidden = byId("both").hidden = byId("hear").hidden = true;
  if (!bar) {
    line.textContent = nothingChosen;
    return;
  }
  const said = [bar.label ? `Bar ${bar.label}` : `Upbeat (line ${bar.line})`];
  const sign = signs.get(name);
  const found = /e(\d+)(?:([cux])(\d+)(?:r\d+)?)?$/.exec(name);
  if (found && sign) said.push(`event ${found[1]}`);
  if (found && found[2] === "c") said.push(`course ${found[3]}`);
  const typed = sign ? typedAt(sign) : "";
  const parts = [said.join(", ")];
  if (sign && sign.says) parts.push(sign.says);
  else if (isEvent(name)) {
    const stops = stopsOf(name);
    parts.push(stops.length === 1 ? stops[0].says : stops.map((stop) => stop.says.split(",")[0]).join(" ") || "rest");
  }
  for (const item of items.filter((each) => each.closest("#hand") && !isBar(name))) parts.push(item.querySelector("p:nth-of-type(2)").textContent);
  line.textContent = parts.join(" · ");
  if (typed) {
    const code = document.createElement("code");
    code.textContent = typed;
    line.append(" ", code);
  }
  byId("hear").hidden = !soundsOf(name).length;
  const octave = items.find((item) => item.dataset.octaves && item.dataset.at === name);
  if (octave && now.view === "edition") {
    byId("other").hidden = byId("both").hidden = false;
    byId("other").setAttribute("aria-pressed", now.other.has(name));
    byId("other").textContent = otherWords(octave);
  }
}

function typedAt(sign) {
  const item = byId(lineId(0, sign.line));
  return item ? [...item.querySelector("code").textContent].slice(sign.start - 1, sign.end - 1).join("") : "";
}

const otherWords = (item) => `Show ${item.dataset.meant} instead of ${item.dataset.sounding}`;

// Show the other reading of an octave, or the first again; ``heard``: and let it be heard.
function toggleOther(name, heard = false) {
  const item = (handByName.get(name) || []).find((each) => each.dataset.octaves);
  if (!item) return;
  const on = !now.other.has(name);
  if (heard) hush();
  if (on) now.other.add(name);
  else now.other.delete(name);
  for (const sheet of drawnSheets()) (on ? showOther : hideOther)(sheet, name);
  const button = item.querySelector(".switch");
  button.setAttribute("aria-pressed", on);
  if (now.chosen === name) tell(name, [item]);
  if (heard) hear(name);
}

// --- stepping ---------------------------------------------------------------------------------------------

// What stepping stops at: each event once (its only stop stands for it), then what is sung.
function steps(bar) {
  const made = [];
  for (const sign of bar.signs) {
    if (isStop(sign.id) || wordOf(sign.id)) continue;
    const stops = isEvent(sign.id) ? stopsOf(sign.id) : [];
    made.push(stops.length === 1 ? stops[0].id : sign.id);
  }
  return made.length ? made : [bar.id];
}

function stepEvent(way) {
  const number = barOf(now.chosen) || (way > 0 ? 0 : bars.length + 1);
  const here = bars[number - 1] ? steps(bars[number - 1]) : [];
  const event = eventOf(now.chosen);
  const place = here.findIndex((name) => name === now.chosen || eventOf(name) === event);
  const next = place < 0 ? (way > 0 ? 0 : -1) : place + way;
  if (here[next] && here[next] !== now.chosen) return choose(here[next], "keys");
  const beyond = bars[number - 1 + way];
  if (beyond) choose(way > 0 ? steps(beyond)[0] : steps(beyond).at(-1), "keys");
}

function stepBar(way) {
  const number = barOf(now.chosen) + way;
  const bar = bars[Math.min(Math.max(number, 1), bars.length) - 1];
  if (bar) choose(steps(bar)[0], "keys");
}

function stepInChord(way) {
  const event = eventOf(now.chosen);
  const names = [event, ...stopsOf(event).map((sign) => sign.id)];
  const next = names[names.indexOf(now.chosen) + way];
  if (isEvent(event) && next) choose(next, "keys");
  else stepBar(way);
}

// The items of a list that can be stepped through, in the order of the piece.
function stepped(listId, only) {
  const items = all(`#${listId} .item`).filter((item) => !item.hidden && (!only || item.matches(only)));
  const place = (item) => [orderOf(item.dataset.at), Number((item.dataset.place || "").split(" ")[1] || 0)];
  return items.map((item) => ({ item, place: place(item) })).sort((a, b) => a.place[0] - b.place[0] || a.place[1] - b.place[1]);
}

// To the next item of a list from where one is: from the item looked at last, if its sign is still the chosen one,
// else from the chosen sign. After the last comes the first.
function stepItem(listId, way, only = "") {
  const items = stepped(listId, only);
  if (!items.length) return;
  const last = items.findIndex(({ item }) => item === now.item && (!now.chosen || within(item.dataset.at, now.chosen) || !barOf(item.dataset.at)));
  let place = last + way;
  if (last < 0 && now.chosen) {
    const here = orderOf(now.chosen);
    place = way > 0 ? items.findIndex((each) => each.place[0] > here) : items.findLastIndex((each) => each.place[0] < here);
  } else if (last < 0) place = way > 0 ? 0 : -1;
  const { item } = items[(place + items.length) % items.length] || items[way > 0 ? 0 : items.length - 1];
  now.item = item;
  showPane(listId);
  goTo(item.querySelector(".go"), "keys");
  for (const old of all(".list .item.current")) old.classList.remove("current");
  item.classList.add("current");
  bring(byId(listId), item);
}

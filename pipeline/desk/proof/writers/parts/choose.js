// Choosing a sign: seen in the score, in the text, in the lists, and told in words.

const nothingChosen = byId("chosen").textContent;

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
  if (name) history.replaceState(null, "", "#" + name);
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
  byId("other").hidden = true;
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
  const octave = items.find((item) => item.dataset.octaves && item.dataset.at === name);
  if (octave && now.view === "edition") {
    byId("other").hidden = false;
    byId("other").setAttribute("aria-pressed", now.other.has(name));
    byId("other").textContent = otherWords(octave);
  }
}

function typedAt(sign) {
  const item = byId(lineId(0, sign.line));
  return item ? [...item.querySelector("code").textContent].slice(sign.start - 1, sign.end - 1).join("") : "";
}

const otherWords = (item) => `Show ${item.dataset.meant} instead of ${item.dataset.sounding}`;

function toggleOther(name) {
  const item = (handByName.get(name) || []).find((each) => each.dataset.octaves);
  if (!item) return;
  const on = !now.other.has(name);
  if (on) now.other.add(name);
  else now.other.delete(name);
  for (const sheet of drawnSheets()) (on ? showOther : hideOther)(sheet, name);
  const button = item.querySelector(".switch");
  button.setAttribute("aria-pressed", on);
  if (now.chosen === name) tell(name, [item]);
}

// --- stepping ---------------------------------------------------------------------------------------------

// What stepping stops at: each event once (its only stop stands for it), then what is sung.
function steps(bar) {
  const made = [];
  for (const sign of bar.signs) {
    if (isStop(sign.id)) continue;
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

function stepItem(listId, way) {
  const items = all(`#${listId} .item`).filter((item) => !item.hidden);
  if (!items.length) return;
  const place = items.findIndex((item) => item === now[listId]);
  const item = items[(place + way + items.length) % items.length] || items[0];
  now[listId] = place < 0 ? items[way > 0 ? 0 : items.length - 1] : item;
  showPane(listId);
  goTo(now[listId].querySelector(".go"), listId);
  for (const old of all(".list .item.current")) old.classList.remove("current");
  now[listId].classList.add("current");
  bring(byId(listId), now[listId]);
}

// The text: each line is cut into stretches where signs begin and end, once it is looked at.

const cutLines = new Map(); // id of a line → its stretches: {node, names, start, end}
const signsByLine = new Map();
for (const bar of bars)
  for (const sign of bar.signs) {
    if (!signsByLine.has(sign.line)) signsByLine.set(sign.line, []);
    signsByLine.get(sign.line).push(sign);
  }
const foundByLine = new Map(); // "text line" → items of the list of findings
for (const item of all("#findings .item")) {
  const [text, line, start, end] = item.dataset.place.split(" ").map(Number);
  if (text < 0) continue;
  const key = text + " " + line;
  if (!foundByLine.has(key)) foundByLine.set(key, []);
  foundByLine.get(key).push({ item, start, end: Math.max(end, start + 1) });
}
const handByName = new Map(); // name → items of the list of the editor's hand
for (const item of all("#hand .item"))
  for (const name of namesOf(item)) {
    if (!handByName.has(name)) handByName.set(name, []);
    handByName.get(name).push(item);
  }

const lineId = (text, line) => (text ? `T${text}L${line}` : `L${line}`);

// The stretches of a line, cut now if they were not yet.
function stretches(text, line) {
  const id = lineId(text, line);
  if (cutLines.has(id)) return cutLines.get(id);
  const code = byId(id) && byId(id).querySelector("code");
  if (!code) return [];
  const signsHere = text ? [] : signsByLine.get(line) || [];
  const foundHere = foundByLine.get(text + " " + line) || [];
  // Columns count characters, not the halves that a script counts.
  const letters = [...code.textContent];
  const cuts = new Set([1, letters.length + 1]);
  for (const each of [...signsHere, ...foundHere]) cuts.add(each.start).add(each.end);
  const places = [...cuts].filter((place) => place >= 1).sort((a, b) => a - b);
  const made = [];
  code.textContent = "";
  for (let number = 0; number + 1 < places.length; number += 1) {
    const [start, end] = [places[number], places[number + 1]];
    const names = signsHere.filter((sign) => sign.start <= start && end <= sign.end).map((sign) => sign.id);
    const found = foundHere.filter((each) => each.start <= start && end <= each.end).map((each) => each.item);
    const words = letters.slice(start - 1, end - 1).join("") || (found.length ? " " : "");
    if (!names.length && !found.length) {
      code.append(words);
      continue;
    }
    const node = document.createElement("span");
    node.textContent = words;
    if (names.length) node.className = "sign";
    for (const name of names) for (const item of handByName.get(name) || []) node.classList.add("hand-" + item.dataset.hand);
    code.append(node);
    made.push({ node, names, found, start, end });
  }
  cutLines.set(id, made);
  markFound(made);
  return made;
}

// Which severity underlines a stretch: the gravest of the findings that are shown.
function markFound(made) {
  for (const { node, found } of made) {
    const shown = found.filter((item) => !item.hidden).map((item) => item.dataset.severity);
    for (const severity of ["error", "warning", "note"]) node.classList.toggle("found-" + severity, false);
    const gravest = ["error", "warning", "note"].find((severity) => shown.includes(severity));
    if (gravest) node.classList.add("found-" + gravest);
  }
}

// The smallest sign at a stretch; the bar where several events share it (a bar not written out).
function nameAt(stretch) {
  const events = new Set(stretch.names.map(eventOf));
  if (events.size > 1) return "b" + barOf(stretch.names[0]);
  return stretch.names.find(isStop) || stretch.names[0] || "";
}

function lineOf(node) {
  const item = node.closest("ol.lines > li");
  const found = item && /^(?:T(\d+))?L(\d+)$/.exec(item.id);
  return found ? { text: Number(found[1] || 0), line: Number(found[2]) } : null;
}

const textPane = byId("text");
textPane.addEventListener("pointerover", (event) => {
  const place = lineOf(event.target);
  if (place) stretches(place.text, place.line);
});
textPane.addEventListener("click", (event) => {
  const place = lineOf(event.target);
  if (!place || String(getSelection())) return;
  if (event.target.matches("li")) return chooseLine(event.target, "text"); // beside the words: its number
  if (place.text) return;
  const made = stretches(0, place.line);
  const under = document.elementFromPoint(event.clientX, event.clientY) || event.target;
  const stretch = made.find((each) => each.node === under || each.node === event.target);
  const bar = barAtLine(place.line);
  const name = stretch && stretch.names.length ? nameAt(stretch) : bar ? bar.id : "";
  if (name) choose(name, "text");
});

// A line as such: it is lit with its bar, and the address names it.
function chooseLine(item, from = "address") {
  const { text, line } = lineOf(item.firstElementChild);
  const bar = text ? null : barAtLine(line);
  choose(bar ? bar.id : "", "address");
  for (const old of all("#text .chosen-line")) old.classList.remove("chosen-line");
  if (item.closest("details")) item.closest("details").open = true;
  item.classList.add("chosen-line");
  bring(textPane, item);
  if (from !== "address") remember("#" + item.id, from);
}

// Show in the text what is chosen.
function chooseInText(name, scroll) {
  for (const node of all("#text .chosen")) node.classList.remove("chosen");
  for (const node of all("#text .chosen-line")) node.classList.remove("chosen-line");
  const bar = bars[barOf(name) - 1];
  if (!bar) return;
  const sign = signs.get(name);
  const line = sign ? sign.line : bar.line;
  const item = byId(lineId(0, line));
  if (!item) return;
  item.classList.add("chosen-line");
  for (const each of sign ? stretches(0, line) : [])
    if (each.start >= sign.start && each.end <= sign.end) each.node.classList.add("chosen");
  if (scroll) bring(textPane, item.querySelector(".chosen") || item);
}

// Scroll a pane, and nothing else, so that something lies in its middle, unless it is in sight already.
function bring(pane, node) {
  const [outer, inner] = [pane.getBoundingClientRect(), node.getBoundingClientRect()];
  const scrolls = pane.scrollHeight > pane.clientHeight + 1;
  const [top, bottom] = scrolls ? [outer.top, outer.bottom] : [90, innerHeight - 90];
  const box = scrolls ? pane : document.scrollingElement;
  if (inner.top < top + 12 || inner.bottom > bottom - 12) box.scrollTop += (inner.top + inner.bottom - top - bottom) / 2;
  if (scrolls && (inner.left < outer.left || inner.right > outer.right))
    pane.scrollLeft += (inner.left + inner.right - outer.left - outer.right) / 2;
}

for (const key of foundByLine.keys()) {
  const [text, line] = key.split(" ").map(Number);
  stretches(text, line);
}
for (const name of handByName.keys()) if (signs.has(name)) stretches(0, signs.get(name).line);

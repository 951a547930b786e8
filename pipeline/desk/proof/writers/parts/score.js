// The score: sheets are drawn when they come near, each in a tree of its own, so that no name in one meets another.

const scorePane = byId("score");
const SVG = "http://www.w3.org/2000/svg";
// Views of more pages than this lose the drawings of sheets that are far away: zooming lays out anew all that is drawn.
const KEPT = 3;

// Inside a sheet; the colours come from the page.
const SHEET_STYLE = `
  svg { display: block; width: 100%; height: 100%; color: var(--ink); fill: var(--ink); }
  svg .paper { fill: var(--sheet); }
  .note, .tabGrp, .tabDurSym, .verse { cursor: pointer; }
  .halo { stroke: none; pointer-events: none; }
  .restored { fill: var(--restored); fill-opacity: var(--octaves-strength, .26); }
  .asked { fill: none; stroke: var(--restored); stroke-width: 34; stroke-opacity: var(--octaves-strength-line, 1); stroke-dasharray: 60 40; }
  .measure > .emended, .measure > .doubtful, .measure > .noted { fill: none; stroke: var(--emended); stroke-width: 26; stroke-opacity: calc(2 * var(--hand-strength, .24)); }
  .weak { fill: none; stroke: var(--restored); stroke-width: 26; stroke-dasharray: 20 60; stroke-opacity: calc(2 * var(--hand-strength, .24)); }
  .emended, .doubtful, .noted { fill: var(--emended); fill-opacity: var(--hand-strength, .24); }
  .found { fill: none; stroke-width: 36; stroke-opacity: var(--found-strength, .85); }
  .error { stroke: var(--error); } .warning { stroke: var(--warning); stroke-dasharray: 120 50; }
  .note-found { stroke: var(--note); stroke-dasharray: 36 44; }
  .chosen { fill: var(--accent); fill-opacity: .34; stroke: var(--accent); stroke-width: 30; }
  .measure > .chosen { fill-opacity: .12; }
  .sounding { fill: var(--accent); fill-opacity: .5; }
  .read { fill: var(--emended); fill-opacity: .07; }
  .aside { opacity: .3; }
  .other, .other path { fill: var(--restored); color: var(--restored); stroke: var(--restored); }
`;

const sheets = new Map(); // "edition 3" → {host, root, bars}
const near = new IntersectionObserver((entries) => {
  for (const entry of entries) {
    const sheet = sheets.get(entry.target.dataset.key);
    if (entry.isIntersecting) draw(sheet);
    else if (sheet.of > KEPT) undraw(sheet);
  }
}, { root: null, rootMargin: "120% 0px" });

for (const [view, title, pages] of facts.views) {
  const frame = document.querySelector(`.view[data-view="${view}"]`);
  frame.hidden = view !== now.view;
  pages.forEach(([width, height, numbers], place) => {
    const host = document.createElement("div");
    const key = `${view} ${place + 1}`;
    host.className = "sheet";
    host.dataset.key = key;
    host.style.aspectRatio = `${width} / ${height}`;
    frame.append(host);
    const root = host.attachShadow({ mode: "open" });
    sheets.set(key, { key, view, host, root, bars: new Set(numbers), of: pages.length, drawn: false,
      name: `${title}, page ${place + 1} of ${pages.length}`, source: `${view}-${place + 1}` });
    root.addEventListener("click", (event) => clickedInScore(event, root));
    near.observe(host);
  });
}

function draw(sheet) {
  if (sheet.drawn) return;
  sheet.drawn = true;
  const read = new DOMParser().parseFromString(byId(sheet.source).textContent, "image/svg+xml");
  const drawing = document.importNode(read.documentElement, true);
  drawing.removeAttribute("width");
  drawing.removeAttribute("height");
  drawing.setAttribute("role", "img");
  drawing.setAttribute("aria-label", sheet.name);
  const style = document.createElement("style");
  style.textContent = SHEET_STYLE;
  sheet.root.replaceChildren(style, drawing);
  markHand(sheet);
  markFindings(sheet);
  markReadIn(sheet);
  for (const name of now.other) showOther(sheet, name);
  if (now.chosen && sheet.bars.has(barOf(now.chosen))) markChosen(sheet, now.chosen);
}

function undraw(sheet) {
  sheet.drawn = false;
  sheet.root.replaceChildren();
}

const sheetsOf = (name) => [...sheets.values()].filter((sheet) => sheet.view === now.view && sheet.bars.has(barOf(name)));
const drawnSheets = () => [...sheets.values()].filter((sheet) => sheet.drawn);

// Everything drawn for a name on a sheet: the figure, the note and those it is tied to; all stops of an event; a bar.
function drawnFor(root, name) {
  if (isBar(name)) return all(`[id="m${barOf(name)}"], [id^="m${barOf(name)}-part"]`, root);
  if (isEvent(name)) return [...all(`[id="g-${name}"] .tabDurSym`, root), ...stopsOf(name).flatMap((sign) => drawnFor(root, sign.id))];
  const word = wordOf(name);
  if (word) return all(`[id="${word[1]}"]`, root).map((note) => all(".verse", note)[word[2] - 1]).filter(Boolean);
  return all(`[id="t-${name}"], [id="n-${name}"], [id^="n-${name}-"], [id="${name}"]`, root);
}

// The name that an element of a drawing stands for, or nothing.
function nameOfDrawn(element) {
  for (let node = element; node && node.nodeType === 1; node = node.parentNode) {
    const id = node.id || "";
    const stop = /^[nt]-(b\d+e\d+(?:c\d+(?:r\d+)?|u\d+))(?:-\d+)?$/.exec(id) || /^g-(b\d+e\d+)$/.exec(id);
    if (stop) return signs.has(stop[1]) ? stop[1] : eventOf(stop[1]);
    if (node.classList.contains("verse")) {
      const note = node.closest("[id*='-b']");
      const name = note && `${note.id}w${all(".verse", note).indexOf(node) + 1}`;
      if (signs.has(name)) return name;
    }
    if (signs.has(id)) return id;
  }
  return "";
}

// A click beside a sign means the nearest one within reach, else the bar.
function clickedInScore(event, root) {
  let name = nameOfDrawn(event.target);
  let reach = 16;
  if (!name)
    for (const node of all('[id^="n-b"], [id^="t-b"], .tabDurSym, [id^="v"][id*="-b"] > .notehead', root)) {
      const box = node.getBoundingClientRect();
      const [x, y] = [Math.max(box.left - event.clientX, 0, event.clientX - box.right), Math.max(box.top - event.clientY, 0, event.clientY - box.bottom)];
      if (Math.hypot(x, y) < reach) [reach, name] = [Math.hypot(x, y), nameOfDrawn(node)];
    }
  const measure = !name && event.target.closest(".measure");
  if (measure) name = "b" + /^m(\d+)/.exec(measure.id)[1];
  if (name && barOf(name)) choose(name, "score");
}

// A box behind an element, in the element's own measures.
function halo(element, kind, pad) {
  const box = element.getBBox();
  if (!box.width && !box.height) return;
  const rect = document.createElementNS(SVG, "rect");
  const place = { x: box.x - pad, y: box.y - pad, width: box.width + 2 * pad, height: box.height + 2 * pad, rx: pad };
  for (const [key, value] of Object.entries(place)) rect.setAttribute(key, value);
  rect.setAttribute("class", "halo " + kind);
  element.parentNode.insertBefore(rect, element);
}

// A box round the staves of a bar.
function haloBar(measure, kind, pad) {
  const boxes = all(".staff > path", measure).map((path) => path.getBBox());
  if (!boxes.length) return;
  const [left, top] = [Math.min(...boxes.map((box) => box.x)), Math.min(...boxes.map((box) => box.y))];
  const [right, bottom] = [Math.max(...boxes.map((box) => box.x + box.width)), Math.max(...boxes.map((box) => box.y))];
  const rect = document.createElementNS(SVG, "rect");
  const place = { x: left + pad, y: top - 4 * pad, width: Math.max(60, right - left - 2 * pad), height: bottom - top + 8 * pad, rx: 60 };
  for (const [key, value] of Object.entries(place)) rect.setAttribute(key, value);
  rect.setAttribute("class", "halo " + kind);
  measure.prepend(rect);
}

// Of a note only its head: stems and flags would make the box speak of half the bar.
const headOf = (element) => element.querySelector(".notehead") || element;

function haloFor(sheet, name, kind, pad) {
  for (const element of drawnFor(sheet.root, name)) {
    if (isBar(name)) haloBar(element, kind, pad);
    else halo(headOf(element), kind, pad);
  }
}

function markHand(sheet) {
  for (const [name, items] of handByName)
    if (sheet.bars.has(barOf(name))) for (const item of items) haloFor(sheet, name, item.dataset.hand, isBar(name) ? 40 : 60);
}

function markFindings(sheet) {
  for (const old of all(".found", sheet.root)) old.remove();
  for (const item of all("#findings .item")) {
    const name = item.dataset.at;
    const kind = item.dataset.severity === "note" ? "note-found" : item.dataset.severity;
    if (name && !item.hidden && sheet.bars.has(barOf(name))) haloFor(sheet, name, "found " + kind, isBar(name) ? 20 : 90);
  }
}

function markChosen(sheet, name) {
  haloFor(sheet, name, "chosen", isBar(name) ? 30 : 75);
}

function chooseInScore(name, scroll) {
  for (const sheet of drawnSheets()) for (const old of all(".chosen", sheet.root)) old.remove();
  const here = sheetsOf(name);
  for (const sheet of here) {
    draw(sheet);
    markChosen(sheet, name);
  }
  const first = here.map((sheet) => sheet.root.querySelector(".chosen") || drawnFor(sheet.root, "b" + barOf(name))[0]).find(Boolean);
  if (scroll && first) bring(scorePane, first);
}

// --- the other reading of an octave ---------------------------------------------------------------------

// The head at the other octave, with the ledger lines that it needs; the printed one stands back.
function showOther(sheet, name) {
  const item = (handByName.get(name) || []).find((each) => each.dataset.octaves);
  if (!item || sheet.view !== "edition" || !sheet.bars.has(barOf(name))) return;
  const note = sheet.root.querySelector(`[id="n-${name}"]`);
  const staff = note && note.closest(".staff");
  const lines = staff ? all(":scope > path", staff).map((path) => Number(path.getAttribute("d").split(/[ L]+/)[1])) : [];
  if (lines.length < 5) return;
  const step = (lines[1] - lines[0]) / 2;
  const head = note.querySelector(".notehead");
  const other = document.createElementNS(SVG, "g");
  other.setAttribute("class", "other");
  other.dataset.of = name;
  const copy = head.cloneNode(true);
  const rise = -7 * step * Number(item.dataset.octaves);
  copy.setAttribute("transform", `translate(0 ${rise})`);
  const title = document.createElementNS(SVG, "title");
  title.textContent = item.dataset.meant;
  other.append(title, copy);
  const box = head.getBBox();
  const y = box.y + box.height / 2 + rise;
  const ledger = (at) => {
    const line = document.createElementNS(SVG, "path");
    line.setAttribute("d", `M${box.x - 50} ${at} L${box.x + box.width + 50} ${at}`);
    line.setAttribute("stroke-width", 22);
    other.append(line);
  };
  for (let at = lines[0] - 2 * step; at >= y - 1; at -= 2 * step) ledger(at);
  for (let at = lines[4] + 2 * step; at <= y + 1; at += 2 * step) ledger(at);
  note.classList.add("aside");
  note.parentNode.append(other);
}

function hideOther(sheet, name) {
  for (const old of all(`.other[data-of="${name}"]`, sheet.root)) old.remove();
  for (const note of all(`[id="n-${name}"]`, sheet.root)) note.classList.remove("aside");
}

// --- view and size ---------------------------------------------------------------------------------------

function setView(name) {
  if (!facts.views.some(([view]) => view === name)) return;
  now.view = name;
  for (const frame of all(".view")) frame.hidden = frame.dataset.view !== name;
  for (const button of all("#tools [data-view]")) button.setAttribute("aria-pressed", button.dataset.view === name);
  if (now.chosen) chooseInScore(now.chosen, true);
}

// 1 is as wide as the pane. What is chosen stays where it is, if it is in sight; else the middle does.
function setSize(size) {
  const held = heldPlace();
  now.size = Math.min(4, Math.max(0.25, Math.round(size * 100) / 100));
  scorePane.style.setProperty("--size", now.size);
  byId("size").textContent = `${Math.round(now.size * 100)} %`;
  held();
  if (now.chosen) showStrip(now.chosen);
}

// Remembers what is looked at; the function that comes back brings it to the same place again.
function heldPlace() {
  const pane = scorePane.getBoundingClientRect();
  const across = (scorePane.scrollLeft + scorePane.clientWidth / 2) / (scorePane.scrollWidth || 1);
  const down = (scorePane.scrollTop + scorePane.clientHeight / 2) / (scorePane.scrollHeight || 1);
  const middleOf = (node) => {
    const box = node.getBoundingClientRect();
    return [(box.left + box.right) / 2, (box.top + box.bottom) / 2];
  };
  const chosen = drawnSheets().filter((sheet) => sheet.view === now.view).map((sheet) => sheet.root.querySelector(".chosen")).find(Boolean);
  const [left, top] = chosen ? middleOf(chosen) : [NaN, NaN];
  const seen = left > pane.left && left < pane.right && top > pane.top && top < pane.bottom;
  return () => {
    if (!seen) {
      scorePane.scrollTop = down * scorePane.scrollHeight - scorePane.clientHeight / 2;
      scorePane.scrollLeft = across * scorePane.scrollWidth - scorePane.clientWidth / 2;
      return;
    }
    const [nowLeft, nowTop] = middleOf(chosen);
    scorePane.scrollLeft += nowLeft - left;
    scorePane.scrollTop += nowTop - top;
  };
}

// On paper nothing is folded.
let unfolded = [];
addEventListener("beforeprint", () => {
  unfolded = all("main details:not([open])");
  for (const fold of unfolded) fold.open = true;
  for (const sheet of sheets.values()) if (sheet.view === now.view) draw(sheet);
});
addEventListener("afterprint", () => {
  for (const fold of unfolded) fold.open = false;
  for (const sheet of sheets.values()) {
    near.unobserve(sheet.host); // it is told again which sheets are near, and lets the others go
    near.observe(sheet.host);
  }
});

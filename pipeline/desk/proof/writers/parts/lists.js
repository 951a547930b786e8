// Panes, lists and their filters, images of the source.

function showPane(name) {
  const isList = byId(name).classList.contains("list");
  document.body.dataset.pane = name;
  if (isList) document.body.dataset.list = name;
  pressPanes();
  if (name === "source") followSource(now.chosen || inSight());
}

function pressPanes() {
  const { pane, list } = document.body.dataset;
  for (const button of all("#panes button")) button.setAttribute("aria-pressed", button.dataset.pane === (wide.matches ? list : pane));
}

for (const button of all("#panes button")) button.addEventListener("click", () => showPane(button.dataset.pane));
wide.addEventListener("change", pressPanes);

// Follow a link of a list: the sign it names, else the line.
function goTo(link, from) {
  if (!link || !link.matches("a")) return;
  const name = link.dataset.at;
  if (name && barOf(name)) choose(name, from);
  const found = /^#(?:T(\d+))?L(\d+)$/.exec(link.getAttribute("href"));
  if (!found || (name && signs.has(name))) return;
  const line = byId(found[0].slice(1));
  if (!line) return;
  if (line.closest("details")) line.closest("details").open = true;
  for (const old of all("#text .chosen-line")) old.classList.remove("chosen-line");
  line.classList.add("chosen-line");
  bring(textPane, line);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest && event.target.closest("a.go");
  if (link) {
    event.preventDefault();
    if (!wide.matches) showPane(link.closest("#findings") || link.closest("#misprints") ? "text" : "score");
    goTo(link, link.closest("section").id);
    return;
  }
  const copies = event.target.closest && event.target.closest(".copy");
  if (copies) copyFor(copies);
  const button = event.target.closest && event.target.closest(".switch");
  if (button) {
    const name = button.closest(".item").dataset.at;
    if (name !== now.chosen) choose(name, "hand");
    toggleOther(name, true);
  }
});

// Copy what is to be typed: the last code of the button's paragraph, or the block after it.
async function copyFor(button) {
  const paragraph = button.closest("p");
  const after = paragraph.nextElementSibling;
  const code = after && after.matches("pre") ? after : all("code", paragraph).at(-1);
  let done = true;
  try {
    await navigator.clipboard.writeText(code.textContent);
  } catch {
    // without leave to use the clipboard: what is selected can still be copied
    getSelection().selectAllChildren(code);
    done = document.execCommand("copy");
  }
  button.textContent = done ? "Copied" : "Selected: copy it";
  setTimeout(() => (button.textContent = "Copy"), 2000);
}

// --- filters ----------------------------------------------------------------------------------------------

function filterFindings() {
  const severities = new Set(all("#filters input:checked").map((box) => box.value));
  const kind = byId("kind").value;
  let shown = 0;
  const items = all("#findings .item");
  for (const item of items) {
    item.hidden = !severities.has(item.dataset.severity) || (kind !== "" && item.dataset.code !== kind);
    shown += !item.hidden;
  }
  byId("shown").textContent = shown === items.length ? `${shown} ${shown === 1 ? "finding" : "findings"}` : `${shown} of ${items.length} shown`;
  for (const made of cutLines.values()) markFound(made);
  for (const sheet of drawnSheets()) markFindings(sheet);
}
if (byId("filters")) byId("filters").addEventListener("change", filterFindings);

function highlight() {
  for (const box of all("#tools [data-mark]")) document.body.classList.toggle("without-" + box.dataset.mark, !box.checked);
}
for (const box of all("#tools [data-mark]")) box.addEventListener("change", highlight);

// --- images -----------------------------------------------------------------------------------------------

for (const picture of all("#source img"))
  picture.addEventListener("error", () => {
    const words = document.createElement("p");
    words.className = "severity-warning";
    words.textContent = `${picture.alt}: this image cannot be shown; its file is missing or broken.`;
    picture.replaceWith(words);
  });

// The first bar of the score that is in sight.
function inSight() {
  const pane = scorePane.getBoundingClientRect();
  for (const sheet of drawnSheets().filter((each) => each.view === now.view))
    for (const measure of all(".measure", sheet.root)) {
      const box = measure.getBoundingClientRect();
      if (box.top >= pane.top && box.top < pane.bottom && box.width) return "b" + /^m(\d+)/.exec(measure.id)[1];
    }
  return "";
}

// Bring the folio of the chosen bar into sight.
function followSource(name) {
  const number = barOf(name);
  const place = number ? facts.images.findIndex((each) => each.includes(number)) : -1;
  if (place < 0 && playing) return;
  const figures = all("#source figure");
  figures.forEach((figure, each) => figure.classList.toggle("here", each === place));
  showZone(figures, place, name);
  showStrip(name);
  if (place >= 0 && document.body.dataset.list === "source") bring(byId("source"), figures[place].querySelector("figcaption"));
}

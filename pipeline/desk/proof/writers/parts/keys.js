// Buttons and keys. Keys that are single letters can be switched off, for those who speak to their machine.

const help = byId("help");
let lettersWork = true;
try {
  lettersWork = localStorage.getItem("letters") !== "off";
} catch {
  // a browser may keep nothing for files
}
byId("letters").checked = lettersWork;
byId("letters").addEventListener("change", (event) => {
  lettersWork = event.target.checked;
  try {
    localStorage.setItem("letters", lettersWork ? "on" : "off");
  } catch {
    // as above
  }
});

for (const button of all("#tools [data-view]")) button.addEventListener("click", () => setView(button.dataset.view));
byId("smaller").addEventListener("click", () => setSize(now.size / 1.25));
byId("larger").addEventListener("click", () => setSize(now.size * 1.25));
byId("keys").addEventListener("click", () => help.showModal());
byId("close").addEventListener("click", () => help.close());
byId("other").addEventListener("click", () => toggleOther(now.chosen));

const otherView = () => {
  const names = facts.views.map(([name]) => name);
  setView(names[(names.indexOf(now.view) + 1) % names.length]);
};
const LETTERS = {
  n: () => stepEvent(1), p: () => stepEvent(-1), N: () => stepBar(1), P: () => stepBar(-1),
  j: () => stepInChord(1), k: () => stepInChord(-1),
  f: () => stepItem("findings", 1), F: () => stepItem("findings", -1),
  h: () => stepItem("hand", 1), H: () => stepItem("hand", -1),
  o: () => toggleOther(now.chosen), l: () => listen(false), L: () => listen(true), x: hush, v: otherView,
  "+": () => setSize(now.size * 1.25), "-": () => setSize(now.size / 1.25), 0: () => setSize(1),
  "?": () => help.showModal(),
};
["score", "text", "findings", "hand", "misprints", "source"].forEach((name, place) => {
  LETTERS[place + 1] = () => {
    showPane(name);
    byId(name).focus({ preventScroll: true });
  };
});
const ARROWS = {
  ArrowRight: (event) => (event.shiftKey ? stepBar(1) : stepEvent(1)),
  ArrowLeft: (event) => (event.shiftKey ? stepBar(-1) : stepEvent(-1)),
  ArrowDown: () => stepInChord(1),
  ArrowUp: () => stepInChord(-1),
};

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || help.open || typing(event.target)) return;
  if (event.key === "Escape") {
    if (playing) hush();
    else chooseNothing();
    return;
  }
  // Arrows scroll lists and work boxes; they step only from the page itself, the score and the text.
  const free = event.target === document.body || event.target === scorePane || event.target === textPane;
  const arrow = free && ARROWS[event.key];
  const work = arrow || (lettersWork && Object.hasOwn(LETTERS, event.key) && LETTERS[event.key]);
  if (!work) return;
  event.preventDefault();
  work(event);
});

// The address may name a sign, a bar or a line.
function chooseByAddress() {
  const name = decodeURIComponent(location.hash.slice(1));
  if (barOf(name) && (signs.has(name) || isBar(name))) choose(name, "address");
  else if (byId(name) && byId(name).matches("ol.lines > li")) bring(textPane, byId(name));
}
addEventListener("hashchange", chooseByAddress);

setView(now.view);
setSize(1);
pressPanes();
chooseByAddress();

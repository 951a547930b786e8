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
byId("other").addEventListener("click", () => toggleOther(now.chosen, true));
byId("hear").addEventListener("click", () => hear(now.chosen));
byId("both").addEventListener("click", () => hearBoth(now.chosen));

const otherView = () => {
  const names = facts.views.map(([name]) => name);
  setView(names[(names.indexOf(now.view) + 1) % names.length]);
};
const LETTERS = {
  n: () => stepEvent(1), p: () => stepEvent(-1), N: () => stepBar(1), P: () => stepBar(-1),
  j: () => stepInChord(1), k: () => stepInChord(-1),
  f: () => stepItem("findings", 1), F: () => stepItem("findings", -1),
  h: () => stepItem("hand", 1), H: () => stepItem("hand", -1),
  m: () => stepItem("misprints", 1), M: () => stepItem("misprints", -1),
  q: () => stepItem("hand", 1, "[data-hand=asked]"), Q: () => stepItem("hand", -1, "[data-hand=asked]"),
  s: () => toggleStrip(), d: () => markRead(), u: () => nextUnread(), e: () => writeNote(),
  i: () => hear(now.chosen), b: () => hearBoth(now.chosen), r: () => byId("loop").click(),
  o: () => toggleOther(now.chosen, true), l: () => listen(false), L: () => listen(true), x: hush, v: otherView,
  "+": () => setSize(now.size * 1.25), "-": () => setSize(now.size / 1.25), 0: () => setSize(1),
  "?": () => help.showModal(),
};
["score", "text", "findings", "hand", "misprints", "source", "reading"].forEach((name, place) => {
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

// The address may name a sign, a bar or a line; going back in the browser leads here too.
function chooseByAddress() {
  const { asked, name } = namedByAddress();
  if (name) choose(name, "address");
  else if (byId(asked) && byId(asked).matches("ol.lines > li")) chooseLine(byId(asked));
  else if (now.chosen) choose("", "address");
}
addEventListener("popstate", chooseByAddress);

setView(now.view);
setSize(1);
pressPanes();
showMarks();
chooseByAddress();

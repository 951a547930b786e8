// Proof-reading: bars that are read, by what they hold, and notes. They are kept in this browser; what a file in the
// collection says stands where the browser knows nothing yet. Where both know something, and the file says what it did
// not say when they last agreed, the reader is asked.

const READING = { key: "longneck read " + location.pathname, form: 1 };
const marks = { read: new Set(), notes: new Map() }; // contents of bars; content → {bar, content, text}
const contentOf = (name) => facts.contents[barOf(name) - 1] || "";

function takeMarks(found) {
  marks.read = new Set(found.read);
  marks.notes = new Map(found.notes.map((note) => [note.content, note]));
}

// What a file says, or an error in words.
function marksIn(text) {
  const found = JSON.parse(text);
  const isNote = (note) => note && ["bar", "content", "text"].every((name) => typeof note[name] === "string");
  if (!found || found.form !== READING.form) throw new Error("it is no file of marks, or one of another version");
  const { read = [], notes = [] } = found;
  if (!Array.isArray(read) || !read.every((each) => typeof each === "string")) throw new Error("“read” is not a list of contents of bars");
  if (!Array.isArray(notes) || !notes.every(isNote)) throw new Error("“notes” is not a list of notes");
  return { read, notes };
}

// In the order of the piece, so that the same marks make the same file; what is no longer there stands last.
function marksAsFile() {
  const place = new Map(facts.contents.map((content, number) => [content, number]));
  const after = (one, other) => (place.get(one) ?? Infinity) - (place.get(other) ?? Infinity) || (one < other ? -1 : one > other ? 1 : 0);
  const read = [...marks.read].sort(after);
  const notes = [...marks.notes.values()].sort((one, other) => after(one.content, other.content));
  return JSON.stringify({ form: READING.form, piece: facts.piece, read, notes }, null, 1) + "\n";
}

function keepMarks() {
  showMarks();
  try {
    localStorage.setItem(READING.key, marksAsFile());
    byId("kept").textContent = "";
  } catch {
    byId("kept").textContent = "This browser keeps nothing for this page: save the marks as a file.";
  }
}

function markRead() {
  const content = contentOf(now.chosen);
  if (!content) return;
  if (marks.read.has(content)) marks.read.delete(content);
  else marks.read.add(content);
  keepMarks();
}

function nextUnread() {
  const here = barOf(now.chosen);
  const left = bars.filter((bar) => contentOf(bar.id) && !marks.read.has(contentOf(bar.id)));
  const next = left.find((bar) => barOf(bar.id) > here) || left[0];
  if (next) choose(next.id, "keys");
}

// --- notes ------------------------------------------------------------------------------------------------

const barSaid = (label) => (label ? `Bar ${label}` : "Upbeat");

function writeNote() {
  if (!contentOf(now.chosen)) return;
  showPane("reading");
  byId("note").focus();
}

function showNote() {
  const content = contentOf(now.chosen);
  const bar = bars[barOf(now.chosen) - 1];
  byId("note").disabled = byId("done").disabled = !content;
  byId("note").value = (marks.notes.get(content) || { text: "" }).text;
  byId("note-of").textContent = content ? `Note on ${barSaid(bar.label).toLowerCase()}` : "Choose a bar to write a note on it";
  byId("done").textContent = content ? `${barSaid(bar.label)} is read` : "This bar is read";
  byId("done").setAttribute("aria-pressed", marks.read.has(content));
}

byId("note").addEventListener("input", () => {
  const content = contentOf(now.chosen);
  const text = byId("note").value;
  if (text.trim()) marks.notes.set(content, { bar: bars[barOf(now.chosen) - 1].label, content, text });
  else marks.notes.delete(content);
  keepMarks();
});

function noteItem({ bar, content, text }) {
  const place = facts.contents.indexOf(content);
  const item = document.createElement("li");
  item.className = "item noted";
  const where = document.createElement("p");
  where.className = "where";
  const link = document.createElement(place < 0 ? "span" : "a");
  link.className = "go";
  link.textContent = barSaid(place < 0 ? bar : bars[place].label);
  if (place >= 0) {
    item.dataset.at = link.dataset.at = bars[place].id;
    link.href = addressOf(bars[place].id);
  }
  const words = document.createElement("p");
  words.className = "note-text";
  words.textContent = text;
  where.append(link, place < 0 ? " (as it was when you wrote this; it has changed since)" : "");
  item.append(where, words);
  if (place < 0) {
    const drop = document.createElement("button");
    drop.type = "button";
    drop.textContent = "Remove note";
    drop.addEventListener("click", () => {
      marks.notes.delete(content);
      keepMarks();
    });
    item.append(drop);
  }
  return item;
}

// --- showing ----------------------------------------------------------------------------------------------

// Bars by their numbers, runs together: "upbeat, 2–5, 7".
function barsSaid(some) {
  const said = [];
  for (let place = 0; place < some.length; place += 1) {
    const first = place;
    while (place + 1 < some.length && barOf(some[place + 1].id) === barOf(some[place].id) + 1) place += 1;
    const [from, to] = [some[first], some[place]].map((bar) => bar.label || "upbeat");
    said.push(from === to ? from : `${from}–${to}`);
  }
  return said.join(", ");
}

function showMarks() {
  const known = bars.filter((bar) => contentOf(bar.id));
  const left = known.filter((bar) => !marks.read.has(contentOf(bar.id)));
  const gone = [...marks.read].filter((content) => !facts.contents.includes(content)).length;
  const said = [`${known.length - left.length} of ${known.length} ${known.length === 1 ? "bar" : "bars"} read`];
  if (left.length && left.length < known.length) said.push(`left: ${barsSaid(left)}`);
  if (gone) said.push(`${gone} changed since ${gone === 1 ? "it was" : "they were"} read`);
  byId("progress").textContent = said.join("; ") + ".";
  byId("reading").classList.toggle("begun", marks.read.size + marks.notes.size > 0);
  const tab = document.querySelector("#panes [data-pane=reading]");
  tab.textContent = marks.read.size ? `Reading ${known.length - left.length}/${known.length}` : "Reading";
  if (!byId("apart").hidden) tab.textContent += " (file differs)";
  byId("notes").replaceChildren(...[...marks.notes.values()].map(noteItem));
  for (const bar of known) byId(lineId(0, bar.line)).classList.toggle("read", marks.read.has(contentOf(bar.id)));
  for (const sheet of drawnSheets()) markReadIn(sheet);
  showNote();
}

function markReadIn(sheet) {
  for (const old of all(".halo.read", sheet.root)) old.remove();
  for (const number of sheet.bars) {
    const name = "b" + number;
    if (bars[number - 1] && marks.read.has(contentOf(name))) haloFor(sheet, name, "read", 10);
  }
}

// --- what the file beside the piece says ---------------------------------------------------------------------

// The same for the same marks, whatever their order.
const sameFor = (read, notes) => JSON.stringify([[...read].sort(), [...notes].map(({ content, text }) => [content, text]).sort()]);

// Remember that the reader knows of these marks in the file.
function settle(read, notes) {
  try {
    localStorage.setItem(`${READING.key} settled`, sameFor(read, notes));
  } catch {
    // then the reader is asked again
  }
}

function settled() {
  try {
    return localStorage.getItem(`${READING.key} settled`);
  } catch {
    return null;
  }
}

// Marks of both; of two notes on a bar the words of both.
function joined() {
  const notes = new Map(marks.notes);
  for (const note of facts.reading.notes) {
    const own = notes.get(note.content);
    const text = !own || own.text === note.text ? note.text : `${own.text}\n${note.text}`;
    notes.set(note.content, { ...note, text });
  }
  return { read: [...marks.read, ...facts.reading.read], notes: [...notes.values()] };
}

function showApart() {
  const { read, notes } = facts.reading;
  const theirs = sameFor(read, notes);
  const there = read.filter((content) => !marks.read.has(content)).length;
  const here = [...marks.read].filter((content) => !read.includes(content)).length;
  const others = notes.filter((note) => (marks.notes.get(note.content) || {}).text !== note.text).length;
  if (theirs === sameFor(marks.read, marks.notes.values())) settle(read, notes);
  // A browser that has never seen the file cannot tell what is old there from what was taken back here.
  else if (theirs !== settled() && (settled() !== null || there + others)) {
    const bars = (count) => (count === 1 ? "1 bar is" : `${count} bars are`);
    const said = [`${bars(there)} read there only`, `${bars(here)} read here only`];
    if (others) said.push(`${others === 1 ? "1 note is" : `${others} notes are`} other there`);
    byId("apart-said").textContent = `The file beside the piece has other marks than this browser: ${said.join(", ")}.`;
    byId("apart").hidden = false;
  }
}

// --- files ------------------------------------------------------------------------------------------------

byId("done").addEventListener("click", markRead);
byId("unread").addEventListener("click", nextUnread);
byId("export").addEventListener("click", () => {
  const link = document.createElement("a");
  link.download = facts.piece + ".read.json";
  link.href = URL.createObjectURL(new Blob([marksAsFile()], { type: "application/json" }));
  link.click();
  settle(marks.read, marks.notes.values());
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
});
byId("import").addEventListener("change", async (event) => {
  const [file] = event.target.files;
  if (!file) return;
  let said = "";
  try {
    takeMarks(marksIn(await file.text()));
    keepMarks();
    said = `Taken from ${file.name}.`;
  } catch (error) {
    said = `${file.name} cannot be taken: ${error.message}.`;
  }
  byId("kept").textContent = said;
  event.target.value = "";
});

{
  let own = null;
  try {
    own = marksIn(localStorage.getItem(READING.key));
  } catch {
    // nothing is kept here yet
  }
  if (own || facts.reading) takeMarks(own || facts.reading);
  if (facts.reading && !own) settle(facts.reading.read, facts.reading.notes);
  else if (facts.reading) showApart();
}

for (const [name, take] of [["apart-both", joined], ["apart-file", () => facts.reading], ["apart-here", () => null]])
  byId(name).addEventListener("click", () => {
    const taken = take();
    if (taken) takeMarks(taken);
    settle(facts.reading.read, facts.reading.notes);
    byId("apart").hidden = true;
    keepMarks();
  });

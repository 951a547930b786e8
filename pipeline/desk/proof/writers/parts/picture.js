// The picture of the source: folios enlarged and moved, the system that is looked at, and its strip over the score.

// Which system a name stands in: the image, its number there, its zone in percent and its bars. Of a bar that goes over a
// break, the first.
function systemOf(name) {
  const number = barOf(name);
  for (const [image, systems] of facts.systems.entries())
    for (const [top, bottom, left, right, inside] of systems) if (number && inside.includes(number)) return { image, top, bottom, left, right, inside };
  return null;
}

const folioImages = all("#source figure img");

// --- the strip over the score -----------------------------------------------------------------------------

const strip = { box: byId("strip"), image: byId("strip-image"), shown: "" };

function toggleStrip() {
  if (!strip.box) return;
  const on = strip.box.hidden;
  strip.box.hidden = !on;
  byId("picture").setAttribute("aria-pressed", on);
  strip.shown = "";
  if (on) showStrip(now.chosen || inSight());
}

// The system as wide as the score is shown; where that is wider than the pane, the part about the bar.
function showStrip(name) {
  if (!strip.box || strip.box.hidden) return;
  const found = systemOf(name);
  const picture = found && folioImages[found.image];
  if (!picture) return;
  const cut = strip.image.parentNode;
  const frame = cut.parentNode;
  const work = () => {
    const [width, height] = [picture.naturalWidth || picture.width, picture.naturalHeight || picture.height];
    const scale = (frame.clientWidth * Math.max(1, now.size)) / ((width * (found.right - found.left)) / 100);
    Object.assign(cut.style, {
      width: `${((found.right - found.left) / 100) * width * scale}px`,
      height: `${((found.bottom - found.top) / 100) * height * scale}px`,
    });
    Object.assign(strip.image.style, {
      width: `${width * scale}px`,
      left: `${(-found.left / 100) * width * scale}px`,
      top: `${(-found.top / 100) * height * scale}px`,
    });
    const place = found.inside.indexOf(barOf(name)) / Math.max(1, found.inside.length - 1);
    frame.scrollLeft = place * (frame.scrollWidth - frame.clientWidth);
  };
  const key = `${found.image} ${found.top}`;
  if (strip.shown !== key) {
    const said = picture.closest("figure").querySelector("figcaption").textContent.split(",")[0];
    const words = `${said}, ${found.inside.length === 1 ? "bar" : "bars"} ${barsSaid(found.inside.map((each) => bars[each - 1]))}`;
    byId("strip-said").textContent = words;
    strip.image.alt = `${words}, from the source`;
    strip.image.src = picture.src;
    strip.shown = key;
  }
  if (strip.image.complete && strip.image.naturalWidth > 1) work();
  strip.image.onload = work;
}
if (byId("picture")) byId("picture").addEventListener("click", toggleStrip);

// --- the folios -------------------------------------------------------------------------------------------

// Frame the system that is looked at on its folio.
function showZone(figures, place, name) {
  const found = systemOf(name);
  figures.forEach((figure, number) => {
    const zone = figure.querySelector(".zone");
    if (!zone) return;
    zone.hidden = !found || found.image !== number;
    if (zone.hidden) return;
    Object.assign(zone.style, { top: `${found.top}%`, height: `${found.bottom - found.top}%`, left: `${found.left}%`, width: `${found.right - found.left}%` });
    const frame = zone.closest(".wide");
    if (frame.scrollHeight > frame.clientHeight) frame.scrollTop = zone.offsetTop - (frame.clientHeight - zone.offsetHeight) / 2;
  });
}

let closeness = 1;

// Folios larger or smaller; the middle of each stays in its middle.
function setNear(size) {
  closeness = Math.min(8, Math.max(1, Math.round(size * 100) / 100));
  const frames = all("#source .wide");
  const middles = frames.map((frame) => [(frame.scrollLeft + frame.clientWidth / 2) / frame.scrollWidth, (frame.scrollTop + frame.clientHeight / 2) / frame.scrollHeight]);
  byId("source").style.setProperty("--near", closeness);
  byId("source").classList.toggle("enlarged", closeness > 1);
  byId("near").textContent = `${Math.round(closeness * 100)} %`;
  frames.forEach((frame, place) => {
    frame.scrollLeft = middles[place][0] * frame.scrollWidth - frame.clientWidth / 2;
    frame.scrollTop = middles[place][1] * frame.scrollHeight - frame.clientHeight / 2;
  });
  if (now.chosen) showZone(all("#source figure"), 0, now.chosen);
}
if (byId("near")) {
  byId("nearer").addEventListener("click", () => setNear(closeness * 1.5));
  byId("farther").addEventListener("click", () => setNear(closeness / 1.5));
}

// A click on a system leads to the bar that probably stands there; dragging moves what is larger than its frame.
for (const frame of all("#source .wide")) {
  let from = null;
  frame.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse") from = [event.clientX, event.clientY, frame.scrollLeft, frame.scrollTop, false];
  });
  frame.addEventListener("pointermove", (event) => {
    if (!from || !event.buttons) return;
    const [across, down] = [event.clientX - from[0], event.clientY - from[1]];
    if (Math.hypot(across, down) > 4) from[4] = true;
    frame.scrollLeft = from[2] - across;
    frame.scrollTop = from[3] - down;
  });
  frame.addEventListener("click", (event) => {
    const dragged = from && from[4];
    from = null;
    const number = all("#source figure").indexOf(frame.closest("figure"));
    const picture = frame.querySelector("img");
    if (dragged || !picture) return;
    const box = picture.getBoundingClientRect();
    const [x, y] = [(100 * (event.clientX - box.left)) / box.width, (100 * (event.clientY - box.top)) / box.height];
    const system = facts.systems[number].find(([top, bottom, , , inside]) => y >= top && y <= bottom && inside.length);
    if (!system) return;
    const [, , left, right, inside] = system;
    const place = Math.floor((inside.length * (x - left)) / (right - left));
    choose("b" + inside[Math.min(inside.length - 1, Math.max(0, place))], "source");
  });
  frame.addEventListener("dragstart", (event) => event.preventDefault());
}

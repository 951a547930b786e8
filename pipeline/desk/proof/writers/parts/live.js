// A page that is watched: it asks the file beside it which build is the newest, and loads itself anew when it is another.
// What was looked at is kept over that, by what bars hold: bars may have come or gone above it. While the file holds no
// bar (an editor may save it empty for a moment), what was kept before stays kept.

{
  const EVERY = 120;
  const key = "longneck " + location.pathname;
  const panes = ["score", "text", "findings", "hand", "misprints", "source", "reading"];
  const isProof = document.body.classList.contains("proof");
  let first = null;
  let asked = 0;
  let question = null;

  const read = () => {
    try {
      return JSON.parse(sessionStorage.getItem(key));
    } catch {
      return null;
    }
  };

  // --- places by content ----------------------------------------------------------------------------------

  // For each bar of before, from 0, where it stands now: what is the same at the beginning and at the end keeps its
  // place from there; between them the next bar that holds the same, else the one at that place.
  const moved = (before, after, place) => {
    let begin = 0;
    while (begin < Math.min(before.length, after.length) && before[begin] === after[begin]) begin += 1;
    let end = 0;
    while (end < Math.min(before.length, after.length) - begin && before.at(-1 - end) === after.at(-1 - end)) end += 1;
    if (place < begin) return place;
    if (place >= before.length - end) return place + after.length - before.length;
    const same = after.findIndex((each, at) => at >= begin && each === before[place]);
    return same >= 0 ? same : Math.min(place, after.length - 1);
  };

  // The first bar in sight of a pane, and how far below the pane's top it begins.
  const lookedAt = () => {
    const top = textPane.getBoundingClientRect().top;
    const place = bars.findIndex((bar) => byId(lineId(0, bar.line)).getBoundingClientRect().bottom > top);
    const inText = place < 0 ? null : [place, byId(lineId(0, bars[place].line)).getBoundingClientRect().top - top];
    const seen = barOf(inSight());
    const measure = seen && measureOf(seen - 1);
    const inScore = measure ? [seen - 1, measure.getBoundingClientRect().top - scorePane.getBoundingClientRect().top] : null;
    return { inText, inScore };
  };

  const measureOf = (place) => {
    const [sheet] = sheetsOf("b" + (place + 1));
    if (sheet) draw(sheet);
    return sheet && drawnFor(sheet.root, "b" + (place + 1))[0];
  };

  const lookAgain = (kept) => {
    const contents = facts.contents;
    const [text, score] = [kept.looked.inText, kept.looked.inScore].map((each) => each && [moved(kept.contents, contents, each[0]), each[1]]);
    if (score && measureOf(score[0])) scorePane.scrollTop += measureOf(score[0]).getBoundingClientRect().top - scorePane.getBoundingClientRect().top - score[1];
    if (text && bars[text[0]]) {
      const line = byId(lineId(0, bars[text[0]].line));
      textPane.scrollTop += line.getBoundingClientRect().top - textPane.getBoundingClientRect().top - text[1];
    }
  };

  // --- keeping --------------------------------------------------------------------------------------------

  const keep = () => {
    const kept = { page: [scrollX, scrollY] };
    if (isProof) {
      if (!bars.length && read()) return;
      kept.panes = panes.map((name) => [byId(name).scrollLeft, byId(name).scrollTop]);
      kept.shown = { view: now.view, size: now.size, chosen: now.chosen, other: [...now.other] };
      kept.body = { pane: document.body.dataset.pane, list: document.body.dataset.list };
      kept.boxes = all("input[type=checkbox]").map((box) => [box.id || box.value || box.dataset.mark, box.checked]);
      kept.kind = byId("kind") ? byId("kind").value : "";
      kept.pace = byId("pace").value;
      kept.contents = facts.contents;
      kept.looked = lookedAt();
    }
    try {
      sessionStorage.setItem(key, JSON.stringify(kept));
    } catch {
      // then it begins at the top
    }
  };

  const restore = () => {
    const kept = read();
    if (!kept || (isProof && !bars.length)) return;
    sessionStorage.removeItem(key);
    if (isProof) {
      Object.assign(document.body.dataset, kept.body);
      pressPanes();
      const boxes = new Map(kept.boxes);
      for (const box of all("input[type=checkbox]")) box.checked = boxes.get(box.id || box.value || box.dataset.mark) ?? box.checked;
      byId("pace").value = kept.pace;
      if (byId("kind") && all("option", byId("kind")).some((each) => each.value === kept.kind)) byId("kind").value = kept.kind;
      if (byId("filters")) filterFindings();
      highlight();
      setView(kept.shown.view);
      setSize(kept.shown.size);
      const here = (name) => "b" + (moved(kept.contents, facts.contents, Number(/b(\d+)/.exec(name)[1]) - 1) + 1);
      const named = (name) => (name ? name.replace(/b\d+/, here(name)) : "");
      for (const name of kept.shown.other.map(named)) toggleOther(name);
      const name = named(kept.shown.chosen);
      if (name && (signs.has(name) || barOf(name))) choose(signs.has(name) ? name : "b" + barOf(name), "kept");
      panes.forEach((pane, place) => byId(pane).scrollTo(...kept.panes[place]));
      lookAgain(kept);
      document.fonts.ready.then(() => lookAgain(kept)); // lines may be higher by then
    }
    scrollTo(...kept.page);
  };

  // --- asking ---------------------------------------------------------------------------------------------

  const ended = document.createElement("p");
  ended.className = "ended screen-only";
  ended.setAttribute("role", "status");

  // An empty stamp says that the watch has ended: the page stays, and says that it will not change any more.
  window.longneckStamp = (stamp) => {
    if (!stamp) {
      ended.textContent = "The watch has ended: this page no longer follows what you save.";
      if (!ended.isConnected) document.body.prepend(ended);
      return;
    }
    ended.remove();
    if (first === null) first = stamp;
    if (stamp === first) return;
    keep();
    location.reload();
  };

  const ask = () => {
    if (question) question.remove();
    question = document.createElement("script");
    asked += 1;
    question.src = `stamp.js?${asked}`;
    document.head.append(question);
  };
  restore();
  ask();
  setInterval(ask, EVERY);
}

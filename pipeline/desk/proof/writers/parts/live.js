// A page that is watched: it asks the file beside it which build is the newest, and loads itself anew when it is another.
// What was looked at is kept over that.

{
  const EVERY = 120;
  const key = "longneck " + location.pathname;
  const panes = ["score", "text", "findings", "hand", "misprints", "source"];
  const isProof = document.body.classList.contains("proof");
  let first = "";
  let asked = 0;
  let question = null;

  const keep = () => {
    const kept = { page: [scrollX, scrollY] };
    if (isProof) {
      kept.panes = panes.map((name) => [byId(name).scrollLeft, byId(name).scrollTop]);
      kept.shown = { ...now, other: [...now.other], findings: null, hand: null };
      kept.body = { pane: document.body.dataset.pane, list: document.body.dataset.list };
      kept.boxes = all("input[type=checkbox]").map((box) => box.checked);
      kept.kind = byId("kind") ? byId("kind").value : "";
      kept.pace = byId("pace").value;
    }
    try {
      sessionStorage.setItem(key, JSON.stringify(kept));
    } catch {
      // then it begins at the top
    }
  };

  const restore = () => {
    let kept = null;
    try {
      kept = JSON.parse(sessionStorage.getItem(key));
      sessionStorage.removeItem(key);
    } catch {
      return;
    }
    if (!kept) return;
    if (isProof) {
      Object.assign(document.body.dataset, kept.body);
      pressPanes();
      const boxes = all("input[type=checkbox]");
      if (boxes.length === kept.boxes.length) boxes.forEach((box, place) => (box.checked = kept.boxes[place]));
      byId("pace").value = kept.pace;
      if (byId("kind") && all("option", byId("kind")).some((each) => each.value === kept.kind)) byId("kind").value = kept.kind;
      if (byId("filters")) filterFindings();
      highlight();
      setView(kept.shown.view);
      setSize(kept.shown.size);
      for (const name of kept.shown.other) toggleOther(name);
      const name = kept.shown.chosen;
      if (name && (signs.has(name) || barOf(name))) choose(signs.has(name) ? name : "b" + barOf(name), "kept");
      panes.forEach((pane, place) => byId(pane).scrollTo(...kept.panes[place]));
    }
    scrollTo(...kept.page);
  };

  window.longneckStamp = (stamp) => {
    if (!first) first = stamp;
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

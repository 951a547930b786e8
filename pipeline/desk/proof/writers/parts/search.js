// The search of the index. Each page keeps what it lists in a script beside it, because a page that was opened as a file
// may load nothing else; they are loaded when somebody searches, down to the last folder, and what is found is shown as
// they come.

{
  const MOST = 200;
  const form = document.getElementById("search");
  const field = document.getElementById("asked");
  const said = document.getElementById("found");
  const results = document.getElementById("results");
  const table = document.querySelector(".wide");
  const here = document.body.dataset.folder;
  const pieces = [];
  const waiting = [];
  let loading = 0;
  let begun = false;

  // Letters as one types them: without accents, in small type.
  // Any letter of an edition can come up: ABCDEFGHIJKLMNOPQRSTUVWXYZ abcdefghijklmnopqrstuvwxyz 0123456789
  // ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÑÒÓÔÕÖØÙÚÛÜÝàáâãäåæçèéêëìíîïñòóôõöøùúûüýÿœŒßšŠžŽ ’‘“”«»–—,;:!?()[]&/#*'"
  const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();

  // Bytes of a name that are no UTF-8 stand as lone surrogates.
  const quoted = (name) =>
    name.replace(/[\uDC80-\uDCFF]|[^\uDC80-\uDCFF]+/gu, (some) =>
      /^[\uDC80-\uDCFF]$/u.test(some) ? "%" + (some.charCodeAt(0) - 0xdc00).toString(16).toUpperCase() : encodeURIComponent(some),
    );

  const beyond = (folder) => (here ? folder.slice(here.length + 1) : folder);
  const path = (folder) => beyond(folder).split("/").map(quoted).join("/");

  const next = () => {
    while (loading < 8 && waiting.length) {
      const script = document.createElement("script");
      script.src = waiting.pop();
      loading += 1;
      const done = () => {
        script.remove();
        loading -= 1;
        next();
      };
      script.addEventListener("load", done);
      script.addEventListener("error", done);
      document.head.append(script);
    }
    show();
  };

  window.longneckListed = (page) => {
    const within = page.folder === here ? "" : path(page.folder) + "/";
    for (const part of page.parts) waiting.push(within + part[1] + ".js");
    for (const folder of page.folders) waiting.push(path(folder[0]) + "/index.js");
    for (const [folder, title, errors, , , , files] of page.pieces) pieces.push({ folder, title, errors, files, text: plain(title + " " + folder) });
  };

  const item = (piece) => {
    const row = document.createElement("li");
    const name = piece.title || piece.folder.split("/").pop();
    const proof = piece.files.includes("proof.html");
    const link = document.createElement(proof ? "a" : "span");
    if (proof) link.href = path(piece.folder) + "/proof.html";
    link.textContent = name;
    const where = document.createElement("code");
    where.className = "faint";
    where.textContent = piece.folder + ".intav";
    row.append(link, " ", where);
    if (piece.errors) {
      const errors = document.createElement("span");
      errors.className = "severity-error";
      errors.textContent = piece.errors === 1 ? " 1 error" : ` ${piece.errors} errors`;
      row.append(errors);
    }
    return row;
  };

  const show = () => {
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    results.hidden = !words.length;
    table.hidden = Boolean(words.length);
    if (!words.length) {
      said.textContent = "";
      return;
    }
    const found = pieces.filter((piece) => words.every((word) => piece.text.includes(word)));
    found.sort((one, other) => (one.folder < other.folder ? -1 : one.folder > other.folder ? 1 : 0));
    results.replaceChildren(...found.slice(0, MOST).map(item));
    const more = found.length > MOST ? `; the first ${MOST} are shown` : "";
    const left = loading || waiting.length ? "; still searching" : "";
    said.textContent = `${found.length} of ${pieces.length} ${pieces.length === 1 ? "piece" : "pieces"} found${more}${left}`;
  };

  const begin = () => {
    if (begun) return;
    begun = true;
    waiting.push("index.js");
    next();
  };

  form.hidden = false;
  form.addEventListener("submit", (event) => event.preventDefault());
  field.addEventListener("focus", begin);
  field.addEventListener("input", () => {
    begin();
    show();
  });
}

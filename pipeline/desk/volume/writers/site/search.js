"use strict";
(() => {
  const form = document.getElementById("search");
  const field = document.getElementById("asked");
  const found = document.getElementById("found");
  const rows = [...document.querySelectorAll("[data-words]")];
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const words = rows.map((row) => plain(row.dataset.words));
  form.hidden = false;
  form.addEventListener("submit", (event) => event.preventDefault());
  field.addEventListener("input", () => {
    const asked = plain(field.value).split(/\s+/).filter(Boolean);
    let count = 0;
    rows.forEach((row, place) => {
      row.hidden = !asked.every((word) => words[place].includes(word));
      count += row.hidden ? 0 : 1;
    });
    for (const part of document.querySelectorAll(".part")) {
      part.hidden = !part.querySelector("[data-words]:not([hidden])");
    }
    found.textContent = asked.length ? (count === 1 ? "1 piece" : `${count} pieces`) : "";
  });
})();

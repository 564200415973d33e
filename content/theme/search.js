// A small search. It only adds: without it every page is reached by its links.
"use strict";
(function () {
  const box = document.getElementById("search");
  const pages = window.handbookIndex;
  if (!box || !pages) return;
  const label = document.createElement("label");
  const field = document.createElement("input");
  const list = document.createElement("ul");
  field.type = "search";
  label.textContent = box.dataset.label;
  label.append(" ", field);
  list.setAttribute("aria-live", "polite");
  box.append(label, list);
  field.addEventListener("input", function () {
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    list.replaceChildren();
    if (!words.length) return;
    const found = pages.filter((page) => words.every((word) => page.text.includes(word))).slice(0, 12);
    for (const page of found) {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = page.file;
      link.textContent = page.title;
      item.append(link);
      list.append(item);
    }
    if (!found.length) {
      const item = document.createElement("li");
      item.textContent = box.dataset.none;
      list.append(item);
    }
  });
})();

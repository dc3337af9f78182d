// Two comforts; every page reads without them: narrowing the rack, and holding a picture to the light.
"use strict";

(() => {
  const finder = document.querySelector(".finder");
  if (!finder) return;
  const items = [...document.querySelectorAll(".rail li")];
  const found = document.querySelector(".found");
  const words = document.getElementById("words");
  const plain = (text) => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");
  const says = (item, name) => name in item.dataset ? item.dataset[name] : (item.querySelector("." + name) || item).textContent.trim();
  let logs = null;

  // The words of the logs lie in a script of their own, asked for when somebody begins to look; that works from a disk too.
  const fetchWords = () => {
    if (logs) return;
    logs = {};
    const script = document.createElement("script");
    script.src = "words.js";
    script.onload = () => { logs = globalThis.showroomWords || {}; narrow(); };
    document.head.append(script);
  };

  const narrow = () => {
    const asked = new FormData(finder);
    const sought = plain(words.value).split(/\s+/).filter(Boolean);
    let left = 0;
    for (const item of items) {
      const text = plain(item.textContent + " " + ((logs || {})[item.querySelector("h2 a").pathname.replace(/^.*\/|\.html$/g, "")] || ""));
      const fits = [...asked].every(([name, value]) => !value || says(item, name) === value) && sought.every((word) => text.includes(word));
      item.hidden = !fits;
      left += fits ? 1 : 0;
    }
    const all = left === items.length;
    found.textContent = all ? "" : left === 0 ? "Nothing like that hangs here." : left + " of " + items.length;
  };

  finder.addEventListener("input", narrow);
  finder.addEventListener("submit", (event) => event.preventDefault());
  words.addEventListener("focus", fetchWords);
  narrow();
})();

(() => {
  const links = [...document.querySelectorAll("a.look")];
  if (!links.length || typeof HTMLDialogElement === "undefined") return;
  let light, image, caption, at = 0;

  const show = (index) => {
    at = (index + links.length) % links.length;
    const alt = links[at].querySelector("img").alt;
    image.src = links[at].href;
    image.alt = alt;
    caption.textContent = alt;
  };

  const button = (text, label, act) => {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    made.setAttribute("aria-label", label);
    made.addEventListener("click", act);
    return made;
  };

  const build = () => {
    light = document.createElement("dialog");
    light.className = "light";
    light.setAttribute("aria-label", "Picture");
    image = document.createElement("img");
    caption = document.createElement("span");
    const row = document.createElement("p");
    row.append(button("←", "The picture before", () => show(at - 1)), button("→", "The next picture", () => show(at + 1)), caption, button("✕", "Close", () => light.close()));
    light.append(image, row);
    light.addEventListener("keydown", (event) => {
      if (event.key === "ArrowLeft") show(at - 1);
      if (event.key === "ArrowRight") show(at + 1);
    });
    light.addEventListener("close", () => links[at].focus());
    document.body.append(light);
  };

  links.forEach((link, index) => link.addEventListener("click", (event) => {
    if (event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    if (!light) build();
    show(index);
    light.showModal();
  }));
})();

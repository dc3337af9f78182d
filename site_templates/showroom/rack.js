// A comfort of the rack, which reads without it: narrowing it and looking something up.
"use strict";

(() => {
  const finder = document.querySelector(".finder");
  if (!finder) return;
  const items = [...document.querySelectorAll(".rail li")];
  const found = document.querySelector(".found");
  const words = document.getElementById("words");
  const plain = (text) => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");
  const places = { instrument: "h2 + p i", maker: "h2 + p b", finish: ".finish", state: ".state" };
  const says = (item, name) => (item.querySelector(places[name]) || { textContent: "" }).textContent.trim();
  let logs = null;

  // The words of the logs, asked for when somebody begins to look; as a script, for that works from a disk too.
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
    found.textContent = all ? "" : left === 0 ? "Nothing on the rack matches." : left + " of " + items.length + " shown";
  };

  finder.addEventListener("input", () => { if (words.value) fetchWords(); narrow(); });
  finder.addEventListener("submit", (event) => event.preventDefault());
  words.addEventListener("focus", fetchWords);
  narrow();
})();

// A comfort of pages with pictures, which are plain links without it: holding a picture to the light.
"use strict";

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

/* A photo for a form: taken with the camera of this machine, or chosen from its files. It goes over in pieces, since a
   page may not send more than a few megabytes at once. */
const PIECE = 512 * 1024, LARGEST = 50 * 1024 * 1024;

/** @type {Kit.Render<Kit.PhotoState, Kit.PhotoAsk>} */
const render = ({ model, el }) => {
  ownKeys(el);
  el.classList.add("d-photo");
  const what = model.get("what");
  const id = uid("photo"), said = h("p", { class: "sk-note", role: "status" }), frame = h("div", { class: "d-shot" });
  const none = h("button", { type: "button", class: "sk-quiet", hidden: true, onclick: () => { clear(); model.send({ do: "no photo" }); } }, `Take the ${what} away`);
  const input = h("input", { id, type: "file", accept: model.get("accept"), onchange: () => { const file = input.files?.[0]; if (file) void send(file); } });
  let turn = 0;
  const clear = (words = "") => {
    turn += 1;
    input.value = "";
    for (const image of frame.querySelectorAll("img")) URL.revokeObjectURL(image.src);
    frame.replaceChildren();
    none.hidden = true;
    said.textContent = words;
  };
  /** @param {File} file */
  const send = async (file) => {
    const mine = (turn += 1);
    if (file.size > LARGEST) { clear("This file is larger than 50 MB. Choose a smaller one."); model.send({ do: "no photo" }); return; }
    model.send({ do: "photo", name: file.name, size: file.size });
    said.textContent = `Reading the ${what} …`;
    for (let at = 0; at < file.size; at += PIECE) {
      const piece = await file.slice(at, at + PIECE).arrayBuffer();
      if (mine !== turn) return;
      model.send({ do: "piece" }, undefined, [piece]);
    }
    if (what === "photo") frame.replaceChildren(h("img", { src: URL.createObjectURL(file), alt: "The photo that was chosen" }));
    none.hidden = false;
    said.textContent = `${file.name}, ${Math.max(1, Math.round(file.size / 1024))} kB. ${what === "photo" ? "It is kept when you sign." : "Nothing is recorded yet."}`;
  };
  el.replaceChildren(h("div", { class: "d-shot-field" }, h("label", { for: id }, model.get("label")), input), frame, said, none);
};

export default { render };

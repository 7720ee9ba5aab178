// What ties the parts of the view together: the line from key to glyph, guard on and off, a phantom to look at, a picture.

/** The middle of an element in pixels of the view. */
function middleOf(element) {
  const view = byId("view").getBoundingClientRect(), box = element.getBoundingClientRect();
  return [box.left - view.left + box.width / 2, box.top - view.top + box.height / 2];
}

/** The line from the key pressed last to its crosspoints and on to the machine's keys, with what was typed at its end. */
function drawLines() {
  const root = byId("lines"), { trace } = page;
  const key = trace && page.keys.get(trace.usage);
  root.replaceChildren();
  if (!key) return;
  const parts = [];
  for (const contact of trace.contacts) {
    const point = page.points.get(contact), name = page.machine.byContact.get(contact)?.name, target = page.machineKeys.get(name);
    if (!point) continue;
    const stops = [middleOf(key.querySelector(".cap")), middleOf(point.element.firstChild)];
    if (target) stops.push(middleOf(target.element.querySelector(".cap")));
    const d = "M" + stops.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L");
    parts.push(svg("path", { d, class: "halo" }), svg("path", { d, class: "trace", "data-contact": contact }));
    parts.push(...stops.slice(0, 2).map(([cx, cy]) => svg("circle", { cx, cy, r: 4 })));
    if (target && trace.text) parts.push(...badge(trace.text, stops[2]));
  }
  root.append(...parts);
}

/** What was typed, in a plate at the end of the line. */
function badge(text, [x, y]) {
  const width = Math.max(30, textWidth(glyph(text)) * 17 + 14);
  const plate = svg("rect", { x: x - width / 2, y: y - 15, width, height: 30, rx: 4, class: "badge" });
  if (!data.shapes[text]) return [plate, line(text, x, y + 6, width, 17, 0, { "text-anchor": "middle" })];
  const shape = legend(text, x, y + 7, 20, 20, 0, { "text-anchor": "middle", class: "glowing" });
  return [plate, shape];
}

/** Both matrices side by side: what is closed and read with the guard and without. */
function showBoth() {
  const twice = page.layout.phantoms && page.dots.length > 0;
  byId("compare").parentElement.classList.toggle("alone", !twice);
  if (!twice) return;
  const guarded = byId("guard").checked;
  const engines = guarded ? [page.engine, page.other] : [page.other, page.engine];
  engines.forEach((engine, index) => page.dots[index].show(new Set(engine.closed), new Set(engine.phantoms)));
  byId("with-guard").parentElement.classList.toggle("used", guarded);
  byId("without-guard").parentElement.classList.toggle("used", !guarded);
}

/** Keeps the last few texts that each of the two would have typed. */
function tellBoth(engine, read) {
  const guarded = byId("guard").checked === (engine === page.engine);
  const element = byId(guarded ? "typed-with" : "typed-without");
  const texts = [...(element.dataset.texts || "").split("\t").filter(Boolean), read.types === null ? `[${read.key?.name ?? "?"}]` : worded(read.types)].slice(-6);
  element.dataset.texts = texts.join("\t");
  showText(element, texts.join(" "));
}

/** Keys of the drawing by the one contact that each closes plain: modifiers too. */
function keysByContact() {
  const at = new Map(), anyway = new Set(page.engine.play([]).closed), crosspoints = page.machine.select.length * page.machine.sense.length;
  for (const { place: [usage], face } of page.layout.caps) {
    if (face.kind !== "modifier" && (face.kind !== "types" || !(face.whole ?? face.texts[0]))) continue;
    const closed = page.engine.play([usage]).closed.filter((contact) => !anyway.has(contact));
    if (closed.length === 1 && closed[0] < crosspoints && !at.has(closed[0])) at.set(closed[0], usage);
  }
  return at;
}

/** Three keys whose contacts are corners of a rectangle, at whose fourth the machine then reads and types another key. */
function threeForPhantom() {
  const { machine } = page, senses = machine.sense.length, { rollover, more_keys } = machine.scan, at = keysByContact();
  const plain = (contact) => !machine.modifierAt.has(contact);
  for (const one of at.keys()) for (const other of at.keys()) {
    const [row, column] = [Math.floor(one / senses), other % senses];
    const third = Math.floor(other / senses) * senses + one % senses, fourth = row * senses + column;
    if (Math.floor(other / senses) === row || column === one % senses || !at.has(third) || !plain(fourth)) continue;
    const three = [one, third, other], key = machine.byContact.get(fourth);
    const held = new Set(three.filter((contact) => !plain(contact)).map((contact) => machine.modifierAt.get(contact)));
    // A machine that ignores more keys than its rollover would type nothing, and so may one that finds the first.
    const few = rollover === null || (rollover === 1 && more_keys === "first") || 4 - held.size <= rollover;
    if (!key || !few || held.size > 2 || typesIn(machine, key, held) === null) continue;
    three.sort((a, b) => plain(a) - plain(b));
    return { usages: three.map((contact) => at.get(contact)), fourth: key.name };
  }
  return null;
}

/** Holds three such keys with guard and rollover off. */
function showPhantomNow() {
  releaseAll();
  const found = page.layout.phantoms ? threeForPhantom() : null;
  if (!found) return setText("stroke", say("phantom-none"));
  for (const id of ["guard", "rollover"]) byId(id).checked = false;
  restart();
  for (const usage of found.usages) {
    page.clicked.set(usage, "hold");
    feed();
  }
  return setText("stroke", say("phantom-shown", { keys: found.usages.map(keyName).join(", "), fourth: found.fourth }));
}

/** The view as one SVG document, with the page's own style in it. */
function viewAsSvg() {
  const view = byId("view"), frame = view.getBoundingClientRect();
  const root = svg("svg", { xmlns: "http://www.w3.org/2000/svg", width: frame.width, height: frame.height, viewBox: `0 0 ${frame.width} ${frame.height}` });
  const style = document.createElementNS(root.namespaceURI, "style");
  style.textContent = document.querySelector("style").textContent;
  root.append(style, svg("rect", { width: frame.width, height: frame.height, class: "ground" }), ...screenAsSvg(frame));
  for (const part of view.querySelectorAll("svg:not(.sign)")) {
    if (part.parentElement.closest("svg") || !part.getClientRects().length) continue;
    const box = part.getBoundingClientRect(), copy = part.cloneNode(true);
    for (const [name, value] of Object.entries({ x: box.left - frame.left, y: box.top - frame.top, width: box.width, height: box.height })) copy.setAttribute(name, value);
    // Rules that need an ancestor of the page hold for a copy of its classes.
    const around = svg("g", { class: part.closest(".halves") ? "halves" : "wide", "font-family": data.fonts });
    around.append(copy);
    root.append(around);
  }
  return root;
}

/** The machine's screen as it stands: its ground and the last lines on it. */
function screenAsSvg(frame) {
  const box = byId("screen").getBoundingClientRect();
  const [x, y] = [box.left - frame.left, box.top - frame.top];
  const lines = page.text.split("\n").flatMap((text) => text.match(/.{1,70}/gu) || [""]).slice(-3);
  return [
    svg("rect", { x, y, width: box.width, height: box.height, class: "screen-ground" }),
    ...lines.flatMap((text, index) => screenLine(text, x + 12, y + 24 + 22 * index)),
  ];
}

/** A line of the screen in letters of one width, with its signs. */
function screenLine(text, x, y) {
  const advance = 10.2, parts = [];
  let at = x;
  for (const run of runsOf(text)) {
    if (run.paths) parts.push(svg("g", { class: "shape glowing", transform: `translate(${at} ${y - 13}) scale(0.14)` }, ...signPaths(run.paths)));
    else parts.push(svg("text", { x: at, y, class: "screen-text", textLength: advance * [...run.text].length }, run.text));
    at += run.paths ? 1.5 * advance : advance * [...run.text].length;
  }
  return parts;
}

/** The view as a PNG in the clipboard, or as a file where the browser keeps the clipboard shut. */
async function copyPicture() {
  const blob = await pictureOfView();
  try {
    await navigator.clipboard.write([new ClipboardItem({ "image/png": blob })]);
    setText("copied", say("copied"));
  } catch {
    const link = Object.assign(document.createElement("a"), { download: `${page.layout.id}.png` });
    link.setAttribute("href", URL.createObjectURL(blob));
    link.click();
    setText("copied", say("saved"));
  }
}

async function pictureOfView() {
  const root = viewAsSvg(), scale = 2, image = new Image();
  image.setAttribute("src", `data:image/svg+xml;charset=utf-8,${encodeURIComponent(new XMLSerializer().serializeToString(root))}`);
  await image.decode();
  const canvas = Object.assign(document.createElement("canvas"), { width: root.getAttribute("width") * scale, height: root.getAttribute("height") * scale });
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob(done, "image/png"));
}

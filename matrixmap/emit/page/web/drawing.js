// The keyboards and the matrix as SVG: the same plates as matrixmap/emit/pictures/keys.py draws.

const PITCH = 64, GAP = 4, CUT = 7, STRIP = 14, FOOT = 22;
const OPEN_RADIUS = 4.5, CLOSED_RADIUS = 9;
const LEAST = 8, NARROWEST = 0.72, BOLD = 1.13;
const CELL = { width: 96, height: 40, left: 48, top: 26 };

/** An SVG element. Children are elements or text. */
function svg(name, attributes, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

/** A legend as it is drawn: a blank as an open box, a combining mark on a dotted circle. */
function glyph(text) {
  if (text === " ") return "\u2423";
  return /^\p{M}$/u.test(text) ? "\u25cc" + text : text;
}

/** A legend as it is said. */
function spoken(text) {
  return text === " " ? "space" : text;
}

const pen = document.createElement("canvas").getContext("2d");
const widths = new Map();

/** How wide a text is at a font size of 1, measured without laying out the page. */
function textWidth(text) {
  if (!widths.has(text)) widths.set(text, pen.measureText(text).width / 100);
  return widths.get(text);
}

/** A line of text that keeps within its room: it gets smaller first, then condensed, then shortened. */
function line(text, x, y, room, size, attributes = {}) {
  const letters = glyph(text), width = textWidth(letters) * (attributes.class === "line-name" ? BOLD : 1);
  // Half units only: each size of letters costs the browser time.
  const smaller = width * size <= room ? size : Math.max(Math.min(LEAST, size), Math.floor(2 * room / width) / 2);
  const share = room / (width * smaller);
  const made = { x, y, "font-size": smaller, ...attributes };
  if (share < 1.2 && [...letters].length > 1) {
    made.textLength = Math.min(room, width * smaller);
    made.lengthAdjust = "spacingAndGlyphs";
  }
  if (share >= NARROWEST) return svg("text", made, letters);
  const kept = [...letters].slice(0, Math.max(1, Math.floor([...letters].length * share / NARROWEST) - 1)).join("");
  return svg("text", made, kept + "\u2026");
}

/** The outline of a key; `low` is left edge and width of the lower part of an Enter key of two rows. */
function outline(left, top, width, height, low) {
  const x0 = left * PITCH + GAP / 2, y0 = top * PITCH + GAP / 2;
  const x1 = (left + width) * PITCH - GAP / 2, y1 = (top + height) * PITCH - GAP / 2;
  const corner = `M${x0} ${y0}L${x1 - CUT} ${y0}L${x1} ${y0 + CUT}L${x1} ${y1}`;
  if (!low) return `${corner}L${x0} ${y1}Z`;
  const inner = low * PITCH + GAP / 2, waist = (top + 1) * PITCH - GAP / 2;
  return `${corner}L${inner} ${y1}L${inner} ${waist}L${x0} ${waist}Z`;
}

/** Slanting lines that fill a box. */
function hatching(left, top, width, height) {
  let path = "";
  for (let at = 9; at < width + height; at += 9) {
    path += `M${left + Math.max(0, at - height)} ${top + Math.min(at, height)}L${left + Math.min(at, width)} ${top + Math.max(0, at - width)}`;
  }
  return svg("path", { d: path, class: "hatch" });
}

/** What a host key does, in a sentence. */
function faceSentence(face, columns) {
  const name = face.long === face.name || `Key${face.long}` === face.name ? face.long : `${spoken(face.long)} (${face.name})`;
  if (face.kind === "nothing") return `${name} does nothing`;
  if (face.kind === "lock") return `${name} is ${face.whole}, kept by the adapter`;
  if (face.kind === "modifier") return `${name} is ${face.whole}`;
  if (face.kind === "latch") return `${name} sets and frees ${face.whole}`;
  if (face.kind === "command") return `${name} gives ${face.whole}`;
  if (face.whole !== null) return `${name} types ${spoken(face.whole)}`;
  const said = face.texts.flatMap((text, place) => {
    const more = (face.waits.includes(place) ? " and waits for the next key" : "") + (face.unprinted.includes(place) ? " (not printed)" : "");
    return text === null ? [] : [`${heldWords(columns, place, face)} ${spoken(text)}${more}`];
  });
  return `${name} types ${said.join(", ")}`;
}

/** What is held for a place on a key. */
function heldWords(columns, place, face) {
  const upper = place % 2 === 1;
  if (face.keypad) return upper ? "with Num Lock off" : "with Num Lock on";
  if (face.sides.has(place)) return `with ${face.sides.get(place)}`;
  const names = [upper ? columns[0].upper : "", columns[place >> 1].title].filter(Boolean);
  return names.length ? `with ${names.join("+")}` : "plain";
}

/** The host's keyboard: a group with a button a key. Calls `add(usage, element)` for each. */
function drawHost(layout, add) {
  const root = svg("svg", { viewBox: "0 0 1440 416", role: "group", "aria-label": `The keys of the host: ${layout.hostTitle}` });
  // A key's name begins with its print, which is all the text in it; what it types is drawn over it.
  const legends = svg("g", { "aria-hidden": "true", class: "legends" });
  let rules = "";
  layout.caps.forEach((cap) => {
    const [usage, x, y, width, height, low] = cap.place;
    const face = cap.face;
    const label = faceSentence(face, layout.columns);
    const left = x * PITCH + GAP / 2, top = y * PITCH + GAP / 2, right = (x + width) * PITCH - GAP / 2;
    const key = svg("g", { class: `key ${face.kind}`, role: "button", tabindex: -1, "aria-pressed": "false", "aria-label": label, "data-code": face.name });
    key.append(svg("path", { d: outline(x, y, width, height, low), class: "cap" }));
    rules += `M${left} ${top + STRIP}H${right}`;
    key.append(line(face.printed, left + 5, top + STRIP - 3.5, right - left - 20, 10, { class: "print" }));
    legends.append(...faceTexts(face, layout.columns, left + 4, top + STRIP + 2, right - left - 8));
    root.append(key);
    add(usage, key);
  });
  root.append(svg("path", { d: rules, class: "rule" }), legends);
  return root;
}

function faceTexts(face, columns, left, top, width) {
  const height = PITCH - GAP - STRIP - 4;
  if (face.kind === "nothing") return [hatching(left, top, width, height)];
  if (face.whole !== null) {
    const size = face.whole.length === 1 ? 20 : 13;
    const class_ = face.kind === "types" ? "types" : "other";
    return [line(face.whole, left + width / 2, top + height / 2 + size * 0.36, width, size, { "text-anchor": "middle", class: class_ })];
  }
  const count = face.keypad ? 1 : columns.length;
  const size = [0, 19, 18][count] || 15;
  const room = Math.min(width, PITCH) / count;
  return face.texts.slice(0, 2 * count).flatMap((text, place) => {
    if (text === null) return [];
    const x = left + room * ((place >> 1) + 0.5), y = top + height * (place % 2 ? 0.42 : 0.92);
    const class_ = columns[place >> 1].further ? "types further" : "types";
    const drawn = [line(text, x, y, room - 1, size, { "text-anchor": "middle", class: class_ })];
    if (face.unprinted.includes(place)) drawn.push(svg("path", { d: `M${x - 7} ${y + 2.5}h14`, class: "unprinted" }));
    // Three dots: the sign of a legend that waits for the next key.
    if (face.waits.includes(place)) drawn.push(svg("path", { d: [-4, 0, 4].map((step) => `M${x + step} ${y + 1.8}h0`).join(""), class: "waits" }));
    return drawn;
  });
}

/** The machine's keyboard. Calls `add(name, element, sign)` for each key; `sign` is the path of its phantom sign. */
function drawMachine(machine, reached, add) {
  const right = Math.max(...machine.places.map(([, x, , width]) => x + width));
  const bottom = Math.max(...machine.places.map(([, , y]) => y + 1));
  const label = `The keys of the machine: ${machine.title}`;
  const root = svg("svg", { viewBox: `0 0 ${right * PITCH} ${bottom * PITCH}`, role: "group", "aria-label": label });
  for (const [name, x, y, width] of machine.places) {
    const types = machine.contact.has(name) ? machine.byContact.get(machine.contact.get(name)).types : {};
    const by = reached.get(name) || [];
    const left = x * PITCH + GAP / 2, top = y * PITCH + GAP / 2, inner = width * PITCH - GAP, foot = top + PITCH - GAP - FOOT;
    const said = Object.entries(types).map(([state, text]) => `${state} ${spoken(text)}`).join(", ");
    const sentence = `${name}${said ? ` types ${said}` : ""}; ${by.length ? `reached by ${by.join(", ")}` : "reached by no key"}`;
    const key = svg("g", { class: by.length ? "key" : "key nothing", role: "img", "aria-label": sentence });
    key.append(svg("title", {}, sentence), svg("path", { d: outline(x, y, width, 1), class: "cap" }));
    key.append(svg("path", { d: `M${left} ${foot}h${inner}`, class: "rule" }));
    key.append(...machineTexts(machine, name, types, left + 3, top + 2, inner - 6, foot - top - 3));
    if (by.length === 0) key.append(hatching(left + 1, foot + 1, inner - 2, FOOT - 2));
    const more = by.length > 2 ? ` +${by.length - 2}` : "";
    if (by.length) key.append(line(by.slice(0, 2).join("  ") + more, left + inner / 2, foot + 14, inner - 8, 10, { "text-anchor": "middle", class: "reach" }));
    root.append(key);
    add(name, key, diamond(left + inner - 13, top + 13, 8));
  }
  return root;
}

function machineTexts(machine, name, types, left, top, width, height) {
  const states = Object.keys(types);
  if (states.length < 2) {
    const text = states.length ? types[states[0]] : name;
    const size = text.length === 1 ? 18 : 13;
    const class_ = states.length ? "types" : "other";
    return [line(text, left + width / 2, top + height / 2 + size * 0.36, width, size, { "text-anchor": "middle", class: class_ })];
  }
  const first = machine.modifiers.length ? machine.modifiers[0][0] : "";
  const base = (state) => state.split(" + ").filter((part) => part !== first && part !== "plain").join(" + ") || "plain";
  const columns = [...new Set(states.map(base))];
  const room = width / columns.length;
  return states.map((state) => {
    const upper = state.split(" + ").includes(first);
    const x = left + room * (columns.indexOf(base(state)) + 0.5);
    return line(types[state], x, top + height * (upper ? 0.45 : 0.95), room - 1, 15, { "text-anchor": "middle", class: "types" });
  });
}

function diamond(x, y, r) {
  return `M${x - r} ${y}L${x} ${y - r}L${x + r} ${y}L${x} ${y + r}ZM${x - r / 2} ${y - r / 2}l${r} ${r}m0 ${-r}l${-r} ${r}`;
}

/** The matrix as a grid of crosspoints. Calls `add(contact, element, sign)` for each. */
function drawMatrix(machine, add) {
  const rows = machine.select.length + machine.direct.length;
  const width = CELL.left + machine.sense.length * CELL.width, height = CELL.top + rows * CELL.height;
  const label = `The matrix: ${machine.select.length} select lines across, ${machine.sense.length} sense lines down`;
  const root = svg("svg", { viewBox: `0 0 ${width} ${height}`, role: "group", "aria-label": label });
  machine.sense.forEach((name, column) => {
    const x = CELL.left + column * CELL.width + 10;
    root.append(svg("path", { d: `M${x} ${CELL.top - 4}V${CELL.top + machine.select.length * CELL.height - 20}`, class: "line" }));
    root.append(line(name, x, 14, 40, 12, { "text-anchor": "middle", class: "line-name" }));
  });
  [...machine.select, ...machine.direct].forEach((name, row) => {
    const y = CELL.top + row * CELL.height + 10;
    const isDirect = row >= machine.select.length;
    const count = isDirect ? 1 : machine.sense.length;
    root.append(svg("path", { d: `M${CELL.left - 6} ${y}h${(count - 1) * CELL.width + 22}`, class: "line" }));
    root.append(line(name, CELL.left - 12, y + 4, CELL.left - 16, 12, { "text-anchor": "end", class: "line-name" }));
    for (let column = 0; column < count; column++) {
      const contact = isDirect ? machine.select.length * (machine.sense.length - 1) + row : row * machine.sense.length + column;
      const x = CELL.left + column * CELL.width + 10;
      const key = machine.byContact.get(contact);
      const point = svg("g", { class: key ? "point" : "point empty" });
      point.append(svg("circle", { cx: x, cy: y, r: OPEN_RADIUS }));
      if (key) point.append(line(key.name, x + 11, y + 15, CELL.width - 20, 11, { class: "reach" }));
      root.append(point);
      add(contact, point, diamond(x, y, 10));
    }
  });
  return root;
}

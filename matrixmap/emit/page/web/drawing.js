// The keyboards and the matrix as SVG: the same plates as matrixmap/emit/pictures/keys.py draws.

const PITCH = 64, GAP = 4, CUT = 7, STRIP = 18, FOOT = 22;
const OPEN_RADIUS = 4.5, CLOSED_RADIUS = 8;
const NARROWEST = 0.72, BOLD = 1.13;
const LEAST_PIXELS = 9.25;  // no letter is smaller on the reader's screen

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

const pen = document.createElement("canvas").getContext("2d");
const widths = new Map();

/** Signs that text fonts often lack are drawn wherever they stand. */
const isSign = (char) => char in tongue.signs;
const hasSign = (text) => [...text].some(isSign);
const CELL = 0.86, BELOW = 0.08, AROUND = 0.07;

/** Letters and signs of a text in their order; a mark after its circle has a blank to stand on. */
function runsOf(text) {
  const runs = [];
  for (const char of text) {
    const last = runs.at(-1);
    if (isSign(char)) runs.push({ text: char, paths: data.shapes[char] });
    else if (last?.text === "\u25cc" && last.paths) runs.push({ text: `\u00a0${char}`, over: true });
    else if (last && !last.paths && !last.over) last.text += char;
    else runs.push({ text: char });
  }
  return runs;
}

/** How wide a text is at a font size of 1, measured without laying out the page. */
function textWidth(text) {
  if (!widths.has(text)) widths.set(text, hasSign(text) ? runsOf(text).reduce((sum, run) => sum + runWidth(run), 0) : pen.measureText(text).width / 100);
  return widths.get(text);
}

const runWidth = ({ text, paths, over }) => (over ? 0 : paths ? CELL * (paths[3] ?? 1) + 2 * AROUND : textWidth(text));

/** A sign as an element of a cell of 100 units; its letters around it say its colour. */
function signPaths([, filled, lines, , weight = 1], width = 9) {
  const parts = filled ? [svg("path", { d: filled, class: "filled" })] : [];
  if (lines) parts.push(svg("path", { d: lines, class: "stroked", "stroke-width": width * weight }));
  return parts;
}

/** A line with signs in it: letters and shapes beside each other, each as wide as it is reckoned. */
function signedLine(text, { x, y, "font-size": size, "text-anchor": anchor, class: class_ = "", share }) {
  const group = svg("g", { class: class_ });
  let at = x - (anchor === "middle" ? 0.5 : anchor === "end" ? 1 : 0) * textWidth(text) * size * share;
  for (const run of runsOf(text)) {
    const wide = runWidth(run) * size * share, side = CELL * size * share;
    if (run.paths) {
      const left = at + AROUND * size * share, top = y + BELOW * size - side;
      group.append(svg("g", { class: `shape ${class_}`, transform: `translate(${left} ${top}) scale(${side / 100})` }, ...signPaths(run.paths)));
    } else if (run.over) {
      group.append(svg("text", { x: at - (CELL / 2 + AROUND) * size, y, "font-size": size, "text-anchor": "middle", class: class_ }, run.text));
    } else if (run.text.trim()) {
      const before = textWidth(run.text.slice(0, run.text.length - run.text.trimStart().length)) * size * share;
      group.append(svg("text", { x: at + before, y, "font-size": size, class: class_, textLength: textWidth(run.text.trim()) * size * share, lengthAdjust: "spacingAndGlyphs" }, run.text.trim()));
    }
    at += wide;
  }
  return group;
}

/** Text as nodes of HTML, each sign as a small picture with its name. */
function signed(text) {
  if (!hasSign(text)) return [text];
  return runsOf(text).map(({ text: part, paths }) => (paths ? svg("svg", { viewBox: `-6 -6 ${100 * (paths[3] ?? 1) + 12} 112`, class: "sign", role: "img", "aria-label": tongue.signs[part], "data-sign": part }, ...signPaths(paths, 10)) : part));
}

/** A line of text that keeps within its room: it gets smaller down to `least`, then condensed, then shortened. */
function line(text, x, y, room, size, least, attributes = {}) {
  const letters = glyph(text), width = textWidth(letters) * (attributes.class === "line-name" ? BOLD : 1);
  const wanted = Math.max(size, least);
  // Half units only: each size of letters costs the browser time.
  const smaller = width * wanted <= room ? wanted : Math.max(least, Math.floor(2 * room / width) / 2);
  const share = room / (width * smaller);
  const made = { x, y, "font-size": smaller, ...attributes };
  if (share < ([...letters].length > 1 ? 1.2 : 1)) {
    made.textLength = Math.min(room, width * smaller);
    made.lengthAdjust = "spacingAndGlyphs";
  }
  const put = (kept) => {
    if (hasSign(kept)) return signedLine(kept, { ...made, share: Math.min(1, room / (textWidth(kept) * smaller)) });
    return svg("text", { ...made, ...("textLength" in made && { textLength: Math.min(room, textWidth(kept) * width / textWidth(letters) * smaller) }) }, kept);
  };
  if (share >= NARROWEST || [...letters].length < 2) return put(letters);
  const element = put([...letters].slice(0, Math.max(1, Math.floor([...letters].length * share / NARROWEST) - 1)).join("") + "\u2026");
  element.setAttribute("data-whole", text);
  cuts.push({ element, text, put, fits: (kept) => textWidth(kept) * width / textWidth(letters) * smaller * NARROWEST <= room });
  return element;
}

/** The lines of the drawing at hand that were shortened. */
const cuts = [];

/** Parts of a name, each of which may be shortened: at blanks, hyphens, inner capitals and numbers. */
const partsOf = (text) => text.split(/(?<=[- ])|(?<=[a-z])(?=[A-Z0-9])/);

/** Shorter forms of a text, the longest first: of several parts each keeps its beginning, of one the beginning and the end. */
function shortForms(text) {
  const parts = partsOf(text), letters = [...text], forms = [], least = (part) => (/[- ]$/.test(part) ? 2 : 1);
  while (parts.length > 1 && parts.some((part) => part.length > least(part))) {
    const longest = parts.reduce((at, part, index) => (part.length - least(part) > parts[at].length - least(parts[at]) ? index : at), 0);
    const part = parts[longest], end = /[- ]$/.test(part) ? part.at(-1) : "";
    parts[longest] = part.slice(0, part.length - end.length - 1) + end;
    forms.push(parts.join(""));
  }
  for (let kept = letters.length - 1; kept > 1; kept--) {
    for (let end = 1; end < kept; end++) forms.push([...letters.slice(0, kept - end), "\u2026", ...letters.slice(-end)].join(""));
  }
  return forms;
}

/** Lines of a drawing that were shortened to the same text get forms that differ; where none fits, all letters, condensed. */
function tellApart(root) {
  const some = cuts.splice(0).filter(({ element }) => root.contains(element)), alike = new Map();
  const taken = new Map(some.map(({ text }) => [text, text]));
  for (const { textContent } of root.querySelectorAll("text:not([data-whole])")) taken.set(textContent, textContent);
  for (const { element, text } of some) alike.set(element.textContent, (alike.get(element.textContent) ?? new Set()).add(text));
  // A form is free for a text where nothing else in the drawing is shown so.
  const free = (form, text) => (taken.get(form) ?? text) === text && [...(alike.get(form) ?? [])].every((other) => other === text);
  for (const { element, text, put, fits } of some) {
    if (free(element.textContent, text)) continue;
    const form = shortForms(text).find((tried) => fits(tried) && free(tried, text)) ?? text;
    taken.set(form, text);
    const made = put(form);
    made.setAttribute("data-whole", text);
    element.replaceWith(made);
  }
}

/** A legend: the paths of its shape where it has one, so that no font is needed, else a line of text. */
function legend(text, x, y, room, size, least, attributes = {}) {
  const paths = data.shapes[text];
  if (!paths) return line(text, x, y, room, size, least, attributes);
  const [frame, , , width = 1] = paths, side = Math.min(Math.max(size, least) * CELL, room / width);
  const left = attributes["text-anchor"] === "middle" ? x - side * width / 2 : x, top = y + BELOW * size - side;
  const made = svg("g", { class: `shape ${attributes.class || ""}`, transform: `translate(${left} ${top}) scale(${side / 100})` });
  if (frame) made.append(svg("path", { d: frame, class: "cell", "stroke-width": 4 }));
  made.append(...signPaths(paths));
  return made;
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
  const long = keyText(face.long);
  const key = face.long === face.name || `Key${face.long}` === face.name ? long : `${spoken(long)} (${face.name})`;
  if (face.kind !== "types") return say(`key-${face.kind}`, { key, what: deed(face.whole ?? "") });
  if (face.whole !== null) return say("key-types", { key, what: spoken(deed(face.whole)) });
  const said = face.texts.flatMap((text, place) => {
    if (text === null) return [];
    let told = spoken(deed(text));
    if (face.waits.includes(place)) told = say("waits", { text: told });
    if (face.unprinted.includes(place)) told = say("unprinted", { text: told });
    return [`${heldWords(columns, place, face)} ${told}`];
  });
  return say("key-types", { key, what: said.join(", ") });
}

/** What is held for a place on a key. */
function heldWords(columns, place, face) {
  const upper = place % 2 === 1;
  if (face.keypad) return say(upper ? "num-off" : "num-on");
  if (face.sides.has(place)) return say("with", { keys: keyText(face.sides.get(place)) });
  const names = [upper ? columns[0].upper : "", columns[place >> 1].title].filter(Boolean);
  return names.length ? say("with", { keys: keyText(names.join("+")) }) : say("plain");
}

/** The host's keyboard: a group with a button a key. `look` has the keys, units a pixel, and whether it is a phone. */
function drawHost(layout, look, add) {
  const right = Math.max(...look.caps.map(({ place }) => place[1] + place[3])), bottom = Math.max(...look.caps.map(({ place }) => place[2] + place[4]));
  const root = svg("svg", { viewBox: `0 0 ${right * PITCH} ${bottom * PITCH}`, role: "group", "aria-label": say("host-label", { host: hostTitle(layout) }) });
  // A key's name begins with its print, which is all the text in it; what it types is drawn over it.
  const legends = svg("g", { "aria-hidden": "true", class: "legends" });
  const strip = look.phone ? 0 : STRIP, least = LEAST_PIXELS * right * PITCH / look.pixels;
  let rules = "";
  look.caps.forEach(({ place: [usage, x, y, width, height, low], face }) => {
    const left = x * PITCH + GAP / 2, top = y * PITCH + GAP / 2, edge = (x + width) * PITCH - GAP / 2;
    const key = svg("g", { class: `key ${face.kind}`, role: "button", tabindex: -1, "aria-pressed": "false", "aria-label": faceSentence(face, layout.columns), "data-code": face.name });
    key.append(svg("path", { d: outline(x, y, width, height, low), class: "cap" }));
    if (strip) {
      rules += `M${left} ${top + strip}H${edge}`;
      const print = printOn(face, left + 4, top + strip - 4, edge - left - 9, least);
      // What a reader sees in a key begins its name (WCAG 2.2, 2.5.3); a short print is drawn over it.
      (key.getAttribute("aria-label").startsWith(`${print.textContent} `) ? key : legends).append(print);
    }
    legends.append(...faceTexts(face, layout.columns, [left + 3, top + strip + 1, edge - left - 6, PITCH - GAP - strip - 3], least));
    root.append(key);
    add(usage, key);
  });
  root.append(svg("path", { d: rules, class: "rule" }), legends);
  tellApart(root);
  return root;
}

// Common practice on key tops; screen readers hear the whole name.
const SHORT_PRINTS = { PrintScreen: "PrtSc", ScrollLock: "ScrLk", NumLock: "Num", CapsLock: "Caps", PageUp: "PgUp", PageDown: "PgDn", ContextMenu: "Menu", Escape: "Esc", Insert: "Ins", Delete: "Del", Pause: "Pause" };

function printOn(face, x, y, room, least) {
  if (face.printed.startsWith("Arrow")) return legend(face.printed, x, y, room, 13, 0, { class: "print" });
  return line(SHORT_PRINTS[face.printed] || face.printed, x, y, room, 13, least, { class: "print" });
}

/** How many of some columns have room beside each other: for letters, and so that no word of theirs is cut. */
function fittingColumns(texts, count, width, least) {
  let fitting = Math.max(1, Math.min(count, Math.floor(width / (0.62 * least))));
  const isCut = (text) => text && [...text].length > 1 && !data.shapes[text] && NARROWEST * textWidth(text) * least > width / fitting - 1;
  while (fitting > 1 && texts.slice(0, 2 * fitting).some(isCut)) fitting -= 1;
  return fitting;
}

function faceTexts(face, columns, [left, top, width, height], least) {
  if (face.kind === "nothing") return [hatching(left, top, width, height)];
  const middle = { "text-anchor": "middle" };
  if (face.whole !== null) {
    const size = face.whole.length === 1 || data.shapes[face.whole] ? 22 : 15, class_ = face.kind === "types" ? "types" : "other";
    return wrapped(deed(face.whole), left + width / 2, top + height / 2, width, size, least, { ...middle, class: class_ }, height);
  }
  // Columns keep their places on every key that has more than the first.
  const count = face.keypad || face.texts.slice(2).every((text) => text === null) ? 1 : columns.length;
  // Where letters of the least size do not fit beside each other, the columns that do are drawn.
  // A word needs all the width that its key has; other columns lie as on keys of one pitch.
  const words = face.texts.some((text) => text && [...text].length > 1 && !data.shapes[text]), across = words ? width : Math.min(width, PITCH);
  const fitting = fittingColumns(face.texts.slice(0, 2 * count), count, across, least);
  const size = Math.max(least, [0, 19, 18][count] || 15), room = across / fitting;
  return face.texts.slice(0, 2 * fitting).flatMap((text, place) => {
    if (text === null || face.hidden.includes(place)) return [];
    const x = left + room * ((place >> 1) + 0.5), y = top + height * (place % 2 ? 0.44 : 0.94);
    const class_ = columns[place >> 1].further ? "types further" : "types";
    const drawn = [legend(deed(text), x, y, room - 1, size, least, { ...middle, class: class_ })];
    if (face.unprinted.includes(place)) drawn.push(svg("path", { d: `M${x - 7} ${y + 2.5}h14`, class: "unprinted" }));
    // Three dots: the sign of a legend that waits for the next key.
    if (face.waits.includes(place)) drawn.push(svg("path", { d: [-4, 0, 4].map((step) => `M${x + step} ${y + 1.8}h0`).join(""), class: "waits" }));
    return drawn;
  });
}

/** A text about a middle, in two lines at a blank, hyphen or inner capital where it is long and there is room. */
function wrapped(text, x, y, room, size, least, attributes, height = Infinity) {
  const wanted = Math.max(size, least);
  if (SHORT_PRINTS[text] && NARROWEST * textWidth(text) * least > room) text = SHORT_PRINTS[text];
  const shape = data.shapes[text], parts = text.split(/(?<=[- ])|(?<=[a-z])(?=[A-Z])/);
  if (shape || parts.length < 2 || textWidth(text) * wanted <= room || 2.1 * wanted > height) {
    return [legend(text, x, y + wanted * 0.36, room, size, least, attributes)];
  }
  const half = Math.ceil(parts.length / 2), lines = [parts.slice(0, half).join(""), parts.slice(half).join("")];
  return lines.map((part, index) => line(part.trim(), x, y + wanted * (index * 1.1 - 0.19), room, size, least, attributes));
}

/** The machine's keyboard. Calls `add(name, element, sign)` for each key; `sign` is the path of its phantom sign. */
function drawMachine(machine, reached, look, add) {
  const right = Math.max(...machine.places.map(([, x, , width]) => x + width));
  const bottom = Math.max(...machine.places.map(([, , y]) => y + 1));
  const root = svg("svg", { viewBox: `0 0 ${right * PITCH} ${bottom * PITCH}`, role: "group", "aria-label": say("machine-label", { machine: machine.title }) });
  const least = LEAST_PIXELS * right * PITCH / look.pixels, strip = look.phone ? 0 : FOOT;
  for (const [name, x, y, width] of machine.places) {
    const types = machine.contact.has(name) ? machine.byContact.get(machine.contact.get(name)).types : {};
    const by = reached.get(name) || [];
    const left = x * PITCH + GAP / 2, top = y * PITCH + GAP / 2, inner = width * PITCH - GAP, foot = top + PITCH - GAP - strip;
    const said = Object.entries(types).map(([state, text]) => `${state === "plain" ? say("plain") : state} ${spoken(text)}`).join(", ");
    const by_ = by.length ? say("reached", { keys: by.map(reachText).join(", ") }) : say("unreached");
    const sentence = `${said ? say("key-types", { key: name, what: said }) : name}; ${by_}`;
    const key = svg("g", { class: by.length ? "key" : "key nothing", role: "img", "aria-label": sentence });
    key.append(svg("title", {}, sentence), svg("path", { d: outline(x, y, width, 1), class: "cap" }));
    key.append(...machineTexts(machine, name, types, [left + 3, top + 1, inner - 6, foot - top - 3], least));
    if (strip) key.append(svg("path", { d: `M${left} ${foot}h${inner}`, class: "rule" }));
    if (strip && by.length === 0) key.append(hatching(left + 1, foot + 1, inner - 2, FOOT - 2));
    if (strip && by.length) key.append(reachLine(by, left + inner / 2, foot + 16, inner - 6, least));
    root.append(key);
    add(name, key, diamond(left + inner - 13, top + 13, 8));
  }
  tellApart(root);
  return root;
}

/** As many of the keys that reach a key as fit, and how many are left out; each keeps its own direction. */
function reachLine(reached, x, y, room, least) {
  const fits = (some) => textWidth(some) * least <= room, counted = (some, rest) => (rest ? `${some}\u200e +${rest}` : some);
  const names = reached.map(keyText).map((name) => (fits(name) ? name : SHORT_PRINTS[name] ?? name));
  let text = names[0], told = 1;
  for (; told < names.length; told++) {
    const next = `${text}\u200e \u00b7 \u200e${names[told]}`;
    if (!fits(counted(next, names.length - told - 1))) break;
    text = next;
  }
  // A count that would cut the name is left to the key's sentence.
  const whole = counted(text, names.length - told);
  if (NARROWEST * textWidth(whole) * least <= room) text = whole;
  return line(text, x, y, room, 10, least, { "text-anchor": "middle", class: "reach" });
}

function machineTexts(machine, name, types, [left, top, width, height], least) {
  const states = Object.keys(types), middle = { "text-anchor": "middle" };
  if (states.length < 2) {
    const text = states.length ? types[states[0]] : name;
    const size = text.length === 1 || data.shapes[text] ? 20 : 14;
    return wrapped(text, left + width / 2, top + height / 2, width, size, least, { ...middle, class: states.length ? "types" : "other" }, height);
  }
  const first = machine.modifiers.length ? machine.modifiers[0][0] : "";
  const base = (state) => state.split(" + ").filter((part) => part !== first && part !== "plain").join(" + ") || "plain";
  const columns = [...new Set(states.map(base))];
  const texts = columns.flatMap((column) => states.filter((state) => base(state) === column).map((state) => types[state])).slice(0, 2 * columns.length);
  const fitting = fittingColumns(texts, columns.length, width, least), room = width / fitting;
  return states.flatMap((state) => {
    const column = columns.indexOf(base(state)), upper = state.split(" + ").includes(first);
    if (column >= fitting) return [];
    return [legend(types[state], left + room * (column + 0.5), top + height * (upper ? 0.47 : 0.98), room - 1, 15, least, { ...middle, class: "types" })];
  });
}

function diamond(x, y, r) {
  return `M${x - r} ${y}L${x} ${y - r}L${x + r} ${y}L${x} ${y + r}ZM${x - r / 2} ${y - r / 2}l${r} ${r}m0 ${-r}l${-r} ${r}`;
}

/** Where the crosspoints lie in a drawing of some pixels: a function from contact to x and y, and the size. */
function gridOf(machine, width, height, most) {
  const { select, sense, direct } = machine, rows = select.length + direct.length;
  const left = 40, top = 24, cell = Math.max(34, (width - left) / sense.length), row = Math.min(most, Math.max(height ? 32 : most, (height - top) / rows));
  const place = (contact) => {
    const crosspoints = select.length * sense.length;
    if (contact >= crosspoints) return [left + 9, top + (select.length + contact - crosspoints) * row + 9];
    return [left + (contact % sense.length) * cell + 9, top + Math.floor(contact / sense.length) * row + 9];
  };
  return { place, cell, row, left, top, width: left + sense.length * cell, height: top + rows * row };
}

/** The matrix as a grid of crosspoints, a unit a pixel. Calls `add(contact, element, sign)` for each. */
function drawMatrix(machine, grid, add) {
  const { select, sense } = machine, { cell, row, left, top } = grid;
  const label = say("matrix-label", { select: select.length, sense: sense.length });
  const root = svg("svg", { viewBox: `0 0 ${grid.width} ${grid.height}`, role: "group", "aria-label": label });
  sense.forEach((name, column) => {
    const [x] = grid.place(column);
    root.append(svg("path", { d: `M${x} ${top - 4}V${top + select.length * row - row / 2}`, class: "line", "data-sense": column }));
    root.append(line(name, x, 14, cell - 4, 11, LEAST_PIXELS, { "text-anchor": "middle", class: "line-name" }));
  });
  [...select, ...machine.direct].forEach((name, index) => {
    const isDirect = index >= select.length, count = isDirect ? 1 : sense.length;
    const first = isDirect ? select.length * sense.length + index - select.length : index * sense.length;
    const [, y] = grid.place(first);
    root.append(svg("path", { d: `M${left - 6} ${y}h${(count - 1) * cell + 22}`, class: "line" }));
    root.append(line(name, left - 9, y + 4, left - 10, 11, LEAST_PIXELS, { "text-anchor": "end", class: "line-name" }));
    for (let contact = first; contact < first + count; contact++) {
      const [x] = grid.place(contact), key = machine.byContact.get(contact);
      const point = svg("g", { class: key ? "point" : "point empty" });
      point.append(svg("circle", { cx: x, cy: y, r: OPEN_RADIUS }));
      const last = contact === first + count - 1, room = isDirect ? grid.width - left : cell - (last ? 17 : 11);
      if (key) point.append(...pointTexts(key.name, x + 6, y + 13, room, row));
      root.append(point);
      add(contact, point, diamond(x, y, 10));
    }
  });
  root.append(svg("g", { class: "glow" }));
  tellApart(root);
  return root;
}

/** A name in two lines: after a hyphen, else between letters about its middle where a syllable may end. */
function inTwo(name) {
  const hyphen = name.indexOf("-") + 1, middle = name.length / 2;
  if (hyphen) return [name.slice(0, hyphen), name.slice(hyphen)];
  // Before a consonant; r and l stay with the one before them.
  const places = [...name].flatMap((_, at) => (at > 2 && at < name.length - 2 && /^[a-z][^aeiouyrl\W\d]/.test(name.slice(at - 1)) ? [at] : []));
  if (!places.length) return [name];
  const at = places.reduce((best, place) => (Math.abs(place - middle) < Math.abs(best - middle) ? place : best));
  return [`${name.slice(0, at)}-`, name.slice(at)];
}

/** The name of a key below its crosspoint, in two lines where it is long and the row has room. */
function pointTexts(name, x, y, room, row) {
  const wide = textWidth(name) * 10, parts = row >= 34 && wide > room ? inTwo(name) : [name];
  const two = parts.length > 1 && (name.includes("-") || textWidth(name) * LEAST_PIXELS * NARROWEST > room);
  return (two ? parts : [name]).map((text, index) => line(text, x, y + index * 10, room, 10, LEAST_PIXELS, { class: "reach" }));
}

/** A small picture of which crosspoints are closed: a dot each, without names. Gives the function that shows contacts. */
function drawDots(machine, label) {
  const { select, sense } = machine, step = 12, points = [];
  const root = svg("svg", { viewBox: `0 0 ${sense.length * step} ${select.length * step}`, role: "img", "aria-label": label });
  const glow = svg("g", { class: "glow" });
  for (let contact = 0; contact < select.length * sense.length; contact++) {
    const [x, y] = [(contact % sense.length + 0.5) * step, (Math.floor(contact / sense.length) + 0.5) * step];
    points.push(svg("circle", { cx: x, cy: y, r: 2 }));
  }
  root.append(...points, glow);
  const place = (contact) => [(contact % sense.length + 0.5) * step, (Math.floor(contact / sense.length) + 0.5) * step];
  const show = (closed, phantoms) => {
    points.forEach((point, contact) => point.setAttribute("class", closed.has(contact) ? "on" : phantoms.has(contact) ? "ghost" : ""));
    points.forEach((point, contact) => point.setAttribute("r", closed.has(contact) || phantoms.has(contact) ? 4.5 : 2));
    showRectangles(glow, machine, closed, phantoms, place);
  };
  return { root, show };
}

/** The rectangles of crosspoints that make phantoms: three corners are closed, and current flows through them to the fourth. */
function showRectangles(glow, machine, closed, phantoms, place) {
  const senses = machine.sense.length, crosspoints = machine.select.length * senses, known = new Set([...closed, ...phantoms]);
  const found = [];
  for (const phantom of phantoms) {
    const row = Math.floor(phantom / senses), column = phantom % senses;
    const corner = [...closed].find((other) => other < crosspoints && Math.floor(other / senses) !== row && other % senses !== column
      && known.has(row * senses + other % senses) && known.has(Math.floor(other / senses) * senses + column));
    if (corner === undefined) continue;
    const [[x0, y0], [x1, y1]] = [place(phantom), place(corner)];
    found.push(`M${x0} ${y0}H${x1}V${y1}H${x0}Z`);
  }
  if (glow.dataset.shown === found.join("")) return;
  glow.dataset.shown = found.join("");
  glow.replaceChildren(...found.map((d) => svg("path", { d, class: "rectangle" })));
}

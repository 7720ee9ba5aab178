// The page: data, controls, keys from the reader's own keyboard and from the drawing, what is shown, the exercise.

const byId = (id) => document.getElementById(id);
const data = JSON.parse(byId("data").textContent);
const bytes = (base64) => Uint8Array.from(atob(base64), (char) => char.charCodeAt(0));

/** Keys that are held, in the order in which they are told; right Alt is AltGr on a host that has that. */
const HELD = [[0xe1, "Shift"], [0xe5, "right Shift"], [0xe6, "right Alt"], [0xe0, "Control"], [0xe4, "right Control"], [0xe2, "Alt"], [0xe3, "Meta"], [0xe7, "right Meta"]];
const CONTROL_LEFT = 0xe0, ALT_RIGHT = 0xe6, FIRST_MODIFIER = 0xe0, CAPS_LED = 2, NUM_LED = 1;
const LOG_LENGTH = 200;

/** A machine with its keys by name and by contact. */
function makeMachine(machine) {
  const keys = machine.keys.map(([name, contact, types, selectors]) => ({ name, contact, types, selectors: new Set(selectors) }));
  const contact = new Map(keys.map((key) => [key.name, key.contact]));
  return {
    ...machine,
    contact,
    byContact: new Map(keys.map((key) => [key.contact, key])),
    modifierAt: new Map(machine.modifiers.flatMap(([name, names]) => names.map((key) => [contact.get(key), name]))),
  };
}

const machines = Object.fromEntries(Object.entries(data.machines).map(([id, machine]) => [id, makeMachine(machine)]));

/** A layout with the keys of its host's form and their faces. */
function makeLayout(layout) {
  const caps = data.forms[layout.form].map((place, index) => {
    const [name, printed, long = "", kind = 0, whole = null, texts = [], waits = [], unprinted = [], sides = []] = data.faces[layout.faces[index]];
    const keypad = place[0] >= 0x59 && place[0] <= 0x63;
    return { place, face: { name, printed, long: long || printed, kind: data.kinds[kind], whole, texts, waits, unprinted, sides: new Map(sides), keypad } };
  });
  return { ...layout, caps, columns: layout.columns.map(([title, further]) => ({ title, further, upper: layout.upper })) };
}

const layouts = data.layouts.map((layout) => ({ id: layout.id, title: layout.title, make: () => makeLayout(layout) }));

const page = {
  layout: null,
  machine: null,
  engine: null,
  physical: new Set(),  // usages down on the reader's keyboard
  clicked: new Map(),   // usage -> "press", "once" (a modifier until the next key) or "hold"
  controlSince: -1,
  fakeControl: false,   // ControlLeft that is part of AltGr
  log: [],
  escapeAt: -Infinity,
  keys: new Map(),
  machineKeys: new Map(),
  points: new Map(),
  timer: 0,
};

const now = () => performance.now() * 1000;

// ---- what is down ----

function usagesDown() {
  const down = new Set([...page.physical, ...page.clicked.keys(), ...sticks.usages]);
  if (page.fakeControl && !page.clicked.has(CONTROL_LEFT)) down.delete(CONTROL_LEFT);
  return down;
}

function feed() {
  page.engine.feed(usagesDown(), now());
  show();
  tick();
}

function releaseAll() {
  page.physical.clear();
  page.clicked.clear();
  page.fakeControl = false;
  feed();
}

/** The usage of a key of the reader's keyboard: that of the drawn form where two share a code. */
function usageOf(code) {
  const usages = data.codes[code];
  if (!usages) return undefined;
  return usages.find((usage) => page.keys.has(usage)) ?? usages[0];
}

function onKeyDown(event) {
  if (event.code === "Tab" && !byId("tab").checked) return;
  if (event.code === "Escape" && byId("tab").checked && !event.repeat) {
    if (event.timeStamp - page.escapeAt < 500) byId("clear").focus();
    page.escapeAt = event.timeStamp;
  }
  const usage = usageOf(event.code);
  if (usage === undefined || event.isComposing) return;
  event.preventDefault();
  if (event.repeat || page.physical.has(usage)) return;
  if (usage === CONTROL_LEFT) page.controlSince = event.timeStamp;
  // Windows sends AltGr as ControlLeft, then AltRight, at the same moment.
  if (usage === ALT_RIGHT && page.layout.altgr && page.physical.has(CONTROL_LEFT)) {
    page.fakeControl = event.timeStamp - page.controlSince < 30;
  }
  page.physical.add(usage);
  tellStroke(usage);
  feed();
  endOnce(usage);
}

function onKeyUp(event) {
  const usage = usageOf(event.code);
  if (usage === undefined || !page.physical.has(usage)) return;
  event.preventDefault();
  page.physical.delete(usage);
  if (usage === CONTROL_LEFT || usage === ALT_RIGHT) page.fakeControl = page.fakeControl && page.physical.has(CONTROL_LEFT);
  feed();
}

// ---- the drawn keys ----

const isModifier = (usage) => usage >= FIRST_MODIFIER;

function clickDown(usage) {
  const held = page.clicked.get(usage);
  if (held === "hold" || held === "once") {
    page.clicked.delete(usage);
  } else {
    page.clicked.set(usage, byId("hold").checked ? "hold" : isModifier(usage) ? "once" : "press");
    tellStroke(usage);
  }
  feed();
}

function clickUp(usage) {
  if (page.clicked.get(usage) !== "press") return;
  page.clicked.delete(usage);
  endOnce(usage);
  feed();
}

/** A modifier that was clicked stays down for one key. */
function endOnce(usage) {
  if (isModifier(usage)) return;
  for (const [other, how] of page.clicked) if (how === "once") page.clicked.delete(other);
  if (page.physical.has(usage)) feed();
}

function addHostKey(usage, element) {
  page.keys.set(usage, element);
  element.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    element.setPointerCapture(event.pointerId);
    clickDown(usage);
  });
  for (const kind of ["pointerup", "pointercancel"]) element.addEventListener(kind, () => clickUp(usage));
  element.addEventListener("keydown", (event) => onDrawnKey(event, usage, element));
  element.addEventListener("keyup", (event) => {
    if (event.code === "Space") clickUp(usage);
  });
  element.addEventListener("blur", () => clickUp(usage));
}

function onDrawnKey(event, usage, element) {
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.code in steps) {
    event.preventDefault();
    focusKey(neighbour(usage, steps[event.code]), element);
  } else if (event.code === "Space") {
    event.preventDefault();
    if (!event.repeat) clickDown(usage);
  } else if (event.code === "Enter") {
    event.preventDefault();
    if (event.repeat) return;
    if (page.clicked.has(usage)) page.clicked.delete(usage);
    else {
      page.clicked.set(usage, "hold");
      tellStroke(usage);
    }
    feed();
  }
}

function focusKey(usage, from) {
  const target = page.keys.get(usage);
  if (!target) return;
  if (from) from.setAttribute("tabindex", -1);
  target.setAttribute("tabindex", 0);
  target.focus();
}

/** The nearest key of the drawing in a direction. */
function neighbour(usage, [dx, dy]) {
  const middle = ([, x, y, width, height]) => [x + width / 2, y + Math.min(height, 1) / 2];
  const caps = page.layout.caps.map((cap) => cap.place);
  const [fromX, fromY] = middle(caps.find((place) => place[0] === usage));
  let best, least = Infinity;
  for (const place of caps) {
    const [x, y] = middle(place);
    const ahead = (x - fromX) * dx + (y - fromY) * dy, aside = Math.abs((x - fromX) * dy) + Math.abs((y - fromY) * dx);
    if (ahead < 0.3 || (dx && aside > 0.6)) continue;
    const distance = ahead + 2 * aside;
    if (distance < least) [best, least] = [place[0], distance];
  }
  return best;
}

// ---- what is shown ----

/** What a press does with what is held at this moment, in words: the runtime is asked. */
function tellStroke(usage) {
  const cap = page.layout.caps.find((other) => other.place[0] === usage);
  if (!cap || cap.face.kind === "modifier") return;
  const down = usagesDown();
  const held = HELD.filter(([key]) => key !== usage && down.has(key));
  const names = held.map(([key, name]) => (key === ALT_RIGHT && page.layout.altgr ? "AltGr" : name));
  byId("stroke").textContent = `${[...names, cap.face.long].join(" ")}: ${didWords(page.engine.tryKey(down, usage), cap.face)}`;
}

function didWords(did, face) {
  const machine = page.machine, accent = page.layout.accents[did.accent - 1];
  const names = (contacts) => [...new Set(machine.modifiers.flatMap(([name]) => (contacts.some((contact) => machine.modifierAt.get(contact) === name) ? [name] : [])))];
  const keys = (contacts) => contacts.filter((contact) => !machine.modifierAt.has(contact)).map(contactName);
  if (did.command !== null) return `command ${did.command}`;
  if (face.kind === "lock") return "a lock of the adapter";
  if (face.kind === "latch") return `${did.fresh.length || !did.opened.length ? "sets" : "frees"} ${face.whole}`;
  const strokes = did.steps.map(({ fresh, held }) => [...names(held), ...keys(fresh)].join(" + "));
  if (did.refused) strokes.push("refused by the adapter with what is held");
  if (did.dropped) strokes.push("dropped, typed too fast");
  if (strokes.length) return strokes.join(", then ");
  if (did.accent) return `waits for the next key${accent ? ` (${spoken(accent)})` : ""}`;
  return names(did.fresh).join(" + ") || "does nothing";
}

const setText = (id, text) => {
  const element = byId(id);
  if (element.textContent !== text) element.textContent = text;
};

function contactLines(contact) {
  const machine = page.machine, lines = machine.select.length * machine.sense.length;
  if (contact >= lines) return machine.direct[contact - lines];
  return `${machine.select[Math.floor(contact / machine.sense.length)]}/${machine.sense[contact % machine.sense.length]}`;
}

const contactName = (contact) => page.machine.byContact.get(contact)?.name ?? contactLines(contact);

function contactWords(contact) {
  const key = page.machine.byContact.get(contact), where = contactLines(contact);
  return key ? `${key.name} (${where})` : where;
}

function show() {
  const engine = page.engine, down = usagesDown();
  const closed = new Set(engine.closed), phantoms = new Set(engine.phantoms);
  for (const [usage, element] of page.keys) {
    const isDown = down.has(usage);
    if (element.classList.toggle("down", isDown) !== (element.getAttribute("aria-pressed") === "true")) {
      element.setAttribute("aria-pressed", String(isDown));
    }
  }
  for (const [contact, { element, sign }] of page.points) {
    if (element.classList.toggle("is-closed", closed.has(contact)) !== (element.firstChild.getAttribute("r") > OPEN_RADIUS)) {
      element.firstChild.setAttribute("r", closed.has(contact) ? CLOSED_RADIUS : OPEN_RADIUS);
    }
    showPhantom(element, sign, phantoms.has(contact));
  }
  for (const [name, { element, sign }] of page.machineKeys) {
    const contact = page.machine.contact.get(name);
    element.classList.toggle("down", closed.has(contact));
    showPhantom(element, sign, phantoms.has(contact));
  }
  const words = (contacts, none) => [...contacts].map(contactWords).join(", ") || none;
  setText("closed", words(closed, "nothing"));
  setText("phantoms", words(phantoms, "none"));
  setText("reads", words(engine.scanner.read, "nothing"));
  setText("down", [...down].map((usage) => keyName(usage)).join(", ") || "none");
  setText("lights", lightWords(engine.leds));
  setText("counts", countWords(engine));
}

/** A phantom has a shape of its own, which is drawn only while it is there. */
function showPhantom(element, sign, isPhantom) {
  if (element.classList.contains("phantom") === isPhantom) return;
  element.classList.toggle("phantom", isPhantom);
  if (isPhantom) element.append(svg("path", { d: sign, class: "phantom-sign" }));
  else element.querySelector(".phantom-sign").remove();
}

function keyName(usage) {
  const cap = page.layout.caps.find((other) => other.place[0] === usage);
  return cap ? cap.face.long : `usage 0x${usage.toString(16).toUpperCase()}`;
}

function lightWords(leds) {
  const lit = [leds & NUM_LED ? "Num Lock" : "", leds & CAPS_LED ? "Caps Lock" : ""].filter(Boolean);
  return lit.join(", ") || "none lit";
}

function countWords(engine) {
  const parts = [];
  if (engine.refusals) parts.push(`${engine.refusals} refused, for a phantom with held modifiers`);
  if (engine.overflows) parts.push(`${engine.overflows} dropped, typed too fast`);
  return parts.join("; ") || "none";
}

/** Lets the simulated time follow the clock while anything is to happen. */
function tick() {
  clearTimeout(page.timer);
  const engine = page.engine;
  document.documentElement.dataset.steady = engine.steady ? "yes" : "no";
  if (!engine.busy) return;
  const wait = Math.min(engine.due, engine.scanner.end) - now();
  page.timer = setTimeout(() => {
    const before = String([engine.closed, engine.scanner.read]);
    engine.advance(now());
    if (String([engine.closed, engine.scanner.read]) !== before) show();
    tick();
  }, Math.max(0, wait / 1000));
}

function onRead(read) {
  const text = read.types === null ? (read.key ? read.key.name : "?") : read.types;
  page.log.push(read.types === null ? `[${text}]` : text);
  if (page.log.length > LOG_LENGTH) page.log.shift();
  byId("log").textContent = page.log.map((entry) => (entry === " " ? "space" : entry)).join(" ");
  if (read.types !== null) typeOnScreen(read.types);
  exercise.read(read.types);
}

function typeOnScreen(text) {
  const element = byId("text");
  if (text === "Enter") element.append("\n");
  else if (text === "Backspace") element.textContent = [...element.textContent].slice(0, -1).join("");
  else if (text === "Tab") element.append("\t");
  else if ([...text].length === 1) element.append(text);
  if (element.textContent.length > 4000) element.textContent = element.textContent.slice(-2000);
  const screen = byId("screen");
  screen.scrollTop = screen.scrollHeight;
}

// ---- the exercise ----

const exercise = {
  tasks: [],
  at: -1,
  /** What the machine types apart from letters and digits, and the easiest way to type it. */
  prepare() {
    this.tasks = page.layout.ways.map((row) => ({ text: data.rows[row][0], way: data.rows[row][1] }));
    this.at = -1;
    this.show();
  },
  show(wrong) {
    const task = this.tasks[this.at];
    byId("start").textContent = this.at < 0 ? "Start" : "Start again";
    byId("skip").disabled = !task;
    if (this.at < 0) return setText("task", `Not started: ${this.tasks.length} to type.`);
    if (!task) return setText("task", "Done: all have been typed or skipped.");
    const hint = byId("hint").checked ? ` Press ${task.way}.` : "";
    const said = wrong ? ` That typed ${spoken(wrong)}.` : "";
    return setText("task", `${this.at + 1} of ${this.tasks.length}: type ${spoken(task.text)}.${hint}${said}`);
  },
  read(types) {
    const task = this.tasks[this.at];
    if (!task) return;
    if (types === task.text) this.step();
    else this.show(types);
  },
  step() {
    this.at += 1;
    this.show();
  },
};

// ---- the setting ----

/** The table of the layout with guard and rollover as the page's reader wants them. */
function tableAsSet() {
  const table = bytes(page.layout.table);
  const { guard, rollover } = data.table;
  table[guard.byte] = byId("guard").checked ? table[guard.byte] | guard.bit : table[guard.byte] & ~guard.bit;
  if (!byId("rollover").checked) table[rollover.byte] = rollover.none;
  return table;
}

/** Starts the adapter anew and presses again, in order, what was down. */
function restart() {
  const down = [...usagesDown()];
  page.engine.advance(now());
  page.engine.use(page.machine, tableAsSet(), page.layout.both, true, onRead);
  down.forEach((_, index) => page.engine.feed(down.slice(0, index + 1), now()));
  show();
  tick();
}

function chooseLayout(index) {
  const before = page.machine;
  page.layout = layouts[index].make();
  page.machine = machines[page.layout.machine];
  page.physical.clear();
  page.clicked.clear();
  page.fakeControl = false;
  byId("guard").checked = page.layout.guard;
  byId("guard").disabled = !page.layout.phantoms;
  byId("rollover").checked = true;
  byId("rollover").disabled = !page.machine.scan.rollover;
  setText("rollover-keys", page.machine.scan.rollover ? `at most ${page.machine.scan.rollover} keys` : "no limit");
  const fresh = before !== page.machine;
  if (before) page.engine.feed([], now());
  else page.engine.time = now();
  page.engine.use(page.machine, tableAsSet(), page.layout.both, fresh, onRead);
  drawHostKeys();
  page.points.clear();
  page.machineKeys.clear();
  // Keys are taken before the rest is drawn, so that opening the page is quick.
  if (globalThis.requestIdleCallback) requestIdleCallback(drawMachineParts, { timeout: 100 });
  else setTimeout(drawMachineParts, 0);
  sticks.choose(page.layout.pads);
  exercise.prepare();
  setText("about", `${page.machine.title}, typed on from the host ${page.layout.hostTitle}. Everything happens in this file; nothing is sent anywhere.`);
  const titles = page.layout.columns.slice(1).map((column) => column.title);
  const dead = [...new Set(page.layout.caps.flatMap(({ face }) => face.waits.map((place) => glyph(face.texts[place]))))];
  const unprinted = page.layout.caps.some(({ face }) => face.unprinted.length);
  setText("upper", page.layout.upper);
  const notes = [titles.length ? `Columns to the right: with ${titles.join(", ")}.` : "", dead.length ? `Three dots: a dead key, which waits for the next key (here ${dead.join(" ")}).` : "", unprinted ? "Underlined: not printed on the key." : ""];
  setText("columns", notes.filter(Boolean).join(" "));
  show();
  tick();
}

function drawHostKeys() {
  page.keys.clear();
  byId("host-keys").replaceChildren(drawHost(page.layout, addHostKey));
  const first = page.keys.values().next().value;
  if (first) first.setAttribute("tabindex", 0);
}

function drawMachineParts() {
  page.points.clear();
  page.machineKeys.clear();
  byId("matrix-grid").replaceChildren(drawMatrix(page.machine, (contact, element, sign) => page.points.set(contact, { element, sign })));
  const reached = new Map(page.layout.reached.map((row) => [data.rows[row][0], data.rows[row].slice(1)]));
  const drawn = page.machine.places.length
    ? drawMachine(page.machine, reached, (name, element, sign) => page.machineKeys.set(name, { element, sign }))
    : Object.assign(document.createElement("p"), { textContent: "The machine's file does not say where its keys sit." });
  byId("machine-keys").replaceChildren(drawn);
  show();
}

function wire() {
  const screen = byId("screen");
  screen.addEventListener("keydown", onKeyDown);
  screen.addEventListener("keyup", onKeyUp);
  screen.addEventListener("blur", () => {
    page.physical.clear();
    page.fakeControl = false;
    feed();
  });
  addEventListener("blur", releaseAll);
  byId("layout").addEventListener("change", (event) => chooseLayout(event.target.selectedIndex));
  for (const id of ["guard", "rollover"]) byId(id).addEventListener("change", restart);
  byId("release").addEventListener("click", releaseAll);
  byId("clear").addEventListener("click", () => {
    page.log.length = 0;
    for (const id of ["text", "log"]) byId(id).textContent = "";
    screen.focus();
  });
  byId("start").addEventListener("click", () => {
    exercise.at = 0;
    exercise.show();
    screen.focus();
  });
  byId("skip").addEventListener("click", () => {
    exercise.step();
    screen.focus();
  });
  byId("hint").addEventListener("change", () => exercise.show());
}

/** The runtime, at once where the browser compiles so little code at once; some refuse that. */
async function instantiate(code) {
  try {
    return new WebAssembly.Instance(new WebAssembly.Module(code));
  } catch (refusal) {
    if (!(refusal instanceof RangeError)) throw refusal;
    return (await WebAssembly.instantiate(code)).instance;
  }
}

async function begin() {
  // Taking the focus lays the page out, which costs little while no keys are drawn.
  byId("screen").focus({ preventScroll: true });
  pen.font = `100px ${data.fonts}`;
  const instance = await instantiate(bytes(byId("runtime").textContent.trim()));
  page.engine = new Engine(instance.exports);
  page.engine.onCommand = (number) => setText("stroke", `command ${number} for the firmware`);
  for (const { id, title } of layouts) byId("layout").append(new Option(`${title} (${id})`, id));
  chooseLayout(0);
  sticks.onUsages = feed;
  wire();
  performance.mark("ready");
  document.documentElement.dataset.ready = "yes";
}

begin();

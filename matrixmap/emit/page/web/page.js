// The page: data, controls, keys from the reader's own keyboard and from the drawing, what is shown, the exercise.

const byId = (id) => document.getElementById(id);
const data = JSON.parse(byId("data").textContent);
const bytes = (base64) => Uint8Array.from(atob(base64), (char) => char.charCodeAt(0));

/** Keys that are held, in the order in which they are told; right Alt is AltGr on a host that has that. */
const HELD = [[0xe1, "Shift"], [0xe5, "right Shift"], [0xe6, "right Alt"], [0xe0, "Control"], [0xe4, "right Control"], [0xe2, "Alt"], [0xe3, "Meta"], [0xe7, "right Meta"]];
const CONTROL_LEFT = 0xe0, ALT_RIGHT = 0xe6, FIRST_MODIFIER = 0xe0, CAPS_LOCK = 0x39, CAPS_LED = 2, NUM_LED = 1;
const METAS = [0xe3, 0xe7], PHONE = 700, WIDE = 1024, TAP_MS = 60;

/** Systems that tell of Caps Lock once a change: down when it goes on, up when it goes off (common practice). */
const TOLD_ONCE = /Mac|iPhone|iPad/.test(navigator.platform);
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

/** A list of a layout that may be told by what differs from another's. */
function wholeList(layout, name) {
  if (layout.like < 0) return layout[name];
  const list = [...wholeList(data.layouts[layout.like], name)], differing = layout[name];
  for (let at = 0; at < differing.length; at += 2) list[differing[at]] = differing[at + 1];
  return list;
}

/** A layout with the keys of its host's form and their faces. */
function makeLayout(layout) {
  const numbers = wholeList(layout, "faces"), reached = wholeList(layout, "reached").filter((row) => row >= 0);
  const caps = data.forms[layout.form].map((place, index) => {
    const [name, printed, long = "", kind = 0, whole = null, texts = [], waits = [], unprinted = [], sides = [], hidden = []] = data.faces[numbers[index]];
    const keypad = place[0] >= 0x59 && place[0] <= 0x63;
    return { place, face: { name, printed, long: long || printed, kind: data.kinds[kind], whole, texts, waits, unprinted, sides: new Map(sides), hidden, keypad } };
  });
  return { ...layout, caps, reached, columns: layout.columns.map(([title, further]) => ({ title, further, upper: layout.upper })) };
}

const layouts = data.layouts.map((layout) => ({ ...layout, make: () => makeLayout(layout) }));

/** The keys as they are drawn: on a phone without the keypad, and those beside the main block below it. */
function drawnCaps(caps, phone) {
  if (!phone) return caps;
  const bottom = Math.max(...caps.filter(({ place }) => place[1] < 15).map(({ place }) => place[2] + place[4]));
  return caps.flatMap((cap) => {
    const [usage, x, y, ...rest] = cap.place;
    if (x < 15) return [cap];
    if (x >= 18.4) return [];
    // Rows of the block: keys for the system, above those for editing, above the arrows.
    const [left, top] = y < 1 ? [x - 15.25, 0] : y < 4 ? [x - 15.25 + 4, y - Math.floor(y) > 0 ? Math.floor(y) - 1 : y - 1.5] : [x - 15.25 + 12, y > 5 ? 1 : 0];
    return [{ ...cap, place: [usage, left, bottom + 0.2 + Math.max(0, Math.min(1, Math.round(top))), ...rest] }];
  });
}

const page = {
  layout: null,
  machine: null,
  engine: null,
  other: null,          // the same with the guard the other way round
  look: { phone: false, pixels: 1440, caps: [] },
  grid: null,
  trace: null,          // the last key: usage, contacts that it closed, those closed before, what was typed
  dots: [],
  capsOn: false,        // Caps Lock of the reader's own system
  physical: new Set(),  // usages down on the reader's keyboard
  clicked: new Map(),   // usage -> "press", "once" (a modifier until the next key) or "hold"
  controlSince: -1,
  fakeControl: false,   // ControlLeft that is part of AltGr
  log: [],
  text: "",             // what stands on the machine's screen
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

/** Both simulations: as set, and with the guard the other way round where that makes a difference. */
const engines = () => (page.layout.phantoms ? [page.engine, page.other] : [page.engine]);

function feed() {
  const down = usagesDown(), time = now();
  for (const engine of engines()) engine.feed(down, time);
  show();
  tick();
}

/** A pad holds down these switches of a controller, or is gone (null). */
function drive(number, mask) {
  const time = now();
  for (const engine of engines()) engine.drive(number, mask, time);
  show();
  tick();
}

/** The contacts that pads close, among those that are closed. */
function closedByPads() {
  const found = new Set();
  for (const [, switches, number] of page.layout.pads?.controllers ?? []) {
    const closed = page.engine.switches(number);
    switches.forEach(([, , , contact], place) => contact >= 0 && closed >> place & 1 && found.add(contact));
  }
  return found;
}

/** Whether a pad closes any switch now. */
function padCloses() {
  return (page.layout.pads?.controllers ?? []).some(([, , number]) => page.engine.switches(number) !== 0);
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
  if (usage === CAPS_LOCK && TOLD_ONCE) return tap(usage);
  if (usage !== CAPS_LOCK) followCapsLock(event);
  if (event.repeat || page.physical.has(usage)) return;
  if (usage === CAPS_LOCK) page.capsOn = event.getModifierState("CapsLock");
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

/** A key that is told of once a change goes down and up. */
function tap(usage) {
  page.capsOn = !page.capsOn;
  page.physical.add(usage);
  tellStroke(usage);
  feed();
  setTimeout(() => {
    page.physical.delete(usage);
    feed();
  }, TAP_MS);
}

/** Caps Lock that was pressed elsewhere: the adapter's lock follows the reader's. */
function followCapsLock(event) {
  const on = event.getModifierState("CapsLock"), cap = capOf(CAPS_LOCK);
  if (on === page.capsOn) return;
  page.capsOn = on;
  if (cap?.face.kind === "lock" && on !== Boolean(page.engine.leds & CAPS_LED)) for (const engine of engines()) {
    engine.feed([...engine.down, CAPS_LOCK], now());
    engine.feed([...engine.down].filter((usage) => usage !== CAPS_LOCK), now());
  }
}

function onKeyUp(event) {
  const usage = usageOf(event.code);
  if (usage === CAPS_LOCK && TOLD_ONCE) return tap(usage);
  if (usage === undefined || !page.physical.has(usage)) return;
  event.preventDefault();
  page.physical.delete(usage);
  // Keys that go up while Meta is down are not told of on one system: with it, all are taken for released.
  if (METAS.includes(usage)) page.physical.clear();
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
  const caps = page.look.caps.map((cap) => cap.place);
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
  const cap = capOf(usage);
  page.trace = { usage, contacts: [], text: null, others: new Set(page.engine.closed) };
  if (!cap || cap.face.kind === "modifier") return;
  const down = usagesDown();
  const held = HELD.filter(([key]) => key !== usage && down.has(key));
  const names = held.map(([key, name]) => (key === ALT_RIGHT && page.layout.altgr ? "AltGr" : keyText(name)));
  setText("stroke", `${[...names, keyText(cap.face.long)].join(" ")}: ${didWords(page.engine.tryKey(down, usage), cap.face)}`);
}

const capOf = (usage) => page.layout.caps.find((other) => other.place[0] === usage);

function didWords(did, face) {
  const machine = page.machine, accent = page.layout.accents[did.accent - 1];
  const names = (contacts) => [...new Set(machine.modifiers.flatMap(([name]) => (contacts.some((contact) => machine.modifierAt.get(contact) === name) ? [name] : [])))];
  const keys = (contacts) => contacts.filter((contact) => !machine.modifierAt.has(contact)).map(contactName);
  if (did.command !== null) return say("did-command", { number: did.command });
  if (face.kind === "lock") return say("did-lock");
  if (face.kind === "latch") return say(did.fresh.length || !did.opened.length ? "did-sets" : "did-frees", { what: face.whole });
  const strokes = did.steps.map(({ fresh, held }) => [...names(held), ...keys(fresh)].join(" + "));
  if (did.refused) strokes.push(say("did-refused"));
  if (did.clashed) strokes.push(say("did-clash"));
  if (did.dropped) strokes.push(say("did-dropped"));
  if (strokes.length) return strokes.join(`, ${tongue.keys.then} `);
  if (did.accent) return `${say("did-waits")}${accent ? ` (${worded(accent)})` : ""}`;
  return names(did.fresh).join(" + ") || say("did-nothing");
}

const shownTexts = new WeakMap();

/** Puts a text into an element where it has another, its signs drawn. */
function showText(element, text) {
  if (shownTexts.get(element) === text) return;
  shownTexts.set(element, text);
  element.replaceChildren(...signed(text));
}

const setText = (id, text) => showText(byId(id), text);

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
  const pulled = engine.pulled;
  showPulled(pulled);
  const glow = document.querySelector("#matrix-grid .glow");
  if (glow) showRectangles(glow, page.machine, closed, phantoms, page.grid.place);
  followTrace(closed);
  showBoth();
  sticks.draw((number) => engine.switches(number));
  const words = (contacts, none) => [...contacts].map(contactWords).join(", ") || none;
  setText("closed", words(closed, say("nothing")));
  setText("phantoms", words(phantoms, say("none")));
  setText("pulled", pulled.map(pullWords).join(", "));
  byId("pulled").parentElement.hidden = !pulled.length;
  setText("reads", words(engine.scanner.read, say("nothing")));
  setText("down", [...down].map((usage) => keyName(usage)).join(", ") || say("none"));
  setText("lights", lightWords(engine.leds));
  setText("counts", countWords(engine));
}

/** A sense line that a pad pulls low is thick along its whole length; with a select line it is broken, and ringed there. */
function showPulled(pulled) {
  for (const path of document.querySelectorAll("#matrix-grid [data-sense]")) {
    const found = pulled.filter(([sense]) => sense === Number(path.dataset.sense));
    path.classList.toggle("pulled", found.length > 0);
    path.classList.toggle("gated", found.length > 0 && found.every(([, select]) => select !== null));
  }
  const senses = page.machine.sense.length;
  const ringed = new Set(pulled.flatMap(([sense, select]) => (select === null ? [] : [select * senses + sense])));
  for (const [contact, { element }] of page.points) element.classList.toggle("is-pulled", ringed.has(contact));
}

function pullWords([sense, select]) {
  const machine = page.machine;
  return select === null ? machine.sense[sense] : say("pulled-with", { sense: machine.sense[sense], select: machine.select[select] });
}

/** The line stays after the key is up, with the contacts that the key closed: those of no modifier, if there are any. */
function followTrace(closed) {
  const { trace, machine } = page;
  if (trace && page.engine.down.has(trace.usage)) {
    const pads = closedByPads(), own = [...closed].filter((contact) => !pads.has(contact));
    const keys = own.filter((contact) => !machine.modifierAt.has(contact));
    const fresh = (keys.length ? keys : own).filter((contact) => !trace.others.has(contact));
    if (fresh.length) trace.contacts = fresh;
  }
  drawLines();
}

/** A phantom has a shape of its own, which is drawn only while it is there. */
function showPhantom(element, sign, isPhantom) {
  if (element.classList.contains("phantom") === isPhantom) return;
  element.classList.toggle("phantom", isPhantom);
  if (isPhantom) element.append(svg("path", { d: sign, class: "phantom-sign" }));
  else element.querySelector(".phantom-sign").remove();
}

function keyName(usage) {
  const cap = capOf(usage);
  return cap ? keyText(cap.face.long) : say("usage", { number: `0x${usage.toString(16).toUpperCase()}` });
}

function lightWords(leds) {
  const lit = [leds & NUM_LED ? "Num Lock" : "", leds & CAPS_LED ? "Caps Lock" : ""].filter(Boolean);
  return lit.join(", ") || say("none-lit");
}

function countWords(engine) {
  const parts = [];
  if (engine.refusals) parts.push(say("refused", { count: engine.refusals }));
  if (engine.clashes) parts.push(say("clashes", { count: engine.clashes }));
  if (engine.overflows) parts.push(say("dropped", { count: engine.overflows }));
  return parts.join("; ") || say("none");
}

/** Lets the simulated time follow the clock while anything is to happen. */
function tick() {
  clearTimeout(page.timer);
  const running = engines();
  document.documentElement.dataset.steady = running.every((engine) => engine.steady) ? "yes" : "no";
  const busy = running.filter((engine) => engine.busy);
  if (!busy.length) return;
  const wait = Math.min(...busy.flatMap((engine) => [engine.due, engine.scanner.end])) - now();
  const state = () => String(running.flatMap((engine) => [engine.closed, "|", engine.pulls, "|", engine.scanner.read, "|"]));
  page.timer = setTimeout(() => {
    const before = state(), time = now();
    for (const engine of running) engine.advance(time);
    if (state() !== before) show();
    tick();
  }, Math.max(0, wait / 1000));
}

function onRead(read) {
  tellBoth(page.engine, read);
  const text = read.types === null ? (read.key ? read.key.name : "?") : read.types;
  page.log.push(read.types === null ? `[${text}]` : text);
  if (page.log.length > LOG_LENGTH) page.log.shift();
  setText("log", page.log.map((entry) => (entry === " " ? "space" : entry)).join(" "));
  setText("last", worded(page.log.at(-1)));
  if (page.trace?.contacts.includes(read.contact)) page.trace.text = text;
  drawLines();
  if (read.types !== null) typeOnScreen(read.types);
  exercise.read(read.types, padCloses());
  keepLink();
}

/** What the firmware does with a command: it swaps the pads by the one of that name, and the page leaves others to it. */
function onCommand(number) {
  setText("stroke", say("did-firmware", { number }));
  // The runtime is in the middle of a call: pads move after it.
  if (page.layout.swaps?.includes(number)) queueMicrotask(() => sticks.swap());
}

function typeOnScreen(text) {
  if (text === "Enter") page.text += "\n";
  else if (text === "Backspace") page.text = [...page.text].slice(0, -1).join("");
  else if (text === "Tab") page.text += "\t";
  else if ([...text].length === 1) page.text += text;
  if (page.text.length > 4000) page.text = page.text.slice(-2000);
  setText("text", page.text);
  const screen = byId("screen");
  screen.scrollTop = screen.scrollHeight;
}

// ---- the exercise ----

const exercise = {
  tasks: [],
  at: -1,
  /** What the machine types apart from letters and digits, and the easiest way to type it. */
  prepare() {
    // Tab leaves the screen unless the reader gave it to the machine: it is asked for only then.
    const tab = byId("tab").checked;
    this.tasks = page.layout.ways.map((row) => ({ text: data.rows[row][0], way: data.rows[row][1] })).filter(({ text }) => tab || text !== "Tab");
    this.at = -1;
    this.show();
  },
  show(wrong) {
    const task = this.tasks[this.at];
    setText("start", say(this.at < 0 ? "start" : "again"));
    byId("skip").disabled = !task;
    if (this.at < 0) return setText("task", say("not-started", { count: this.tasks.length }));
    if (!task) return setText("task", say("done"));
    const hint = byId("hint").checked ? ` ${say("press", { way: keyText(task.way) })}` : "";
    const said = wrong ? ` ${say("wrong", { text: worded(wrong) })}` : "";
    return setText("task", `${say("task", { at: this.at + 1, count: this.tasks.length, text: worded(task.text) })}${hint}${said}`);
  },
  /** What the machine types is right or wrong; while a pad closes a switch, only right: nobody typed the rest. */
  read(types, beside) {
    const task = this.tasks[this.at];
    if (!task) return;
    if (types === task.text) this.step();
    else if (!beside) this.show(types);
  },
  step() {
    this.at += 1;
    this.show();
  },
};

// ---- the setting ----

/** The table of the layout with guard and rollover as the page's reader wants them, or the guard the other way round. */
function tableAsSet(other = false) {
  const table = bytes(page.layout.table);
  const { guard, rollover } = data.table;
  const on = byId("guard").checked !== other;
  table[guard.byte] = on ? table[guard.byte] | guard.bit : table[guard.byte] & ~guard.bit;
  if (!byId("rollover").checked) table[rollover.byte] = rollover.none;
  return table;
}

/** Gives both simulations the layout as it is set. */
function useTables(fresh) {
  page.engine.use(page.machine, tableAsSet(), page.layout.both, fresh, onRead);
  if (page.layout.phantoms) page.other.use(page.machine, tableAsSet(true), page.layout.both, fresh, (read) => tellBoth(page.other, read));
}

/** Starts the adapter anew and presses again, in order, what was down. */
function restart() {
  const down = [...usagesDown()], time = now();
  for (const engine of engines()) engine.advance(time);
  useTables(true);
  for (const engine of engines()) down.forEach((_, index) => engine.feed(down.slice(0, index + 1), now()));
  show();
  tick();
}

function clearTyped(id) {
  byId(id).dataset.texts = "";
  setText(id, "");
}

function chooseLayout(id) {
  const before = page.machine;
  if (before) for (const engine of engines()) engine.feed([], now());
  for (const engine of [page.engine, page.other]) engine.driven.clear();
  page.layout = (layouts.find((layout) => layout.id === id) ?? layouts[0]).make();
  page.machine = machines[page.layout.machine];
  byId("layout").value = page.layout.id;
  page.physical.clear();
  page.clicked.clear();
  page.fakeControl = false;
  page.trace = null;
  byId("guard").checked = page.layout.guard;
  byId("guard").disabled = !page.layout.phantoms;
  byId("phantom").disabled = !page.layout.phantoms;
  byId("rollover").checked = true;
  byId("rollover").disabled = !page.machine.scan.rollover;
  for (const text of ["typed-with", "typed-without"]) clearTyped(text);
  if (!before) for (const engine of [page.engine, page.other]) engine.time = now();
  // The other simulation begins anew with each layout; the first changes as the firmware would.
  page.engine.use(page.machine, tableAsSet(), page.layout.both, before !== page.machine, onRead);
  if (page.layout.phantoms) page.other.use(page.machine, tableAsSet(true), page.layout.both, true, (read) => tellBoth(page.other, read));
  drawAll();
  exercise.prepare();
  show();
  tick();
}

/** Everything that is drawn or said, anew: another layout, another language, another window. */
function drawAll() {
  page.look = { phone: innerWidth < PHONE, pixels: byId("host-keys").clientWidth || innerWidth, caps: [] };
  page.look.caps = drawnCaps(page.layout.caps, page.look.phone);
  drawHostKeys();
  page.points.clear();
  page.machineKeys.clear();
  page.dots = [];
  document.documentElement.dataset.drawn = "";
  // Keys are taken before the rest is drawn, so that opening the page is quick.
  if (globalThis.requestIdleCallback) requestIdleCallback(drawMachineParts, { timeout: 100 });
  else setTimeout(drawMachineParts, 0);
  sticks.choose(page.layout.pads);
  const { rollover } = page.machine.scan;
  setText("rollover-keys", rollover ? say("rollover-most", { count: rollover }) : say("rollover-none"));
  setText("about", say("about", { machine: page.machine.title, host: hostTitle(page.layout) }));
  const titles = page.layout.columns.slice(1).map((column) => keyText(column.title));
  const dead = [...new Set(page.layout.caps.flatMap(({ face }) => face.waits.map((place) => glyph(face.texts[place]))))];
  const unprinted = page.layout.caps.some(({ face }) => face.unprinted.length);
  setText("host-note", say("host-note", { upper: keyText(page.layout.upper) }));
  const notes = [titles.length && say("further", { columns: titles.join(", ") }), dead.length && say("dead", { keys: dead.join(" ") }), unprinted && say("underlined")];
  setText("columns", notes.filter(Boolean).join(" "));
  const pulls = page.layout.pads?.controllers.some(([, switches]) => switches.some(([, , , contact]) => contact < 0));
  document.querySelector(".matrix .pulls").hidden = !pulls;
}

function drawHostKeys() {
  page.keys.clear();
  byId("host-keys").replaceChildren(drawHost(page.layout, page.look, addHostKey));
  const first = page.keys.values().next().value;
  if (first) first.setAttribute("tabindex", 0);
}

function drawMachineParts() {
  page.points.clear();
  page.machineKeys.clear();
  const box = byId("matrix-grid"), beside = innerWidth >= WIDE, note = box.nextElementSibling.offsetHeight;
  page.grid = gridOf(page.machine, (box.clientWidth || innerWidth) - 4, beside ? Math.min(640, Math.max(300, innerHeight - 221 - note)) : 0, beside ? 76 : 40);
  box.replaceChildren(drawMatrix(page.machine, page.grid, (contact, element, sign) => page.points.set(contact, { element, sign })));
  const reached = new Map(page.layout.reached.map((row) => [data.rows[row][0], data.rows[row].slice(1)]));
  const look = { phone: page.look.phone, pixels: Math.min(byId("machine-keys").clientWidth || innerWidth, 5000) };
  const drawn = page.machine.places.length
    ? drawMachine(page.machine, reached, look, (name, element, sign) => page.machineKeys.set(name, { element, sign }))
    : Object.assign(document.createElement("p"), { textContent: say("machine-without") });
  byId("machine-keys").replaceChildren(drawn);
  page.dots = ["with-guard", "without-guard"].map((id) => {
    const dots = drawDots(page.machine, say(id === "with-guard" ? "guard-on" : "guard-off"));
    byId(id).replaceChildren(dots.root);
    return dots;
  });
  document.documentElement.dataset.drawn = page.layout.id;
  show();
}

// ---- language, links, the window ----

/** The layouts by machine and by the name of their host in the reader's language. */
function listLayouts() {
  const chosen = page.layout?.id, groups = new Map();
  for (const layout of layouts) groups.set(layout.machine, [...(groups.get(layout.machine) || []), layout]);
  byId("layout").replaceChildren(...[...groups].map(([machine, members]) => {
    const group = Object.assign(document.createElement("optgroup"), { label: machines[machine].title });
    const named = members.map((layout) => [`${hostTitle(layout)}, ${say(layout.join)}`, layout.id]);
    named.sort(([one], [other]) => one.localeCompare(other, tongue.tag));
    group.append(...named.map(([name, id]) => new Option(name, id)));
    return group;
  }));
  if (chosen) byId("layout").value = chosen;
}

function chooseLanguage(tag) {
  useLanguage(tag);
  Object.assign(document.documentElement, { lang: tag, dir: tongue.direction });
  document.title = say("title");
  byId("language").value = tag;
  for (const element of document.querySelectorAll("[data-text]")) showText(element, say(element.dataset.text));
  for (const element of document.querySelectorAll("[data-label]")) element.setAttribute("aria-label", say(element.dataset.label));
  listLayouts();
  if (!page.layout) return;
  setText("stroke", say("none"));
  drawAll();
  exercise.show();
  show();
}

/** The layout for the reader: of the first machine, that of the first of their languages that there is, by print rather. */
function readersLayout(wanted) {
  const fit = layouts.filter(({ machine }) => machine === layouts[0].machine);
  fit.sort((one, other) => (one.join === "positional") - (other.join === "positional"));
  const short = (tag) => tag.split("-")[0].toLowerCase();
  for (const tag of wanted) {
    const found = fit.find(({ host }) => host.toLowerCase() === tag.toLowerCase()) ?? fit.find(({ host }) => short(host) === short(tag));
    if (found) return found.id;
  }
  return layouts[0].id;
}

/** A link's layout and text: `#quillon8-de-DE-symbolic,PRINT%201`. */
function readLink() {
  const [id, ...rest] = location.hash.slice(1).split(",");
  if (!layouts.some((layout) => layout.id === id)) return null;
  try {
    return { id, text: decodeURIComponent(rest.join(",")) };
  } catch {
    return { id, text: "" };
  }
}

function restoreLink() {
  const link = readLink();
  if (!link) return;
  if (link.id !== page.layout?.id) chooseLayout(link.id);
  page.text = link.text;
  setText("text", page.text);
}

/** The address follows layout and text, some time after the last change, so that it can be sent to somebody. */
function keepLink() {
  clearTimeout(page.linkTimer);
  page.linkTimer = setTimeout(() => {
    const text = [...page.text].slice(-500).join("");
    history.replaceState(null, "", `#${page.layout.id}${text ? `,${encodeURIComponent(text)}` : ""}`);
  }, 700);
}

function onResize() {
  clearTimeout(page.resizeTimer);
  page.resizeTimer = setTimeout(() => {
    if (innerWidth < PHONE !== page.look.phone || byId("host-keys").clientWidth !== page.look.pixels) drawAll();
    drawLines();
  }, 120);
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
  byId("layout").addEventListener("change", (event) => {
    chooseLayout(event.target.value);
    keepLink();
  });
  byId("language").addEventListener("change", (event) => chooseLanguage(event.target.value));
  byId("phantom").addEventListener("click", showPhantomNow);
  byId("picture").addEventListener("click", copyPicture);
  byId("tab").addEventListener("change", () => exercise.prepare());
  addEventListener("hashchange", restoreLink);
  addEventListener("resize", onResize);
  for (const id of ["guard", "rollover"]) byId(id).addEventListener("change", restart);
  byId("release").addEventListener("click", releaseAll);
  byId("clear").addEventListener("click", () => {
    page.log.length = 0;
    page.text = "";
    for (const id of ["text", "log", "last"]) setText(id, "");
    for (const id of ["typed-with", "typed-without"]) clearTyped(id);
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

/** Runtimes, at once where the browser compiles so little code at once; some refuse that. */
async function instantiate(code, count) {
  try {
    const module = new WebAssembly.Module(code);
    return Array.from({ length: count }, () => new WebAssembly.Instance(module));
  } catch (refusal) {
    if (!(refusal instanceof RangeError)) throw refusal;
    const { module, instance } = await WebAssembly.instantiate(code);
    const more = Array.from({ length: count - 1 }, () => WebAssembly.instantiate(module));
    return [instance, ...(await Promise.all(more))];
  }
}

async function begin() {
  // Taking the focus lays the page out, which costs little while no keys are drawn.
  byId("screen").focus({ preventScroll: true });
  pen.font = `100px ${data.fonts}`;
  const instances = await instantiate(bytes(byId("runtime").textContent.trim()), 2);
  [page.engine, page.other] = instances.map((instance) => new Engine(instance.exports));
  page.engine.onCommand = onCommand;
  for (const [tag, { language }] of Object.entries(data.texts)) byId("language").append(new Option(language.name, tag));
  chooseLanguage(readersLanguage(navigator.languages));
  chooseLayout(readLink()?.id ?? readersLayout(navigator.languages));
  restoreLink();
  sticks.onUsages = feed;
  sticks.onSwitches = drive;
  wire();
  performance.mark("ready");
  document.documentElement.dataset.ready = "yes";
}

begin();

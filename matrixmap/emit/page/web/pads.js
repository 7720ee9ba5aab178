// Game pads of the browser (W3C, Gamepad) and the sticks that they drive: the same rules as matrixmap/hid/pads/.
// In the standard mapping buttons 12 to 15 are the D-pad up, down, left, right, and axes 0 and 1 the stick; other pads
// have just buttons and axes.

const STICK_END = 32767, DPAD_AT = 32, STICK_AT = 40;
const [IS_NEW, IS_CENTRE, IS_STRAIGHT, IS_DIAGONAL] = [0, 1, 2, 3];
/** Up, down, right, left, as sources have them, by the numbers of the standard mapping. */
const DPAD_BUTTONS = [12, 13, 15, 14];

/** Where a stick is and which directions it shows (up 1, down 2, right 4, left 8), by where it was. */
function movedStick(before, x, y, press, release) {
  const across = Math.abs(x), up = Math.abs(y), away = across * across + up * up;
  const limit = Math.ceil((before === IS_CENTRE ? press : release) * STICK_END / 100);
  if (away < limit * limit) return [IS_CENTRE, 0];
  if (before === IS_NEW) return [IS_NEW, 0];
  const lesser = Math.min(across, up), greater = Math.max(across, up);
  let diagonal = 2 * lesser > greater;
  if (before === IS_CENTRE) diagonal = lesser * (lesser + 2 * greater) > greater * greater;
  else if (before === IS_DIAGONAL) diagonal = 3 * lesser >= greater;
  let shown = 0;
  if (diagonal || up > across) shown |= y < 0 ? 1 : 2;
  if (diagonal || up <= across) shown |= x < 0 ? 8 : 4;
  return [diagonal ? IS_DIAGONAL : IS_STRAIGHT, shown];
}

/** What is on at a pad of the browser: the numbers of its sources. `seen` keeps where its stick was. */
function sourcesOn(pad, seen, press, release) {
  const on = new Set(), standard = pad.mapping === "standard";
  pad.buttons.forEach((button, number) => {
    const place = standard ? DPAD_BUTTONS.indexOf(number) : -1;
    if (button.pressed && (place >= 0 || number < DPAD_AT)) on.add(place >= 0 ? DPAD_AT + place : number);
  });
  if (pad.axes.length > 1) {
    const [x, y] = pad.axes.map((axis) => Math.round(Math.max(-1, Math.min(1, axis)) * STICK_END));
    let shown;
    [seen.reach, shown] = movedStick(seen.reach ?? IS_NEW, x, y, press, release);
    for (let bit = 0; bit < 4; bit++) if (shown >> bit & 1) on.add(STICK_AT + bit);
  }
  return on;
}

/** The switches of a controller that are closed, as a mask: of opposite directions neither. */
function closedSwitches(switches, on) {
  const pressed = switches.map(([, , sources]) => sources.some((source) => on.has(source)));
  const shown = new Set(switches.flatMap(([, direction], place) => (pressed[place] && direction ? [direction] : [])));
  const against = (direction) => direction && shown.has(((direction - 1) ^ 1) + 1);
  return switches.reduce((mask, [, direction], place) => (pressed[place] && !against(direction) ? mask | 1 << place : mask), 0);
}

/** A controller as a drawing: arrows for directions around a middle, circles for other switches. */
function drawStick(name, switches) {
  const arrows = ["", "M40 6l14 20h-28Z", "M40 74l14 -20h-28Z", "M74 40l-20 -14v28Z", "M6 40l20 -14v28Z"];
  const root = svg("svg", { viewBox: `0 0 ${96 + 96 * switches.filter(([, direction]) => !direction).length} 80`, height: 80, role: "img" });
  let at = 0;
  const parts = switches.map(([text, direction]) => {
    const part = direction ? svg("path", { d: arrows[direction] }) : svg("circle", { cx: 110 + 96 * at, cy: 34, r: 14 });
    if (!direction) root.append(svg("text", { x: 110 + 96 * at++, y: 68, "font-size": 13, "text-anchor": "middle", fill: "currentColor" }, text));
    part.style.stroke = "currentColor";
    root.append(part);
    return part;
  });
  return { root, parts, name, switches, mask: -1, given: -1 };
}

/** The pads in their places, and the sticks of the layout in hand. */
const sticks = {
  places: [null, null],
  seen: new Map(),
  pads: null,
  drawn: [],
  usages: new Set(),
  swapped: false,
  swapText: "",
  frame: 0,
  onUsages: () => {},
  /** A pad holds down these switches of a controller, or is gone. */
  onSwitches: () => {},

  /** Takes what a layout says of pads, or nothing. */
  choose(pads) {
    this.pads = pads;
    this.usages = new Set();
    document.getElementById("sticks")?.remove();
    this.drawn = pads ? pads.controllers.map(([name, switches, number]) => ({ ...drawStick(name, switches), number })) : [];
    if (!pads) return;
    const section = document.createElement("section"), heading = document.createElement("h2");
    section.id = "sticks";
    heading.textContent = say("sticks");
    section.append(heading);
    this.drawn.forEach((stick, place) => {
      const words = document.createElement("p");
      words.id = `stick-${place}`;
      stick.words = words;
      section.append(stick.root, words);
    });
    const swap = document.createElement("p");
    swap.id = "swap";
    swap.setAttribute("role", "status");
    section.append(swap);
    (document.querySelector("main") ?? document.body).append(section);
    this.tellSwap();
    this.poll();
  },

  /** The two places drive each other's sticks, or their own again: `mm_pads_swap`. A layout change keeps that. */
  swap() {
    this.swapped = !this.swapped;
    this.swapText = this.swapped ? "pads-swapped" : "pads-back";
    this.tellSwap();
    this.poll();
  },

  tellSwap() {
    const element = document.getElementById("swap");
    if (element && this.swapText) element.textContent = say(this.swapText);
  },

  /** The stick that a place drives, or the place that drives a stick. */
  across(number) {
    return this.swapped && number < 2 ? 1 - number : number;
  },

  /** The pad in a place drives the stick of that place, or of the other one; a pad keeps its place until it goes. */
  connect(index) {
    const free = this.places.indexOf(null);
    if (this.places.includes(index) || free < 0) return;
    this.places[free] = index;
    this.seen.set(index, {});
    this.poll();
  },

  disconnect(index) {
    const place = this.places.indexOf(index), stick = place < 0 ? undefined : this.drawn[this.across(place)];
    if (stick) this.hand(stick, null);
    this.places = this.places.map((place) => (place === index ? null : place));
    this.seen.delete(index);
    this.poll();
  },

  /** Looks at all pads, and goes on looking while one is there. */
  poll() {
    cancelAnimationFrame(this.frame);
    if (!this.pads) return;
    const all = navigator.getGamepads ? navigator.getGamepads() : [];
    const { press, release, buttons } = this.pads;
    const on = this.places.map((index) => {
      const pad = index === null ? null : all[index];
      return pad ? sourcesOn(pad, this.seen.get(index), press, release) : new Set();
    });
    this.drawn.forEach((stick, place) => this.hand(stick, closedSwitches(stick.switches, on[this.across(place)] ?? new Set())));
    const usages = new Set(buttons.filter(([source]) => on.some((each) => each.has(source))).map(([, usage]) => usage));
    if ([...usages].join() !== [...this.usages].join()) {
      this.usages = usages;
      this.onUsages();
    }
    if (this.places.some((index) => index !== null)) this.frame = requestAnimationFrame(() => this.poll());
  },

  /** Hands on what a pad holds down of a stick, once a change. */
  hand(stick, mask) {
    if (mask !== null && stick.given === mask) return;
    stick.given = mask ?? 0;
    this.onSwitches(stick.number, mask);
  },

  /** Draws the sticks with the switches that are closed, of a controller by its number. */
  draw(closed) {
    for (const stick of this.drawn) this.show(stick, closed(stick.number));
  },

  show(stick, mask) {
    if (stick.mask === mask) return;
    stick.mask = mask;
    // A style, which wins over those of the page's drawings.
    stick.parts.forEach((part, place) => {
      part.style.fill = mask >> place & 1 ? "currentColor" : "none";
    });
    const names = stick.switches.filter((_, place) => mask >> place & 1).map(([name]) => name);
    const text = `${stick.name}: ${names.join(", ") || say("nothing-closed")}`;
    stick.root.setAttribute("aria-label", text);
    stick.words.textContent = text;
  },
};

addEventListener("gamepadconnected", (event) => sticks.connect(event.gamepad.index));
addEventListener("gamepaddisconnected", (event) => sticks.disconnect(event.gamepad.index));

// The C runtime of the adapter, compiled to WebAssembly, together with the machine that scans, in one simulated time.

const TICK_US = 100;
const NEVER = 0xffff;
const MOST_CALLS = 1000;

/** Tables and keys in, contacts and typed text out. Times are microseconds from the start. */
class Engine {
  constructor(exports) {
    this.c = exports;
    this.memory = () => new Uint8Array(exports.memory.buffer);
    this.state = exports.page_state();
    this.down = new Set();
    this.driven = new Map(); // controller -> the switches that a pad holds down
    this.time = 0;
    this.due = Infinity;
    this.onCommand = () => {};
  }

  /** Takes a layout: with `fresh` the adapter starts anew, else it changes at once as the firmware would. */
  use(machine, table, both, fresh, onPress) {
    const at = this.c.page_free_table();
    this.memory().set(table, at);
    const take = fresh ? this.c.page_init : this.c.mm_change_layout;
    if (!take(this.state, at, table.length)) throw new Error("the runtime refuses the table");
    if (fresh) this.down.clear();
    if (fresh || machine !== this.machine) {
      this.scanner = new Scanner(machine, both, onPress);
      this.scanner.skipTo(this.time);
    }
    this.scanner.both = both;
    this.machine = machine;
    this.both = both;
    if (fresh) for (const [number, mask] of this.driven) this.c.mm_controller(this.state, number, mask);
    this.settle();
  }

  /** The switches of a controller that a pad holds down, at a time; null: the pad is gone. */
  drive(number, mask, time) {
    this.advance(time);
    this.driven.set(number, mask ?? 0);
    if (mask === null) this.c.mm_unplugged(this.state, number);
    else this.c.mm_controller(this.state, number, mask);
    this.settle();
  }

  /** The switches of a controller that the runtime has closed. */
  switches(number) {
    return this.c.page_switches(this.state, number) & 0xff;
  }

  /** The set of usages now down, at a time. */
  feed(usages, time) {
    this.advance(time);
    this.down = new Set(usages);
    const result = this.take(this.state, this.down);
    this.settle();
    return result;
  }

  /** Tells a state which usages are down. */
  take(state, usages) {
    const bits = new Uint8Array(32);
    for (const usage of usages) bits[usage >> 3] |= 1 << (usage & 7);
    this.memory().set(bits, this.c.page_down());
    return this.c.mm_usages(state, 0, this.c.page_down());
  }

  /** The contacts that a state closes. */
  closedBy(state) {
    return contactsOf(this.machine, ...this.masksOf(state));
  }

  masksOf(state) {
    return [this.machine.select.map((_, line) => this.c.mm_select_mask(state, line) & 0xffff), this.c.mm_direct_mask(state) & 0xff];
  }

  /** What one more key does: played on copies of the state, with it and without it, until nothing more happens. */
  tryKey(usages, usage) {
    const without = this.play([...usages].filter((other) => other !== usage)), made = this.play(usages);
    return {
      ...made,
      steps: made.steps.slice(without.steps.length),
      opened: without.closed.filter((contact) => !made.closed.includes(contact)),
      fresh: made.closed.filter((contact) => !without.closed.includes(contact)),
      refused: made.refusals !== without.refusals,
      clashed: made.clashes !== without.clashes,
      dropped: made.overflows !== without.overflows,
    };
  }

  /** Keys played on a copy of the state: each moment at which contacts close, and what is so in the end. */
  play(usages) {
    const copy = this.c.page_copy(), steps = [];
    let closed = this.closedBy(copy), command = null, now = Math.floor(this.time / TICK_US);
    this.take(copy, usages);
    for (let calls = 0; calls < MOST_CALLS; calls++) {
      const wait = this.c.mm_advance(copy, now & 0xffff) & 0xffff;
      while (this.c.mm_take_command(copy, this.c.page_command())) command = this.memory()[this.c.page_command()];
      if (wait === 0) continue;
      const before = new Set(closed);
      closed = this.closedBy(copy);
      const fresh = closed.filter((contact) => !before.has(contact) && !this.machine.modifierAt.has(contact));
      if (fresh.length) steps.push({ fresh, held: closed.filter((contact) => this.machine.modifierAt.has(contact)) });
      if (wait === NEVER) break;
      now += wait;
    }
    return { closed, steps, command, accent: this.c.page_accent(copy), refusals: this.c.mm_refusals(copy), clashes: this.c.mm_clashes(copy), overflows: this.c.mm_overflows(copy) };
  }

  /** Lets time pass: the runtime whenever it asks to be called, the machine whenever it reads a line. */
  advance(time) {
    for (;;) {
      if (!this.busy) this.scanner.skipTo(time);
      const next = Math.min(this.due, this.scanner.due);
      if (next > time) break;
      this.time = Math.max(this.time, next);
      if (this.due <= next) this.settle();
      else this.scanner.readLine(this.masks, this.direct, this.pulls);
    }
    this.time = Math.max(this.time, time);
  }

  /** Calls mm_advance until it asks for a later time; then the masks are those of now. */
  settle() {
    const now = Math.floor(this.time / TICK_US) & 0xffff;
    let wait;
    do wait = this.c.mm_advance(this.state, now) & 0xffff; while (wait === 0);
    this.due = wait === NEVER ? Infinity : (Math.floor(this.time / TICK_US) + wait) * TICK_US;
    [this.masks, this.direct] = this.masksOf(this.state);
    this.pulls = this.machine.select.map((_, line) => this.c.mm_pulls(this.state, line) & 0xffff);
    this.closed = contactsOf(this.machine, this.masks, this.direct);
    while (this.c.mm_take_command(this.state, this.c.page_command())) {
      this.onCommand(this.memory()[this.c.page_command()]);
    }
  }

  /** The sense lines that pads pull low: each with the select line that it waits for, or null where it does for none. */
  get pulled() {
    const always = this.c.mm_pulls(this.state, 0xff) & 0xffff;
    return this.machine.sense.flatMap((_, sense) => {
      if (always >> sense & 1) return [[sense, null]];
      return this.pulls.flatMap((mask, select) => (mask >> sense & 1 ? [[sense, select]] : []));
    });
  }

  /** Crosspoints that the machine reads closed though no switch there is, nor one of a controller that reads so. */
  get phantoms() {
    const own = new Set([...this.closed, ...contactsOf(this.machine, this.pulls, 0)]);
    return contactsOf(this.machine, readMatrix(this.masks, this.both, this.pulls), 0).filter((contact) => !own.has(contact));
  }

  /** Whether anything is still to happen without a further key. */
  get busy() {
    return this.due !== Infinity || this.closed.length > 0 || this.pulls.some(Boolean) || !this.scanner.settled;
  }

  /** Whether adapter and machine have come to rest, keys that are held down included. */
  get steady() {
    const { changing, line, read } = this.scanner;
    const now = contactsOf(this.machine, readMatrix(this.masks, this.both, this.pulls), this.direct);
    return this.due === Infinity && line === 0 && changing.size === 0 && String(read) === String(now);
  }

  get leds() {
    return this.c.mm_leds(this.state);
  }

  get refusals() {
    return this.c.mm_refusals(this.state);
  }

  get clashes() {
    return this.c.mm_clashes(this.state);
  }

  get overflows() {
    return this.c.mm_overflows(this.state);
  }
}

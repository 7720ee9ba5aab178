// The C runtime of the adapter, compiled to WebAssembly, together with the machine that scans, in one simulated time.

const TICK_US = 100;
const NEVER = 0xffff;

/** Tables and keys in, contacts and typed text out. Times are microseconds from the start. */
class Engine {
  constructor(exports) {
    this.c = exports;
    this.memory = () => new Uint8Array(exports.memory.buffer);
    this.state = exports.page_state();
    this.down = new Set();
    this.time = 0;
    this.due = Infinity;
    this.onCommand = () => {};
  }

  /** Takes a layout: with `fresh` the adapter starts anew, else it changes at once as the firmware would. */
  use(machine, table, both, fresh, onPress) {
    const at = this.c.page_free_table();
    this.memory().set(table, at);
    const take = fresh ? this.c.mm_init : this.c.mm_change_layout;
    if (!take(this.state, at, table.length)) throw new Error("the runtime refuses the table");
    if (fresh) this.down.clear();
    if (fresh || machine !== this.machine) {
      this.scanner = new Scanner(machine, both, onPress);
      this.scanner.skipTo(this.time);
    }
    this.scanner.both = both;
    this.machine = machine;
    this.both = both;
    this.settle();
  }

  /** The set of usages now down, at a time. */
  feed(usages, time) {
    this.advance(time);
    this.down = new Set(usages);
    const bits = new Uint8Array(32);
    for (const usage of this.down) bits[usage >> 3] |= 1 << (usage & 7);
    this.memory().set(bits, this.c.page_down());
    const result = this.c.mm_usages(this.state, 0, this.c.page_down());
    this.settle();
    return result;
  }

  /** Lets time pass: the runtime whenever it asks to be called, the machine whenever it reads a line. */
  advance(time) {
    for (;;) {
      if (this.due === Infinity && this.closed.length === 0 && this.scanner.settled) this.scanner.skipTo(time);
      const next = Math.min(this.due, this.scanner.due);
      if (next > time) break;
      this.time = Math.max(this.time, next);
      if (this.due <= next) this.settle();
      else this.scanner.readLine(this.masks, this.direct);
    }
    this.time = Math.max(this.time, time);
  }

  /** Calls mm_advance until it asks for a later time; then the masks are those of now. */
  settle() {
    const now = Math.floor(this.time / TICK_US) & 0xffff;
    let wait;
    do wait = this.c.mm_advance(this.state, now) & 0xffff; while (wait === 0);
    this.due = wait === NEVER ? Infinity : (Math.floor(this.time / TICK_US) + wait) * TICK_US;
    this.masks = this.machine.select.map((_, line) => this.c.mm_select_mask(this.state, line) & 0xffff);
    this.direct = this.c.mm_direct_mask(this.state) & 0xff;
    this.closed = contactsOf(this.machine, this.masks, this.direct);
    while (this.c.mm_take_command(this.state, this.c.page_command())) {
      this.onCommand(this.memory()[this.c.page_command()]);
    }
  }

  /** Crosspoints that the machine reads closed though no switch there is. */
  get phantoms() {
    const closed = new Set(this.closed);
    return contactsOf(this.machine, readMatrix(this.masks, this.both), 0).filter((contact) => !closed.has(contact));
  }

  /** Whether anything is still to happen without a further key. */
  get busy() {
    return this.due !== Infinity || !this.scanner.settled;
  }

  /** Whether adapter and machine have come to rest, keys that are held down included. */
  get steady() {
    const { changing, line, read } = this.scanner;
    const now = contactsOf(this.machine, readMatrix(this.masks, this.both), this.direct);
    return this.due === Infinity && line === 0 && changing.size === 0 && String(read) === String(now);
  }

  get leds() {
    return this.c.mm_leds(this.state);
  }

  get caps() {
    return this.c.page_caps() !== 0;
  }

  get refusals() {
    return this.c.mm_refusals(this.state);
  }

  get overflows() {
    return this.c.mm_overflows(this.state);
  }
}

// What the machine reads: the circuit of the matrix, and the scan that counts equal samples.
// The same rules as matrixmap/circuit/reading.py and matrixmap/simulate/scan.py; the tests hold them equal.

/** For each strobed select line the mask of sense lines that read closed. `both`: contacts conduct both ways; `pulls` are low besides. */
function readMatrix(closed, both, pulls = []) {
  const own = closed.map((mask, select) => mask | (pulls[select] ?? 0));
  if (!both) return own;
  return own.map((low, select) => {
    let senses = low, waiting = low, passed = 1 << select;
    while (waiting) {
      const sense = waiting & -waiting;
      waiting &= waiting - 1;
      closed.forEach((other, index) => {
        if (!(passed >> index & 1) && other & sense) {
          passed |= 1 << index;
          waiting |= other & ~senses;
          senses |= other;
        }
      });
    }
    return senses;
  });
}

/** Contact numbers in masks of select lines and of the direct lines. */
function contactsOf(machine, masks, direct) {
  const found = [];
  masks.forEach((mask, select) => {
    for (let sense = 0; sense < machine.sense.length; sense++) {
      if (mask >> sense & 1) found.push(select * machine.sense.length + sense);
    }
  });
  machine.direct.forEach((_, line) => {
    if (direct >> line & 1) found.push(machine.select.length * machine.sense.length + line);
  });
  return found;
}

/** The scanning machine: fed with the contacts at the moment of each reading, it tells each press that it reads. */
class Scanner {
  constructor(machine, both, onPress) {
    this.machine = machine;
    this.both = both;
    this.onPress = onPress;
    this.modifiers = new Map();
    for (const [name, keys] of machine.modifiers) {
      for (const key of keys) this.modifiers.set(machine.contact.get(key), name);
    }
    this.step = machine.scan.sweep / machine.select.length;
    this.start = 0;
    this.line = 0;
    this.masks = [];
    this.direct = 0;
    this.down = new Set();
    this.changing = new Map();
    this.found = { current: -1, candidate: -1, count: 0 };
    this.read = [];
  }

  /** Microseconds at which the next line is read. */
  get due() {
    return this.start + this.line * this.step;
  }

  /** Microseconds at which the last line of this scan is read. */
  get end() {
    return this.start + (this.machine.select.length - 1) * this.step;
  }

  /** Whether nothing is pressed or being counted, so that scans of open contacts change nothing. */
  get settled() {
    const idle = this.line === 0 && this.read.length === 0 && this.found.current < 0;
    return idle && this.down.size === 0 && this.changing.size === 0;
  }

  /** Leaves out the scans before a moment. */
  skipTo(time) {
    const period = this.machine.scan.period;
    if (time > this.start) this.start += Math.ceil((time - this.start) / period) * period;
  }

  /** Reads the line that is due. The last one ends the scan, and the direct lines are read with it. */
  readLine(closed, direct, pulls = []) {
    this.masks[this.line] = readMatrix(closed, this.both, pulls)[this.line];
    this.line += 1;
    if (this.line < this.machine.select.length) return;
    const before = this.read;
    this.direct = direct;
    this.read = contactsOf(this.machine, this.masks, direct);
    if (this.machine.scan.whole && this.read.join() !== before.join()) {
      // Only scans that are equal in all contacts count.
      this.changing.clear();
      this.found.count = 0;
    }
    this.line = 0;
    this.start += this.machine.scan.period;
    let keys = this.read.filter((contact) => !this.modifiers.has(contact));
    if (!keys.length) keys = this.acting();
    const { rollover, more_keys } = this.machine.scan;
    if (rollover === 1 && more_keys === "first") this.judgeFirst(keys);
    else this.judgeEach(this.among(keys));
  }

  /** What a scan finds of more crosspoints than the rollover: the first of them or none, where the machine does not ignore it. */
  among(keys) {
    const { rollover, more_keys } = this.machine.scan;
    const inside = keys.filter((contact) => !this.isDirect(contact));
    if (rollover === null || inside.length <= rollover || more_keys === "kept") return keys;
    const found = more_keys === "first" ? inside.slice(0, rollover) : [];
    return [...found, ...keys.filter((contact) => this.isDirect(contact))];
  }

  /** Whether one key more is no more than the machine holds at once. */
  hasRoom(contact) {
    const { rollover } = this.machine.scan;
    return rollover === null || this.isDirect(contact) || [...this.down].filter((other) => !this.isDirect(other)).length < rollover;
  }

  isDirect(contact) {
    return contact >= this.machine.select.length * this.machine.sense.length;
  }

  /** Each key counts its own equal scans; crosspoints do not in a scan that finds more of them than the rollover. */
  judgeEach(keys) {
    const { rollover } = this.machine.scan;
    const ignored = rollover !== null && keys.filter((contact) => !this.isDirect(contact)).length > rollover;
    const counts = (contact) => !ignored || this.isDirect(contact);
    const now = new Set(keys.filter(counts));
    const differing = [...now].filter((contact) => !this.down.has(contact));
    differing.push(...[...this.down].filter((contact) => !now.has(contact) && counts(contact)));
    this.count(differing.sort((a, b) => a - b), now, counts);
  }

  /** Counts the scans that differ from what is down; the counts of contacts that did not count are kept. */
  count(differing, now, counts) {
    const { samples_down, samples_up } = this.machine.scan;
    const kept = new Map([...this.changing].filter(([contact]) => !counts(contact)));
    const certain = [];
    for (const contact of differing) {
      const scans = (this.changing.get(contact) || 0) + 1;
      if (scans < (now.has(contact) ? samples_down : samples_up)) kept.set(contact, scans);
      else if (now.has(contact)) certain.push([contact, scans]);
      else this.down.delete(contact);
    }
    // A release makes room for a press of the same scan.
    for (const [contact, scans] of certain) {
      if (this.hasRoom(contact)) {
        this.down.add(contact);
        this.press(contact);
      } else {
        kept.set(contact, scans);
      }
    }
    this.changing = kept;
  }

  /** The scan ends at the first closed key and counts equal scans of what it found, or of nothing; direct lines apart. */
  judgeFirst(keys) {
    const { samples_down, samples_up } = this.machine.scan;
    const inside = keys.filter((contact) => !this.isDirect(contact));
    const found = inside.length ? inside[0] : -1;
    this.found.count = found === this.found.candidate ? this.found.count + 1 : 1;
    this.found.candidate = found;
    if (found !== this.found.current && this.found.count >= (found >= 0 ? samples_down : samples_up)) {
      this.found.current = found;
      if (found >= 0) this.press(found);
    }
    this.judgeEach(keys.filter((contact) => this.isDirect(contact)));
  }

  /** The modifier's key that types something while nothing but modifiers is read: a list of it, mostly empty. */
  acting() {
    const held = new Set(this.read.map((other) => this.modifiers.get(other)));
    for (const contact of this.read) {
      const key = this.machine.byContact.get(contact);
      const others = new Set([...held].filter((name) => name !== this.modifiers.get(contact)));
      const state = key ? [...key.selectors].filter((name) => others.has(name)) : [];
      if (state.length && typesIn(this.machine, key, others) !== null) return [contact];
    }
    return [];
  }

  press(contact) {
    const held = new Set(this.read.map((other) => this.modifiers.get(other)).filter(Boolean));
    const key = this.machine.byContact.get(contact);
    this.onPress({ contact, key, state: stateName(this.machine, held), types: key ? typesIn(this.machine, key, held) : null });
  }
}

/** A shift state in words, in the order of the machine's modifiers. */
function stateName(machine, held) {
  return machine.modifiers.map(([name]) => name).filter((name) => held.has(name)).join(" + ") || "plain";
}

/** What a key types while modifiers are held; only those that make a difference to it count. */
function typesIn(machine, key, held) {
  const text = key.types[stateName(machine, new Set([...held].filter((name) => key.selectors.has(name))))];
  return text === undefined ? null : text;
}

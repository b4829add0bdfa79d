// The rules of the bench written a second time, as statements about a whole record: slow, plain, and blind to the machine under test.
import { type Gate, gatesFor, judgeGate, type SafetyFacts } from '../../src/safety/index.ts';
import type { SafetyEntry } from '../../src/session/index.ts';

const MINUTE = 60_000;
const time = (entry: SafetyEntry) => Date.parse(entry.at);

const GATES = new WeakMap<SafetyFacts, ReadonlyMap<string, Gate>>();

function gatesOf(facts: SafetyFacts): ReadonlyMap<string, Gate> {
  const known = GATES.get(facts) ?? new Map(gatesFor(facts).map((gate) => [gate.id as string, gate]));
  GATES.set(facts, known);
  return known;
}

export class Oracle {
  readonly log: readonly SafetyEntry[];
  readonly now: number;
  readonly #facts: SafetyFacts;
  readonly #gates: ReadonlyMap<string, Gate>;

  constructor(log: readonly SafetyEntry[], now: number, facts: SafetyFacts) {
    this.log = log;
    this.now = now;
    this.#facts = facts;
    this.#gates = gatesOf(facts);
  }

  /** True if this entry is a passing answer to that gate. */
  passes(entry: SafetyEntry | undefined, id: string): boolean {
    if (entry?.type !== 'gate' || entry.gate !== id) return false;
    const gate = this.#gates.get(id);
    return gate !== undefined && judgeGate(gate, entry.value).pass;
  }

  lastIndex(match: (entry: SafetyEntry) => boolean): number {
    return this.log.findLastIndex(match);
  }

  /** Index of the latest answer to a gate if it passed, else -1. */
  answered(id: string): number {
    const index = this.lastIndex((entry) => entry.type === 'gate' && entry.gate === id);
    return this.passes(this.log[index], id) ? index : -1;
  }

  /** The last entry that says whether the set is on. */
  live(): 'isolated-limited' | 'isolated-full' | undefined {
    const entry = this.log.findLast(
      (each) =>
        each.type === 'powered-up' ||
        each.type === 'powered-off' ||
        each.type === 'resumed' ||
        (each.type === 'touched' && each.what === 'plug'),
    );
    return entry?.type === 'powered-up' ? entry.to : undefined;
  }

  /** Unplugged is said, and nothing since makes it doubtful. */
  unplugged(): boolean {
    const said = this.lastIndex((entry) => entry.type === 'powered-off' || this.passes(entry, 'plug-pulled'));
    const doubt = this.lastIndex(
      (entry) =>
        entry.type === 'powered-up' ||
        entry.type === 'resumed' ||
        (entry.type === 'touched' && (entry.what === 'plug' || entry.what === 'left-bench')) ||
        (entry.type === 'gate' && entry.gate === 'plug-pulled' && !this.passes(entry, 'plug-pulled')),
    );
    return said > doubt && this.live() === undefined;
  }

  /** Index of the last entry that is more than a minute older than the one before it: no age before it can be trusted. -1 if none. */
  clockBack(): number {
    return this.log.findLastIndex((entry, index) => {
      const before = this.log[index - 1];
      return before !== undefined && time(entry) < time(before) - MINUTE;
    });
  }

  /** Every statement that "proven dead" makes about the record. Returns what is not true, or ''. */
  notDead(zeros: readonly string[]): string {
    if (!this.unplugged()) return 'not unplugged';
    const power = Math.max(
      this.clockBack() - 1,
      this.lastIndex(
        (entry) =>
          entry.type === 'powered-up' ||
          entry.type === 'powered-off' ||
          entry.type === 'resumed' ||
          (entry.type === 'touched' && (entry.what === 'plug' || entry.what === 'left-bench')),
      ),
    );
    const injected = this.lastIndex(
      (entry) =>
        (entry.type === 'touched' && entry.what === 'injected') ||
        (entry.type === 'check' && entry.check === 'leakage'),
    );
    const anode = this.lastIndex((entry) => entry.type === 'touched' && entry.what === 'anode-lead');
    for (const id of ['plug-pulled', 'eye-protection', 'meter-before', 'meter-after', ...zeros]) {
      if (this.answered(id) <= power) return `${id} not answered since power, absence or resume`;
    }
    // A proof of the meter that failed, or a zero that came back charged, makes every reading before it worthless.
    const worthless = Math.max(
      power,
      this.refuted('meter-before'),
      this.refuted('meter-after'),
      this.refuted('still-cold'),
    );
    const firstMeter = this.log.findIndex(
      (entry, index) => index > worthless && this.passes(entry, 'meter-before'),
    );
    if (firstMeter === -1) return 'meter not proven since it failed';
    const lastMeter = this.answered('meter-after');
    for (const id of zeros) {
      if (this.answered(id) < firstMeter) return `${id} read before the meter was proven`;
      if (id === 'electrolytics' || id === 'boost-capacitor') {
        if (this.answered(id) < injected) return `${id} not read since charge was put in`;
      }
    }
    for (const id of zeros) {
      const refuted = this.refuted(id);
      const put = id === 'electrolytics' || id === 'boost-capacitor' ? injected : anode;
      // What was read with a meter that nobody had proven is no reading.
      const since = Math.max(power, refuted, put, firstMeter);
      const read = this.log.findIndex((entry, index) => index > since && this.passes(entry, id));
      if (read === -1 || read > lastMeter) return `${id} read after the meter was last proven`;
    }
    if (lastMeter < injected) return 'meter not proven since charge was put in';
    if (
      injected > power &&
      this.answered('anode-third') < injected &&
      this.answered('anode-second') < injected
    ) {
      return 'anode not read since charge was put in';
    }
    const [one, two] = [
      this.log.findIndex((e, i) => i > Math.max(power, anode, firstMeter) && this.passes(e, 'anode-first')),
      this.answered('anode-second'),
    ];
    const [first, second] = [this.log[one], this.log[two]];
    if (first === undefined || second === undefined || two < anode)
      return 'anode not read twice since its lead was touched';
    if (time(second) - time(first) < 5 * MINUTE) return 'second anode reading too early';
    const zero = this.log.findLast((entry) =>
      [...zeros, 'anode-third', 'still-cold'].some((id) => this.passes(entry, id)),
    );
    if (zero === undefined || this.now - time(zero) > 30 * MINUTE)
      return 'last zero reading over 30 minutes old';
    for (const id of ['electrolytics', 'boost-capacitor']) {
      const read = this.log[this.answered(id)];
      if (read === undefined || this.now - time(read) > 120 * MINUTE)
        return `${id} really read over two hours ago`;
    }
    return '';
  }

  /** The anode was read again right before hands go to lead, neck or yoke: ten minutes after its second discharge at most, thirty after a third. */
  notAtAnode(): string {
    const charged = Math.max(...['anode-first', 'anode-second', 'anode-third'].map((id) => this.refuted(id)));
    const young = (id: string, minutes: number) => {
      const entry = this.log[this.answered(id)];
      return this.answered(id) > charged && entry !== undefined && this.now - time(entry) <= minutes * MINUTE;
    };
    return young('anode-third', 30) || young('anode-second', 10) ? '' : 'anode not read right before';
  }

  /** Chassis read on AC and DC since power came on (or somebody was away), and every reading since then harmless. */
  notIsolated(): string {
    const on = this.live();
    if (on === undefined) return 'not live';
    const since = this.lastIndex(
      (entry) => entry.type === 'powered-up' || (entry.type === 'touched' && entry.what === 'left-bench'),
    );
    const up = this.lastIndex((entry) => entry.type === 'powered-up');
    for (const id of ['chassis-ac', 'chassis-dc']) {
      if (this.answered(id) < since) return `${id} not read`;
      const read = this.log.slice(this.answered(id));
      const quiet = read.some((entry, n) => {
        const next = read[n + 1];
        return (next === undefined ? this.now : time(next)) - time(entry) > 90 * MINUTE;
      });
      if (quiet) return `${id} read before an hour and a half of silence`;
    }
    const start = this.lastIndex((entry) => entry.type === 'powered-off');
    for (const [index, entry] of this.log.entries()) {
      if (index <= start) continue;
      if (
        entry.type === 'gate' &&
        entry.gate.startsWith('chassis') &&
        entry.value.kind !== 'choice' &&
        !this.passes(entry, entry.gate) &&
        index > this.firstUp(start)
      ) {
        return 'chassis read hot';
      }
      if (
        entry.type === 'check' &&
        entry.check === 'full' &&
        entry.value.kind === 'number' &&
        entry.value.value > 400 &&
        index > this.firstUp(start)
      ) {
        return 'dangerous reading';
      }
      if (entry.type === 'touched' && entry.what === 'anode-lead' && index > this.firstUp(start))
        return 'anode touched live';
    }
    // What smoked or read too high on the running set was explained before power came on again.
    for (const [index, entry] of this.log.entries()) {
      if (index > up || new Oracle(this.log.slice(0, index), time(entry), this.#facts).live() === undefined)
        continue;
      const dangerous =
        (entry.type === 'check' &&
          entry.check === 'full' &&
          entry.value.kind === 'number' &&
          entry.value.value > 400) ||
        (entry.type === 'gate' &&
          entry.gate.startsWith('chassis') &&
          entry.value.kind !== 'choice' &&
          !this.passes(entry, entry.gate));
      if (!dangerous) continue;
      if (!this.log.some((each, at) => at > index && at < up && this.passes(each, 'cause-found')))
        return 'powered again without its cause';
    }
    // Bridged for full line, the lamp is put back before it is counted on.
    const bridged = this.log.findLastIndex((entry, at) => at < up && this.passes(entry, 'lamp-bypassed'));
    const last = this.log[up];
    if (
      last?.type === 'powered-up' &&
      last.to === 'isolated-limited' &&
      !this.log.some((entry, at) => at > bridged && at < up && this.passes(entry, 'lamp-choice'))
    )
      return 'on a lamp that was bridged';
    const bench = [
      'isolation-poles',
      'isolation-ohms',
      'isolation-size',
      'bench-fuse',
      'coating-ground',
      'nothing-earthed',
      'all-plugged',
      'links-removed',
    ];
    for (const id of bench) {
      if (this.log.findIndex((entry, index) => index < up && this.passes(entry, id)) === -1)
        return `${id} never proven`;
    }
    // Hands went to the coating and to the cap of the output tube right after the anode was read.
    for (const id of ['coating-ground']) {
      const right = this.log.some(
        (entry, index) =>
          index < up &&
          this.passes(entry, id) &&
          new Oracle(this.log.slice(0, index), time(entry), this.#facts).notAtAnode() === '',
      );
      if (!right) return `${id} proven long after the anode was read`;
    }
    return '';
  }

  /** Switched off out of turn while it ran, and nobody has said since that it was for nothing. */
  notExplained(): string {
    let open = false;
    for (const [index, entry] of this.log.entries()) {
      if (entry.type === 'powered-off' && entry.outOfTurn) {
        const before = new Oracle(this.log.slice(0, index), time(entry), this.#facts);
        if (before.live() !== undefined) open = true;
      }
      // Left running, and come back to.
      if (
        entry.type === 'resumed' &&
        new Oracle(this.log.slice(0, index), time(entry), this.#facts).live() !== undefined
      )
        open = true;
      if (this.passes(entry, 'why-off') || this.passes(entry, 'cause-found')) open = false;
    }
    return open ? 'switched off out of turn, and nobody said why' : '';
  }

  /** On the lamp for the whole table once (16 min or more here, by the lamp), for a minute each time after it, before full line is said to be ready. */
  notBroughtUp(): string {
    let since: number | undefined;
    let once = false;
    let ready = false;
    for (const [index, entry] of this.log.entries()) {
      if (entry.type === 'powered-up') since = entry.to === 'isolated-limited' ? time(entry) : undefined;
      if (entry.type === 'powered-off' || entry.type === 'resumed') since = undefined;
      if (entry.type === 'resumed') ready = false;
      if (entry.type !== 'gate' || entry.gate !== 'bring-up-finished') continue;
      const said = this.passes(this.log[index], 'bring-up-finished');
      if (!said) {
        once = false;
        ready = false;
      } else if (since !== undefined && time(entry) - since >= (once ? 1 : 15) * MINUTE) {
        once = true;
        ready = true;
      }
    }
    return ready ? '' : 'no bring-up, or not held';
  }

  /** Index of the latest failing or withdrawn answer to a gate, or -1. */
  refuted(id: string): number {
    return this.lastIndex((entry) => entry.type === 'gate' && entry.gate === id && !this.passes(entry, id));
  }

  /** How the horizontal stage stands by the last word on it. */
  horizontal(): 'enabled' | 'disabled' | 'unknown' {
    const entry = this.log.findLast(
      (each) =>
        (each.type === 'configured' && each.item === 'horizontal') ||
        (each.type === 'gate' && each.gate === 'horizontal-disabled'),
    );
    if (entry?.type === 'gate') return this.passes(entry, 'horizontal-disabled') ? 'disabled' : 'unknown';
    return entry?.type === 'configured' && entry.value === 'enabled' ? 'enabled' : 'disabled';
  }

  /** The lead of the signal source was said to be fitted, at a set proven dead, and nothing since makes that doubtful. */
  leadFitted(zeros: readonly string[]): boolean {
    const said = this.lastIndex((entry) => entry.type === 'configured' && entry.item === 'signal-lead');
    const entry = this.log[said];
    if (entry?.type !== 'configured' || entry.value !== 'fitted') return false;
    if (new Oracle(this.log.slice(0, said), time(entry), this.#facts).notDead(zeros) !== '') return false;
    const doubt = this.lastIndex(
      (each) =>
        each.type === 'resumed' ||
        (each.type === 'touched' && (each.what === 'plug' || each.what === 'left-bench')) ||
        (each.type === 'gate' && each.gate === 'nothing-earthed' && !this.passes(each, 'nothing-earthed')),
    );
    return said > doubt;
  }

  /** Somebody spoke of a lead or of a signal, and it was not said to be off since, plug out. */
  leadMayBeOn(): boolean {
    const on = this.lastIndex(
      (entry) =>
        entry.type === 'configured' &&
        ((entry.item === 'signal-lead' && entry.value !== 'off') ||
          (entry.item === 'signal' && entry.value === 'applied')),
    );
    const off = this.log.findLastIndex(
      (entry, index) =>
        entry.type === 'configured' &&
        entry.item === 'signal-lead' &&
        entry.value === 'off' &&
        new Oracle(this.log.slice(0, index), time(entry), this.#facts).unplugged(),
    );
    return on > off;
  }

  linkOn(): boolean {
    const on = new Set<string>();
    for (const entry of this.log) {
      if (entry.type === 'link-fitted') on.add(entry.what);
      if (entry.type === 'link-removed') on.delete(entry.what);
    }
    return on.size > 0;
  }

  private firstUp(after: number): number {
    const index = this.log.findIndex((entry, at) => at > after && entry.type === 'powered-up');
    return index === -1 ? Number.POSITIVE_INFINITY : index;
  }
}

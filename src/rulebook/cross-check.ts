// Cross-checks a rulebook as a whole: ids that point nowhere, loops, reads on things that do not exist, parts nobody can see.
import { isLiveCheck } from './live.ts';
import { nearest } from './nearest.ts';
import type { Check, Condition, Rulebook } from './types.ts';

/** A finding about one id; the loader adds file and line. */
export interface Finding {
  readonly section: string;
  readonly path: readonly string[];
  readonly message: string;
  readonly fix: string;
  readonly severity: 'error' | 'warning';
}

/** Facts that are not asked at intake but always known. */
const BUILT_IN_FACTS = [
  'family',
  'standard',
  'storage',
  'restored',
  'heaters',
  'topology',
  'chassis',
  'power-transformer',
  'mains',
];
/** Quantities that are nothing where a set is dead. */
const VOLTS: ReadonlySet<string> = new Set(['dc-volts', 'ac-volts', 'pp-volts', 'hv-volts']);
/** Words of an answer, or of what it means, that forbid power or the running stage: they must come with a stop, or they are only words. */
const FORBIDS =
  /not to be (powered|plugged)|do not power|(before|no) (any |first |heater )?power\b|before (the (first )?run|the stage runs|HV is up|anything is (enabled|powered))|no further runs/i;
const POWER_STEPS = ['power-limited', 'power-full', 'horizontal-enabled'];

/** Every finding about `book`; an error makes the pack unusable, a warning is for whoever writes it. */
export function crossCheck(book: Rulebook): Finding[] {
  const findings: Finding[] = [];
  const signals = new Map(book.signals.map((s) => [s.id, s]));
  const parts = new Map(book.parts.map((p) => [p.id, p]));
  const checks = new Map(book.checks.map((c) => [c.id, c]));
  const has = {
    phase: new Set(book.phases.map((p) => p.id)),
    instrument: new Set(book.instruments.map((i) => i.id)),
    caution: new Set(Object.keys(book.cautions)),
    kind: new Set(book.kinds.map((k) => k.id)),
    assembly: new Set(book.assemblies.map((a) => a.id)),
    fact: new Set([...book.facts.map((f) => f.id), ...BUILT_IN_FACTS]),
    familyValue: new Set(book.families.flatMap((f) => Object.keys(f.values))),
  };
  const error = (section: string, path: string[], message: string, fix: string): void => {
    findings.push({ section, path, message, fix, severity: 'error' });
  };
  const warn = (section: string, path: string[], message: string, fix: string): void => {
    findings.push({ section, path, message, fix, severity: 'warning' });
  };
  const unknown = (what: string, id: string, known: Iterable<string>): string => {
    const near = nearest(id, known);
    return `unknown ${what} "${id}"${near ? `; did you mean "${near}"?` : ''}`;
  };
  const condition = (section: string, path: string[], when: Condition | undefined): void => {
    for (const [fact, wanted] of Object.entries(when ?? {})) {
      if (!has.fact.has(fact))
        error(
          section,
          [...path, 'when', fact],
          unknown('fact', fact, has.fact),
          'use a fact of pack.yaml or of the families',
        );
      const values = book.facts.find((f) => f.id === fact)?.values.map((v) => v.id);
      for (const value of values ? wanted : []) {
        if (values && !values.includes(value))
          error(
            section,
            [...path, 'when', fact],
            unknown(`value of ${fact}`, value, values),
            `one of ${values.join(', ')}`,
          );
      }
    }
  };

  for (const signal of book.signals) {
    const path = ['signals', signal.id];
    for (const id of signal.shownBy)
      if (!signals.has(id))
        error(signal.section, [...path, 'shown-by'], unknown('signal', id, signals.keys()), 'name a signal');
    condition(signal.section, path, signal.when);
    for (const input of signal.inputs) {
      if (!signals.has(input.signal))
        error(
          signal.section,
          [...path, 'inputs'],
          unknown('signal', input.signal, signals.keys()),
          'name a signal of some section',
        );
      condition(signal.section, path, input.when);
    }
    const leaks = Object.values(signal.leak).reduce((a, b) => a + (b ?? 0), 0);
    if (leaks <= 0)
      error(
        signal.section,
        [...path, 'leak'],
        'the leak is zero',
        'leave 0.002 to 0.005 for a cause that is not in the rules',
      );
  }
  for (const cycle of findCycles(book)) {
    const first = cycle[0] ?? '';
    error(
      signals.get(first)?.section ?? '',
      ['signals', first],
      `signals form a loop: ${cycle.join(' <- ')}`,
      'cut it by start-up order: a signal before and one after',
    );
  }

  const read = new Set(book.checks.flatMap((c) => c.reads.map((r) => r.part ?? '')));
  for (const part of book.parts) {
    const name = part.id.slice(part.section.length + 1);
    const path = ['parts', name];
    condition(part.section, path, part.when);
    if (!has.kind.has(part.kind))
      error(
        part.section,
        [...path, 'kind'],
        unknown('part kind', part.kind, has.kind),
        'use a kind of priors.yaml',
      );
    if (part.assembly && !has.assembly.has(part.assembly))
      error(
        part.section,
        [...path, 'assembly'],
        unknown('assembly', part.assembly, has.assembly),
        'use an assembly of pack.yaml',
      );
    if (part.faults.length === 0)
      error(part.section, path, 'the part has no fault', 'give it at least one mode');
    const total = part.faults.reduce((sum, f) => sum + f.prior.none, 0);
    if (total > 0.95)
      error(
        part.section,
        [...path, 'faults'],
        `the modes add up to ${total.toFixed(2)}`,
        'keep the sum of exclusive modes under 0.95',
      );
    const reached = new Set<string>();
    for (const fault of part.faults) {
      for (const signal of Object.keys(fault.effects)) {
        reached.add(signal);
        if (!signals.has(signal))
          error(
            part.section,
            [...path, 'faults', fault.id, 'effects'],
            unknown('signal', signal, signals.keys()),
            'name a signal of some section',
          );
      }
      for (const fact of Object.keys(fault.factors))
        if (!has.fact.has(fact))
          error(
            part.section,
            [...path, 'faults', fault.id, 'factors'],
            unknown('fact', fact, has.fact),
            'use a fact of pack.yaml',
          );
    }
    if (reached.size > 4)
      warn(
        part.section,
        path,
        `its faults reach ${reached.size} signals`,
        'keep effects local: let the rest follow through a signal',
      );
    if (reached.size === 0 && !read.has(part.id))
      warn(
        part.section,
        path,
        'nothing can see this part: no effect on a signal and no check reads it',
        'add an effect or a check',
      );
  }

  for (const check of book.checks) checkOne(check);
  function checkOne(check: Check): void {
    const path = ['checks', check.id];
    condition(check.section, path, check.when);
    if (!has.phase.has(check.phase))
      error(
        check.section,
        [...path, 'phase'],
        unknown('phase', check.phase, has.phase),
        'use a phase of pack.yaml',
      );
    for (const need of check.needs)
      if (!has.instrument.has(need))
        error(
          check.section,
          [...path, 'needs'],
          unknown('instrument', need, has.instrument),
          'use an instrument of pack.yaml',
        );
    for (const caution of check.cautions)
      if (!has.caution.has(caution))
        error(
          check.section,
          [...path, 'cautions'],
          unknown('caution', caution, has.caution),
          'use a caution of pack.yaml',
        );
    for (const id of check.shownBy)
      if (!signals.has(id))
        error(check.section, [...path, 'shown-by'], unknown('signal', id, signals.keys()), 'name a signal');
    for (const other of check.before)
      if (!POWER_STEPS.includes(other) && !checks.has(other))
        error(
          check.section,
          [...path, 'before'],
          unknown('check or power step', other, [...POWER_STEPS, ...checks.keys()]),
          'name a check or a power step',
        );
    for (const other of check.after)
      if (!checks.has(other))
        error(check.section, [...path, 'after'], unknown('check', other, checks.keys()), 'name a check');
    if (check.expect && 'family' in check.expect && !has.familyValue.has(check.expect.family))
      error(
        check.section,
        [...path, 'expect'],
        unknown('family value', check.expect.family, has.familyValue),
        'add it to the families',
      );
    if (check.expect?.from === 'family' && !has.familyValue.has(check.expect.value))
      error(
        check.section,
        [...path, 'expect'],
        unknown('family value', check.expect.value, has.familyValue),
        'add it to the families',
      );
    const options = new Set(check.options.map((o) => o.id));
    if (check.kind === 'choice' && options.size < 2)
      error(check.section, [...path, 'options'], 'a choice needs at least two options', 'add options');
    if (check.kind === 'pair' && !check.combine)
      error(
        check.section,
        path,
        'a pair needs combine: ratio or difference',
        'say how two values become one',
      );
    if (check.combine === 'ratio' && VOLTS.has(check.quantity) && check.pairLeast === undefined)
      error(
        check.section,
        path,
        'a ratio of volts needs pair-least: two dead halves are not two equal ones',
        'give the volts under which, both of them, nothing arrives',
      );
    for (const part of check.options.flatMap((one) => one.renewed ?? []))
      if (!parts.has(part))
        error(
          check.section,
          [...path, 'options'],
          unknown('part', part, parts.keys()),
          'name a part as section.part',
        );
    for (const one of check.options)
      if (
        FORBIDS.test(`${one.say} ${check.meaning[one.id] ?? ''}`) &&
        !isLiveCheck(check) &&
        !check.stop.some((rule) => rule.option === one.id)
      )
        error(
          check.section,
          [...path, 'options'],
          `"${one.title}" says that the set, or its stage, is not run, and nothing keeps it off`,
          `add a stop for the option "${one.id}"`,
        );
    if (isLiveCheck(check) && check.cautions.length === 0)
      warn(check.section, path, 'a live check without a caution', 'name the cautions that matter here');
    check.reads.forEach((one, n) => {
      const at = [...path, 'reads', String(n)];
      const states = new Set<string>(
        one.part
          ? ['ok', ...(parts.get(one.part)?.faults.map((f) => f.id) ?? [])]
          : ['normal', 'high', 'low', 'absent'],
      );
      if (one.signal && !signals.has(one.signal))
        error(check.section, at, unknown('signal', one.signal, signals.keys()), 'name a signal');
      if (one.part && !parts.has(one.part)) {
        error(check.section, at, unknown('part', one.part, parts.keys()), 'name a part as section.part');
        return;
      }
      if (one.scale === 'ratio' && !check.expect)
        error(check.section, at, 'a ratio needs an expected value', 'add expect:, or use scale: bound');
      if ((one.scale === 'choice') !== (check.kind === 'choice'))
        error(
          check.section,
          at,
          `scale ${one.scale} does not fit a check of kind ${check.kind}`,
          'choice goes with choice',
        );
      for (const state of [...Object.keys(one.bands), ...Object.keys(one.table)]) {
        if (!states.has(state))
          error(
            check.section,
            at,
            unknown(one.part ? 'fault' : 'level', state, states),
            `one of ${[...states].join(', ')}`,
          );
      }
      for (const [state, row] of Object.entries(one.table)) {
        for (const option of Object.keys(row))
          if (!options.has(option))
            error(check.section, at, unknown('option', option, options), `one of ${[...options].join(', ')}`);
        const sum = Object.values(row).reduce((a, b) => a + b, 0);
        if (sum > 1.02)
          error(
            check.section,
            at,
            `the chances under "${state}" add up to ${sum.toFixed(2)}`,
            'make them add up to 1',
          );
      }
    });
  }

  for (const assembly of book.assemblies) {
    const named = [
      ...assembly.ceilings.flatMap((ceiling) => [...ceiling.checks, ...ceiling.anyOf]),
      ...assembly.blamedAfter,
    ];
    for (const id of named)
      if (!checks.has(id))
        error('', ['assemblies', assembly.id], unknown('check', id, checks.keys()), 'name a check');
    if (!book.parts.some((p) => p.assembly === assembly.id))
      error('', ['assemblies', assembly.id], 'no part belongs to this assembly', 'give a part `assembly:`');
  }
  for (const symptom of book.symptoms) {
    for (const id of Object.keys(symptom.reads))
      if (!signals.has(id))
        error('', ['symptoms', symptom.id], unknown('signal', id, signals.keys()), 'name a signal');
  }
  for (const signal of book.signals) {
    const direct = book.checks.some((c) => c.reads.some((r) => r.signal === signal.id));
    if (!direct)
      warn(
        signal.section,
        ['signals', signal.id],
        'no check reads this signal',
        'add a check, or say in its text why it cannot be read',
      );
  }
  return findings;
}

/** Loops among signal inputs, each as the list of ids that lead round. */
function findCycles(book: Rulebook): string[][] {
  const inputs = new Map(book.signals.map((s) => [s.id, s.inputs.map((i) => i.signal)]));
  const state = new Map<string, 'open' | 'done'>();
  const found: string[][] = [];
  const walk = (id: string, path: string[]): void => {
    if (state.get(id) === 'done') return;
    if (state.get(id) === 'open') {
      found.push([...path.slice(path.indexOf(id)), id]);
      return;
    }
    state.set(id, 'open');
    for (const input of inputs.get(id) ?? []) walk(input, [...path, id]);
    state.set(id, 'done');
  };
  for (const id of inputs.keys()) walk(id, []);
  return found;
}

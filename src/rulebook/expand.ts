// Turns checked rule-pack files into the types that everyone reads, filling in what the files may leave out.
import type { FamilyFile, PriorsFile, SectionFile } from './schema.ts';
import type {
  Check,
  Condition,
  Family,
  Fault,
  Part,
  PartKind,
  Restored,
  Signal,
  SignalInput,
} from './types.ts';
import { unitFactor } from './units.ts';

/** `strong`: what is wrong upstream shows downstream; `gate`: needed to work at all, but a low input matters little. */
const INPUT_SHORTHANDS = {
  strong: { absent: { absent: 0.98 }, low: { low: 0.8 }, high: { high: 0.8 } },
  gate: { absent: { absent: 0.98 }, low: { low: 0.25 } },
} as const;

/** A prior for `unknown` earlier work lies between the two known columns. */
const UNKNOWN_SHARE = 0.6;

function column(none: number, recapped: number): Record<Restored, number> {
  return { none, recapped, unknown: UNKNOWN_SHARE * none + (1 - UNKNOWN_SHARE) * recapped };
}

export function expandKinds(file: PriorsFile): PartKind[] {
  return Object.entries(file.kinds).map(([id, kind]) => ({
    id,
    title: kind.title,
    aged: column(kind.aged, Math.min(1, kind.aged * kind['recapped-factor'])),
    modes: Object.fromEntries(
      Object.entries(kind.modes).map(([mode, p]) => [
        mode,
        column(p, Math.min(1, p * kind['recapped-factor'])),
      ]),
    ),
    replacement: kind.replacement,
    source: kind.source ?? file.source,
  }));
}

export function expandFamily(file: FamilyFile): Family {
  return {
    id: file.family,
    title: file.title,
    describe: file.describe,
    aliases: file.aliases,
    facts: file.facts,
    ratedVolts: file['rated-volts'],
    ratedWatts: file['rated-watts'],
    values: Object.fromEntries(
      Object.entries(file.values).map(([id, entry]) => {
        const { factor, base } = unitFactor(entry.unit) ?? { factor: 1, base: entry.unit };
        return [id, { ...entry, value: entry.value * factor, unit: base }];
      }),
    ),
    safety: file.safety,
    source: file.source,
  };
}

function expandInputs(inputs: SectionFile['signals'][string]['inputs']): SignalInput[] {
  const list: {
    signal: string;
    rows: SignalInput['rows'] | keyof typeof INPUT_SHORTHANDS;
    when?: Condition | undefined;
  }[] = Array.isArray(inputs) ? inputs : Object.entries(inputs).map(([signal, rows]) => ({ signal, rows }));
  return list.map(({ signal, rows, when }) => ({
    signal,
    rows: typeof rows === 'string' ? INPUT_SHORTHANDS[rows] : rows,
    ...(when ? { when } : {}),
  }));
}

export function expandSignals(file: SectionFile): Signal[] {
  return Object.entries(file.signals).map(([id, signal]) => ({
    id,
    section: file.section,
    title: signal.title,
    describe: signal.describe,
    outcome: signal.outcome,
    shownBy: signal['shown-by'],
    inputs: expandInputs(signal.inputs),
    leak: signal.leak,
    ...(signal.when ? { when: signal.when } : {}),
  }));
}

/** The prior of a fault: its own, or its kind's for the mode of that name; `undefined` if there is neither. */
function expandPrior(
  own: SectionFile['parts'][string]['faults'][string]['prior'],
  kind: PartKind | undefined,
  mode: string,
  recappedFactor: number,
): Record<Restored, number> | undefined {
  if (own === undefined) return kind?.modes[mode];
  if (typeof own === 'number') return column(own, Math.min(1, own * recappedFactor));
  const between = column(own.none, own.recapped);
  return { ...between, unknown: own.unknown ?? between.unknown };
}

function sharedOut(
  prior: Readonly<Record<Restored, number>>,
  share: Readonly<Record<Restored, number>>,
): Record<Restored, number> {
  return {
    none: prior.none * share.none,
    recapped: prior.recapped * share.recapped,
    unknown: prior.unknown * share.unknown,
  };
}

/** Parts of a section file; a fault that has no prior anywhere is reported through `missing`. */
export function expandParts(
  file: SectionFile,
  kinds: ReadonlyMap<string, PartKind>,
  factors: ReadonlyMap<string, number>,
  share: Readonly<Record<Restored, number>>,
  missing: (part: string, fault: string) => void,
): Part[] {
  return Object.entries(file.parts).map(([name, part]) => {
    const faults: Fault[] = [];
    for (const [id, fault] of Object.entries(part.faults)) {
      const prior = expandPrior(fault.prior, kinds.get(part.kind), id, factors.get(part.kind) ?? 1);
      if (!prior) {
        missing(name, id);
        continue;
      }
      faults.push({
        id,
        title: fault.title,
        prior: part.assembly ? prior : sharedOut(prior, share),
        factors: fault.factors,
        effects: fault.effects,
        source: fault.source ?? file.source,
      });
    }
    return {
      id: `${file.section}.${name}`,
      section: file.section,
      title: part.title,
      kind: part.kind,
      ...(part.assembly ? { assembly: part.assembly } : {}),
      ...(part.tube ? { tube: part.tube } : {}),
      ...(part.when ? { when: part.when } : {}),
      faults,
      remedy: part.remedy,
    };
  });
}

/** Checks of a section file, every number in base units (rule files write them in the check's own unit). */
export function expandChecks(file: SectionFile): Check[] {
  return Object.entries(file.checks).map(([id, check]) => {
    const {
      'pair-labels': pairLabels,
      'pair-least': pairLeast,
      'shown-by': shownBy,
      'source-ohms': sourceOhms,
      source,
      expect,
      combine,
      group,
      when,
      plausible,
      ...rest
    } = check;
    const factor = unitFactor(check.unit)?.factor ?? 1;
    // The ratio of a pair has no unit, whatever its two readings are in.
    const wanted = combine === 'ratio' ? 1 : factor;
    const scaled = (value: number | undefined): number | undefined =>
      value === undefined ? undefined : value * factor;
    return {
      ...rest,
      id,
      section: file.section,
      shownBy,
      sourceOhms,
      source: source ?? file.source,
      stop: rest.stop.map((rule) =>
        dropUndefined({ ...rule, above: scaled(rule.above), below: scaled(rule.below) }),
      ),
      reads: rest.reads.map((read) => dropUndefined(absolute(read.scale) ? inBaseUnits(read, factor) : read)),
      ...(pairLabels ? { pairLabels } : {}),
      ...(pairLeast === undefined ? {} : { pairLeast: pairLeast * factor }),
      ...(expect
        ? { expect: expect.from === 'constant' ? { ...expect, value: expect.value * wanted } : expect }
        : {}),
      ...(combine ? { combine } : {}),
      ...(group ? { group } : {}),
      ...(when ? { when } : {}),
      ...(plausible ? { plausible: [plausible[0] * factor, plausible[1] * factor] as const } : {}),
    };
  });
}

type RawRead = SectionFile['checks'][string]['reads'][number];

/** Scales whose bands are values, not ratios. */
function absolute(scale: RawRead['scale']): boolean {
  return scale === 'bound' || scale === 'difference';
}

function inBaseUnits(read: RawRead, factor: number): RawRead {
  const limit = (value: number | null): number | null => (value === null ? null : value * factor);
  const bands = Object.fromEntries(
    Object.entries(read.bands).map(([state, list]) => [
      state,
      list.map(([low, high]): [number | null, number | null] => [limit(low), limit(high)]),
    ]),
  );
  return { ...read, bands, spread: read.scale === 'difference' ? read.spread * factor : read.spread };
}

function dropUndefined<T extends object>(value: T): T {
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== undefined)) as T;
}

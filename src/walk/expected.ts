// The value that a check should show on this set, today: family, tube type, line voltage, meter, or printed service data, with the reasons in words.
import { lineCorrected, meterReading } from '../bench/index.ts';
import type { Expected } from '../diagnosis/types.ts';
import { isLiveCheck } from '../rulebook/live.ts';
import type { Check, Family, FamilyValue, Rulebook, SetFacts, TubeData } from '../rulebook/types.ts';
import { baseUnit, formatNumber } from '../session/index.ts';
import { bPlusRatio, reservoirRippleVolts, type Stages } from './supply-model.ts';

/** What an expectation is computed for. */
export interface Circumstances {
  readonly rulebook: Rulebook;
  readonly set: SetFacts;
  readonly family: Family;
  /** Facts of family and set together. */
  readonly facts: Readonly<Record<string, string>>;
  /** Volts at the set's plug when the reading is taken, V rms. */
  readonly lineVolts: number;
  /** Input resistance of the voltmeter, ohm. */
  readonly meterOhms: number;
}

type Draft = { value: number; spread: number; reasons: string[] };

/** Default input resistance by instrument, ohm (common practice: 10 Mohm digital; 20 kohm/V on a 500 V range). */
export const METER_OHMS: Readonly<Record<string, number>> = {
  dmm: 10e6,
  'true-rms-meter': 10e6,
  'analog-meter': 10e6,
};

/** Relative one-sigma error of an instrument's reading (common practice, no source). */
export const METER_SPREAD: Readonly<Record<string, number>> = {
  dmm: 0.01,
  'true-rms-meter': 0.01,
  'analog-meter': 0.03,
  'hv-probe': 0.05,
  oscilloscope: 0.05,
  wattmeter: 0.02,
};

/** The expected value of `check`, or `undefined` where it has none (choices, bounds). */
export function expectedFor(check: Check, at: Circumstances): Expected | undefined {
  const printed = at.set.serviceData[check.id];
  const draft = printed ? fromServiceData(printed, check, at) : fromRules(check, at);
  if (!draft || !Number.isFinite(draft.value)) return undefined;
  if (check.sourceOhms > 0 && check.quantity === 'dc-volts' && at.meterOhms > 0) {
    const seen = meterReading(draft.value, check.sourceOhms, at.meterOhms);
    const loss = 1 - seen / draft.value;
    if (loss > 0.01) {
      draft.reasons.push(
        `a ${megohms(at.meterOhms)} meter on ${megohms(check.sourceOhms)} reads ${Math.round(loss * 100)} % low`,
      );
      draft.value = seen;
    }
  }
  return {
    value: draft.value,
    spread: draft.spread,
    unit: check.combine === 'ratio' ? '' : baseUnit(check.quantity),
    reasons: draft.reasons,
  };
}

/** The printed value as this meter would show it: undone for the meter that it was printed with, carried to today's line. */
function fromServiceData(printed: SetFacts['serviceData'][string], check: Check, at: Circumstances): Draft {
  const reasons = [
    `service data: ${formatNumber(printed.value, baseUnit(check.quantity))} at ${printed.lineVolts} V line`,
  ];
  const loaded = printed.meterOhms > 0 && check.sourceOhms > 0 && check.quantity === 'dc-volts';
  const unloaded = loaded
    ? (printed.value * (printed.meterOhms + check.sourceOhms)) / printed.meterOhms
    : printed.value;
  if (loaded) reasons.push(`printed with a ${megohms(printed.meterOhms)} meter`);
  const live = isLiveCheck(check);
  if (!live || !(printed.lineVolts > 0) || !(at.lineVolts > 0))
    return { value: unloaded, spread: 0.1, reasons };
  const corrected = lineCorrected(unloaded, printed.lineVolts, at.lineVolts, 'stage');
  if (Math.abs(corrected.ratio - 1) > 0.005) reasons.push(corrected.reason);
  return { value: corrected.value, spread: corrected.reliable ? 0.1 : 0.2, reasons };
}

function fromRules(check: Check, at: Circumstances): Draft | undefined {
  const expect = check.expect;
  if (!expect) return undefined;
  const because = expect.reason ? [expect.reason] : [];
  switch (expect.from) {
    case 'constant':
      return scaled({ value: expect.value, spread: expect.spread, reasons: because }, expect.line, at);
    case 'family':
      return fromFamily(expect.value, expect.times, because, at);
    case 'tube': {
      const type = at.set.tubes[expect.role];
      const known = type ? numberOf(at.rulebook.tubes, type, expect.field) : undefined;
      if (known !== undefined)
        return {
          value: known * expect.times,
          spread: 0.15,
          reasons: [...because, `${type}: ${known} by its data`],
        };
      const draft = fromFamily(expect.family, 1, because, at);
      draft?.reasons.push(
        type && type !== 'unknown'
          ? `no data for ${type}: family default`
          : 'tube type not given: family default',
      );
      return draft;
    }
    case 'picture-tube': {
      const known = numberOf(at.rulebook.pictureTubes, at.set.pictureTube, expect.field);
      if (known !== undefined)
        return {
          value: known * expect.times,
          spread: 0.1,
          reasons: [...because, `${at.set.pictureTube}: ${known} by its data`],
        };
      const draft = fromFamily(expect.family, 1, because, at);
      draft?.reasons.push(
        at.set.pictureTube === 'unknown'
          ? 'picture tube not given: family default'
          : `no data for ${at.set.pictureTube}: family default`,
      );
      return draft;
    }
    case 'formula': {
      const draft = fromFormula(expect.formula, expect.args, at);
      draft?.reasons.unshift(...because);
      return draft;
    }
  }
}

function fromFamily(id: string, times: number, because: string[], at: Circumstances): Draft | undefined {
  const entry = at.family.values[id];
  if (!entry) return undefined;
  return scaled(
    { value: entry.value * times, spread: entry.spread, reasons: [...because, entry.reason] },
    entry.line,
    at,
  );
}

function scaled(draft: Draft, line: FamilyValue['line'], at: Circumstances): Draft {
  if (line === 'fixed' || !(at.lineVolts > 0)) return draft;
  const ratio = at.lineVolts / at.family.ratedVolts;
  if (Math.abs(ratio - 1) < 0.005) return draft;
  return { ...draft, value: draft.value * ratio, reasons: [...draft.reasons, lineReason(at)] };
}

function lineReason(at: Circumstances): string {
  return `scaled from ${at.family.ratedVolts} V to ${Math.round(at.lineVolts)} V at the plug`;
}

/** Expectations that are computed, by the name that rule files use. Every one returns base units. */
const FORMULAS: Readonly<
  Record<string, (args: Readonly<Record<string, number | string>>, at: Circumstances) => Draft | undefined>
> = {
  'b-plus-working': (args, at) => {
    const stages = stagesOf(args.stages);
    const nominal = at.family.values['b-plus-main'];
    if (!nominal) return undefined;
    const ratio = bPlusRatio(at.family, at.lineVolts, stages, at.facts.rectifier);
    const reasons = [`${Math.round(nominal.value)} V nominal for ${at.family.title.toLowerCase()}`];
    if (Math.abs(at.lineVolts - at.family.ratedVolts) >= 1) reasons.push(lineReason(at));
    if (stages === 'horizontal-off') reasons.push('higher with the horizontal stage off');
    if (stages === 'no-tubes') reasons.push('no load: near the peak of the line');
    return { value: nominal.value * ratio, spread: nominal.spread, reasons };
  },
  'b-plus-no-load': (_args, at) => FORMULAS['b-plus-working']?.({ stages: 'no-tubes' }, at),
  'line-volts': (args, at) => {
    const times = typeof args.times === 'number' ? args.times : 1;
    return {
      value: at.lineVolts * times,
      spread: 0.02,
      reasons: [`${Math.round(at.lineVolts)} V at the plug`],
    };
  },
  'heater-string-cold-ohms': (_args, at) => {
    const amps = at.family.values['string-current']?.value;
    if (!amps) return undefined;
    const hot = at.family.ratedVolts / amps;
    return {
      value: hot / 6,
      spread: 0.2,
      reasons: [
        `${Math.round(hot)} ohm hot at ${Math.round(amps * 1000)} mA; a cold heater is a fifth to a seventh of that`,
      ],
    };
  },
  'heater-string-current': (_args, at) => fromFamily('string-current', 1, [], at),
  ripple: (args, at) => {
    const volts = reservoirRippleVolts(
      at.family,
      at.lineVolts,
      stagesOf(args.stages ?? 'all'),
      at.facts.rectifier,
    );
    if (volts === undefined) return undefined;
    const filtered = args.at === 'filtered';
    return {
      value: filtered ? volts * 0.08 : volts,
      spread: filtered ? 0.5 : 0.25,
      reasons: [
        filtered
          ? 'behind choke or resistor: under a tenth of the reservoir'
          : 'healthy reservoir at this load',
      ],
    };
  },
  'boost-ratio': (_args, at) => {
    const base = at.family.values['boost-ratio'];
    if (!base) return undefined;
    const angle = at.facts.deflection;
    const times = angle === '110' ? 1.25 : angle === '50-70' ? 0.92 : 1;
    const reasons = [base.reason];
    if (times !== 1)
      reasons.push(`for ${angle === '110' ? '110 degrees' : '50 to 70 degrees'} (from memory)`);
    return { value: base.value * times, spread: base.spread, reasons };
  },
  'anode-kv': (_args, at) => anodeVolts(at),
  'g2-volts': (_args, at) => fromFamily('g2-volts', 1, [], at),
  'cutoff-volts': (_args, at) => {
    const g2 = at.family.values['g2-volts'];
    return g2
      ? { value: -0.16 * g2.value, spread: 0.3, reasons: ['about 0.16 of G2 (0.09 to 0.24 across types)'] }
      : undefined;
  },
  'transformer-primary-ohms': (_args, at) => ({
    value: at.family.ratedVolts > 180 ? 12 : 3,
    spread: 0.5,
    reasons: ['copper of a 150 to 250 W primary'],
  }),
  'input-watts': (_args, at) => {
    const rated = at.set.ratedWatts > 0 ? at.set.ratedWatts : at.family.ratedWatts;
    const ratio = (at.lineVolts / at.family.ratedVolts) ** 1.6;
    const reasons = [at.set.ratedWatts > 0 ? `${rated} W on the label` : `${rated} W for the family`];
    if (Math.abs(at.lineVolts - at.family.ratedVolts) >= 1) reasons.push(lineReason(at));
    return { value: rated * ratio, spread: 0.12, reasons };
  },
};

/** Names of the computed expectations, for `rules --check`. */
export const FORMULA_NAMES: readonly string[] = Object.keys(FORMULAS);

function fromFormula(
  name: string,
  args: Readonly<Record<string, number | string>>,
  at: Circumstances,
): Draft | undefined {
  return FORMULAS[name]?.(args, at);
}

function stagesOf(text: number | string | undefined): Stages {
  return text === 'horizontal-off' || text === 'no-tubes' ? text : 'all';
}

/** Anode volts at low brightness by diagonal and angle; sets run a tube at 70 to 95 % of its limit. From memory. */
const ANODE_KV: readonly {
  readonly most: number;
  readonly angle: string;
  readonly kv: readonly [number, number];
}[] = [
  { most: 12, angle: '', kv: [8, 10.5] },
  { most: 16, angle: '', kv: [10, 13] },
  { most: 17, angle: '110', kv: [13, 15.5] },
  { most: 17, angle: '', kv: [10.5, 14] },
  { most: 22, angle: '50-70', kv: [12.5, 15] },
  { most: 22, angle: '90', kv: [14.5, 17] },
  { most: 22, angle: '110', kv: [15, 18.5] },
  { most: 22, angle: '', kv: [12.5, 17] },
  { most: 30, angle: '', kv: [16, 19.5] },
];

function anodeVolts(at: Circumstances): Draft | undefined {
  const base = at.family.values['anode-kv'];
  const size = Number(/^(\d{1,2})/.exec(at.set.pictureTube)?.[1] ?? Number.NaN);
  const row = ANODE_KV.find((r) => size <= r.most && (r.angle === '' || r.angle === at.facts.deflection));
  const scale = (kv: number): number =>
    (kv * 1000 * (at.lineVolts > 0 ? at.lineVolts : at.family.ratedVolts)) / at.family.ratedVolts;
  if (Number.isFinite(size) && row) {
    const [low, high] = row.kv;
    return {
      value: scale((low + high) / 2),
      spread: 0.07,
      reasons: [
        `${size} in tubes run at ${low} to ${high} kV on a dark screen (from memory)`,
        'the tube figure is a limit, not the working value',
      ],
    };
  }
  if (!base) return undefined;
  return {
    value: scale(base.value / 1000),
    spread: Math.max(base.spread, 0.12),
    reasons: [base.reason, 'picture-tube size not known'],
  };
}

function numberOf(table: readonly TubeData[], type: string, field: string): number | undefined {
  return table.find((t) => t.type === type)?.numbers[field];
}

function megohms(ohms: number): string {
  return ohms >= 1e6 ? `${+(ohms / 1e6).toFixed(1)} Mohm` : `${Math.round(ohms / 1000)} kohm`;
}

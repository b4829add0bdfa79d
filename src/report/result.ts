// The result of a walk as plain JSON: what `evaluate` and `report --format json` print. Field names are a public contract.
import { partBad } from '../diagnosis/grades.ts';
import type { Grade, Overall } from '../diagnosis/types.ts';
import type { SupplyState } from '../session/types.ts';
import type { ReportView } from './input.ts';
import { typedText } from './text.ts';

export interface ResultExtras {
  /** Free text of a case file. */
  readonly case?: string;
  readonly gates?: 'assumed' | 'answered';
  /** True faults, `section.part/fault`, for scoring. */
  readonly truth?: readonly string[];
  readonly rules?: { readonly name: string; readonly version: string; readonly hash: string };
}

/** One object per case. Described by `result.schema.json`; fields may be added, never renamed. */
export interface Result {
  readonly case?: string;
  readonly gates?: 'assumed' | 'answered';
  readonly rules?: { readonly name: string; readonly version: string; readonly hash: string };
  readonly verdict: {
    readonly overall: Overall;
    readonly recommendation: string;
    readonly grades: Readonly<Record<string, Grade>>;
    readonly core: Readonly<Record<string, Grade>>;
    readonly watchable: number;
    readonly coverage: number;
    readonly hours: readonly [number, number];
    readonly cost: readonly [number, number];
    readonly coldOnly: boolean;
    readonly wouldChangeMost: string | null;
  } | null;
  readonly suspects: readonly {
    readonly id: string;
    /** P(part bad). */
    readonly probability: number;
    /** P(this mode). */
    readonly faultProbability: number;
    readonly because: readonly { readonly check: string; readonly weight: number }[];
  }[];
  readonly asked: readonly {
    readonly check: string;
    readonly answer: string;
    readonly minutes: number;
    readonly state: string;
  }[];
  readonly minutes: number;
  readonly stop: { readonly reason: string; readonly say: string } | null;
  /** Complaints and own looks that nothing found accounts for at the end, and what would be behind each if it is real. */
  readonly openSigns: readonly {
    readonly sign: string;
    /** Chance that there is something behind it. */
    readonly chance: number;
    readonly causes: readonly {
      readonly id: string;
      /** P(part bad), the sign taken for real. */
      readonly ifReal: number;
    }[];
  }[];
  readonly notProven: readonly string[];
  readonly conflicts: readonly {
    readonly check: string;
    readonly surprise: number;
    readonly slip: { readonly kind: string; readonly probability: number };
  }[];
  readonly nextSteps: readonly {
    readonly kind: string;
    readonly action: string;
    readonly part: string;
    readonly why: string;
    readonly caution: string;
    readonly hours: readonly [number, number];
    readonly cost: readonly [number, number];
  }[];
  readonly trouble?: string;
  readonly truth?: readonly {
    readonly id: string;
    /** Place of the part among the suspects, from 1, ties by the worst place; null = no suspect. */
    readonly rank: number | null;
    /** Place of the very fault among the suspects' named faults; null = another fault of the part, or no suspect. */
    readonly faultRank: number | null;
    readonly probability: number;
  }[];
}

/** Where a check was taken, when the rules no longer say: by the supply state at the time. */
const STATE_OF: Readonly<Record<SupplyState, string>> = {
  unknown: 'any',
  unplugged: 'any',
  discharged: 'S0',
  'isolated-limited': 'S1',
  'isolated-full': 'S2',
};

/** The result of a walk so far. Pure; probabilities are rounded to six figures. */
export function resultOf(view: ReportView, extras: ResultExtras = {}): Result {
  const { verdict } = view;
  const checks = new Map(view.standings.map((standing) => [standing.check.id, standing.check]));
  return {
    ...(extras.case === undefined ? {} : { case: typedText(extras.case) }),
    ...(extras.gates === undefined ? {} : { gates: extras.gates }),
    ...(extras.rules === undefined ? {} : { rules: cleanRules(extras.rules) }),
    verdict: verdict
      ? {
          overall: verdict.overall,
          recommendation: typedText(verdict.recommendation),
          grades: gradesOf([...verdict.sections, ...verdict.core]),
          core: gradesOf(verdict.core),
          watchable: round(verdict.watchable),
          coverage: round(verdict.coverage),
          hours: roundPair(verdict.hours),
          cost: roundPair(verdict.cost),
          coldOnly: verdict.coldOnly,
          wouldChangeMost: verdict.wouldChangeMost ?? null,
        }
      : null,
    suspects: view.suspects.map((suspect) => ({
      id: suspect.id,
      probability: round(suspect.partProbability),
      faultProbability: round(suspect.probability),
      because: suspect.because.map((entry) => ({ check: entry.check, weight: round(entry.weight) })),
    })),
    asked: view.state.readings.map((reading) => {
      const check = checks.get(reading.check);
      return {
        check: reading.check,
        answer: typedText(reading.raw),
        minutes: check?.minutes ?? 0,
        state: check?.state ?? STATE_OF[reading.context.supply],
      };
    }),
    minutes: round(view.minutes),
    stop: view.plan.stop ? { reason: view.plan.stop.reason, say: view.plan.stop.say } : null,
    openSigns: (view.plan.stop?.openSigns ?? []).map(({ title, chance, causes }) => ({
      sign: title,
      chance: round(chance),
      causes: causes.map(({ part, fault, ifReal }) => ({ id: `${part}/${fault}`, ifReal: round(ifReal) })),
    })),
    notProven: verdict?.notProven ?? [],
    conflicts: view.conflicts.map(({ check, surprise, slip }) => ({
      check,
      surprise: round(surprise),
      slip: { kind: slip.kind, probability: round(slip.probability) },
    })),
    nextSteps: (verdict?.nextSteps ?? []).map(({ kind, action, part, why, caution, hours, cost }) => ({
      kind,
      action,
      part,
      why,
      caution,
      hours: roundPair(hours),
      cost: roundPair(cost),
    })),
    ...(view.trouble === undefined ? {} : { trouble: view.trouble }),
    ...(extras.truth === undefined ? {} : { truth: extras.truth.map((id) => truthOf(id, view)) }),
  };
}

function cleanRules({ name, version, hash }: NonNullable<ResultExtras['rules']>) {
  return { name: typedText(name), version: typedText(version), hash: typedText(hash) };
}

function gradesOf(
  entries: readonly { readonly id: string; readonly grade: Grade }[],
): Readonly<Record<string, Grade>> {
  return Object.fromEntries(entries.map((entry) => [entry.id, entry.grade]));
}

function truthOf(id: string, view: ReportView) {
  const [part = '', fault = ''] = id.split('/');
  const suspect = view.suspects.find((entry) => entry.part === part);
  const rankBy = (of: (entry: (typeof view.suspects)[number]) => number) =>
    suspect ? view.suspects.filter((entry) => of(entry) >= of(suspect)).length : null;
  return {
    id,
    rank: rankBy((entry) => entry.partProbability),
    faultRank: suspect?.fault === fault ? rankBy((entry) => entry.probability) : null,
    probability: round(view.belief ? partBad(view.belief, part) : 0),
  };
}

function round(value: number): number {
  return Number.isFinite(value) ? Number(value.toPrecision(6)) : 0;
}

function roundPair(pair: readonly [number, number]): readonly [number, number] {
  return [Math.round(pair[0] * 100) / 100, Math.round(pair[1] * 100) / 100];
}

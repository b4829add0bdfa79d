// Tubes of the set in a table: role, type, heater, base and pins from the tube tables, and what the tester or a swap said of each.

import type { TubeData } from '../rulebook/types.ts';
import { formatNumber } from '../session/index.ts';
import type { ReportInput } from './input.ts';
import type { Measured } from './measured.ts';
import { typedText } from './text.ts';

export interface TubeLine {
  readonly role: string;
  readonly type: string;
  /** `6.3 V, 0.6 A`; empty where the tables have no source for it. */
  readonly heater: string;
  readonly base: string;
  readonly pins: string;
  /** Readings that bear on this tube, each with its number. */
  readonly results: string;
  /** The tables give some figure of this type from memory. */
  readonly fromMemory: boolean;
}

/** Results named for one tube. */
const MOST_RESULTS = 3;

/** One line for each tube that the session names, the picture tube last. */
export function tubeTable(
  { view, rulebook }: ReportInput,
  readings: readonly Measured[],
  say: (text: string) => string,
): readonly TubeLine[] {
  const set = view.state.set;
  if (!set) return [];
  const checks = new Map(rulebook.checks.map((check) => [check.id, check]));
  const results = (parts: ReadonlySet<string>) =>
    readings
      .filter((reading) =>
        checks.get(reading.check)?.reads.some((read) => read.part !== undefined && parts.has(read.part)),
      )
      .filter((reading) => reading.believed)
      .slice(-MOST_RESULTS)
      .map((reading) => `${reading.title}: ${reading.value} (No. ${reading.seq})`)
      .join('; ');
  const line = (
    role: string,
    type: string,
    data: TubeData | undefined,
    parts: ReadonlySet<string>,
  ): TubeLine => ({
    role: say(role),
    type: typedText(type),
    heater: heaterOf(data),
    base: data?.texts.base ?? '',
    pins: pinsOf(data),
    results: results(parts),
    fromMemory: data?.source.includes('from memory') ?? false,
  });
  const find = (list: readonly TubeData[], type: string) =>
    list.find((one) => one.type.toUpperCase() === type.trim().toUpperCase());
  const partsFor = (role: string) =>
    new Set(rulebook.parts.filter((part) => part.tube === role).map((part) => part.id));
  const picture = new Set(
    rulebook.parts.filter((part) => part.assembly === 'picture-tube').map((part) => part.id),
  );
  return [
    ...Object.entries(set.tubes).map(([role, type]) =>
      line(
        role.replaceAll('-', ' ').replace(/\bhv\b/, 'HV'),
        type,
        find(rulebook.tubes, type),
        partsFor(role),
      ),
    ),
    ...(set.pictureTube === 'unknown'
      ? []
      : [line('picture tube', set.pictureTube, find(rulebook.pictureTubes, set.pictureTube), picture)]),
  ];
}

function heaterOf(data: TubeData | undefined): string {
  const { heater_V: volts, heater_A: amps } = data?.numbers ?? {};
  return [
    volts === undefined ? '' : formatNumber(volts, 'V'),
    amps === undefined ? '' : formatNumber(amps, 'A'),
  ]
    .filter((text) => text !== '')
    .join(', ');
}

/** `2:H 4:G2 cap:P` -> `2 H, 4 G2, cap P`. */
function pinsOf(data: TubeData | undefined): string {
  return (data?.texts.pinout ?? '').trim().split(/\s+/).join(', ').replaceAll(':', ' ');
}

// Which instrument stands in for which: any multimeter reads what asks for one.

/** Meters for volts and ohms, the usual one first. */
export const METERS: readonly string[] = ['dmm', 'true-rms-meter', 'analog-meter'];

const METER = 'dmm';

/** Instruments wanted that are not among `have`; where a check wants a multimeter, any of them will do. */
export function lackingOf(needs: readonly string[], have: ReadonlySet<string>): readonly string[] {
  return needs.filter((need) => !have.has(need) && !(need === METER && METERS.some((m) => have.has(m))));
}

/** What a check is read with on this bench: its own instrument, else the meter that stands in for it; empty if it names none. */
export function readWith(needs: readonly string[], have: ReadonlySet<string>): string {
  const [own] = needs;
  if (own !== undefined && own !== METER) return own;
  return METERS.find((m) => have.has(m)) ?? own ?? '';
}

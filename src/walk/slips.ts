// Slips of the finger that are asked about before they count: a number without its unit a thousand times off, a reading ten times off that would end a run.
import type { Expected } from '../diagnosis/types.ts';
import type { Check } from '../rulebook/types.ts';
import { tripped } from '../safety/index.ts';
import type { ReadingValue } from '../session/types.ts';
import { formatValue, toBase } from '../session/units.ts';
import type { Entry } from './types.ts';

/** Nobody types 1200 kohm for 1.2 Mohm: from here on a bare number in kilo- or megohms may be meant in ohms. */
const BARE_FROM = 1000;
/** A number without a unit. */
const BARE = /^\s*\d+(?:[.,]\d+)?\s*$/;
/** A tenth of the reading this near to the expected value, as a ratio, makes it look like a slip of the point. */
const NEAR = 1.5;

/** The question about a typed reading that may be a slip; undefined where there is nothing to ask. */
export function slipAt(
  check: Check,
  text: string,
  value: ReadingValue,
  expected: Expected | undefined,
): Entry | undefined {
  if (value.kind !== 'number') return undefined;
  return (
    bareThousands(check, text, value) ??
    bareThousandth(check, text, value) ??
    tenfoldStop(check, value, expected)
  );
}

type Num = Extract<ReadingValue, { kind: 'number' }>;

function bareThousands(check: Check, text: string, value: Num): Entry | undefined {
  const bare = BARE.test(text);
  const factor = check.quantity === 'ohms' ? toBase(1, check.unit) : 1;
  if (!bare || factor < 1000 || value.value / factor < BARE_FROM) return undefined;
  return ask(`${text.trim()} without a unit: ${check.unit} here, or ohm?`, [
    { ...value, value: value.value / factor },
    value,
  ]);
}

/** The other way round: 0.4 where ohms are meant, and 400 of them would be right. */
function bareThousandth(check: Check, text: string, value: Num): Entry | undefined {
  const [read, other] = check.reads;
  const band = other === undefined && read?.scale === 'bound' ? read.bands.ok : undefined;
  if (!BARE.test(text) || check.quantity !== 'ohms' || toBase(1, check.unit) !== 1 || !band) return undefined;
  const [least, most] = band[0] ?? [];
  const thousand = { ...value, value: value.value * 1000 };
  const right = thousand.value >= (least ?? 0) && thousand.value <= (most ?? Number.POSITIVE_INFINITY);
  if (least === undefined || least === null || value.value >= least || value.value <= 0 || !right)
    return undefined;
  return ask(`${text.trim()} without a unit: ohm here, or kohm?`, [value, thousand]);
}

function tenfoldStop(check: Check, value: Num, expected: Expected | undefined): Entry | undefined {
  const tenth = { ...value, value: value.value / 10 };
  const ratio = expected?.value ? Math.abs(tenth.value / expected.value) : 0;
  if (ratio < 1 / NEAR || ratio > NEAR) return undefined;
  if (tripped(check, value) === undefined || tripped(check, tenth) !== undefined) return undefined;
  return ask(
    `${formatValue(value)} would end this run at once; ${formatValue(tenth)} is what one expects. In doubt ^X first; as it stood on the meter:`,
    // Enter alone takes what was typed: a run that should end is not kept up by habit.
    [value, tenth],
  );
}

const ask = (message: string, values: readonly ReadingValue[]): Entry => ({
  kind: 'ask',
  message,
  alternatives: values.map((value) => ({ label: formatValue(value), value })),
});

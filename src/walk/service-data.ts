// Printed values from service data: typed at a check, kept with the set, and from then on what the check expects.
import type { Check, SetFacts } from '../rulebook/types.ts';
import { parseReading, toBase } from '../session/index.ts';
import { specOf } from './entries.ts';
import type { Entry, WalkView } from './types.ts';

const FORM =
  'Type the printed value, then if printed @ and its line voltage, / and its meter in ohms per volt times range: 284 @ 120 / 2M. A - alone takes it away.';

const refused = (message: string): Entry => ({ kind: 'refused', message, hint: FORM });

/**
 * A printed value for `check`: `284`, `284 @ 120`, `284 @ 120 / 2M` (value, line volts, meter resistance); `-` forgets it.
 * The new description of the set replaces the old one; readings taken already are judged by it as well.
 */
export function printedValue(view: WalkView, check: Check, text: string): Entry {
  const set = view.state.set;
  if (!set) return refused('Describe the set first.');
  if (check.kind !== 'number') return refused('Printed values are kept for checks that read one number.');
  const { [check.id]: _old, ...others } = set.serviceData;
  if (text.trim() === '-') return describe(set, others, `Printed value forgotten: ${check.title}.`);
  const [, value = '', line = '', meter = ''] =
    /^([^@/]+)(?:@\s*([^/]+))?(?:\/\s*(.+))?$/.exec(text.trim()) ?? [];
  const parsed = parseReading(value.trim(), { ...specOf(check), kind: 'number' });
  if (parsed.ok === false) return refused(parsed.message);
  if (parsed.value.kind !== 'number') return refused('A printed value is one number.');
  const lineVolts = line === '' ? set.ratedVolts : Number(line.replace(/v$/i, '').trim());
  if (!(lineVolts >= 20 && lineVolts <= 300))
    return refused(`"${line.trim()}" is no line voltage (20 to 300 V).`);
  const ohms = meter === '' ? 0 : typedOhms(meter.trim());
  if (ohms === undefined) return refused(`"${meter.trim()}" is no meter resistance.`);
  const printed = { value: parsed.value.value, unit: check.unit, lineVolts, meterOhms: ohms };
  return describe(set, { ...others, [check.id]: printed }, `Printed value kept: ${check.title}.`);
}

function typedOhms(text: string): number | undefined {
  const parsed = parseReading(text, { kind: 'number', quantity: 'ohms', unit: 'ohm' });
  return parsed.ok === true && parsed.value.kind === 'number' && parsed.value.value > 0
    ? toBase(parsed.value.value, 'ohm')
    : undefined;
}

function describe(set: SetFacts, serviceData: SetFacts['serviceData'], say: string): Entry {
  return { kind: 'events', say, events: [{ type: 'set-described', set: { ...set, serviceData } }] };
}

// A value printed in service data: for one check of this set it replaces what is usual for such sets.
import type { Step } from '../../walk/types.ts';
import { EMPTY_LINE } from '../line-edit.ts';
import type { App } from './app.ts';
import type { Acts, WalkScreen } from './model.ts';

export function openPrinted(app: App, screen: WalkScreen, step: Step): Acts {
  if (step.kind !== 'check' || step.check.kind !== 'number') {
    return app.say('Only a check that is read as a number has a printed value.', 'quiet');
  }
  app.show({ ...screen, mode: { kind: 'text', purpose: 'printed', edit: EMPTY_LINE, check: step.check.id } });
}

/** Takes `265`, `4k7` or `265 @ 120`: the value in the check's unit, and the line voltage that it was printed for (else the label's). */
export function takePrinted(app: App, screen: WalkScreen, checkId: string, typed: string): Acts {
  const set = app.state.live?.view.state.set;
  const check = app.book.checks.find((c) => c.id === checkId);
  if (!set || !check) return;
  const [valueText = '', lineText] = typed.split('@').map((t) => t.trim());
  const parsed = app.engine.parse(check, valueText);
  if (!parsed.ok) return app.say(parsed.message, 'bad');
  if (parsed.value.kind !== 'number') return app.say('One number, as printed.', 'bad');
  const lineVolts =
    lineText === undefined ? set.ratedVolts : Number(lineText.replace(/\s*v$/i, '').replace(',', '.'));
  if (!(lineVolts >= 80 && lineVolts <= 280))
    return app.say('The line voltage after @ is 80 to 280 V.', 'bad');
  const { value, unit } = parsed.value;
  const serviceData = { ...set.serviceData, [checkId]: { value, unit, lineVolts, meterOhms: 0 } };
  if (!app.commit([{ type: 'set-described', set: { ...set, serviceData } }], `Printed value kept: ${typed}.`))
    return;
  app.show({ ...screen, mode: { kind: 'entry' } });
}

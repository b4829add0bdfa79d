// Faults of contacts, grounds, controls and printed boards.
import type { Chance } from '../random.ts';
import type { Design } from './design.ts';
import { add, contact, OPEN } from './fault-kinds.ts';

/** Puts them on the list. */
export function addContactFaults(): void {
  for (const socket of ['horizontal-oscillator', 'agc', 'audio']) contact(`wiring.socket-${socket}`, 'dirty');
  // At the volts and current of a damper dirt soon burns through or away.
  add('wiring.socket-damper/dirty', (_v, c) => ({
    'wiring.socket-damper': c.happens(0.6) ? OPEN : c.spread(150, 800),
  }));
  // A burnt contact of the line is some ohms, and warm.
  for (const id of ['switch', 'interlock'])
    add(`line-input.${id}/dirty`, (_v, c) => ({ [`line-input.${id}`]: c.spread(3, 14) }));
  add('wiring.ground-joint/open', (_v, c) => ({ 'wiring.ground-joint': c.spread(1.5, 30) }));

  // Dirt under the wiper: what is set jumps, and rests off its place.
  const dirty = (id: string, rests?: (c: Chance) => number): void =>
    add(`${id}/dirty`, (_v, c) => ({ [`${id}.dirty`]: 1, ...(rests ? { [id]: rests(c) } : {}) }));
  dirty('horizontal-oscillator.hold-control');
  dirty('vertical-oscillator.hold-control');
  dirty('vertical-oscillator.height-control', (c) => c.between(0.55, 0.8));
  dirty('vertical-output.linearity-control', (c) => c.between(0.5, 0.75));
  dirty('video-output.contrast-control', (c) => c.between(0.3, 0.6));
  dirty('agc.control', (c) => (c.happens(0.5) ? c.between(2, 4) : c.between(0.1, 0.4)));

  // A hair crack touches or does not; heat of the vertical tubes turns their board to a resistor.
  const printed = (d: Design): boolean => d.chassisBoard === 'printed';
  add(
    'vertical-oscillator.board-under-tube/carbonised',
    (_v, c) => ({ 'vertical-oscillator.board-leak': c.spread(3e5, 3e6) }),
    printed,
  );
  for (const area of ['supply', 'horizontal', 'afc', 'vertical', 'video', 'if', 'sync', 'sound'])
    add(
      `wiring.board-${area}/crack`,
      (_v, c) => ({ [`wiring.board-${area}`]: c.happens(0.6) ? OPEN : c.spread(150, 2000) }),
      printed,
    );
}

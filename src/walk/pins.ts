// Pin numbers for the tube that is in this set: which pin is the electrode that a check asks for.
import type { Check, Rulebook, SetFacts } from '../rulebook/types.ts';

/** Electrodes by the short names of the tube table; for tubes with one system. */
const NAMES: Readonly<Record<string, string>> = {
  P: 'plate',
  A: 'plate',
  G: 'grid',
  G1: 'grid',
  G2: 'screen',
  G3: 'suppressor',
  K: 'cathode',
  H: 'heater',
  F: 'filament',
};
const ASKED = /\b(grid|screen|plate|cathode|heater|filament|pin|pins|top cap|plate cap)\b/i;

/** Words for one entry such as `8:K+G3` or `cap:P`; `twin` tubes number their halves. */
function pinWords(entry: string, twin: boolean): string | undefined {
  const [pin = '', electrodes = ''] = entry.split(':');
  if (pin === '' || electrodes === '' || /^(NC|IC|S|Hct)$/.test(electrodes)) return undefined;
  const words = electrodes.split('+').map((short) => {
    const half = twin ? /^([PGKA])([12])$/.exec(short) : null;
    if (half) return `${NAMES[half[1] ?? ''] ?? short} of half ${half[2]}`;
    const system = /^(P|G1?|G2|K)([tp])$/.exec(short);
    if (system)
      return `${NAMES[system[1] ?? ''] ?? short} of the ${system[2] === 't' ? 'triode' : 'pentode'}`;
    return NAMES[short] ?? short;
  });
  return `${pin === 'cap' ? 'top cap' : pin} ${words.join(' and ')}`;
}

/**
 * Pins of the tube that `check` is about, e.g. `6DQ6A: 4 screen, 5 grid, 8 cathode and suppressor, top cap plate`.
 * Empty when the check asks for no electrode, or the tube is not known.
 */
export function pinsFor(book: Rulebook, set: SetFacts, check: Check): string {
  if (!ASKED.test(check.where)) return '';
  const read = check.reads.map((r) => book.parts.find((p) => p.id === r.part)?.tube);
  const inSection = book.parts.filter((p) => p.section === check.section).map((p) => p.tube);
  const role = [...read, ...inSection].find((r) => r !== undefined && set.tubes[r] !== undefined);
  const type = role === undefined ? undefined : set.tubes[role];
  const pinout = book.tubes.find((t) => t.type === type)?.texts.pinout;
  if (!type || !pinout) return '';
  const entries = pinout.split(/\s+/);
  const twin = /:P2\b/.test(pinout);
  const heaters = entries.filter((e) => /:(H|F)$/.test(e)).map((e) => e.split(':')[0]);
  const named = entries.filter((e) => !/:(H|F)$/.test(e)).flatMap((e) => pinWords(e, twin) ?? []);
  if (heaters.length > 0) named.push(`${heaters.join(' and ')} heater`);
  return named.length === 0 ? '' : `${type}: ${named.join(', ')}`;
}

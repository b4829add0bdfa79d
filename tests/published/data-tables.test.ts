// Tube tables and supply families against published type-number codes, a few published figures, and plain sanity: units, ranges, duplicates, sources.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse as parseYaml } from 'yaml';
import { loadTubes } from '../../src/rulebook/data-file.ts';
import type { RuleProblem, TubeData } from '../../src/rulebook/types.ts';

const RULES = new URL('../../rules/', import.meta.url).pathname;
const read = (path: string): string => readFileSync(path, 'utf8');

function load(name: string): { tubes: TubeData[]; problems: RuleProblem[] } {
  const problems: RuleProblem[] = [];
  return { tubes: loadTubes(join(RULES, 'data', name), read, problems), problems };
}

const receiving = load('tubes.csv');
const picture = load('picture-tubes.csv');

function find(list: readonly TubeData[], type: string): TubeData {
  const tube = list.find((t) => t.type === type);
  if (!tube) throw new Error(`${type} is not in the table`);
  return tube;
}

/** Electrode by pin number (or `cap`). */
function pinsOf(tube: TubeData): Map<string, string> {
  const entries = (tube.texts.pinout ?? '').split(' ').filter((e) => e !== '');
  return new Map(entries.map((e) => [e.split(':')[0] ?? '', e.split(':')[1] ?? '']));
}

/** Rows with a number in `column` outside the range, as text for the failure message. */
function outside(list: readonly TubeData[], column: string, least: number, most: number): string[] {
  return list
    .filter((t) => t.numbers[column] !== undefined)
    .filter((t) => (t.numbers[column] as number) < least || (t.numbers[column] as number) > most)
    .map((t) => `${t.type} ${column} ${t.numbers[column]}`);
}

describe('receiving tubes', () => {
  it('every row has a type, a function and a source, and none is there twice', () => {
    expect(receiving.problems).toEqual([]);
    expect(receiving.tubes.length).toBeGreaterThan(180);
    expect(receiving.tubes.filter((t) => t.function === '')).toEqual([]);
  });

  it('numbers lie where tubes of the period lie', () => {
    expect(outside(receiving.tubes, 'heater_V', 0.6, 50)).toEqual([]);
    expect(outside(receiving.tubes, 'heater_A', 0.05, 4)).toEqual([]);
    expect(outside(receiving.tubes, 'plate_W_max', 1, 40)).toEqual([]);
    expect(outside(receiving.tubes, 'screen_W_max', 0.5, 8)).toEqual([]);
    expect(outside(receiving.tubes, 'cathode_mA_max_avg', 10, 350)).toEqual([]);
    expect(outside(receiving.tubes, 'peak_inverse_V', 800, 35_000)).toEqual([]);
  });

  it('numeric columns hold numbers only', () => {
    const numeric = [
      'heater_V',
      'heater_A',
      'plate_W_max',
      'screen_W_max',
      'cathode_mA_max_avg',
      'peak_inverse_V',
    ];
    const wrong = receiving.tubes.flatMap((t) =>
      numeric.filter((c) => t.texts[c] !== undefined).map((c) => `${t.type} ${c}`),
    );
    expect(wrong).toEqual([]);
  });

  it('heater watts are those of a receiving tube: 0.1 to 20 W', () => {
    const wrong = receiving.tubes
      .filter((t) => t.numbers.heater_V !== undefined && t.numbers.heater_A !== undefined)
      .map((t) => ({ type: t.type, watts: (t.numbers.heater_V ?? 0) * (t.numbers.heater_A ?? 0) }))
      .filter(({ watts }) => watts < 0.1 || watts > 20);
    expect(wrong).toEqual([]);
  });

  // US designation: the number before the first letter is the heater voltage, rounded (RETMA/EIA type-number system; RCA Receiving Tube Manual RC-22, 1963).
  it('the leading number of a US type is its heater voltage within 10 %', () => {
    const us = receiving.tubes.filter((t) => /^\d+[A-Z]/.test(t.type) && t.numbers.heater_V !== undefined);
    expect(us.length).toBeGreaterThan(120);
    const wrong = us.filter((t) => {
      const named = Number(/^\d+/.exec(t.type)?.[0]);
      const volts = t.numbers.heater_V ?? 0;
      return named === 1 ? volts < 0.6 || volts > 1.5 : Math.abs(volts - named) / named > 0.1;
    });
    expect(wrong.map((t) => `${t.type} ${t.numbers.heater_V}`)).toEqual([]);
  });

  // European designation, first letter: E 6.3 V, P 300 mA series, D 1.4/1.25/0.625 V; digits 80-89 noval, 30-39 octal, 90-99 7-pin
  // (Pro Electron valve code table, heinffm.de).
  it('first letter and digits of a European type agree with its heater and base', () => {
    const european = receiving.tubes.filter((t) => /^[DEP][ABCFHLMQY]+\d{2,3}$/.test(t.type));
    expect(european.length).toBeGreaterThan(40);
    const wrong: string[] = [];
    for (const tube of european) {
      const { heater_V: volts, heater_A: amps } = tube.numbers;
      if (tube.type.startsWith('E') && volts !== undefined && volts !== 6.3)
        wrong.push(`${tube.type} ${volts} V`);
      if (tube.type.startsWith('P') && amps !== 0.3) wrong.push(`${tube.type} ${amps} A`);
      if (tube.type.startsWith('D') && volts !== undefined && ![0.625, 1.25, 1.4].includes(volts))
        wrong.push(`${tube.type} ${volts} V`);
      const base = tube.texts.base ?? '';
      const digits = /(\d)\d$/.exec(tube.type)?.[1];
      if (tube.type.length <= 6 && base && !/wire/.test(base)) {
        if (digits === '8' && !base.startsWith('9-pin')) wrong.push(`${tube.type} on ${base}`);
        if (digits === '3' && !base.startsWith('octal')) wrong.push(`${tube.type} on ${base}`);
        if (digits === '9' && !base.startsWith('7-pin')) wrong.push(`${tube.type} on ${base}`);
      }
    }
    // Later three-figure numbers do not follow the base digits.
    expect(wrong.filter((w) => !/\d{3}/.test(w.split(' ')[0] ?? ''))).toEqual([]);
  });

  // A 300 mA chain: heater volts of the fitted valves add up; the example of the chain-sum check. Heater volts from memory.
  it('the worked 0.3 A chain adds up to 148 V with the table', () => {
    const fitted = [
      'PL36',
      'PY81',
      'PCL82',
      'PCL85',
      'PCF80',
      'PCF80',
      'PCC89',
      'EF80',
      'EF80',
      'EF183',
      'EB91',
      'PL83',
    ];
    const volts = fitted.reduce(
      (sum, type) => sum + (find(receiving.tubes, type).numbers.heater_V ?? Number.NaN),
      0,
    );
    expect(volts + 6.3).toBeCloseTo(148, 1);
  });

  it('published figures', () => {
    // RCA Receiving Tube Manual RC-22 (1963) and earlier: 6SN7GTB 6.3 V, 0.6 A.
    expect(find(receiving.tubes, '6SN7GTB').numbers).toMatchObject({ heater_V: 6.3, heater_A: 0.6 });
    // Wireless World, June 1963, "EHT rectifier DY86": 22 kV peak inverse, one turn gives the 1.4 V heater.
    expect(find(receiving.tubes, 'DY86').numbers).toMatchObject({ heater_V: 1.4, peak_inverse_V: 22_000 });
    // Wireless World, Oct 1952, "Valves at the Radio Exhibition": 0.3 A series heaters.
    expect(find(receiving.tubes, 'PL81').numbers.heater_A).toBe(0.3);
    // National Valve Museum, PY81: peak inverse 4500 V.
    expect(find(receiving.tubes, 'PY81').numbers.peak_inverse_V).toBe(4500);
    // Comments of a public SPICE tube library, after makers' sheets, 5U4GB: 1550 V peak inverse.
    expect(find(receiving.tubes, '5U4GB').numbers.peak_inverse_V).toBe(1550);
  });

  // Read pin by pin in the symbols of an open drawing library (KiCad, Valve.lib, commit 5047b40a): A anode, K cathode, G grid, F heater.
  // Its EF80 lacks pin 1 and calls pin 3 a heater, so that one is compared without them.
  it('pin-outs agree with an independent drawing library', () => {
    const drawn: Record<string, Record<number, string>> = {
      ECL82: { 1: 'Gt', 2: 'Kp+G3', 3: 'G1p', 4: 'H', 5: 'H', 6: 'Pp', 7: 'G2p', 8: 'Kt', 9: 'Pt' },
      PCL82: { 1: 'Gt', 2: 'Kp+G3', 3: 'G1p', 4: 'H', 5: 'H', 6: 'Pp', 7: 'G2p', 8: 'Kt', 9: 'Pt' },
      ECL86: { 1: 'Gt', 2: 'Kt', 3: 'G2p', 4: 'H', 5: 'H', 6: 'Pp', 7: 'Kp+G3', 8: 'G1p', 9: 'Pt' },
      EF80: { 2: 'G1', 4: 'H', 5: 'H', 6: 'S', 7: 'P', 8: 'G2', 9: 'G3' },
      EF85: { 2: 'G1', 4: 'H', 5: 'H', 6: 'S', 7: 'P', 8: 'G2', 9: 'G3' },
      '12AT7': { 1: 'P2', 2: 'G2', 3: 'K2', 4: 'H', 5: 'H', 6: 'P1', 7: 'G1', 8: 'K1', 9: 'Hct' },
      PCC88: { 1: 'P1', 2: 'G1', 3: 'K1', 4: 'H', 5: 'H', 6: 'P2', 7: 'G2', 8: 'K2' },
      PABC80: { 1: 'A1', 2: 'A2', 3: 'K2', 4: 'H', 5: 'H', 6: 'A3', 7: 'K', 8: 'G', 9: 'Pt' },
    };
    for (const [type, pins] of Object.entries(drawn)) {
      const ours = pinsOf(find(receiving.tubes, type));
      for (const [pin, electrode] of Object.entries(pins))
        expect(ours.get(pin), `${type} pin ${pin}`).toBe(electrode);
    }
  });

  // Where the pulses are. idemdito.org, page on PY85 and PY88: the cathode is on their top cap, in the output tetrodes the anode is. Tube socket
  // (Wikipedia): the plate of the 6DQ6 comes out at the top. Practical Television, Dec 1962: booster diodes have a top-cap cathode.
  it('caps carry the plate of output tubes and the cathode of 9-pin dampers', () => {
    for (const type of ['6DQ6A', '6DQ6B', '6BQ6GTB', '6CD6GA', '6BG6G', 'PL36', 'PL81', 'PL500', 'PL504'])
      expect(pinsOf(find(receiving.tubes, type)).get('cap'), type).toBe('P');
    for (const type of ['PY81', 'PY83', 'PY85', 'PY88', '6V3A'])
      expect(pinsOf(find(receiving.tubes, type)).get('cap'), type).toBe('K');
    for (const type of ['1B3GT', '1X2B', 'DY86', 'DY87', 'EY86'])
      expect(pinsOf(find(receiving.tubes, type)).get('cap'), type).toBe('P');
  });

  // Horizontal output types without a cap have the pulses on the base (from memory, base 6CK): they must not read as capped.
  it('capless output types show their plate on the base', () => {
    for (const type of ['6AV5GA', '12AV5GA', '6AU5GT']) {
      const pins = pinsOf(find(receiving.tubes, type));
      expect(pins.get('5'), type).toBe('P');
      expect(pins.has('cap'), type).toBe(false);
    }
  });

  // A registered base number means one pin-out (RETMA base designations; RCA Receiving Tube Manual RC-22, 1963, base diagrams).
  it('tubes of one registered base have one pin-out', () => {
    const byBase = new Map<string, Set<string>>();
    for (const tube of receiving.tubes) {
      const code = /^octal (\d[A-Z]{1,2})$/.exec(tube.texts.base ?? '')?.[1];
      const pinout = tube.texts.pinout;
      if (code && pinout) byBase.set(code, (byBase.get(code) ?? new Set()).add(pinout));
    }
    expect([...byBase.keys()].sort()).toEqual(['4CG', '5BT', '5T', '6AM', '6CK']);
    for (const [code, pinouts] of byBase) expect([...pinouts], code).toHaveLength(1);
  });

  // No pin is named twice, pins exist on the base, and both ends of a heater are there where any pin is.
  it('every pin-out fits its base', () => {
    const wrong: string[] = [];
    for (const tube of receiving.tubes.filter((t) => t.texts.pinout)) {
      const entries = (tube.texts.pinout ?? '').split(' ').map((e) => e.split(':'));
      const numbers = entries.map(([pin]) => pin ?? '');
      if (new Set(numbers).size !== numbers.length) wrong.push(`${tube.type}: a pin twice`);
      const most = /^7-pin/.test(tube.texts.base ?? '') ? 7 : /^9-pin/.test(tube.texts.base ?? '') ? 9 : 8;
      if (numbers.some((n) => n !== 'cap' && !(Number(n) >= 1 && Number(n) <= most)))
        wrong.push(`${tube.type}: pin outside the base`);
      const ends = entries.filter(([, e]) => /^[HF](\+|$)/.test(e ?? '')).length;
      if (
        numbers.length > 4 &&
        tube.numbers.heater_V !== undefined &&
        !/^8?EF85$/.test(tube.type) &&
        ends < 2
      )
        wrong.push(`${tube.type}: ${ends} heater pins`);
    }
    expect(wrong).toEqual([]);
  });

  // Octal duo-triode of 1939, registered 1941: 6.3 V 0.6 A; 12SN7GT 12.6 V 0.3 A; base 8BD (6SN7, encyclopaedia articles in three languages).
  it('the octal duo-triode has its 6 V and 12 V heaters and one basing', () => {
    const six = find(receiving.tubes, '6SN7GTB');
    const twelve = find(receiving.tubes, '12SN7GT');
    expect(six.numbers).toMatchObject({ heater_V: 6.3, heater_A: 0.6 });
    expect(twelve.numbers).toMatchObject({ heater_V: 12.6, heater_A: 0.3 });
    expect(twelve.texts.pinout).toBe(six.texts.pinout);
  });

  it('horizontal output types carry the limits that a live reading is judged by', () => {
    const common = [
      '6BQ6GTB',
      '6DQ6A',
      '6DQ6B',
      '6BG6G',
      '6CD6GA',
      '6CB5A',
      '6AV5GA',
      'PL81',
      'PL36',
      'PL500',
      'PL504',
    ];
    for (const type of common) {
      const {
        plate_W_max: plate,
        screen_W_max: screen,
        cathode_mA_max_avg: cathode,
      } = find(receiving.tubes, type).numbers;
      expect(
        [type, plate, screen, cathode].every((v) => v !== undefined),
        type,
      ).toBe(true);
      expect(cathode, type).toBeGreaterThanOrEqual(110);
      expect(cathode, type).toBeLessThanOrEqual(250);
    }
  });

  it('a figure without a published source says so', () => {
    const limits = ['6DQ6A', '6CD6GA', 'PL36', '6AX4GT'];
    for (const type of limits) expect(find(receiving.tubes, type).source, type).toMatch(/from memory/);
  });
});

describe('picture tubes', () => {
  it('every row has a type and a source, and none is there twice', () => {
    expect(picture.problems).toEqual([]);
    expect(picture.tubes.length).toBeGreaterThan(70);
  });

  it('numbers lie where picture tubes of the period lie', () => {
    expect(outside(picture.tubes, 'nominal_size_in', 7, 27)).toEqual([]);
    expect(outside(picture.tubes, 'deflection_deg', 50, 114)).toEqual([]);
    expect(outside(picture.tubes, 'heater_V', 6.3, 6.3)).toEqual([]);
    expect(outside(picture.tubes, 'heater_A', 0.3, 0.6)).toEqual([]);
    expect(outside(picture.tubes, 'anode_kV_typical', 6, 20)).toEqual([]);
    expect(outside(picture.tubes, 'anode_kV_design_max', 9, 23)).toEqual([]);
    expect(outside(picture.tubes, 'g2_V_typical', 200, 500)).toEqual([]);
    expect(outside(picture.tubes, 'outer_coating_pF_min', 300, 2500)).toEqual([]);
  });

  it('typical anode voltage is under the limit, and a limit names its rating system', () => {
    for (const tube of picture.tubes) {
      const { anode_kV_typical: typical, anode_kV_design_max: most } = tube.numbers;
      if (most === undefined) continue;
      expect(typical ?? 0, tube.type).toBeLessThanOrEqual(most);
      expect(['design-center', 'design-maximum'], tube.type).toContain(tube.texts.rating_system);
    }
  });

  it('cutoff is a range in volts below zero bias', () => {
    for (const tube of picture.tubes) {
      const { cutoff_V_min: least, cutoff_V_max: most } = tube.numbers;
      if (least === undefined) continue;
      expect(least, tube.type).toBeLessThan(most ?? 0);
    }
  });

  // US types: the number is the screen size in inches (Grob, Basic Television, ch. 4). MW/AW: diagonal in centimetres (Rundfunk & Museum 103, 2022, p. 19).
  it('the type number gives the screen size', () => {
    const wrong = picture.tubes.filter((t) => {
      const us = /^(\d+)[A-Z]+P4/.exec(t.type)?.[1];
      const european = /^(?:MW|AW|A)(\d+)-/.exec(t.type)?.[1];
      const size = t.numbers.nominal_size_in ?? Number.NaN;
      if (us) return Number(us) !== size;
      if (european) return Math.abs(Number(european) / 2.54 - size) > 0.75;
      return false;
    });
    expect(wrong.map((t) => `${t.type} ${t.numbers.nominal_size_in}`)).toEqual([]);
  });

  it('published figures', () => {
    // Repair page of a set that uses it (retrocircuitlab.com, 2019): 23CP4 heater 6.3 V, 0.6 A.
    expect(find(picture.tubes, '23CP4').numbers).toMatchObject({ heater_V: 6.3, heater_A: 0.6 });
    // Grob, Basic Television, ch. 4: final anode capacitance typically 2000 pF: some listed coating must bracket it.
    const brackets = picture.tubes.some(
      (t) =>
        (t.numbers.outer_coating_pF_min ?? Infinity) <= 2000 && (t.numbers.outer_coating_pF_max ?? 0) >= 2000,
    );
    expect(brackets).toBe(true);
  });
});

describe('supply families', () => {
  type FamilyYaml = {
    family: string;
    'rated-volts': number;
    facts: Record<string, string>;
    values: Record<string, { value: number; unit: string; spread: number }>;
  };
  const folder = join(RULES, 'families');
  const families = readdirSync(folder).map((name) => parseYaml(read(join(folder, name))) as FamilyYaml);
  const value = (family: FamilyYaml, id: string): number => family.values[id]?.value ?? Number.NaN;

  it('the eight kinds of supply are there', () => {
    expect(families.map((f) => f.family).sort()).toEqual([
      'autotransformer',
      'heater-transformer-doubler',
      'series-doubler-fullwave',
      'series-doubler-halfwave',
      'series-halfwave',
      'series-halfwave-300ma',
      'transformer',
      'transformer-doubler',
    ]);
  });

  // Kuphaldt, Lessons In Electric Circuits, vol. III, ch. 3: a doubler gives twice, a half-wave rectifier once the peak without load; a loaded supply must lie below.
  it('working B+ lies between 0.6 and 1.0 of the no-load peak of its rectifier', () => {
    for (const family of families) {
      if (family.facts['power-transformer'] === 'yes') continue;
      const times = family.facts.topology?.startsWith('doubler') ? 2 : 1;
      const peak = Math.SQRT2 * family['rated-volts'] * times;
      expect(value(family, 'b-plus-main') / peak, family.family).toBeGreaterThan(0.58);
      expect(value(family, 'b-plus-main') / peak, family.family).toBeLessThan(1);
    }
  });

  it('boost is above B+, drive is negative, and spreads are wide as in unrestored sets', () => {
    for (const family of families) {
      expect(value(family, 'boost-ratio'), family.family).toBeGreaterThan(1.5);
      expect(value(family, 'drive-grid-volts'), family.family).toBeLessThan(-20);
      expect(value(family, 'gun-bias-volts'), family.family).toBeLessThan(0);
      expect(value(family, 'b-plus-low'), family.family).toBeLessThan(value(family, 'b-plus-main'));
      expect(family.values['output-screen-volts']?.spread ?? 0, family.family).toBeGreaterThanOrEqual(0.15);
    }
  });

  // A hot chassis is everything that is not behind a transformer with separate windings for heaters and B+ (common practice, no source).
  it('only sets with an own B+ transformer may hope to be isolated', () => {
    for (const family of families) {
      const hopeful = family.facts.chassis === 'isolated-unproven';
      expect(hopeful, family.family).toBe(['transformer', 'transformer-doubler'].includes(family.family));
      expect(family.facts.chassis, family.family).not.toBe('isolated');
    }
  });

  // Wireless World, Oct 1952: 0.3 A series heaters of British television valves.
  it('series families carry their string current', () => {
    for (const family of families) {
      if (family.facts.heaters !== 'series') continue;
      expect([0.3, 0.45, 0.6]).toContain(value(family, 'string-current'));
    }
    const british = families.find((f) => f.family === 'series-halfwave-300ma');
    expect(british && value(british, 'string-current')).toBe(0.3);
  });
});

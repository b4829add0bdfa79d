// The list of bench calculations: complete enough for a machine, each example runs, nonsense is refused by name.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { calculations, describeCalculations, parseQuantity, runCalculation } from '../../src/bench/index.ts';

const asText = (example: Readonly<Record<string, string | number>>) =>
  Object.fromEntries(Object.entries(example).map(([key, value]) => [key, String(value)]));

describe('list of calculations', () => {
  it('names at least thirty, each once', () => {
    const names = calculations.map((c) => c.name);
    expect(names.length).toBeGreaterThanOrEqual(30);
    expect(new Set(names).size).toBe(names.length);
    for (const name of names) expect(name).toMatch(/^[a-z0-9]+(-[a-z0-9]+)*$/);
  });

  it.each(calculations.map((c) => [c.name, c] as const))(
    '%s describes itself and runs its example',
    (name, c) => {
      for (const text of [c.title, c.summary, c.source]) expect(text.length).toBeGreaterThan(5);
      expect(c.outputs.length).toBeGreaterThan(0);
      for (const input of c.inputs) {
        expect(input.description, input.name).not.toBe('');
        const ranged =
          input.choices !== undefined ||
          input.list === 'words' ||
          (Number.isFinite(input.min) && Number.isFinite(input.max));
        expect(ranged, `${input.name} has choices or a range`).toBe(true);
      }
      const result = runCalculation(name, asText(c.example));
      if (!result.ok) throw new Error(result.error);
      expect(Object.keys(result.outputs).sort()).toEqual(c.outputs.map((o) => o.name).sort());
      for (const output of c.outputs) {
        const value = result.outputs[output.name];
        if (typeof value === 'number') expect(Number.isFinite(value), output.name).toBe(true);
        else expect(String(value), output.name).not.toMatch(/NaN|undefined|Infinity/);
      }
    },
  );

  it('survives JSON without loss', () => {
    const described = describeCalculations();
    expect(JSON.parse(JSON.stringify(described))).toEqual(described);
    expect(described.length).toBe(calculations.length);
  });

  it('every example can be called from the description alone', () => {
    for (const c of JSON.parse(JSON.stringify(describeCalculations())) as ReturnType<
      typeof describeCalculations
    >) {
      expect(runCalculation(c.name, asText(c.example)).ok, c.name).toBe(true);
    }
  });
});

describe('refusals name the argument', () => {
  const numeric = calculations.flatMap((c) =>
    c.inputs.filter((i) => i.choices === undefined && i.list === undefined).map((i) => [c, i] as const),
  );

  it.each([
    ['text', 'abc'],
    ['NaN', 'NaN'],
    ['infinity', 'Infinity'],
    ['huge', '1e300'],
    ['empty', ''],
    ['a wrong unit', '5 parsec'],
  ])('%s', (_, text) => {
    for (const [c, input] of numeric) {
      const result = runCalculation(c.name, { ...asText(c.example), [input.name]: text });
      expect(result.ok, `${c.name} ${input.name}=${text}`).toBe(false);
      if (!result.ok) expect(result.error).toContain(input.name);
    }
  });

  it('below and above the range', () => {
    for (const [c, input] of numeric) {
      const below = (input.min ?? 0) - Math.max(1e-9, Math.abs(input.min ?? 0) * 0.5);
      for (const value of [below, (input.max ?? 0) * 2 + 1]) {
        const result = runCalculation(c.name, { ...asText(c.example), [input.name]: String(value) });
        expect(result.ok, `${c.name} ${input.name}=${value}`).toBe(false);
        if (!result.ok) {
          expect(result.error).toContain(input.name);
          expect(result.error).toMatch(/from .* to |whole number|must be/);
        }
      }
    }
  });

  it('negative capacitance and zero ohms', () => {
    const base = { farads: '100u', ohms: '10k', fromVolts: '330' };
    expect(runCalculation('discharge', { ...base, farads: '-100u' })).toEqual({
      ok: false,
      error: 'discharge: farads must be from 0.1 pF to 1 F, not -100 uF',
    });
    const zero = runCalculation('discharge', { ...base, ohms: '0' });
    expect(zero.ok ? '' : zero.error).toContain('ohms must be from');
  });

  it('missing, unknown, no such calculation, wrong choice', () => {
    const error = (name: string, args: Record<string, string>) => {
      const r = runCalculation(name, args);
      return r.ok ? 'accepted' : r.error;
    };
    expect(error('discharge', { farads: '1u', ohms: '1k' })).toContain('fromVolts is missing');
    expect(error('discharge', { farad: '1u' })).toContain('unknown argument "farad"; allowed: farads');
    expect(error('nothing-such', {})).toContain('nothing-such');
    expect(error('meter', {})).toContain('did you mean');
    expect(error('balance', { aOhms: '1', bOhms: '1', kind: 'left' })).toContain('kind must be one of');
    expect(error('capacitor-stack', { farads: '100u', volts: '1,2' })).toContain(
      'volts must be a list as long as farads',
    );
    expect(
      error('rectifier-supply', {
        topology: 'half-wave',
        rectifier: 'silicon',
        sourceVolts: '117',
        sourceOhms: '8',
        farads: '1e-4',
      }),
    ).toContain('loadAmps must be given');
    expect(error('lamp-limiter', { lampWatts: '100', lineVolts: '117', load: 'set' })).toContain(
      'ratedWatts',
    );
    for (const name of ['__proto__', 'constructor', 'toString'])
      expect(error(name, {})).toContain('no calculation');
  });

  it('random arguments inside their ranges never give NaN and never throw', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...calculations),
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (c, stream) => {
          const next = () => stream.next().value as number;
          const args: Record<string, string> = asText(c.example);
          for (const input of c.inputs) {
            if (input.optional && args[input.name] === undefined) continue;
            if (input.list !== undefined) continue;
            if (input.choices !== undefined) {
              args[input.name] = input.choices[Math.floor(next() * input.choices.length * 0.999)] ?? '';
              continue;
            }
            const low = input.min ?? 0;
            const high = input.max ?? 1;
            // Decades where the range is positive; half of the time near the example.
            let value = low > 0 ? low * (high / low) ** next() : low + (high - low) * next();
            const given = parseQuantity(args[input.name] ?? '', input.unit);
            if (given.ok && next() < 0.5) value = Math.min(high, Math.max(low, given.value * (0.5 + next())));
            args[input.name] = String(input.integer ? Math.round(value) : value);
          }
          const result = runCalculation(c.name, args);
          if (!result.ok) {
            expect(result.error.startsWith(`${c.name}: `)).toBe(true);
            return;
          }
          for (const value of Object.values(result.outputs)) {
            if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
            else expect(value).not.toMatch(/NaN|undefined/);
          }
        },
      ),
      { numRuns: 1500 },
    );
  });
});

describe('the doubt of a reading decides', () => {
  it.each([
    ['142', 'inside'],
    ['137', 'cannot tell'],
    ['128', 'outside'],
  ])('%s V on a 150 V range against 135 to 160 V is %s', (reading, verdict) => {
    const r = runCalculation('judge-reading', {
      reading,
      meter: 'vacuum-tube',
      fullScale: '150',
      low: '135',
      high: '160',
    });
    expect(r.ok ? r.outputs.verdict : r.error).toBe(verdict);
    expect(r.ok ? r.outputs.plusMinus : 0).toBeCloseTo(4.5, 9);
  });
});

describe('numbers as technicians type them', () => {
  it.each([
    ['4k7', 'ohm', 4700],
    ['4.7k', 'ohm', 4700],
    ['4,7k', 'ohm', 4700],
    ['4R7', 'ohm', 4.7],
    ['2M2', 'ohm', 2.2e6],
    ['1.2M', 'ohm', 1.2e6],
    ['1.2meg', 'ohm', 1.2e6],
    ['10 kohm', 'ohm', 1e4],
    ['470Ω', 'ohm', 470],
    ['100u', 'F', 1e-4],
    ['100µF', 'F', 1e-4],
    ['.047u', 'F', 4.7e-8],
    ['850p', 'F', 8.5e-10],
    ['2n2', 'F', 2.2e-9],
    ['15.5k', 'V', 15500],
    ['15.5kV', 'V', 15500],
    ['-46', 'V', -46],
    ['0.5ma', 'A', 5e-4],
    ['300 mA', 'A', 0.3],
    ['60Hz', 'Hz', 60],
    ['10 m', 's', 0.01],
    ['10 %', '%', 10],
    ['1e-4', 'F', 1e-4],
  ])('%s in %s', (text, unit, value) => {
    expect(parseQuantity(text, unit)).toEqual({ ok: true, value });
  });

  it.each([
    ['', 'V'],
    ['volt', 'V'],
    ['1..2', 'V'],
    ['4k7k', 'ohm'],
    ['10V', 'ohm'],
    ['10 ohm', 'V'],
    ['4R7', 'V'],
    ['0x10', 'ohm'],
    ['1 2', 'V'],
    ['--5', 'V'],
    ['1e', 'V'],
    ['NaN', 'V'],
    ['inf', 'V'],
    ['1e999', 'V'],
  ])('%s is not a number in %s', (text, unit) => {
    expect(parseQuantity(text, unit).ok).toBe(false);
  });
});

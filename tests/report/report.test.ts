// The write-up: golden Markdown, HTML structure and contrast, JSON against its published schema.
import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Verdict } from '../../src/diagnosis/types.ts';
import { type Result, renderReport, resultOf, translator } from '../../src/report/index.ts';
import { STYLE } from '../../src/report/style.ts';
import { loadRules } from '../../src/rulebook/index.ts';
import { BOOK, demoInput, demoView, logged, SET, volts } from './fixture.ts';
import { outline } from './hostile-input.ts';

const schema: unknown = JSON.parse(
  readFileSync(new URL('../../src/report/result.schema.json', import.meta.url), 'utf8'),
);

describe('Markdown', () => {
  it('is the golden page for the hand-made set', async () => {
    await expect(renderReport(demoInput(), 'md')).toMatchFileSnapshot('golden/hand-made.md');
  });

  it('puts core parts, what was not proven and the certificate line in their order', () => {
    const text = renderReport(demoInput(), 'md');
    const order = [
      '## Verdict',
      '## The parts nobody makes',
      '## What was measured',
      '## What was not proven',
      '## Next steps',
      '## Not a safety certificate',
      '# Bench record',
      '## All readings',
    ];
    const places = order.map((heading) => text.indexOf(heading));
    expect(places.every((place) => place >= 0)).toBe(true);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
  });

  it('never says safe of a set', () => {
    for (const format of ['md', 'html', 'json'] as const)
      expect(renderReport(demoInput(), format)).not.toMatch(/\bsafe\b/i);
  });

  it('tells a session without a verdict as such', () => {
    const text = renderReport(
      demoInput({ ...demoView(), verdict: undefined, belief: undefined, suspects: [] }),
      'md',
    );
    expect(text).toContain('## Verdict: No verdict yet');
    expect(text).toContain('nothing counts as proven');
  });

  it('shows readings that a repair overtook as no longer believed', () => {
    const view = demoView();
    const text = renderReport(
      demoInput({ ...view, judged: view.judged.filter((entry) => entry.check.id !== 'flyback-ring') }),
      'md',
    );
    expect(text).toMatch(/Ring test of the flyback \| 98 .*no longer believed/);
  });

  it('names both rule bases when the session was begun under another', () => {
    const other = demoInput(demoView(), {
      session: { name: 's', created: '', rules: { name: 'old', version: '0.9.0', hash: 'fff' } },
    });
    expect(renderReport(other, 'md')).toContain(
      'old 0.9.0 (fff); this report was judged by hand-made 1.0.0 (abc123)',
    );
  });
});

describe('cautions', () => {
  it('are shown once, with the first step that they belong to', () => {
    const text = renderReport(demoInput(), 'md');
    const steps = text.slice(text.indexOf('## Next steps'), text.indexOf('## Not a safety'));
    for (const caution of Object.values(BOOK.cautions))
      expect(steps.split(caution).length - 1).toBeLessThanOrEqual(1);
    expect(steps).toContain(BOOK.cautions['each-capacitor']);
    expect(steps).toContain(BOOK.cautions['hot-chassis']);
  });
});

describe('HTML', () => {
  const html = renderReport(demoInput(), 'html');

  it('is well formed, with one header, one main and headings that skip no level', () => {
    const tags = outline(html);
    const count = (tag: string) => tags.filter((entry) => entry.tag === tag).length;
    expect([count('h1'), count('header'), count('main')]).toEqual([1, 1, 1]);
    const levels = tags.flatMap((entry) => (/^h[1-6]$/.test(entry.tag) ? [Number(entry.tag[1])] : []));
    const steps = levels.slice(1).map((level, n) => level - (levels[n] ?? 1));
    expect(Math.max(...steps)).toBeLessThanOrEqual(1);
  });

  it('labels every section, picture and scrolling table, with ids used once', () => {
    const tags = outline(html);
    const ids = [...html.matchAll(/\sid="([^"]+)"/g)].map((match) => match[1]);
    expect(new Set(ids).size).toBe(ids.length);
    for (const entry of tags.filter((one) => one.tag === 'section')) {
      const label = /aria-labelledby="([^"]+)"/.exec(entry.attributes)?.[1];
      expect(ids).toContain(label);
    }
    for (const entry of tags.filter((one) => one.tag === 'svg'))
      expect(entry.attributes).toMatch(/role="img" aria-label="[^"]+"/);
    for (const entry of tags.filter((one) => one.attributes.includes('tabindex')))
      expect(entry.attributes).toContain('aria-label=');
    expect(html).toMatch(/^<!doctype html>\n<html lang="en-US">/);
  });

  it('fetches nothing and runs nothing', () => {
    expect(html).not.toMatch(/<(script|link|iframe|object|embed|img)\b/);
    expect(html).not.toMatch(/url\(|@import|https?:/);
    expect(html).toContain(`default-src 'none'`);
  });

  it('gives every grade as a word, not by colour alone', () => {
    expect(html).toMatch(
      /aria-label="Sections: B\+ supply: serviceable; Horizontal output: failed; Sound: not proven"/,
    );
    expect(html).toContain('0.50 times the expected value');
  });

  // Relative luminance and the 4.5 to 1 limit: WCAG 2.2, success criterion 1.4.3 and its definition of contrast ratio (W3C, 2023).
  it('has readable contrast in light, dark and print', () => {
    const schemes = [...STYLE.matchAll(/:root\{([^}]*)\}/g)].map((match) => match[1] ?? '');
    expect(schemes).toHaveLength(3);
    for (const scheme of schemes) {
      const colours = Object.fromEntries(
        [...scheme.matchAll(/--([a-z]+):(#[0-9a-f]{3,6})/g)].map((m) => [m[1] ?? '', m[2] ?? '']),
      );
      for (const ink of ['ink', 'quiet', 'good', 'watch', 'bad', 'mark'])
        for (const ground of ['paper', 'shade'])
          expect(contrast(colours[ink] ?? '', colours[ground] ?? '')).toBeGreaterThanOrEqual(4.5);
    }
  });

  it('computes contrast as the standard does', () => {
    expect(contrast('#000', '#fff')).toBeCloseTo(21, 6);
    // Grey #767676 on white is the well-known edge of 4.5 to 1 (4.54).
    expect(contrast('#767676', '#ffffff')).toBeCloseTo(4.54, 2);
  });
});

function contrast(a: string, b: string): number {
  const [x = 0, y = 0] = [luminance(a), luminance(b)].toSorted((p, q) => q - p);
  return (x + 0.05) / (y + 0.05);
}

function luminance(colour: string): number {
  const hex =
    colour.slice(1).length === 3 ? [...colour.slice(1)].map((c) => c + c).join('') : colour.slice(1);
  const [r = 0, g = 0, b = 0] = [0, 2, 4].map((at) => {
    const c = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

describe('terms', () => {
  const uk = translator(BOOK.glossary, 'uk');

  it('exchange the longest term first, once, and keep capitals', () => {
    expect(uk('Horizontal output tube, plate and anode voltage')).toBe('Line output valve, anode and EHT');
    expect(uk('Picture tube')).toBe('Picture tube');
    expect(uk('B+ at the tube')).toBe('HT at the valve');
    expect(uk('tubeless')).toBe('tubeless');
    const odd = translator(
      [
        { us: 'across-the-line capacitor', uk: 'mains filter capacitor' },
        { us: 'yoke', uk: 'scan coils' },
        { us: 'first anode (G2)', uk: 'a1' },
      ],
      'uk',
    );
    expect(odd('Across-the-line capacitors and yokes, first anode (G2).')).toBe(
      'Mains filter capacitors and scan coils, a1.',
    );
    expect(translator(BOOK.glossary, 'us')('tube')).toBe('tube');
  });

  it('of the trade read as they would be said in Britain, and leave what must not change', () => {
    // Common practice, no source: words of British service sheets.
    const own = loadRules(new URL('../../rules', import.meta.url).pathname).book;
    const say = translator(own?.glossary ?? [], 'uk');
    const pairs = [
      ['Ring of the yoke halves', 'Ring of the halves of the scan coils'],
      ['Horizontal yoke winding, ohms', 'Line winding of the scan coils, ohms'],
      ['picture-tube voltages', 'picture-tube voltages'],
      ['High voltages stay in a set', 'High voltages stay in a set'],
      ['Halves of the high-voltage winding', 'Halves of the HT winding'],
      ['Flyback HV winding', 'Line output transformer EHT winding'],
      ['single horizontal line', 'single horizontal line'],
      ['Horizontal AFC', 'Flywheel line sync'],
      ['vertical tubes', 'frame valves'],
      ['put the line on a knob shaft', 'put the mains on a knob shaft'],
      ['Series string, line cord', 'Series heater chain, mains lead'],
    ];
    expect(pairs.map(([us = '']) => say(us))).toEqual(pairs.map(([, uk]) => uk));
  });

  it('leave typed names and notes alone', () => {
    const view = demoView({
      set: { ...SET, name: 'tube plate' },
      notes: [{ seq: 1, at: '', text: 'the plate is red', check: '' }],
    });
    const text = renderReport(demoInput(view, { terms: 'uk' }), 'md');
    expect(text).toContain('Condition report: tube plate');
    expect(text).toContain('the plate is red');
    expect(text).toContain('HT at the output filter');
    expect(renderReport(demoInput(view, { terms: 'uk' }), 'html')).toContain('<html lang="en-GB">');
  });
});

describe('JSON result', () => {
  const validate = new Ajv2020({ strict: true, strictRequired: false, allErrors: true }).compile<Result>(
    Object(schema),
  );
  const check = (result: unknown) => {
    const ok = validate(JSON.parse(JSON.stringify(result)));
    expect(validate.errors ?? []).toEqual([]);
    expect(ok).toBe(true);
  };

  it('has the fields that scripts rely on', () => {
    const result = resultOf(demoView(), {
      case: 'a case',
      gates: 'assumed',
      truth: ['horizontal-output.grid-coupling-capacitor/leaky', 'sound.volume-control/dirty'],
    });
    check(result);
    expect(result.case).toBe('a case');
    expect(result.verdict?.grades['horizontal-output']).toBe('failed');
    expect(result.verdict?.core).toEqual({
      'picture-tube': 'serviceable',
      flyback: 'serviceable',
      yoke: 'serviceable',
    });
    expect(result.suspects[0]).toMatchObject({
      id: 'horizontal-output.grid-coupling-capacitor/leaky',
      probability: 0.95,
    });
    expect(result.suspects[0]?.because[0]).toEqual({ check: 'grid-coupling-leakage', weight: 2 });
    expect(result.asked[0]).toEqual({
      check: 'picture-tube-emission',
      answer: '92',
      minutes: 5,
      state: 'S0',
    });
    expect(result.conflicts[0]).toEqual({
      check: 'flyback-ring',
      surprise: 0.004,
      slip: { kind: 'none', probability: 0.1 },
    });
    expect(result.truth).toEqual([
      { id: 'horizontal-output.grid-coupling-capacitor/leaky', rank: 1, faultRank: 1, probability: 0.951 },
      { id: 'sound.volume-control/dirty', rank: null, faultRank: null, probability: 0.2 },
    ]);
  });

  it('ranks ties by the worst place', () => {
    const view = demoView();
    const [first] = view.suspects;
    if (!first) throw new Error('no suspect');
    const twin = { ...first, id: 'sound.volume-control/dirty', part: 'sound.volume-control', fault: 'dirty' };
    const result = resultOf({ ...view, suspects: [first, twin] }, { truth: [first.id] });
    expect(result.truth?.[0]).toMatchObject({ rank: 2, faultRank: 2 });
  });

  it('validates whatever the walk believes', () => {
    const grade = fc.constantFrom('sound', 'serviceable', 'doubtful', 'failed', 'not proven' as const);
    const chance = fc.double({ min: 0, max: 1, noNaN: true });
    const base = demoView();
    if (!base.verdict) throw new Error('no verdict');
    const verdict: Verdict = base.verdict;
    fc.assert(
      fc.property(
        fc.constantFrom(
          'worth-overhauling',
          'worth-with-reservations',
          'not-worth',
          'not-yet-known' as const,
        ),
        grade,
        chance,
        chance,
        fc.string({ unit: 'binary' }),
        fc.boolean(),
        (overall, g, a, b, text, none) => {
          const view = {
            ...base,
            verdict: none
              ? undefined
              : {
                  ...verdict,
                  overall,
                  watchable: a,
                  core: verdict.core.map((entry) => ({ ...entry, grade: g })),
                  notProven: [text],
                },
            suspects: base.suspects.map((entry) => ({ ...entry, partProbability: a, probability: a * b })),
            conflicts: base.conflicts.map((entry) => ({
              ...entry,
              surprise: b,
              slip: { ...entry.slip, probability: a },
            })),
            plan: { ranked: [], stop: undefined },
            trouble: text,
          };
          check(resultOf(view, { case: text, truth: ['a.b/c'] }));
        },
      ),
      { numRuns: 500 },
    );
  });

  it('refuses what is not a result', () => {
    expect(validate({ ...resultOf(demoView()), minutes: -1 })).toBe(false);
    expect(validate({ ...resultOf(demoView()), suspects: [{ id: 'no part' }] })).toBe(false);
  });
});

it('renders a session of 500 readings whole', () => {
  const view = demoView();
  const readings = Array.from({ length: 500 }, (_, n) =>
    logged('b-plus-working', n + 1, '131', volts(131), { note: 'steady' }),
  );
  const [first] = view.judged;
  if (!first) throw new Error('no reading');
  const judged = readings.map((entry) => ({ ...first, seq: entry.seq, value: entry.value }));
  const long = demoInput({ ...view, state: { ...view.state, readings }, judged });
  const html = renderReport(long, 'html');
  const md = renderReport(long, 'md');
  expect(md.match(/^\| \d+ \| 2031-/gm)).toHaveLength(500);
  expect(html.match(/<tr>/g)?.length).toBeGreaterThan(500);
});

// The write-up of the demonstration sessions: golden pages, accessibility, parts list, tubes, trees, repairs and photos.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import axe from 'axe-core';
import { parse } from 'csv-parse/sync';
import { JSDOM } from 'jsdom';
import { describe, expect, it } from 'vitest';
import { PHOTO_LIMITS, type ReportInput, renderPartsCsv, renderReport } from '../../src/report/index.ts';
import { fold } from '../../src/session/index.ts';
import { readCase } from '../../src/walk/case-file.ts';
import { evaluateAll } from '../../src/walk/evaluate.ts';
import { book, DEMOS, engine, inputOf, ROOT, termsOf } from './demo-inputs.ts';

describe('golden pages', () => {
  it.each(DEMOS)('%s', async (name) => {
    // Which state of the rule files wrote the page is told by their hash; a page that says the same under other rules is the same page.
    const text = renderReport(inputOf(name, termsOf(name)), 'md').replace(
      /^- Rule base: .*$/m,
      '- Rule base: (as the session names it)',
    );
    await expect(text).toMatchFileSnapshot(`golden/${name}.md`);
  });

  it.each([...DEMOS, 'demo-meridian'])('%s leaves nothing blank, calls nothing safe and is short', (name) => {
    const text = renderReport(inputOf(name, termsOf(name)), 'md');
    expect(text).not.toMatch(/undefined|NaN|\[object|Infinity/);
    expect(text).not.toMatch(/\b(is|are|it|set|now) safe\b/i);
    expect(text.slice(0, text.indexOf('# Bench record')).split(/\s+/).length).toBeLessThan(2100);
    expect(text.split('\n').length).toBeLessThan(420);
  });

  it('gives expected values in the unit of the quantity: milliamperes and kilovolts, not a thousandth of them', () => {
    const text = renderReport(inputOf('demo-harbour'), 'md', 'record');
    const row = (title: string) => text.split('\n').find((line) => line.includes(`| ${title} |`)) ?? '';
    expect(row('Cathode current of the horizontal output tube')).toMatch(/about [5-9]\d(\.\d)? mA/);
    expect(row('Anode voltage, dark screen')).toMatch(/about 1\d(\.\d)? kV/);
  });
});

interface AxeResult {
  readonly violations: readonly {
    readonly id: string;
    readonly impact: string;
    readonly nodes: readonly { readonly html: string }[];
  }[];
  readonly passes: readonly { readonly id: string }[];
}

/** Findings of axe-core on a page. Contrast needs a renderer: it is computed from the style sheet in its own test. */
async function axeOn(html: string): Promise<AxeResult> {
  const dom = new JSDOM(html, { runScripts: 'outside-only' });
  dom.window.eval(axe.source);
  const text: unknown = await dom.window.eval(
    `axe.run(document, {rules: {'color-contrast': {enabled: false}}}).then((r) => JSON.stringify({violations: r.violations, passes: r.passes}))`,
  );
  dom.window.close();
  return JSON.parse(String(text));
}

describe('accessibility by axe-core', () => {
  it.each([...DEMOS, 'demo-meridian'])('%s: no finding of any weight', async (name) => {
    const result = await axeOn(renderReport({ ...inputOf(name), photos: [DOT] }, 'html'));
    const found = result.violations.map((v) => `${v.impact} ${v.id}: ${v.nodes[0]?.html.slice(0, 120)}`);
    expect(found).toEqual([]);
    expect(result.passes.length).toBeGreaterThan(15);
  });

  it('finds what is wrong with a page that has no language and a picture without words', async () => {
    const bad = renderReport({ ...inputOf('demo-linden'), photos: [DOT] }, 'html')
      .replace(/<html lang="[^"]*">/, '<html>')
      .replace(/ alt="[^"]*"/, '');
    const ids = (await axeOn(bad)).violations.map((v) => v.id);
    expect(ids).toEqual(expect.arrayContaining(['html-has-lang', 'image-alt']));
  });
});

describe('the parts list', () => {
  const rows = (name: string): readonly Record<string, string>[] =>
    parse(renderPartsCsv(inputOf(name)), { columns: true, record_delimiter: '\r\n' });

  it('has what was found bad, with its rating, and what is renewed as a class, each part once', () => {
    const all = rows('demo-orchard');
    const bad = all.filter((row) => row.reason === 'found bad');
    expect(bad.map((row) => row.positions)).toEqual([
      'Grid coupling capacitor of the horizontal output tube',
      'Insulation heater to cathode of the picture tube',
    ]);
    expect(bad[0]?.item).toMatch(/film, 630 V/);
    // Equal titles occur (`Cathode bypass` of two stages); the count of positions must still be that of the names.
    for (const row of all) expect(row.positions?.split(' | ')).toHaveLength(Number(row.quantity));
    expect(all.filter((row) => row.reason?.startsWith('aged')).length).toBeGreaterThan(20);
  });

  it('asks safety classes for what hangs on the line, and for nothing else less than its rating', () => {
    const across = rows('demo-orchard').find((row) => row.positions === 'Across-the-line capacitor');
    // IEC 60384-14 (2013): fixed capacitors for suppression, classes X (across the line) and Y (line to earth).
    expect(across?.['safety class']).toMatch(/X class across the line.*IEC 60384-14/);
    expect(across?.group).toBe('Safety-rated parts');
  });

  it('does not order again what was replaced', () => {
    expect(
      rows('demo-harbour').some((row) => /^Grid coupling capacitor of the horiz/.test(row.positions ?? '')),
    ).toBe(false);
  });

  it('is grouped: no group comes up twice', () => {
    const groups = rows('demo-orchard').map((row) => row.group);
    const runs = groups.filter((group, n) => group !== groups[n - 1]);
    expect(new Set(runs).size).toBe(runs.length);
  });

  it('makes text of what a spreadsheet would take for a formula, and is only a head without a verdict', () => {
    const input = inputOf('demo-orchard');
    const parts = book.parts.map((part) =>
      part.id === 'horizontal-output.grid-coupling-capacitor'
        ? { ...part, remedy: { ...part.remedy, parts: '=HYPERLINK("x"),1' } }
        : part,
    );
    const csv = renderPartsCsv({ ...input, rulebook: { ...input.rulebook, parts } });
    expect(csv).toContain(`"'=HYPERLINK(""x""),1"`);
    expect(
      renderPartsCsv({ ...input, view: { ...input.view, verdict: undefined } }).split('\r\n'),
    ).toHaveLength(2);
  });
});

describe('the bench record', () => {
  const part = (name: string, from: string, to: string) => {
    const text = renderReport(inputOf(name), 'md');
    return text.slice(text.indexOf(from), text.indexOf(to, text.indexOf(from) + 5));
  };

  it('shows a repair with the readings before and after it, and a corrected reading with what was typed first', () => {
    expect(part('demo-orchard', '## Repairs', '## Tubes')).toMatch(
      /Surge resistor: 39 ohm \(No\. \d+\), then 7\.6 ohm \(No\. \d+\)/,
    );
    expect(part('demo-orchard', '## Readings corrected', '## Repairs')).toMatch(
      /Drive at the horizontal output grid \| 12 \| -12 \|/,
    );
  });

  it('keeps a reading that was taken back, and says so', () => {
    const input = inputOf('demo-orchard');
    const last = input.view.state.history.findLast((event) => event.type === 'reading');
    const { lastSeq, lastAt } = input.view.state;
    const state = fold(input.view.state, {
      type: 'undone',
      target: last?.seq ?? 0,
      seq: lastSeq + 1,
      at: lastAt,
    });
    const text = renderReport({ ...input, view: engine.view(state, new Date(lastAt)) }, 'md');
    expect(text.split('\n').find((line) => line.startsWith(`| ${last?.seq} |`))).toMatch(/\| taken back \|$/);
  });

  it('keeps what was expected of a reading that a repair overtook', () => {
    const input = inputOf('demo-harbour');
    const { lastSeq, lastAt } = input.view.state;
    const state = fold(input.view.state, {
      type: 'repaired',
      part: 'b-plus.filter-choke',
      action: 'replaced',
      found: '',
      seq: lastSeq + 1,
      at: lastAt,
    });
    const text = renderReport({ ...input, view: engine.view(state, new Date(lastAt)) }, 'md');
    const row = text
      .split('\n')
      .find((l) => l.includes('| Filtered B+, horizontal stage off |') && / UTC /.test(l));
    expect(row).toMatch(/about 3\d\d V .*no longer believed/);
  });

  it('tells the reading before a repair that it is no longer believed', () => {
    const rows = renderReport(inputOf('demo-orchard'), 'md')
      .split('\n')
      .filter((line) => /\| Surge resistor \|/.test(line) && / UTC /.test(line));
    expect(rows).toHaveLength(2);
    expect(rows[0]).toMatch(/no longer believed/);
    expect(rows[1]).not.toMatch(/no longer believed/);
  });

  it('lists tubes with heater, base, pins and what the tester said, each result with the number of its reading', () => {
    const tubes = part('demo-orchard', '## Tubes', '## To renew');
    expect(tubes).toMatch(/horizontal output \| 12DQ6A \| 12\.6 V, 600 mA \| octal 6AM \| 2 H, 4 G2, 5 G1/);
    expect(tubes).toMatch(
      /picture tube \| 21YP4A .*Emission of the picture tube on the tester: good \(No\. \d+\)/,
    );
  });

  it('opens no signal twice in its fault trees, and none next to impossible', () => {
    const lines = part('demo-orchard', '## Why: fault trees', '\u0000').split('\n');
    const opened = lines.flatMap((line, n) => {
      const depth = line.search(/\S/);
      const next = lines[n + 1]?.search(/\S/) ?? -1;
      return /^\s*- /.test(line) && next > depth ? [line.trim().replace(/:.*/, '')] : [];
    });
    expect(opened.length).toBeGreaterThan(5);
    expect(new Set(opened).size).toBe(opened.length);
    expect(lines.some((line) => line.includes('under 1 in 50'))).toBe(false);
  });

  it('traces every number that a suspect rests on to a reading in the list', () => {
    const text = renderReport(inputOf('demo-orchard'), 'md');
    const wrong = text.slice(text.indexOf('## What is probably'), text.indexOf('## The rest'));
    const cited = [...wrong.matchAll(/(?<=readings? [\d, and]*)\b(\d+)/gi)].map(([, seq]) => seq);
    expect(cited.length).toBeGreaterThan(2);
    for (const seq of cited) expect(text).toMatch(new RegExp(`^\\| ${seq} \\| \\d{4}-`, 'm'));
  });

  it('gives a source for every expected value that was worked out', () => {
    const sources = part('demo-harbour', '## Where the expected', '## Power')
      .split('\n')
      .filter((line) => /^\| \d/.test(line));
    expect(sources.length).toBeGreaterThan(4);
    for (const line of sources) expect(line.split(' | ').at(-1)?.length).toBeGreaterThan(5);
  });
});

const DOT = {
  name: 'chassis <b>before</b>.png',
  mime: 'image/png',
  base64: 'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
};

describe('photos', () => {
  const html = (photos: ReportInput['photos']) => renderReport({ ...inputOf('demo-linden'), photos }, 'html');

  it('are embedded with their name in words, which stays inert', () => {
    const page = html([DOT]);
    expect(page).toContain(`<img src="data:image/png;base64,${DOT.base64}"`);
    expect(page).toContain('chassis &lt;b&gt;before&lt;/b&gt;.png');
  });

  it.each([
    ['a picture that could carry script', { ...DOT, mime: 'image/svg+xml' }, /not a JPEG/],
    ['what is no base64', { ...DOT, base64: '"><script>x</script>AAA' }, /could not be read/],
    ['nothing', { ...DOT, base64: '' }, /could not be read/],
    ['too much', { ...DOT, base64: 'A'.repeat(4 * PHOTO_LIMITS.bytes) }, /larger than 3 MB/],
  ])('leave out %s, and say so', (_, photo, why) => {
    const page = html([photo]);
    expect(page).not.toContain('<img');
    expect(page).not.toContain('<script');
    expect(page).toMatch(why);
  });

  it('are as many as a report holds', () => {
    const page = html(Array.from({ length: 14 }, () => DOT));
    expect(page.match(/<img/g)).toHaveLength(PHOTO_LIMITS.photos);
    expect(page).toMatch(/a report holds 12 photos/);
  });
});

it('gives a result that the schema takes, for sets answered at random', () => {
  const schema: unknown = JSON.parse(readFileSync(join(ROOT, 'src/report/result.schema.json'), 'utf8'));
  const validate = new Ajv2020({ strictRequired: false }).compile(Object(schema));
  // Lehmer's generator (Park and Miller, Comm. ACM 31, 1988): the same sets on every machine.
  let seed = 1954;
  const pick = () => {
    seed = (seed * 16807) % 2147483647;
    return seed / 2147483647;
  };
  for (let n = 0; n < 30; n += 1) {
    const family = book.families[Math.floor(pick() * book.families.length)]?.id ?? '';
    const answers = book.checks
      .filter((check) => check.kind === 'choice' && pick() < 0.15)
      .map((check) => `  ${check.id}: "${check.options[Math.floor(pick() * check.options.length)]?.id}"`);
    const text = `case: answered at random\nset: {family: ${family}}\ninstruments: [dmm]\nanswers:\n${answers.join('\n')}\n`;
    const { data: one, ...rest } = readCase(`random-${n}`, text, book);
    if (!one) throw new Error(`case ${n} has errors: ${JSON.stringify(rest)}`);
    const { view } = evaluateAll(engine, one, { explained: false });
    const { rules: own } = inputOf('demo-linden').session;
    const json = renderReport(
      { view, session: { name: 'r', created: '', rules: own }, rulebook: book, now: new Date(0) },
      'json',
    );
    validate(JSON.parse(json));
    expect(validate.errors ?? [], `case ${n}`).toEqual([]);
  }
}, 120_000);

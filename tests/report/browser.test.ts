// Reports as a browser lays them out: nothing beyond an edge or clipped, no finding of axe-core in light or dark, two sheets for the owner. Left out where no browser is installed.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { findBrowser, printPdf } from '../../src/cli/browser-print.ts';
import { renderReport } from '../../src/report/index.ts';
import { type Look, lookAt } from './browser.ts';
import { DEMOS, inputOf, muchWrong, termsOf } from './demo-inputs.ts';
import { demoInput, demoView } from './fixture.ts';
import { hostileInput } from './hostile-input.ts';

const browser = findBrowser() ?? '';
const PATIENCE = 240_000;
const NAMES = [...DEMOS, 'demo-meridian'];
const MUCH_WRONG = 'a set with much wrong';

/** Small telephone, tablet, desk; colours do not depend on the width. */
const WIDTHS = { light: [320, 768, 1280], dark: [390] } as const;
/** Width between the margins of 10 mm at 96 pixels an inch: A4 (ISO 216) 210 mm, US Letter (ANSI Y14.1) 8.5 in. */
const A4 = Math.floor(((210 - 20) / 25.4) * 96);
const LETTER = Math.floor((8.5 - 20 / 25.4) * 96);

const htmlOf = (name: string) =>
  renderReport({ ...inputOf(name, termsOf(name)), technician: 'Elin' }, 'html');
const looks = (scheme: 'light' | 'dark'): readonly Look[] =>
  NAMES.flatMap((name) => {
    const html = htmlOf(name);
    return WIDTHS[scheme].map((width) => ({ name, html, width }));
  });

describe.skipIf(browser === '')('in a browser', () => {
  it.each([
    ['light', 'rgb(255, 255, 255)'],
    ['dark', 'rgb(22, 22, 22)'],
  ] as const)(
    'fits every width and has no finding of axe-core, contrast among its checks, in a %s scheme',
    (scheme, ground) => {
      const seen = lookAt(browser, looks(scheme), scheme);
      expect(seen.map((one) => [one.name, one.width, one.findings])).toEqual(
        looks(scheme).map(({ name, width }) => [name, width, []]),
      );
      for (const one of seen) {
        expect(one.ground).toBe(ground);
        expect(one.passes).toEqual(expect.arrayContaining(['color-contrast', 'landmark-one-main', 'region']));
      }
    },
    PATIENCE,
  );

  it(
    'cuts nothing off on paper',
    () => {
      const printed = NAMES.flatMap((name) =>
        [A4, LETTER].map((width): Look => ({ name, html: htmlOf(name), width, printed: true })),
      );
      const cut = lookAt(browser, printed, 'light').map(({ name, width, findings }) => [
        name,
        width,
        findings,
      ]);
      expect(cut).toEqual(printed.map(({ name, width }) => [name, width, []]));
    },
    PATIENCE,
  );

  it(
    'keeps words without end within the page and the sheet',
    () => {
      const html = renderReport(hostileInput('W'.repeat(500)), 'html');
      const seen = lookAt(
        browser,
        [
          { name: 'telephone', html, width: 320 },
          { name: 'sheet', html, width: LETTER, printed: true },
        ],
        'light',
      );
      expect(seen.map((one) => one.findings)).toEqual([[], []]);
    },
    PATIENCE,
  );

  it(
    'notices what it looks for: a wide word, pale ink, a picture without words',
    () => {
      const html = renderReport(demoInput(), 'html')
        .replace('</main>', `<p style="white-space:nowrap">${'wide '.repeat(200)}</p></main>`)
        .replace('</header>', '<p style="color:#bbb;background:#fff">pale</p></header>')
        .replace('</main>', '<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw="></main>');
      const [seen] = lookAt(browser, [{ name: 'bad', html, width: 390 }], 'light');
      const text = seen?.findings.join('\n') ?? '';
      for (const words of [
        'the page is',
        'wider than its box',
        'serious color-contrast',
        'critical image-alt',
      ])
        expect(text).toContain(words);
    },
    PATIENCE,
  );

  it.each([...NAMES, MUCH_WRONG])(
    "%s: the owner's page takes two sheets at most, on A4 and on Letter",
    (name) => {
      const input =
        name === MUCH_WRONG ? muchWrong() : { ...inputOf(name, termsOf(name)), technician: 'Elin' };
      const html = renderReport(input, 'html', 'owner');
      expect(sheets(html, 'A4')).toBeLessThanOrEqual(2);
      expect(sheets(html, 'letter')).toBeLessThanOrEqual(2);
    },
    PATIENCE,
  );

  it(
    'the record alone begins on its first sheet',
    () => {
      // A record of few lines: its first table stands under its head, on one sheet.
      const input = demoInput({ ...demoView(), verdict: undefined });
      expect(sheets(renderReport(input, 'html', 'record'), 'A4')).toBe(1);
      expect(renderReport(input, 'html', 'record')).toMatch(/<main><section class="bench"/);
    },
    PATIENCE,
  );
});

/** Pages of the printed report: page objects of the file (ISO 32000-1, 7.7.3.3). */
function sheets(html: string, size: string): number {
  const folder = mkdtempSync(join(tmpdir(), 'sheets-'));
  try {
    const target = join(folder, 'page.pdf');
    printPdf(html.replace('@page{size:auto', `@page{size:${size}`), target, browser);
    return readFileSync(target, 'latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

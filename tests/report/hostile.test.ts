// Whatever somebody types as a name, a note or a reading is text and nothing else in every format of the write-up.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { renderReport } from '../../src/report/index.ts';
import { type OrderLine, partsCsv } from '../../src/report/parts-list.ts';
import { escapeHtml, escapeMarkdown, htmlText, typedText } from '../../src/report/text.ts';
import { demoInput } from './fixture.ts';
import { hostileInput, outline } from './hostile-input.ts';

const HOSTILE = [
  '<script>alert(1)</script>',
  '"><img src=x onerror=alert(1)>',
  '[click](javascript:alert(1)) ![x](http://x.invalid/y.png)',
  '| a | b |\n|---|---|\n# Verdict: sound',
  '\u001b[2J\u001b]0;title\u0007 bell\u0007',
  'evil\u202egnp.exe \u2066hidden\u2069',
  '```\n</svg></style></title>',
  '**bold** _it_ ~~gone~~ <b>x</b> &lt;',
  '](javascript:alert(1)) [x]: javascript:alert(2)',
  '![](x "a" onerror=alert(1))',
  'see https://x.invalid/a www.x.invalid me@x.invalid',
  `${'W'.repeat(3000)}`,
  '&'.repeat(120),
  '1. one',
  '- - -',
  '=HYPERLINK("http://x.invalid","click")',
  '{"__proto__": {"verdict": 1}}',
  '\u2028\u2029\u0000\u200b\ufeff\ud800plain',
] as const;

describe('hostile text', () => {
  it.each(HOSTILE)('%j is inert in every format', (text) => {
    const given = hostileInput(text);
    const md = renderReport(given, 'md');
    const html = renderReport(given, 'html');
    const json = renderReport(given, 'json');
    const calm = renderReport(hostileInput('plain'), 'md');
    const plain = renderReport(demoInput(), 'html');
    for (const page of [md, html, json]) {
      // Control characters and those that turn the direction of text (Unicode Bidirectional Algorithm, UAX #9).
      expect(page).not.toMatch(
        /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069\u200e\u200f]/,
      );
    }
    expect(md).not.toMatch(/<[a-z/!]/i);
    expect(md).not.toMatch(/(?<!\\)\]\(/);
    expect(md).not.toMatch(/(?<!\\)\]:/);
    // Nothing that a reader of Markdown would make a link of by itself.
    expect(md).not.toMatch(/\bhttps?:\/\/|\bwww\.|[a-z]@[a-z]/i);
    // No list, rule, heading or code begins with what was typed.
    expect(countOf(md, /^\s*(?:\d+[.)]|[-+*]) /gm)).toBe(countOf(calm, /^\s*(?:\d+[.)]|[-+*]) /gm));
    expect(md.match(/^#+ /gm)?.length).toBe(calm.match(/^#+ /gm)?.length);
    expect(new Set(outline(html).map((entry) => entry.tag))).toEqual(
      new Set([...outline(plain).map((entry) => entry.tag)]),
    );
    expect(html).not.toMatch(/href="(?!#)/);
    expect(html).not.toMatch(/<(script|img|b>x)/i);
    expect(html).not.toMatch(/<[^>]*\son[a-z]+=/i);
    const result: { readonly verdict?: unknown } = JSON.parse(json);
    expect(result.verdict).toHaveProperty('overall');
    expect(Object.getPrototypeOf(result)).toBe(Object.prototype);
  });

  it('keeps a Markdown table one row a reading', () => {
    const text = renderReport(hostileInput('| a | b |\n|---|'), 'md');
    const rows = text
      .slice(text.indexOf('## All readings'), text.indexOf('## Where the expected'))
      .split('\n')
      .filter((line) => line.startsWith('| 4 |'));
    expect(rows).toHaveLength(1);
    expect(rows[0]?.match(/(?<!\\)\|/g)).toHaveLength(12);
  });

  it('escapes anything', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        expect(escapeHtml(text)).not.toMatch(/[<>"']/);
        expect(escapeMarkdown(text)).not.toMatch(/[<>]|(?<!\\)(?:\\\\)*[|`*_[\]]/);
        expect(typedText(text)).not.toMatch(/[\u0000-\u001f\u202a-\u202e\u2066-\u2069]/);
      }),
    );
  });

  it('breaks a word that no line holds, and no entity', () => {
    expect(htmlText('W'.repeat(26))).toBe('WWWWWWWW<wbr>WWWWWWWW<wbr>WWWWWWWW<wbr>WW');
    const broken = htmlText(`${'W'.repeat(14)}&&${'W'.repeat(38)}`);
    expect(broken.replaceAll('<wbr>', '')).toBe(`${'W'.repeat(14)}&amp;&amp;${'W'.repeat(38)}`);
    expect(broken).not.toMatch(/&[a-z]*<wbr>/);
    expect(broken.match(/<wbr>/g)).toHaveLength(6);
    expect(htmlText('transformerless, electromagnetic')).toBe('transformerless, electromagnetic');
  });
});

function countOf(text: string, pattern: RegExp): number {
  return text.match(pattern)?.length ?? 0;
}

describe('a parts list', () => {
  const line = (item: string): OrderLine => ({
    group: 'Other',
    item,
    quantity: 1,
    positions: [item],
    reason: 'found bad',
    safety: '',
    cost: [1, 2],
    costWords: '',
  });
  // The characters that begin a formula: OWASP, CSV Injection (community page, 2024).
  it.each(['=1+1', '+1', '-1', '@SUM(A1)', ' =1', '\t=1', '\r=1', '\uff1d1', '"=1'])(
    'makes text of %j',
    (text) => {
      const [, row = ''] = partsCsv([line(text)]).split('\r\n');
      const cells = row.match(/"(?:[^"]|"")*"|[^,]+/g) ?? [];
      expect(cells[1]?.replace(/^"/, '')).toMatch(/^(?:'|"")/);
    },
  );

  it('keeps one line a part whatever is in it', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        const csv = partsCsv([line(text), line('plain')]);
        expect(csv.split('\r\n')).toHaveLength(4);
        expect(csv).not.toMatch(/[\u0000-\u0009\u000b\u000c\u000e-\u001f\u202a-\u202e\u2066-\u2069]/);
      }),
    );
  });
});

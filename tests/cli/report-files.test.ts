// Files round a report: photos told by their content, and a browser that prints or is missed in plain words.
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { findBrowser, NO_BROWSER, printPdf } from '../../src/cli/browser-print.ts';
import { readPhotos } from '../../src/cli/photo-files.ts';
import { InputError } from '../../src/cli/problem.ts';
import { freeReportPath } from '../../src/cli/report.ts';
import { PHOTO_LIMITS } from '../../src/report/index.ts';

const work = mkdtempSync(join(tmpdir(), 'report-files-'));
afterAll(() => rmSync(work, { recursive: true, force: true }));

function file(name: string, content: Buffer | string): string {
  const path = join(work, name);
  writeFileSync(path, content);
  return path;
}

const JPEG = Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 16, 74, 70, 73, 70]);
const PNG = Buffer.from([0x89, 80, 78, 71, 13, 10, 26, 10, 0, 0]);

describe('a report written from the screen', () => {
  it('gets a name of its own, and never that of an older one', () => {
    const folder = mkdtempSync(join(work, 'reports-'));
    const write = () => {
      const free = freeReportPath(folder, 'kitchen-set');
      writeFileSync(free.path, '', { flag: 'wx' });
      return [free.path.slice(folder.length + 1), free.older];
    };
    expect(write()).toEqual(['kitchen-set.report.html', false]);
    expect(write()).toEqual(['kitchen-set.report-2.html', true]);
    expect(write()).toEqual(['kitchen-set.report-3.html', true]);
  });
});

describe('photos', () => {
  it('are told by what is in them, whatever they are called', () => {
    const [one, two, three, four] = readPhotos([
      file('chassis.txt', JPEG),
      file('b.jpg', PNG),
      file('c', 'GIF89a......'),
      file('d', Buffer.from('RIFF\u0001\u0000\u0000\u0000WEBPVP8 ', 'latin1')),
    ]);
    expect([one, two, three, four].map((photo) => photo?.mime)).toEqual([
      'image/jpeg',
      'image/png',
      'image/gif',
      'image/webp',
    ]);
    expect(one).toMatchObject({ name: 'chassis.txt', base64: JPEG.toString('base64') });
  });

  it.each([
    ['a drawing that can carry script', () => [file('x.png', '<svg onload="alert(1)"/>')], /x\.png is not/],
    ['nothing', () => [file('empty.jpg', '')], /empty\.jpg is not a JPEG/],
    ['a missing file', () => [join(work, 'gone.jpg')], /Cannot read the photo .*gone\.jpg/],
    ['a folder', () => [work], /Cannot read the photo/],
    [
      'more bytes than a report holds',
      () => [file('big.jpg', Buffer.concat([JPEG, Buffer.alloc(PHOTO_LIMITS.bytes)]))],
      /big\.jpg has 3\.0 MB; a photo may have 3 MB/,
    ],
    ['too many', () => Array.from({ length: 13 }, () => file('m.jpg', JPEG)), /holds 12 photos, not 13/],
    [
      'too much together',
      () =>
        Array.from({ length: 5 }, (_, n) => file(`${n}.jpg`, Buffer.concat([JPEG, Buffer.alloc(2_900_000)]))),
      /14\.5 MB together/,
    ],
  ])('refuse %s', (_, paths, words) => {
    expect(() => readPhotos(paths())).toThrow(InputError);
    expect(() => readPhotos(paths())).toThrow(words);
  });
});

describe('a PDF', () => {
  it('without a browser says what to do instead', () => {
    expect(findBrowser({ PATH: work })).toBeUndefined();
    expect(findBrowser({ PATH: '', CHROME_PATH: join(work, 'none') })).toBeUndefined();
    expect(() => printPdf('<p>', join(work, 'x.pdf'), findBrowser({ PATH: work }))).toThrow(NO_BROWSER);
  });

  it('that the browser does not print leaves nothing behind and names the browser', () => {
    const before = readdirSync(work).length;
    expect(() => printPdf('<p>', join(work, 'x.pdf'), process.execPath)).toThrow(/did not print the report/);
    expect(readdirSync(work)).toHaveLength(before);
    expect(() => printPdf('<p>', join(work, 'no/folder/x.pdf'), process.execPath)).toThrow(/Cannot write/);
  });

  it.skipIf(!findBrowser())(
    'is printed whole into its place',
    () => {
      const target = join(work, 'page.pdf');
      printPdf('<!doctype html><title>t</title><p>one page', target, findBrowser());
      expect(readFileSync(target).subarray(0, 5).toString()).toBe('%PDF-');
      expect(existsSync(target)).toBe(true);
    },
    60_000,
  );
});

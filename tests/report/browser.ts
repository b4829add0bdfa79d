// Looks at reports in a real browser: each page in frames of given widths, measured for overflow and clipped text, and examined by axe-core.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import axe from 'axe-core';

export interface Look {
  readonly name: string;
  readonly html: string;
  /** CSS pixels: what the page takes for its window. */
  readonly width: number;
  /** Lays the page out as it is printed, to be measured only; a sheet cannot be scrolled. */
  readonly printed?: boolean;
}

export interface Seen {
  readonly name: string;
  readonly width: number;
  readonly findings: readonly string[];
  /** Colour of the page's ground, to tell that the wanted scheme was on. */
  readonly ground: string;
  readonly passes: readonly string[];
}

/** Runs in the browser: opens each page in a frame of its own and writes what it finds into the document. */
const HARNESS = `
const seen = [];
const describe = (el) => el.tagName + (el.className && el.className.baseVal === undefined ? '.' + el.className : '') + ': ' + (el.textContent || '').trim().slice(0, 60);
function overflow(doc, view, printed) {
  const found = [];
  const wide = doc.documentElement.scrollWidth;
  if (wide > view.innerWidth) found.push('the page is ' + wide + ' wide in ' + view.innerWidth);
  for (const el of doc.body.querySelectorAll('*')) {
    const box = el.getBoundingClientRect();
    if (box.width === 0 || el.closest('.skip')) continue;
    const scrolls = !printed && el.closest('.scroll');
    if (!scrolls && (box.right > view.innerWidth + 1 || box.left < -1)) found.push('beyond the edge: ' + describe(el));
    const inner = el.clientWidth > 0 && el.scrollWidth > el.clientWidth + 1;
    if (inner && !scrolls && view.getComputedStyle(el).display !== 'inline') found.push('wider than its box: ' + describe(el));
  }
  for (const block of doc.querySelectorAll('.map .block')) {
    const room = block.querySelector('rect').getBBox();
    for (const text of block.querySelectorAll('text')) {
      const box = text.getBBox();
      if (box.x + box.width > room.x + room.width || box.y + box.height > room.y + room.height) found.push('out of its block: ' + text.textContent);
    }
  }
  return found;
}
async function look({ name, html, width, printed }) {
  const frame = document.createElement('iframe');
  frame.style.cssText = 'border:0;height:900px;width:' + width + 'px';
  frame.srcdoc = html;
  await new Promise((done) => { frame.onload = done; document.body.append(frame); });
  const view = frame.contentWindow;
  const doc = frame.contentDocument;
  const findings = overflow(doc, view, printed);
  const passes = [];
  if (!printed) {
    const script = doc.createElement('script');
    script.textContent = AXE;
    doc.head.append(script);
    const result = await view.axe.run(doc, { iframes: false });
    for (const v of result.violations) findings.push(v.impact + ' ' + v.id + ': ' + v.nodes[0].html.slice(0, 160));
    passes.push(...result.passes.map((p) => p.id));
  }
  seen.push({ name, width, findings, ground: view.getComputedStyle(doc.body).backgroundColor, passes });
  frame.remove();
}
(async () => {
  try { for (const one of LOOKS) await look(one); } catch (error) { seen.push({ name: 'harness', width: 0, findings: [String(error)], ground: '', passes: [] }); }
  const out = document.createElement('pre');
  out.id = 'seen';
  out.textContent = btoa(unescape(encodeURIComponent(JSON.stringify(seen))));
  document.body.replaceChildren(out);
})();
`;

/** The page as it is laid out on paper, for a screen: its print rules hold always, the dark scheme never. */
function onPaper(html: string): string {
  return html
    .replace('@media print{@page{size:auto;margin:10mm}', '@media all{')
    .replace('@media (prefers-color-scheme:dark)', '@media not all')
    .replace('@media screen and (max-width:44rem)', '@media not all');
}

/** What the browser sees of all pages, in a light or a dark scheme. */
export function lookAt(browser: string, looks: readonly Look[], scheme: 'light' | 'dark'): readonly Seen[] {
  const folder = mkdtempSync(join(tmpdir(), 'look-'));
  try {
    const page = join(folder, 'looks.html');
    // The page's own policy forbids scripts, and with them the examiner.
    const bare = looks.map((look) => ({
      ...look,
      html: (look.printed ? onPaper(look.html) : look.html).replace(
        /<meta http-equiv="Content-Security-Policy"[^>]*>/,
        '',
      ),
    }));
    const literal = (value: unknown) => JSON.stringify(value).replaceAll('<', '\\u003c');
    writeFileSync(
      page,
      `<!doctype html><meta charset="utf-8"><title>looks</title><body><script>const AXE=${literal(axe.source)};const LOOKS=${literal(bare)};${HARNESS}</script>`,
    );
    const { stdout, stderr } = spawnSync(
      browser,
      [
        '--headless',
        '--disable-gpu',
        '--disable-dev-shm-usage',
        '--no-first-run',
        `--user-data-dir=${join(folder, 'profile')}`,
        ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
        // The scheme of the system, as Blink counts them: 0 dark, 1 light.
        `--blink-settings=preferredColorScheme=${scheme === 'dark' ? 0 : 1}`,
        '--window-size=1400,1000',
        '--virtual-time-budget=120000',
        '--dump-dom',
        page,
      ],
      { encoding: 'utf8', timeout: 150_000, maxBuffer: 1e8 },
    );
    const text = /<pre id="seen">([^<]*)<\/pre>/.exec(stdout)?.[1];
    if (text === undefined) throw new Error(`the browser gave nothing: ${stderr.slice(-400)}`);
    const seen: readonly Seen[] = JSON.parse(Buffer.from(text, 'base64').toString('utf8'));
    return seen;
  } finally {
    rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

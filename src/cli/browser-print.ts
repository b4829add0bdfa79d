// A PDF of a report, printed by a browser that is installed anyway: its print is the page as laid out, and no second layout has to be kept.
import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { delimiter, dirname, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { InputError } from './problem.ts';

/** Programs that print a page without a window, by their usual names. */
const PROGRAMS = [
  'chromium',
  'chromium-browser',
  'google-chrome',
  'google-chrome-stable',
  'chrome',
  'msedge',
];
const PATIENCE_MS = 60_000;

export const NO_BROWSER =
  'No browser that prints without a window was found. Write the report with --format html, open it in any browser and print it to a PDF; or name a browser of the Chromium family in CHROME_PATH.';

/** The browser to print with: the one named in CHROME_PATH, else the first known one on the path; undefined where there is none. */
export function findBrowser(env: NodeJS.ProcessEnv = process.env): string | undefined {
  const named = env.CHROME_PATH;
  if (named) return runs(named) ? named : undefined;
  const endings = process.platform === 'win32' ? ['.exe', '.cmd'] : [''];
  for (const folder of (env.PATH ?? '').split(delimiter).filter((entry) => entry !== ''))
    for (const program of PROGRAMS)
      for (const ending of endings) {
        const path = join(folder, program + ending);
        if (runs(path)) return path;
      }
  return undefined;
}

function runs(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** Prints an HTML page into `target`, whole or not at all. Throws InputError where there is no browser or it does not print. */
export function printPdf(html: string, target: string, browser: string | undefined): void {
  if (!browser) throw new InputError(NO_BROWSER);
  const work = workFolder(target);
  try {
    const page = join(work, 'report.html');
    const pdf = join(work, 'report.pdf');
    writeFileSync(page, html);
    const { error, stderr } = spawnSync(browser, argumentsFor(page, pdf, work), {
      timeout: PATIENCE_MS,
      encoding: 'utf8',
    });
    if (!existsSync(pdf))
      throw new InputError(
        `${browser} did not print the report (${error?.message ?? lastLine(stderr)}). Write it with --format html and print it from a browser's own window.`,
      );
    renameSync(pdf, target);
  } finally {
    rmSync(work, { recursive: true, force: true, maxRetries: 5 });
  }
}

function argumentsFor(page: string, pdf: string, work: string): readonly string[] {
  return [
    '--headless',
    '--disable-gpu',
    '--disable-dev-shm-usage',
    '--no-first-run',
    '--no-pdf-header-footer',
    // A profile of its own: a browser that is open already would otherwise take the page and print nothing.
    `--user-data-dir=${join(work, 'profile')}`,
    // The browser refuses its sandbox to the superuser. The page is ours, without script and with everything typed escaped.
    ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
    `--print-to-pdf=${pdf}`,
    pathToFileURL(page).href,
  ];
}

/** Beside the target, so that the finished file is moved in one step, and where a confined browser may write too. */
function workFolder(target: string): string {
  try {
    return mkdtempSync(join(dirname(target), 'report-print-'));
  } catch (error) {
    throw new InputError(`Cannot write ${target}: ${error instanceof Error ? error.message : String(error)}`);
  }
}

function lastLine(text: string): string {
  return text.trim().split('\n').at(-1)?.slice(0, 200) || 'no message';
}

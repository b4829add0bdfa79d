// `list`: saved sessions, latest first, as a table or JSON.
import { existsSync } from 'node:fs';
import { listArchived, listSessions, type SessionSummary } from '../session/index.ts';
import { clean, pad } from '../ui/text.ts';
import { EXIT } from './problem.ts';
import type { CommandLine } from './usage.ts';

/** Field names are a public contract. */
function forMachines(s: SessionSummary) {
  return {
    name: s.name,
    set: s.set,
    family: s.family,
    started: s.created,
    lastEntry: s.lastAt,
    supply: s.power,
    readings: s.readings,
    finished: s.finished,
    verdict: s.verdict,
    trouble: s.trouble,
  };
}

export function runList(line: CommandLine, folder: string): number {
  const sessions = line.archived ? listArchived(folder) : listSessions(folder);
  if (line.names) {
    process.stdout.write(sessions.map((s) => `${s.name}\n`).join(''));
    return EXIT.done;
  }
  if (line.json) {
    process.stdout.write(`${JSON.stringify(sessions.map(forMachines), null, 2)}\n`);
    return EXIT.done;
  }
  if (sessions.length === 0) {
    const missing = existsSync(folder) ? '' : ' There is no such folder yet.';
    process.stdout.write(
      `No saved sessions in ${clean(folder)}${line.archived ? ' were put away' : ''}.${missing}\n`,
    );
    return EXIT.done;
  }
  const widest = Math.min(40, Math.max(4, ...sessions.map((s) => s.name.length)));
  const row = (cells: readonly string[]): string => {
    const [name = '', set = '', started = '', last = '', supply = '', readings = '', verdict = ''] = cells;
    return `${pad(name, widest)}  ${pad(set, 26)}  ${pad(started, 16)}  ${pad(last, 16)}  ${pad(supply, 16)}  ${pad(readings, 8, 'right')}  ${verdict}`.trimEnd();
  };
  const time = (iso: string): string => iso.slice(0, 16).replace('T', ' ');
  process.stdout.write(
    `${row(['NAME', 'SET', 'STARTED (UTC)', 'LAST ENTRY', 'SUPPLY', 'READINGS', 'VERDICT SO FAR'])}\n`,
  );
  for (const s of sessions) {
    const verdict = s.trouble ? `! ${clean(s.trouble)}` : clean(s.verdict);
    process.stdout.write(
      `${row([clean(s.name), clean(s.set), time(s.created), time(s.lastAt), s.power, String(s.readings), verdict])}\n`,
    );
  }
  return EXIT.done;
}

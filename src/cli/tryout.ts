// Demonstration sessions stay as they are: whoever opens one works on a copy of it, which is kept and resumed like any session.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { exportSession, openSession, SessionError } from '../session/index.ts';
import type { Opened } from '../ui/ports.ts';

const DEMO = /^demo-(.+?)(\.jsonl)?$/;

/**
 * Opens a session to go on with it: of `demo-NAME` the copy `tryout-NAME`, made on first use; of a session that another program has
 * open, what it holds, for reading only. Throws SessionError.
 */
export function openForWork(folder: string, name: string): Opened {
  const own = DEMO.exec(name)?.[1];
  if (own === undefined) {
    const session = openOrRead(folder, name);
    return { session, notices: session.notices };
  }
  const copy = `tryout-${own}`;
  const file = join(folder, `${copy}.jsonl`);
  const isNew = !existsSync(file);
  if (isNew) exportSession(folder, name, file);
  const session = openOrRead(folder, copy);
  const said = isNew
    ? `The demonstration stays as it is: this is a copy of it, ${copy}.`
    : `The demonstration stays as it is: this is your copy of it, ${copy}, as you left it.`;
  return { session, notices: [said, ...session.notices] };
}

function openOrRead(folder: string, name: string) {
  try {
    return openSession(folder, name);
  } catch (error) {
    if (!(error instanceof SessionError) || error.kind !== 'locked') throw error;
    return openSession(folder, name, { readOnly: error });
  }
}

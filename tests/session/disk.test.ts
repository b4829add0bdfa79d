// A real full disk and a real read-only one, on a small memory disk where this machine lets us mount one.
import { execFileSync } from 'node:child_process';
import * as fs from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createSession, openSession, SessionError } from '../../src/session/index.ts';
import { newFolder, RULES, reading, removeFolders } from './helpers.ts';

function mount(folder: string): boolean {
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=64k', 'tmpfs', folder], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
}

const folder = newFolder();
const mounted = mount(folder);

afterAll(() => {
  if (mounted) execFileSync('umount', [folder], { stdio: 'ignore' });
  removeFolders();
});

describe.runIf(mounted)('a disk of 64 KiB', () => {
  beforeAll(() => {
    createSession(folder, { name: 'x', rules: RULES }).close();
  });

  it('full: kept, and written when there is room again', () => {
    const open = openSession(folder, 'x');
    fs.writeFileSync(join(folder, 'filler'), Buffer.alloc(40 * 1024));
    let error: unknown;
    for (let index = 0; error === undefined && index < 500; index++) {
      try {
        open.append(reading('a', index));
      } catch (caught) {
        error = caught;
      }
    }
    expect(error).toBeInstanceOf(SessionError);
    expect(error).toMatchObject({ kind: 'full', message: expect.stringMatching(/disk is full/) });
    const count = open.state.readings.length;
    expect(open.pending).toHaveLength(1);
    fs.rmSync(join(folder, 'filler'));
    open.retry();
    open.close();
    expect(openSession(folder, 'x', { readOnly: true }).state.readings).toHaveLength(count);
  });

  it('full at the start: no half session stays behind', () => {
    fs.writeFileSync(join(folder, 'filler'), Buffer.alloc(1));
    try {
      for (;;) fs.appendFileSync(join(folder, 'filler'), Buffer.alloc(4096));
    } catch {
      // Full now.
    }
    expect(() => createSession(folder, { name: 'y', rules: RULES })).toThrow(SessionError);
    expect(
      fs.readdirSync(folder).filter((file) => file.endsWith('.jsonl') || file.startsWith('.new')),
    ).toEqual(['x.jsonl']);
    fs.rmSync(join(folder, 'filler'));
  });

  it('read-only: opens for reading, says so; nothing new can be made', () => {
    execFileSync('mount', ['-o', 'remount,ro', folder], { stdio: 'ignore' });
    const open = openSession(folder, 'x');
    expect(open.readOnly?.kind).toBe('read-only');
    expect(open.notices.join()).toMatch(/read-only/);
    expect(open.state.readings.length).toBeGreaterThan(0);
    const error = (() => {
      try {
        createSession(folder, { name: 'y', rules: RULES });
      } catch (caught) {
        return caught;
      }
      return undefined;
    })();
    expect(error).toMatchObject({ kind: 'read-only' });
  });
});

// Reads a text file that somebody names: only a real file, only so large, only UTF-8. A device, a pipe or a film is refused unread.
import * as fs from 'node:fs';

/** Largest rule or case file that is read, bytes. */
export const MOST_BYTES = 1_048_576;

/** The text, or what is wrong with the file and on which line. */
export type TextFile =
  | { readonly text: string }
  | { readonly message: string; readonly fix: string; readonly line: number };

/** Reads a file of at most `most` bytes. Never throws for what the file is. */
export function readTextFile(path: string, most: number = MOST_BYTES): TextFile {
  let fd: number | undefined;
  try {
    // Without O_NONBLOCK a pipe with nobody at its other end would keep us waiting for ever.
    fd = fs.openSync(path, fs.constants.O_RDONLY | (fs.constants.O_NONBLOCK ?? 0));
    const stat = fs.fstatSync(fd);
    const right = 'check that it is the right file';
    if (!stat.isFile()) return { message: 'is not a file', fix: right, line: 1 };
    if (stat.size > most)
      return { message: `the file is larger than ${Math.round(most / 1024)} KiB`, fix: right, line: 1 };
    return decoded(fs.readFileSync(fd));
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    const why = REASONS[code] ?? code;
    return { message: `cannot be read: ${why}`, fix: 'check that it is there and may be read', line: 1 };
  } finally {
    if (fd !== undefined) fs.closeSync(fd);
  }
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file (ENOENT)',
  EACCES: 'no permission (EACCES)',
  EISDIR: 'it is a folder (EISDIR)',
  ELOOP: 'its links go in a circle (ELOOP)',
};

function decoded(bytes: Buffer): TextFile {
  const utf8 = new TextDecoder('utf-8', { fatal: true });
  try {
    return { text: utf8.decode(bytes) };
  } catch {
    let line = 1;
    for (let start = 0; start < bytes.length; line++) {
      const end = bytes.indexOf(0x0a, start);
      const stop = end === -1 ? bytes.length : end + 1;
      try {
        utf8.decode(bytes.subarray(start, stop));
      } catch {
        break;
      }
      start = stop;
    }
    return { message: 'not UTF-8 text', fix: 'save it as UTF-8', line };
  }
}

// File names of sessions: from any text to a name that is harmless on every disk, and no path out of the folder.
import { join } from 'node:path';
import { cleanText } from '../rulebook/plain-text.ts';
import { SessionError } from './error.ts';

export const SUFFIX = '.jsonl';
const MAX_NAME_BYTES = 80;
/** Names that one common system keeps for devices. */
const RESERVED = /^(con|prn|aux|nul|com\d|lpt\d)$/i;

/**
 * A file name (without suffix) from any text: `Kitchen set / "1957"` -> `Kitchen-set-1957`. Letters of any script stay;
 * blanks, slashes, quotes, wildcards and control characters become dashes; never empty, hidden, reserved or over 80 bytes.
 */
export function safeName(text: string): string {
  let name = cleanText(text.normalize('NFC'))
    .replace(/[\s/\\:*?"<>|'`$&;()[\]{}!#%~^=,+]+/g, '-')
    .replace(/-{2,}/g, '-');
  while (Buffer.byteLength(name) > MAX_NAME_BYTES) name = [...name].slice(0, -1).join('');
  name = name.replace(/^[.-]+|[.-]+$/g, '').replace(/\.jsonl$/i, '');
  if (name === '') return 'session';
  return RESERVED.test(name.split('.')[0] ?? '') ? `set-${name}` : name;
}

/** True for a plain file name: no separator, not hidden, no control character. Files copied in by hand may have blanks. */
export function isPlainName(name: string): boolean {
  return (
    name !== '' &&
    !/[/\\\u0000-\u001f\u007f-\u009f]/.test(name) &&
    !name.startsWith('.') &&
    Buffer.byteLength(name) <= 240
  );
}

/** Path of a session in a folder; throws SessionError if the name would leave the folder. */
export function pathOf(folder: string, name: string): string {
  const plain = name.endsWith(SUFFIX) ? name.slice(0, -SUFFIX.length) : name;
  if (!isPlainName(plain)) {
    throw new SessionError(
      'missing',
      folder,
      `"${cleanText(name).slice(0, 80)}" is not the name of a session in ${folder}.`,
    );
  }
  return join(folder, plain + SUFFIX);
}

// Bytes from the terminal -> single keys. Splits bursts (a foot switch, a scanner, a slow link), joins bracketed pastes, knows a lone Esc.

/** One key: `name` is what the key table speaks of (`enter`, `ctrl-x`, `up`, `char`, `paste`); `text` what it types; `raw` its bytes. */
export interface Key {
  readonly name: string;
  readonly text: string;
  readonly raw: string;
}

const PASTE_START = '\u001b[200~';
const PASTE_END = '\u001b[201~';
/** A paste that never ends (lost bytes) is taken as it is beyond this many characters. */
const LONGEST_PASTE = 65_536;

const SEQUENCES: Readonly<Record<string, string>> = {
  '[A': 'up',
  '[B': 'down',
  '[C': 'right',
  '[D': 'left',
  '[H': 'home',
  '[F': 'end',
  '[Z': 'shift-tab',
  OA: 'up',
  OB: 'down',
  OC: 'right',
  OD: 'left',
  OH: 'home',
  OF: 'end',
  OP: 'f1',
  OQ: 'f2',
  OR: 'f3',
  OS: 'f4',
  '[1~': 'home',
  '[2~': 'insert',
  '[3~': 'delete',
  '[4~': 'end',
  '[5~': 'page-up',
  '[6~': 'page-down',
  '[7~': 'home',
  '[8~': 'end',
  '[11~': 'f1',
  '[12~': 'f2',
  '[[A': 'f1',
};
const CONTROL: Readonly<Record<string, string>> = {
  '\r': 'enter',
  '\n': 'enter',
  '\t': 'tab',
  '\u007f': 'backspace',
  '\b': 'backspace',
};
const SEQUENCE = /^\u001b(\[\[[A-E]|\[[0-9;?]*[ -/]*[@-~]|O[A-Za-z])/;
const UNFINISHED = /^\u001b(\[[0-9;?]*|O|\[\[)?$/;

/**
 * Splits what has arrived into keys. `rest` is an unfinished sequence to be kept for the next bytes;
 * with `flush` nothing is kept (a lone Esc is then the Esc key).
 */
export function splitKeys(
  bytes: string,
  flush = false,
): { readonly keys: readonly Key[]; readonly rest: string } {
  const keys: Key[] = [];
  let rest = bytes;
  while (rest !== '') {
    if (rest.startsWith(PASTE_START)) {
      const end = rest.indexOf(PASTE_END);
      if (end < 0 && rest.length < LONGEST_PASTE && !flush) return { keys, rest };
      const stop = end < 0 ? rest.length : end;
      keys.push({ name: 'paste', text: rest.slice(PASTE_START.length, stop), raw: '' });
      rest = end < 0 ? '' : rest.slice(end + PASTE_END.length);
      continue;
    }
    const first = rest[0] ?? '';
    if (first === '\u001b') {
      const match = SEQUENCE.exec(rest);
      if (match) {
        const raw = match[0];
        keys.push({ name: SEQUENCES[match[1] ?? ''] ?? 'unknown', text: '', raw });
        rest = rest.slice(raw.length);
        continue;
      }
      if (UNFINISHED.test(rest) && !flush) return { keys, rest };
      keys.push({ name: 'escape', text: '', raw: first });
      rest = rest.slice(1);
      continue;
    }
    const code = rest.codePointAt(0) ?? 0;
    const text = String.fromCodePoint(code);
    rest = rest.slice(text.length);
    if (CONTROL[text]) keys.push({ name: CONTROL[text], text: '', raw: text });
    else if (code === 0) keys.push({ name: 'unknown', text: '', raw: text });
    else if (code < 27) keys.push({ name: `ctrl-${String.fromCharCode(96 + code)}`, text: '', raw: text });
    else if (code < 32 || (code >= 0x80 && code < 0xa0)) keys.push({ name: 'unknown', text: '', raw: text });
    else keys.push({ name: 'char', text, raw: text });
  }
  return { keys, rest: '' };
}

/** How long a lone Esc is held back in case a sequence follows, ms. */
const ESCAPE_WAIT_MS = 25;

/** A feeder for `splitKeys`: give it what arrives, it calls `onKey` once per key. `stop` ends its timer. */
export function createKeyStream(onKey: (key: Key) => void): { push(text: string): void; stop(): void } {
  let kept = '';
  let timer: NodeJS.Timeout | undefined;
  const run = (flush: boolean): void => {
    const { keys, rest } = splitKeys(kept, flush);
    kept = rest;
    for (const key of keys) onKey(key);
    if (kept !== '' && !kept.startsWith(PASTE_START)) timer = setTimeout(() => run(true), ESCAPE_WAIT_MS);
  };
  return {
    push(text) {
      if (timer) clearTimeout(timer);
      timer = undefined;
      kept += text;
      run(false);
    },
    stop() {
      if (timer) clearTimeout(timer);
    },
  };
}

// A session in which everything that somebody can type is one given text, and the tags that a page has in the end.
import { demoInput, demoView, logged, SET, volts } from './fixture.ts';

export function hostileInput(text: string) {
  return demoInput(
    demoView({
      set: {
        ...SET,
        name: text,
        owner: text,
        question: text,
        pictureTube: text,
        tubes: { damper: text },
        complaint: [text],
      },
      readings: [
        logged('flyback-ring', 4, text, volts(98), {
          note: text,
          corrections: [text],
          context: { lineVolts: 0, instrument: text, supply: 'discharged', config: {} },
        }),
      ],
      notes: [{ seq: 1, at: text, text, check: 'flyback-ring' }],
      skipped: [{ seq: 6, check: text, reason: 'other', note: text }],
      repairs: [{ seq: 9, at: text, part: text, action: 'replaced', found: text, note: text }],
      safetyLog: [{ type: 'link-fitted', seq: 2, at: text, what: text }],
      instruments: [text],
    }),
    {
      technician: text,
      session: { name: text, created: text, rules: { name: text, version: text, hash: text } },
    },
  );
}

/** Tags of an HTML text in order, void elements left out; throws on one that closes what is not open. */
export function outline(
  html: string,
): readonly { readonly tag: string; readonly attributes: string; readonly depth: number }[] {
  const open: string[] = [];
  const seen: { tag: string; attributes: string; depth: number }[] = [];
  const body = html.replace(/<style>[\s\S]*?<\/style>/, '').replace('<!doctype html>', '');
  for (const [, close, name = '', attributes = ''] of body.matchAll(
    /<(\/)?([a-z][a-z0-9]*)((?:\s+[a-zA-Z-]+="[^"<>]*")*)\s*\/?>/g,
  )) {
    if (['meta', 'br', 'wbr', 'rect', 'line', 'path'].includes(name)) continue;
    if (close) {
      const last = open.pop();
      if (last !== name) throw new Error(`</${name}> closes <${last}>`);
    } else {
      open.push(name);
      seen.push({ tag: name, attributes, depth: open.length });
    }
  }
  if (open.length > 0) throw new Error(`left open: ${open.join(' ')}`);
  return seen;
}

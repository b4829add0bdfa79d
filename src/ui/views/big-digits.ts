// Block digits, five lines high, for reading a value from a metre away. Letters that have no block form are left small.
import { type Line, pad, span } from '../text.ts';

const GLYPHS: Readonly<Record<string, readonly string[]>> = {
  '0': ['███', '█ █', '█ █', '█ █', '███'],
  '1': [' █ ', '██ ', ' █ ', ' █ ', '███'],
  '2': ['███', '  █', '███', '█  ', '███'],
  '3': ['███', '  █', ' ██', '  █', '███'],
  '4': ['█ █', '█ █', '███', '  █', '  █'],
  '5': ['███', '█  ', '███', '  █', '███'],
  '6': ['███', '█  ', '███', '█ █', '███'],
  '7': ['███', '  █', ' █ ', ' █ ', ' █ '],
  '8': ['███', '█ █', '███', '█ █', '███'],
  '9': ['███', '█ █', '███', '  █', '███'],
  '.': ['  ', '  ', '  ', '  ', '█ '],
  ',': ['  ', '  ', '  ', '  ', '█ '],
  '-': ['   ', '   ', '███', '   ', '   '],
  ' ': ['  ', '  ', '  ', '  ', '  '],
  '>': ['█  ', ' █ ', '  █', ' █ ', '█  '],
  '<': ['  █', ' █ ', '█  ', ' █ ', '  █'],
  k: ['█  ', '█ █', '██ ', '█ █', '█ █'],
  M: ['█   █', '██ ██', '█ █ █', '█   █', '█   █'],
  V: ['█ █', '█ █', '█ █', '█ █', ' █ '],
  A: [' █ ', '█ █', '███', '█ █', '█ █'],
  m: ['     ', '██ ██', '█ █ █', '█ █ █', '█ █ █'],
  W: ['█   █', '█   █', '█ █ █', '█ █ █', ' █ █ '],
  o: ['   ', '███', '█ █', '█ █', '███'],
  h: ['█  ', '█  ', '███', '█ █', '█ █'],
  l: ['█ ', '█ ', '█ ', '█ ', '██'],
  u: ['   ', '█ █', '█ █', '█ █', '███'],
  F: ['███', '█  ', '██ ', '█  ', '█  '],
  t: [' █ ', '███', ' █ ', ' █ ', ' ██'],
};
const HEIGHT = 5;
const LABEL = 9;

/** The text in block digits after its label, as far as it fits in `width`; a text that does not fit is shown once, small. */
export function bigText(label: string, text: string, width: number): Line[] {
  const words = text.replace('over', '>').replace('under', '<').replace(' to ', ' - ');
  const glyphs = [...words].map((c) => GLYPHS[c] ?? GLYPHS[c.toUpperCase()] ?? GLYPHS[c.toLowerCase()]);
  const rows = Array.from({ length: HEIGHT }, (_, n) => glyphs.map((g) => g?.[n] ?? '').join(' '));
  const line = (shown: string, n: number): Line => [
    span(pad(n === 0 ? label : '', LABEL), 'accent'),
    span(shown, 'title'),
  ];
  if (glyphs.some((g) => g === undefined) || (rows[0]?.length ?? 0) > width - LABEL) return [line(text, 0)];
  return rows.map(line);
}

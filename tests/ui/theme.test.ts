// Colours can be read on the background that the terminal names. Contrast as in WCAG 2.2 (W3C, 2023), "contrast ratio" and "relative luminance".
import { expect, it } from 'vitest';
import { colourOf, isLightBackground } from '../../src/ui/theme.ts';

/** The eight colours as xterm has them by default (XTerm-col.ad: red3, green3, yellow3, blue2, magenta3, cyan3). */
const XTERM: Readonly<Record<number, readonly [number, number, number]>> = {
  31: [205, 0, 0],
  32: [0, 205, 0],
  33: [205, 205, 0],
  34: [0, 0, 238],
  35: [205, 0, 205],
  36: [0, 205, 205],
};

function luminance(rgb: readonly [number, number, number]): number {
  const [r, g, b] = rgb.map((c) => {
    const s = c / 255;
    return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(code: number, background: readonly [number, number, number]): number {
  const rgb = XTERM[code];
  if (!rgb) throw new Error(`no colour ${code}`);
  const [a, b] = [luminance(rgb), luminance(background)];
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
}

it.each(['accent', 'good', 'watch', 'bad', 'live', 'danger'] as const)(
  '%s is told from its background',
  (tone) => {
    const light = colourOf(tone, true);
    if (light !== undefined) expect(contrast(light, [255, 255, 255])).toBeGreaterThan(4);
    const dark = colourOf(tone, false);
    // Red is bold or inverse as well.
    if (dark !== undefined) expect(contrast(dark, [0, 0, 0])).toBeGreaterThan(3.5);
  },
);

it('knows a light background by what the terminal says', () => {
  expect(isLightBackground('0;15')).toBe(true);
  expect(isLightBackground('0;default;7')).toBe(true);
  for (const dark of ['15;0', '7;8', '', undefined, 'x']) expect(isLightBackground(dark)).toBe(false);
});

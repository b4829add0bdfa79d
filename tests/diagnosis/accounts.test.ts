// What a found suspect does to the set by itself, on the real rule pack: a dead supply takes light and sound, a weak sound stage leaves the light.
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { compileNetwork } from '../../src/diagnosis/index.ts';
import { consequencesOf } from '../../src/diagnosis/planner-accounts.ts';
import { loadRules } from '../../src/rulebook/load.ts';
import { facts } from './tiny-rules.ts';

const { book } = loadRules(fileURLToPath(new URL('../../rules', import.meta.url)));
if (!book) throw new Error('the rule pack does not load');
const network = compileNetwork(book, facts({ family: 'series-doubler-halfwave', restored: 'recapped' }));

/** Causes that are not in the rules: up to half a hundredth a signal, along a chain of a dozen. */
const LEAKS = 0.08;

// What these faults do to a set: common practice, no source.
it.each([
  ['b-plus.silicon-first', 'open', ['raster-light', 'picture', 'sound'], []],
  ['line-input.fuse', 'open', ['raster-light', 'picture', 'sound'], []],
  ['sound.output-transformer', 'open', ['sound'], ['raster-light', 'picture', 'width', 'vertical-lock']],
  ['vertical-output.transformer', 'open', ['vertical-deflection'], ['sound', 'width']],
])('%s/%s', (part, fault, takes, leaves) => {
  const follows = consequencesOf(network, new Map([[part, fault]]));
  for (const id of takes) expect(follows.wrong(id), id).toBeGreaterThan(0.75);
  for (const id of leaves) expect(follows.wrong(id), id).toBeLessThan(LEAKS);
});

it('takes nothing from a set in which every part is in order, but what is not in the rules', () => {
  const follows = consequencesOf(network, new Map());
  for (const [id, { signal }] of network.signals)
    if (signal.outcome) expect(follows.wrong(id), id).toBeLessThan(LEAKS);
});

// The owner's page read as an owner: no bench names for readings, units in words, nothing spent before what is open was found out.
import { describe, expect, it } from 'vitest';
import { untilSettled } from '../../src/diagnosis/next-steps.ts';
import { reportContent } from '../../src/report/content.ts';
import { renderReport } from '../../src/report/index.ts';
import { ownersText, unitsInWords, wordsIn } from '../../src/report/owner-words.ts';
import { OWNER_SAID } from '../../src/session/owner-said.ts';
import { readCase } from '../../src/walk/case-file.ts';
import { evaluateAll } from '../../src/walk/evaluate.ts';
import { book, DEMOS, engine, inputOf, muchWrong } from './demo-inputs.ts';

const ALL = [...DEMOS, 'demo-meridian'];
const ownersPage = (name: string) => renderReport(inputOf(name), 'md', 'owner');

describe('words', () => {
  it.each(ALL)('%s: readings are named by number outside the table of what was measured', (name) => {
    const content = reportContent(inputOf(name));
    const said = [
      ...content.core.map((line) => line.say),
      ...content.sections.map((line) => line.say),
      ...content.suspects.map((line) => line.because),
      ...[...content.steps, ...content.later].map((line) => `${line.action} ${line.why}`),
    ].join('\n');
    for (const { check } of content.measured) {
      const title = book.checks.find((one) => one.id === check)?.title ?? '';
      if (title.split(' ').length > 2) expect(said.toLowerCase()).not.toContain(title.toLowerCase());
    }
    expect(said).toMatch(/[Rr]eadings? \d+/);
  });

  it.each(ALL)('%s: units are words, and hard words that stand there are explained', (name) => {
    // What somebody typed at a repair stays as it was typed.
    const text = ownersPage(name).replace(/## What was done already[^#]*/, '');
    expect(text).not.toMatch(/\d (?:kohm|Mohm|uF|uA|mA)\b/);
    expect(text).toContain('**Words on this page.**');
    expect(text).not.toMatch(/bench hours|the walk|rules’/);
  });

  it('puts several readings in a row and begins a sentence with a capital', () => {
    const measured = reportContent(inputOf('demo-harbour')).measured;
    const titles = measured.map(({ title }) => title);
    const plain = ownersText(book, measured);
    const [first, second] = measured;
    expect(plain(`${titles[0]} and ${titles[1]} put it in doubt.`)).toBe(
      `Readings ${first?.seq} and ${second?.seq} put it in doubt.`,
    );
    expect(plain(`Focus coil, open: ${titles[0]}.`)).toBe(`Focus coil, open: reading ${first?.seq}.`);
  });

  it('speaks units and explains only what stands there', () => {
    expect(unitsInWords('180 kohm, 60 ohm to 1.2 Mohm, 2 uF, 88 V')).toBe(
      '180 kilohms, 60 ohms to 1.2 megohms, 2 microfarads, 88 volts',
    );
    expect(wordsIn(book, ['The B+ is low.'], 6).map(([word]) => word)).toEqual(['B+']);
    expect(wordsIn(book, ['The B+ feeds the horizontal output.'], 1)).toHaveLength(1);
    expect(wordsIn(book, ['nothing of the trade'], 6)).toEqual([]);
  });
});

describe('a set that was only looked at', () => {
  const LOOKS = `
case: looked at
set: {family: transformer, standard: "525", line_volts: 117, picture_tube: 21YP4A, complaint: [no-picture], restored: recapped}
instruments: [dmm]
answers: {exposed-metal-look: missing, insulation-look: crumbles, yoke-look: burnt, flyback-look: clean}
`;
  const { data } = readCase('looks.yaml', LOOKS, book);
  if (!data) throw new Error('the case has errors');
  const page = renderReport(
    { ...muchWrong(), view: evaluateAll(engine, data, { explained: true }).view },
    'md',
    'owner',
  );

  it('is looked at again, with no instrument', () => {
    expect(page).toContain('look again whether this is so');
    expect(page).not.toMatch(/another instrument/);
  });

  it('keeps the names of parts that a look is called by', () => {
    expect(page).toContain('Insulation of leads and grommets');
    expect(page).not.toMatch(/Insulation of reading|fit reading/);
  });
});

describe('order and recommendation', () => {
  it('an open verdict says what may be spent, and the list keeps to it', () => {
    const input = inputOf('demo-meridian');
    const content = reportContent(input);
    expect(input.view.verdict?.overall).toBe('not-yet-known');
    const steps = input.view.verdict?.nextSteps ?? [];
    const first = steps.slice(0, untilSettled(steps));
    const free = first.every((step) => step.cost[1] < 0.5);
    expect(content.weigh.join(' ')).toContain(
      free ? 'Spend nothing on the chassis' : 'Spend no more on the chassis',
    );
    expect(content.later.length).toBeGreaterThan(0);
    expect(ownersPage('demo-meridian')).toMatch(
      /find out first[\s\S]*After that, and only if it still looks worth it/,
    );
    // What would kill a core part in the run that proves it is renewed before that run, the rest after it.
    const place = (wanted: RegExp) => steps.findIndex((step) => wanted.test(step.action));
    expect(place(/kill the flyback/)).toBeLessThan(place(/^Prove the picture tube/));
    expect(place(/every electrolytic/)).toBeGreaterThan(place(/^Prove the picture tube/));
  });

  it('one line for what is tested before anything is bought, with each part that it is about', () => {
    const lines = reportContent(inputOf('demo-meridian')).steps.filter((line) =>
      /^Before anything is bought/.test(line.action),
    );
    expect(lines).toHaveLength(1);
    expect(lines[0]?.part.split('; ').length).toBeGreaterThan(1);
  });

  it('the record has the same steps by the names of the bench', () => {
    expect(renderReport(inputOf('demo-meridian'), 'md', 'record')).toMatch(
      /## Next steps at the bench[\s\S]*Confirm before replacing: coupling capacitor by its lifted end/,
    );
  });

  it('where a core part is lost nothing is bought before that is decided', () => {
    const { steps, later } = reportContent(muchWrong());
    expect(steps.map(({ action }) => action).join()).toContain('Decide whether to go on: the flyback');
    expect(steps.filter(({ kind }) => kind === 'Repair' || kind === 'Renew')).toEqual([]);
    expect(later.some(({ kind }) => kind === 'Repair')).toBe(true);
  });

  it('of a set with much wrong nothing is left in bench words either', () => {
    expect(renderReport(muchWrong(), 'md', 'owner')).not.toMatch(
      /Confirm before replacing|\d (?:kohm|Mohm)\b/,
    );
  });
});

describe('what the owner said', () => {
  it('stands in own words on the page and in the record, the last time it was typed', () => {
    const input = inputOf('demo-orchard');
    const { state } = input.view;
    const note = (seq: number, text: string) => ({ seq, at: state.lastAt, text, check: OWNER_SAID });
    const notes = [note(3, 'it hums'), note(4, 'it hums, then *nothing*')];
    const said = { ...input, view: { ...input.view, state: { ...state, notes } } };
    expect(renderReport(said, 'md', 'owner')).toContain('- You said: it hums, then \\*nothing\\*');
    expect(renderReport(said, 'html', 'owner')).toContain(
      '<dt>You said</dt><dd>it hums, then *nothing*</dd>',
    );
    expect(renderReport(said, 'md', 'record')).toContain('(the owner, in own words) it hums');
    expect(renderReport(input, 'md', 'owner')).not.toContain('You said');
  });
});

// Intake: every question can be passed over, every answer goes where it belongs, and what cannot be is refused with a reason.
import { describe, expect, it } from 'vitest';
import { answer, type Draft, fieldValue, intakeFields, UNKNOWN_SET } from '../../src/ui/app/intake-fields.ts';
import { remarkOn } from '../../src/ui/app/intake-remarks.ts';
import { BOOK } from './rules.ts';

const blank: Draft = { facts: UNKNOWN_SET, wish: 'unknown' };
const fieldOf = (id: string) => {
  const field = intakeFields(BOOK, UNKNOWN_SET).find((f) => f.id === id);
  if (!field) throw new Error(`no field ${id}`);
  return field;
};
const given = (id: string, typed: string, draft = blank): Draft => {
  const result = answer(BOOK, fieldOf(id), typed, draft);
  if (!result.ok) throw new Error(result.message);
  return result.draft;
};

describe('questions', () => {
  it('offers "don\'t know" first wherever a fact of the set is asked', () => {
    for (const field of intakeFields(BOOK, UNKNOWN_SET)) {
      if (field.id.startsWith('fact:') || ['restored', 'storage', 'wish'].includes(field.id)) {
        expect(field.options[0]?.id).toBe('unknown');
      }
    }
  });

  it('does not ask what the supply family settles', () => {
    for (const family of BOOK.families) {
      const asked = intakeFields(BOOK, { ...UNKNOWN_SET, family: family.id }).map((f) => f.id);
      for (const settled of Object.keys(family.facts)) expect(asked).not.toContain(`fact:${settled}`);
    }
  });
});

describe('answers', () => {
  it('come back from where they were put', () => {
    const typed: Readonly<Record<string, string>> = {
      name: 'Tarnhollow 21',
      owner: 'Ada',
      question: 'worth it?',
      family: BOOK.families[0]?.id ?? '',
      wish: 'sell',
      restored: 'none',
      storage: 'damp',
      standard: '405',
      'line-volts': '231,5',
      'rated-watts': '165',
      'picture-tube': '21yp4a',
    };
    let draft = blank;
    for (const [id, value] of Object.entries(typed)) draft = given(id, value, draft);
    expect(draft).toMatchObject({
      wish: 'sell',
      facts: {
        name: 'Tarnhollow 21',
        owner: 'Ada',
        restored: 'none',
        storage: 'damp',
        standard: '405',
        lineVolts: 231.5,
        ratedWatts: 165,
        pictureTube: '21YP4A',
      },
    });
    expect(fieldValue(fieldOf('line-volts'), draft)).toBe('231.5');
  });

  it('take label values from the family when it is chosen first, and keep typed ones after', () => {
    const [first, second] = BOOK.families;
    const once = given('family', first?.id ?? '');
    expect(once.facts).toMatchObject({ ratedVolts: first?.ratedVolts, ratedWatts: 0 });
    const typed = given('rated-watts', '99', once);
    expect(given('family', second?.id ?? '', typed).facts.ratedWatts).toBe(99);
  });

  it('take back what a family put there when another one is chosen: no line of 240 V stays on a 117 V set', () => {
    const wrong = BOOK.families.find((f) => f.ratedVolts > 200);
    const right = BOOK.families.find((f) => f.ratedVolts < 130);
    const put = given('family', right?.id ?? '', given('family', wrong?.id ?? '')).facts;
    expect(put.ratedVolts).toBe(right?.ratedVolts);
    expect(put.lineVolts).toBe(right?.ratedVolts);
    // Nobody has read the watts off a label: what is usual is taken where they are needed, and does not stand there as read.
    expect(put.ratedWatts).toBe(0);
  });

  it('are refused with the range that is meant', () => {
    for (const wrong of ['', 'abc', '9000', '-5', 'NaN', '1e9']) {
      expect(answer(BOOK, fieldOf('line-volts'), wrong, blank)).toMatchObject({ ok: false });
    }
    for (const typed of ['121,5 volts', '121.5V', '121,5 volts ac'])
      expect(answer(BOOK, fieldOf('line-volts'), typed, blank)).toMatchObject({
        draft: { facts: { lineVolts: 121.5 } },
      });
    expect(answer(BOOK, fieldOf('family'), 'no-such-supply', blank)).toMatchObject({ ok: false });
  });

  it('hold no control characters', () => {
    expect(given('name', 'A\u001b[31mB\u0007').facts.name).toBe('AB');
  });
});

describe('remarks while typing', () => {
  const said = (id: string, typed: string, draft = blank) => remarkOn(BOOK, fieldOf(id), typed, draft);

  it('gives the figures of a type that the tables have, however it is written', () => {
    expect(said('picture-tube', '21 yp4a')).toMatchObject({
      odd: false,
      text: expect.stringMatching(/^21YP4A: 70 degrees, heater 6.3 V/),
    });
    expect(given('picture-tube', 'aw43 88').facts.pictureTube).toBe('AW43-88');
  });

  it('says that a type is not in the tables, with those that come near, and takes it all the same', () => {
    expect(said('picture-tube', '21YP4X')?.text).toMatch(
      /Not in the tables.*21YP4A|Not in the tables.*21YP4/,
    );
    expect(given('picture-tube', '21yp4x').facts.pictureTube).toBe('21YP4X');
    expect(said('picture-tube', '99ZZZ99')).toEqual({ odd: true, text: expect.not.stringContaining('Near') });
  });

  it('asks about watts that no set takes, and about a line that is not the one on the label', () => {
    expect(said('rated-watts', '18')?.odd).toBe(true);
    expect(said('rated-watts', '180')).toBeUndefined();
    expect(said('rated-watts', '0')).toBeUndefined();
    expect(said('line-volts', '230')?.text).toContain('far apart');
    expect(said('line-volts', '120')).toBeUndefined();
    expect(said('line-volts', '230,5 volts')?.text).toContain('far apart');
  });

  it('takes from the type of the picture tube what adds caution, and lets what was looked at stand', () => {
    const first = given('picture-tube', '21YP4A').facts.facts;
    expect(first).toMatchObject({ deflection: '50-70', 'ion-trap': 'fitted' });
    const seen: Draft = { ...blank, facts: { ...UNKNOWN_SET, facts: { 'ion-trap': 'none' } } };
    expect(given('picture-tube', '21YP4A', seen).facts.facts['ion-trap']).toBe('none');
    // Nothing that would take a check or a caution away comes from a table.
    for (const tube of BOOK.pictureTubes) {
      const facts = given('picture-tube', tube.type).facts.facts;
      expect(facts['ion-trap'], tube.type).not.toBe('none');
      expect(facts.focus, tube.type).toBeUndefined();
    }
  });
});
